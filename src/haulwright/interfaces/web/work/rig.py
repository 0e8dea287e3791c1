"""The work behind the rig page: the sheet of a rig, a rig as a file, its drawing as a picture."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from haulwright import workflows
from haulwright.errors import UsageRefusal
from haulwright.interfaces.ratio_text import ratios_of
from haulwright.interfaces.web.answers import Answer, answer
from haulwright.interfaces.web.work.written import PNG, file_of, results
from haulwright.quantities.units import spoken_unit


def rig_sheet(rig: Any, ratio: Any = None, seized: Any = None, lead: Any = None, **choices: Any) -> Answer:
    """Return a rig as a page shows it."""
    shown = workflows.show_rig(
        rig, ratios_of(ratio), seized=seized or (), lead=lead or (), units=spoken_unit(), **choices
    )
    return answer(shown)


def rig_file(
    rig: str | Mapping[str, Any] | None = None, text: str | None = None, lay_out: bool = False
) -> Answer:
    """Return a rig as a file and in one line."""
    if rig is None and text is not None:
        return answer(workflows.file_rig(workflows.rig_of_text(text), lay_out=lay_out))
    if rig is None or text is not None:
        raise UsageRefusal("VALUE", "Give rig or text: one of the two.", ("rig", "text"))
    return answer(workflows.file_rig(rig, lay_out=lay_out))


def rig_sheaves() -> Answer:
    """Return every published tension ratio."""
    return answer(workflows.list_sheaves())


def rig_picture(rig: Any, ratio: Any = None, laws: Any = None, seized: Any = None, **choices: Any) -> Answer:
    """Return the drawing of a rig as PNG."""
    words = workflows.rig_in_words(rig) if isinstance(rig, str) else rig
    choices.setdefault("units", spoken_unit())
    with results() as out:
        files = workflows.draw_rig(
            workflows.read_rig(words, laws),
            ratios_of(ratio),
            seized=seized or (),
            out=out,
            format="png",
            **choices,
        )
        return file_of(files, PNG)


RIGS: dict[str, Callable[..., Answer]] = {
    one.__name__: one for one in (rig_sheet, rig_file, rig_sheaves, rig_picture)
}
