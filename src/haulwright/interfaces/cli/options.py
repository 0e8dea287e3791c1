"""Options that several commands share: one name, one help text."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Annotated

import typer

from haulwright.errors import UsageRefusal
from haulwright.interfaces.ratio_text import ratio_of
from haulwright.publishing.spelling import REGIONS, spell_for
from haulwright.quantities.measured import Measured
from haulwright.quantities.numerals import read_number
from haulwright.quantities.units import FORCE_UNITS, speak

AsJson = Annotated[bool, typer.Option("--json", help="Print one JSON record on stdout and nothing else.")]


def _unit(value: str) -> str:
    if value not in FORCE_UNITS:
        raise typer.BadParameter(f"{value!r} is not a unit of force. Give one of {', '.join(FORCE_UNITS)}.")
    speak(value)  # sentences of this run speak it too; the run has a context of its own
    return value


Units = Annotated[
    str,
    typer.Option(
        "--units", help=f"Force unit shown: {', '.join(FORCE_UNITS)}.", metavar="UNIT", callback=_unit
    ),
]


def _words(value: str) -> str:
    if value not in REGIONS:
        raise typer.BadParameter(f"{value!r} is no spelling. Give one of {', '.join(REGIONS)}.")
    spell_for(value)
    return value


Words = Annotated[
    str,
    typer.Option(
        "--words",
        help=f"Whose spelling the paper has: {', '.join(REGIONS)}.",
        metavar="REGION",
        callback=_words,
    ),
]
Out = Annotated[Path | None, typer.Option("--out", help="Folder for what is written.", metavar="DIR")]
CampaignFolder = Annotated[
    Path, typer.Argument(help="Campaign folder with campaign.yaml and runs.csv.", metavar="FOLDER")
]
Jobs = Annotated[
    int | None,
    typer.Option(
        "--jobs", min=1, max=256, help="Runs measured side by side; all processors if left out.", metavar="N"
    ),
]
Ratio = Annotated[
    list[str] | None,
    typer.Option(
        "--ratio",
        help="Tension ratio k of every block, or BLOCK=k; 1.10±0.02 carries its interval, ± half its 95 % width.",
        metavar="K",
    ),
]
Load = Annotated[
    str | None, typer.Option("--load", help="Resistance of the load, e.g. 26kN or 2600kgf.", metavar="F")
]

Device = Annotated[
    list[str] | None,
    typer.Option(
        "--device",
        help="Piece of a block, BLOCK=NAME: blocks of one device share its error, and --ratio may name it.",
        metavar="BLOCK=NAME",
    ),
]

Seized = Annotated[
    list[str] | None,
    typer.Option(
        "--seized",
        help="A block whose sheave does not turn, or BLOCK=mu, its friction coefficient.",
        metavar="BLOCK",
    ),
]

Law = Annotated[
    list[str] | None,
    typer.Option(
        "--law",
        help="Friction law in place of the rig's: by-wrap,k=1.07±0.02 or BLOCK=capstan,mu=0.2,turns=1.",
        metavar="LAW",
    ),
]


def jobs(given: int | None) -> int:
    """Return how many runs are measured side by side: as given, or as many as there are processors."""
    return given or os.cpu_count() or 1


Ratios = float | Measured | dict[str, "float | Measured"] | None


def ratios(given: list[str] | None) -> Ratios:
    """Return the tension ratios of ``--ratio``: one for all blocks, or one per block named.

    Raises
    ------
    UsageRefusal
        A value that is no number, or one for all mixed with some by name.

    Examples
    --------
    >>> ratios(["B1=1.1", "B2=1.2"])
    {'B1': 1.1, 'B2': 1.2}
    """
    if not given:
        return None
    named = [text.rpartition("=") for text in given]
    if any(name for name, _, _ in named):
        if not all(name for name, _, _ in named):
            raise UsageRefusal(
                "USAGE", "--ratio: give one K for all blocks, or BLOCK=K for each, not both.", ("--ratio",)
            )
        names = [name for name, _, _ in named]
        if twice := sorted({name for name in names if names.count(name) > 1}):
            raise UsageRefusal("USAGE", f"--ratio {twice[0]} is given twice. Keep one.", ("--ratio",))
        return {name: ratio_of(value) for name, _, value in named}
    if len(given) > 1:
        raise UsageRefusal(
            "USAGE", f"--ratio is given {len(given)} times without a block. Write BLOCK=K.", ("--ratio",)
        )
    return ratio_of(given[0])


def seized(given: list[str] | None) -> dict[str, float | None]:
    """Return the blocks of ``--seized`` with the friction coefficient given, None where none is.

    Raises
    ------
    UsageRefusal
        A coefficient that is no number.

    Examples
    --------
    >>> seized(["B1", "B2=0.25"])
    {'B1': None, 'B2': 0.25}
    """
    found: dict[str, float | None] = {}
    for text in given or []:
        name, equals, mu = text.rpartition("=")
        try:
            found[name if equals else text] = read_number(mu) if equals else None
        except ValueError:
            raise UsageRefusal(
                "USAGE", f"--seized {text}: expected a block, or BLOCK=mu such as B1=0.2.", ("--seized",)
            ) from None
    return found


def draws(monte_carlo: int | None, seed: int | None) -> dict[str, int]:
    """Return the draws and the seed that are given.

    Raises
    ------
    UsageRefusal
        A seed without draws.

    Examples
    --------
    >>> draws(10000, None)
    {'monte_carlo': 10000}
    """
    if seed is not None and monte_carlo is None:
        raise UsageRefusal("USAGE", "--seed is of --monte-carlo N, which is not given.", ("--seed",))
    return {name: x for name, x in (("monte_carlo", monte_carlo), ("seed", seed)) if x is not None}


def laws(given: list[str] | None) -> dict[str, dict[str, object]]:
    """Return the friction laws of ``--law`` as a rig file writes them, by block; ``*`` for every block.

    Raises
    ------
    UsageRefusal
        A text of another form, or two laws for one block.

    Examples
    --------
    >>> laws(["by-wrap,k=1.07", "B1=capstan,mu=0.2"])
    {'*': {'law': 'by-wrap', 'k': 1.07}, 'B1': {'law': 'capstan', 'mu': 0.2}}
    """
    found: dict[str, dict[str, object]] = {}
    for text in given or []:
        head, *rest = text.split(",")
        block, _, law = head.rpartition("=")
        pairs = [part.partition("=") for part in rest]
        name = block or "*"
        if not law or name in found or not all(key and value for key, _, value in pairs):
            raise UsageRefusal(
                "USAGE",
                f"--law {text}: write LAW,number=value such as by-wrap,k=1.07 or B1=capstan,mu=0.2; one for each block.",
                ("--law",),
            )
        found[name] = {"law": law, **{key: _number_or_text(value) for key, _, value in pairs}}
    return found


def _number_or_text(text: str) -> float | str:
    """Return a number as such; an interval or a name as text, for whoever reads the law."""
    try:
        return read_number(text)
    except ValueError:
        return text


def devices(given: list[str] | None) -> dict[str, str]:
    """Return the devices of ``--device`` by block.

    Raises
    ------
    UsageRefusal
        A text that is not BLOCK=NAME, or a block given twice.

    Examples
    --------
    >>> devices(["B1=puck-A", "B2=puck-A"])
    {'B1': 'puck-A', 'B2': 'puck-A'}
    """
    found: dict[str, str] = {}
    for text in given or []:
        block, equals, name = text.rpartition("=")
        if not (block and equals and name) or block in found:
            raise UsageRefusal("USAGE", f"--device {text}: write BLOCK=NAME, each block once.", ("--device",))
        found[block] = name
    return found


def zeros(given: list[str] | None) -> dict[str, str]:
    """Return the zeros of ``--zero``, by place.

    Raises
    ------
    UsageRefusal
        Not written as PLACE=FORCE, or a place twice.

    Examples
    --------
    >>> zeros(["line=2kgf"])
    {'line': '2kgf'}
    """
    pairs = [text.partition("=") for text in given or []]
    found = {place: force for place, _, force in pairs}
    if len(found) < len(pairs) or not all(place and force for place, force in found.items()):
        raise UsageRefusal("USAGE", "--zero: write line=2kgf, each place once.", ("--zero",))
    return found


def clock_offsets(given: list[str] | None) -> dict[str, str]:
    """Return the clock offsets of ``--clock-offset``, by channel; the anchor's where none is named.

    Raises
    ------
    UsageRefusal
        Not written as TIME or PLACE=TIME, or a channel twice.

    Examples
    --------
    >>> clock_offsets(["1.2s", "tree=-3s"])
    {'anchor': '1.2s', 'tree': '-3s'}
    """
    pairs = [text.rpartition("=") for text in given or []]
    found = {place if equals else "anchor": time for place, equals, time in pairs}
    if len(found) < len(pairs) or not all(place and time for place, time in found.items()):
        raise UsageRefusal(
            "USAGE",
            "--clock-offset: write 1.2s for the anchor, or PLACE=1.2s, each channel once.",
            ("--clock-offset",),
        )
    return found


def cells(given: list[str] | None, cell_class: str | None) -> dict[str, dict[str, str]] | None:
    """Return the cells of ``--cell-class`` (both cells) and ``--cell`` (one each).

    Examples
    --------
    >>> cells(["line:class=0.5%,capacity=3t"], None)
    {'line': {'class': '0.5%', 'capacity': '3t'}}
    """
    found: dict[str, dict[str, str]] = {}
    if cell_class is not None:
        found = {place: {"class": cell_class} for place in ("line", "anchor")}
    for text in given or []:
        place, _, rest = text.partition(":")
        pairs = [pair.partition("=") for pair in rest.split(",")]
        keys = [key for key, _, _ in pairs] + list(found.get(place, {}) if not cell_class else ())
        if (
            place not in ("line", "anchor")
            or not all(key and value for key, _, value in pairs)
            or len(set(keys)) < len(keys)
        ):
            raise UsageRefusal(
                "USAGE",
                f"--cell {text}: write line:class=0.5%,of=reading,capacity=3t (or anchor: …), each once.",
                ("--cell",),
            )
        found.setdefault(place, {}).update({key: value for key, _, value in pairs})
    return found or None


def logs_or_typed(logs: list[str] | None, typed: list[str] | None) -> list[str | Path] | dict[str, str]:
    """Return the logs of ``trial measure``, or the forces of ``--typed`` by place.

    Raises
    ------
    UsageRefusal
        Neither, both, or a text that is not PLACE=FORCE.

    Examples
    --------
    >>> logs_or_typed(["anchor=1120kgf"], ["line=612kgf"])
    {'line': '612kgf', 'anchor': '1120kgf'}
    """
    if not typed:
        if not logs:
            raise UsageRefusal(
                "USAGE", "No log is given: name one, or type the forces with --typed.", ("LOG",)
            )
        return [Path(log) for log in logs]
    found: dict[str, str] = {}
    for text in (*typed, *(logs or ())):
        place, equals, force = text.partition("=")
        if not (place and equals and force) or place in found:
            raise UsageRefusal(
                "USAGE",
                f"--typed {text}: write line=612kgf anchor=1120kgf, each place once, and no log.",
                ("--typed",),
            )
        found[place] = force
    return found
