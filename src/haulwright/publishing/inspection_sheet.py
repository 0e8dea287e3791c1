"""The inspection sheet of a kit: every piece with its mark, what puts it out of use, and room to write what was seen."""

from __future__ import annotations

from dataclasses import dataclass

from markupsafe import Markup

from haulwright.errors import FileRefusal
from haulwright.notices import Code
from haulwright.planning.kit_result import KitCheck, KitItem, KitKinds
from haulwright.publishing import look
from haulwright.publishing.pages import templates
from haulwright.publishing.wording import check_units, count, force, plain_glyphs
from haulwright.version import __version__

BEFORE = (
    "Read the mark on the piece itself: what cannot be read is not known, and a piece without a mark is not planned with.",
    "Clean and dry first; look at every millimetre, in good light, under the cover and inside the eye.",
    "In doubt it is out: put it in quarantine, tie a tag to it, and have it looked at by a competent person.",
)


@dataclass(frozen=True)
class _Group:
    """Pieces of one kind, with what puts them out of use and where that is from."""

    kind: str
    out: str
    source: str
    rows: tuple[tuple[KitItem, str, str], ...]


def inspection_sheet_html(
    kit: KitCheck, kinds: KitKinds, *, units: str = "kN", invented: bool = False
) -> str:
    """Return an inspection sheet as one self-contained page that prints on A4 or letter.

    Parameters
    ----------
    kit : KitCheck
        Every piece with its mark, condition and dates.
    kinds : KitKinds
        What puts each kind out of use.
    units : str
        kN, kgf, lbf, t or N.
    invented : bool
        The kit is made up; the sheet says so.

    Raises
    ------
    FileRefusal
        MISSING where the kit has no piece.
    UsageRefusal
        UNITS.
    """
    check_units(units)
    if not kit.items:
        raise FileRefusal("MISSING", f"{kit.kit_name}: the kit has no piece to inspect.", ("items",))
    return (
        templates()
        .get_template("inspection_sheet.html.j2")
        .render(
            kit=kit,
            groups=_groups(kit, kinds, units),
            pieces=count(len(kit.items), "piece"),
            overdue=sum(item.overdue for item in kit.items),
            undated=sum(item.due is None for item in kit.items),
            before=BEFORE,
            defer=plain_glyphs(Code.DEFER.sentence),
            invented=Code.INVENTED.sentence if invented else "",
            version=__version__,
            fonts=Markup(look.css_fonts()),
            tokens=Markup(look.css_tokens()),
        )
    )


def _groups(kit: KitCheck, kinds: KitKinds, units: str) -> list[_Group]:
    known = {one.kind: one for one in kinds.kinds}
    found = []
    for kind in dict.fromkeys(item.kind for item in kit.items):
        rows = tuple((item, _mark(item, units), _state(item)) for item in kit.items if item.kind == kind)
        about = known.get(kind)
        found.append(_Group(kind, about.out if about else "", about.source if about else "", rows))
    return found


def _mark(item: KitItem, units: str) -> str:
    if item.marked_N is None:
        return item.basis if item.limit_N is not None else "no mark"
    return f"{force(item.marked_N, units)}, {item.basis}"


def _state(item: KitItem) -> str:
    due = "no day set" if item.due is None else f"due {item.due}" + (", overdue" if item.overdue else "")
    seen = f"looked over {item.inspected}" if item.inspected else "never looked over"
    return f"{item.condition}; {seen}; {due}"
