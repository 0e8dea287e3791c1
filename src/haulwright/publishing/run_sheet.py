"""The printed run sheet of a campaign: what to pull in which order, and what makes every pull count."""

from __future__ import annotations

import textwrap
from typing import TYPE_CHECKING

from haulwright.publishing.wording import device_list
from haulwright.quantities.numerals import print_number
from haulwright.version import __version__

if TYPE_CHECKING:
    from haulwright.trials.design.result import CampaignDesign, PlannedRun

BEFORE = (
    "Both cells powered 15 to 30 minutes, exercised to working load, hung as they will pull.",
    "Three to five conditioning pulls of a new or re-laid rope; they do not count, note how many.",
    "One logger for each cell, or one for both; their clocks as near as may be. Logs are never edited.",
    "Wear and zone: nobody in line, astride or in a bend; light-tension check before every pull.",
)
EACH = (
    "1. Start the loggers. Line slack, cells hanging free: 20 s. This is the zero.",
    "2. Clock mark: one short tug of 2 s to about a third of the working load, then slack for 10 s.",
    "3. Take up to light tension, stop, walk the line end to end: as drawn, all clear.",
    "4. Pull steadily for at least 60 s; no stop, no change of speed.",
    "5. Slack off. Clock mark again: one short tug of 2 s, then slack for 20 s. Stop the loggers.",
    "6. Note time, anything odd, device warm or cold. Save each log under the name on the sheet.",
)
SERIES = (
    "Series pull (rig 'series'): both cells in one line, no device. Load low, middle, full and back down, 20 s each, then "
    "one steady drag of 60 s. It checks the cells against each other and is the lane's reference over the day."
)
STOP_WORDS = (
    "Stop at any movement of an anchor, rope damage, smoke, a person inside the zone, or forces that make no sense. Local "
    "codes, the makers' ratings and licensed people come before this sheet. Every run stands on the sheet with a log or a "
    "reason: keep the bad ones too."
)


def run_sheet_text(design: CampaignDesign) -> str:
    """Return the run sheet as plain text for paper.

    Parameters
    ----------
    design : CampaignDesign
    """
    lines = [
        f"Run sheet: {design.name}",
        f"{len(design.runs)} runs; order drawn with seed {design.seed}, in mirrored blocks. Pull them in this order.",
        "",
        "Before the first pull",
        *(f"  - {words}" for words in BEFORE),
        "",
        "Every pull",
        *(f"  {words}" for words in EACH),
        "",
        *textwrap.wrap(SERIES, 110),
        "",
        f"{'run':<38}{'rig':<22}{'devices from the drum':<30}{'time':<8}ok / why not",
        "-" * 112,
    ]
    block = -1
    for run in design.runs:
        if run.block not in (0, block):
            block = run.block
            lines.append(f"block {block}")
        lines.append(_line(run))
    lines += [
        "",
        "What it will tell, if the devices are about as assumed",
        *_told(design),
        "",
        *textwrap.wrap(STOP_WORDS, 110),
        "",
    ]
    lines.append(f"haulwright {__version__}")
    return "\n".join(lines) + "\n"


def _line(run: PlannedRun) -> str:
    devices = device_list(run.devices) if run.devices else "none"
    return f"{run.run:<37} {run.rig:<21} {devices:<29} ____    ______________"


def _told(design: CampaignDesign) -> list[str]:
    told = []
    for name, device in design.devices.items():
        known = (
            "cannot be told from these rigs"
            if device.half95 is None
            else f"to ± {print_number(device.half95, 3)} (95 %)"
        )
        told.append(f"  {name}: k (taken as {device.k:.2f}) {known}")
    p = design.pulls
    told.append(
        f"  a difference of {100.0 * p.difference:.2g} % of two devices is shown with a chance of "
        f"{100.0 * p.power_difference:.0f} %; 80 % takes {p.to_differ} pulls of each"
    )
    told.append(
        f"  two like devices are shown alike within {100.0 * p.margin:.2g} % with a chance of "
        f"{100.0 * p.power_equivalent:.0f} %; 80 % takes {p.to_equal} pulls of each"
    )
    return told
