"""Worked problems as a page to print: for students with room to reckon, for the instructor with answers."""

from __future__ import annotations

from markupsafe import Markup

from haulwright.notices import Code
from haulwright.publishing import look
from haulwright.publishing.pages import templates
from haulwright.publishing.problem_record import ProblemSheet
from haulwright.publishing.wording import plain_glyphs
from haulwright.version import __version__

CAUTIONS = (Code.ESTIMATE, Code.FRICTION_NO_EXCUSE, Code.NO_STANDING, Code.DEFER)


def problem_sheet_html(sheet: ProblemSheet, *, answers: bool) -> str:
    """Return a sheet of problems as one self-contained page that prints on A4 or letter.

    Parameters
    ----------
    sheet : ProblemSheet
    answers : bool
        With answers and working, for the instructor; else with room for the student's own.
    """
    return (
        templates()
        .get_template("problem_sheet.html.j2")
        .render(
            sheet=sheet,
            answers=answers,
            cautions=[plain_glyphs(one.sentence) for one in CAUTIONS],
            version=__version__,
            fonts=Markup(look.css_fonts()),
            tokens=Markup(look.css_tokens()),
        )
    )
