"""The run sheet of a campaign as a page to print and to write on: what to pull in which order, and what makes it count."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from markupsafe import Markup

from haulwright.errors import FileRefusal
from haulwright.notices import Code
from haulwright.publishing import look
from haulwright.publishing.pages import templates
from haulwright.publishing.run_sheet import BEFORE, EACH, SERIES, STOP_WORDS
from haulwright.publishing.wording import device_list
from haulwright.version import __version__

NO_DEVICE = "none"


@dataclass(frozen=True)
class SheetRow:
    """One run of the sheet.

    Attributes
    ----------
    run, rig : str
    devices : tuple of str
        From the drum.
    logged : bool
        Its logs are there already.
    notes : str
        What the sheet says of it.
    """

    run: str
    rig: str
    devices: tuple[str, ...]
    logged: bool
    notes: str = ""


def run_sheet_html(name: str, rows: Sequence[SheetRow], *, invented: bool = False) -> str:
    """Return a run sheet as one self-contained page that prints on A4 or letter.

    Parameters
    ----------
    name : str
        Of the campaign.
    rows : sequence of SheetRow
        In the order they are to be pulled.
    invented : bool
        The campaign is made up; the sheet says so.

    Raises
    ------
    FileRefusal
        MISSING where there is no run.

    Examples
    --------
    >>> page = run_sheet_html("Day 1", [SheetRow("two-a1", "two-part", ("puck-A",), False)])
    >>> "two-a1" in page and "<script" not in page
    True
    """
    if not rows:
        raise FileRefusal(
            "MISSING", f"{name}: the run sheet has no run. Design the campaign first.", ("runs.csv",)
        )
    pages = templates()
    return pages.get_template("run_sheet.html.j2").render(
        name=name,
        rows=[
            (number, row, device_list(row.devices) if row.devices else NO_DEVICE)
            for number, row in enumerate(rows, 1)
        ],
        done=sum(row.logged for row in rows),
        before=BEFORE,
        each=[re.sub(r"^\d+\. ", "", words) for words in EACH],
        series=SERIES,
        stop=STOP_WORDS,
        invented=Code.INVENTED.sentence if invented else "",
        version=__version__,
        fonts=Markup(look.css_fonts()),
        tokens=Markup(look.css_tokens()),
    )
