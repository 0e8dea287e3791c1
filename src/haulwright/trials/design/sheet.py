"""The run sheet: configurations in randomised blocks, mirrored, with series pulls at start, middle and end."""

from __future__ import annotations

import csv
import io
import random
import re
from collections.abc import Sequence

from haulwright.errors import TrialRefusal
from haulwright.files.runsheet import HEADERS
from haulwright.trials.campaign_runs import rig_of
from haulwright.trials.design.result import PlannedRun
from haulwright.trials.friction import rig_model

SERIES = "series"
MOST_REPEATS = 50
Configured = tuple[str, tuple[str, ...]]


def configurations_of(rigs: Sequence[str], devices: Sequence[str]) -> list[Configured]:
    """Return the rigs with devices on their blocks that a sheet is to hold.

    Parameters
    ----------
    rigs : sequence of str
        A rig's name or path: every device in turn, on all its blocks; or ``rig=device;device`` from the drum, that
        one only.
    devices : sequence of str

    Raises
    ------
    TrialRefusal
        ``DEVICES``: no device, one that is not listed, or a count that does not fit the rig.
    RigRefusal
        A rig that is not known.

    Examples
    --------
    >>> configurations_of(["two-part", "three-part=puck;hoop"], ["puck", "hoop"])
    [('two-part', ('puck',)), ('two-part', ('hoop',)), ('three-part', ('puck', 'hoop'))]
    """
    found: list[Configured] = []
    for text in rigs:
        rig, _, given = (part.strip() for part in text.partition("="))
        blocks = len(rig_model(rig_of(rig)).devices)
        if not blocks:
            continue  # series pulls are put in by themselves
        named = tuple(part.strip() for part in given.split(";") if part.strip())
        if unknown := [name for name in named if name not in devices]:
            known = ", ".join(devices) or "none"
            raise TrialRefusal(
                "DEVICES", f"{rig}: no device {unknown[0]!r}; there are: {known}.", (rig, *unknown)
            )
        if not named and not devices:
            raise TrialRefusal("DEVICES", f"{rig}: no device to put on its blocks. Name one.", (rig,))
        for on in [named] if named else [(name,) * blocks for name in devices]:
            rig_model(rig_of(rig), on)
            found.append((rig, on))
    return list(dict.fromkeys(found))


def make_sheet(
    configurations: Sequence[Configured], *, repeats: int = 2, series: int = 3, seed: int = 1
) -> tuple[PlannedRun, ...]:
    """Return the runs in the order they are to be pulled.

    Parameters
    ----------
    configurations : sequence of (rig, devices)
    repeats : int
        Pulls of each; each block holds every configuration once.
    series : int
        Series pulls: the first opens the day, the last ends it, the others lie evenly between.
    seed : int
        Of the order; the same seed gives the same sheet.

    Raises
    ------
    TrialRefusal
        ``DESIGN``: nothing to pull, or a number of repeats or series pulls that makes no sense.

    Notes
    -----
    The order within a block is random; every second block is the mirror of the one before (A B, B A), so that a steady
    drift of the day falls on all configurations alike.

    References
    ----------
    Randomised blocks: Cochran W. G., Cox G. M., Experimental Designs, 2nd ed. 1957, ch. 4. From memory.

    Examples
    --------
    >>> [run.run for run in make_sheet([("two-part", ("puck",)), ("two-part", ("hoop",))], series=2, seed=4)]
    ['01-series', '02-two-part-puck', '03-two-part-hoop', '04-two-part-hoop', '05-two-part-puck', '06-series']
    """
    if not configurations:
        raise TrialRefusal("DESIGN", "Nothing to pull: give at least one rig with blocks, and a device.")
    if not 1 <= repeats <= MOST_REPEATS or not 0 <= series <= MOST_REPEATS:
        raise TrialRefusal(
            "DESIGN",
            f"repeats {repeats}, series {series}: expected 1 to {MOST_REPEATS} and 0 to {MOST_REPEATS}.",
        )
    order = _order(configurations, repeats, seed)
    total = len(order)
    after = (
        {round(i * total / (series - 1)) for i in range(series)} if series > 1 else {0} if series else set()
    )
    runs: list[PlannedRun] = []
    counts: dict[Configured, int] = {}

    def add(one: Configured, block: int) -> None:
        counts[one] = counts.get(one, 0) + 1
        role = SERIES if one[0] == SERIES else "test"
        name = f"{len(runs) + 1:02d}-{_slug(one)}"
        runs.append(PlannedRun(name, *one, counts[one], block, role))

    for place, (block, one) in enumerate(order):
        if place in after:
            add((SERIES, ()), 0)
        add(one, block)
    if total in after:
        add((SERIES, ()), 0)
    return tuple(runs)


def _order(configurations: Sequence[Configured], repeats: int, seed: int) -> list[tuple[int, Configured]]:
    """Return (number of the block, configuration) in the order of the pulls, without series pulls."""
    draw = random.Random(seed)
    order: list[tuple[int, Configured]] = []
    block: list[Configured] = []
    for number in range(1, repeats + 1):
        block = block[::-1] if number % 2 == 0 else draw.sample(list(configurations), len(configurations))
        order += [(number, one) for one in block]
    return order


def _slug(one: Configured) -> str:
    """Return a configuration as part of a file's name."""
    rig, devices = one
    words = "-".join((rig, *dict.fromkeys(devices)))
    return re.sub(r"[^A-Za-z0-9]+", "-", words).strip("-")[:60]


def sheet_csv(runs: Sequence[PlannedRun], cells: tuple[str, str] = ("", ""), *, one_log: bool = False) -> str:
    """Return ``runs.csv`` of a sheet; dates are left for the day, and each run is to have a tug at both ends.

    Parameters
    ----------
    runs : sequence of PlannedRun
    cells : (str, str)
        Line cell and anchor cell.
    one_log : bool
        One joint log a run; else one of each cell.
    """
    out = io.StringIO()
    writer = csv.DictWriter(out, (*HEADERS, "tugs"), lineterminator="\n")
    writer.writeheader()
    for run in runs:
        line, anchor = (f"{run.run}.csv", "") if one_log else (f"{run.run}_line.csv", f"{run.run}_anchor.csv")
        writer.writerow(
            {
                "run": run.run,
                "rig": run.rig,
                "devices": ";".join(run.devices),
                "line_log": line,
                "line_cell": cells[0],
                "anchor_log": anchor,
                "anchor_cell": cells[1],
                "repeat": run.repeat,
                "tugs": "both",
            }
        )
    return out.getvalue()
