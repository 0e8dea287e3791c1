"""The working limit of every kind of thing in a rig; what is not marked stays unknown."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from haulwright.errors import PlanRefusal, Refusal
from haulwright.field import by_table, rating
from haulwright.field.by_table import ByTable
from haulwright.field.published import house
from haulwright.field.rating import Limit
from haulwright.files.kit import Item, Kit, Marked
from haulwright.files.place import Anchor
from haulwright.planning.lacking import Lacking
from haulwright.planning.placing import STRAIGHT, Placing, as_placed, bent, noted, told, unusable
from haulwright.quantities.units import spoken


def marked_limit(marked: Marked | None, what: str, mbs_factor: float | None = None) -> Limit:
    """Return the working limit of what is marked on a piece, or of its owner's own limit.

    Parameters
    ----------
    marked : Marked or None
        None where nothing is known of the piece.
    what : str
        Its name for the messages.
    mbs_factor : float or None
        The kit's factor for an MBS that comes without its own.

    Returns
    -------
    Limit

    Notes
    -----
    A WLL counts as it stands, an MBS divided by its factor; a figure that does not say which is unknown. An own limit
    with its source counts too; beside a mark the lower of the two.

    Examples
    --------
    >>> marked_limit(None, "S-1").basis
    'unknown'
    >>> own = Marked(limit="30 kN", source="proof pull")
    >>> marked_limit(own, "S-1").basis
    'limit entered by the user (proof pull)'
    """
    by_mark = _by_mark(marked, what, mbs_factor)
    if marked is None or marked.limit is None:
        return by_mark
    own = rating.entered_limit(marked.limit, marked.source, what)
    if by_mark.limit_N is None:
        return noted(own, by_mark.note if marked.rating is not None else "")
    if by_mark.limit_N <= own.limit_N if own.limit_N is not None else True:
        return noted(by_mark, "the own limit is higher; the mark counts")
    return noted(own, f"lower than the mark ({by_mark.basis})")


def _by_mark(marked: Marked | None, what: str, mbs_factor: float | None) -> Limit:
    if marked is None or marked.rating is None:
        return rating.working_limit(None, "unknown", item=what)
    if marked.basis == "unknown":
        unknown = rating.working_limit(None, "unknown", item=what)
        return replace(unknown, note=f"{spoken(marked.rating)} is marked, but not whether it is WLL or MBS")
    if marked.basis == "WLL":  # it holds its factor already: that only tells how much more it breaks at
        return rating.working_limit(marked.rating, "WLL", item=what)
    factor, least = marked.factor or mbs_factor, house("mbs-factor").value
    limit = rating.working_limit(marked.rating, "MBS", factor, what)
    if factor is None or factor >= least:
        return limit
    text = f"{what}: MBS ÷ {factor:g} is less than the house number of {least:g}: it would work near its breaking force."
    return told(limit, what, text)


def item_limit(item: Item, kit: Kit, placing: Placing = STRAIGHT) -> Limit:
    """Return the working limit of a kit item, with what the rig takes off it.

    Parameters
    ----------
    item : Item
    kit : Kit
    placing : Placing
        How it sits in the rig.

    Returns
    -------
    Limit
        A piece without a mark takes its standard's table where size and grade are told: named by table, never a mark.
    """
    limit = marked_limit(item, item.label, kit.mbs_factor)
    if not item.rated:
        limit = _from_table(item, kit, limit)
    limit = as_placed(limit, item, placing)
    worn = "worn: have it looked at by a competent person" if item.condition == "worn" else ""
    return noted(limit, worn)


def table_of(item: Item) -> ByTable | str:
    """Return what a standard's table gives a piece, or in words why none does; empty where none could.

    Examples
    --------
    >>> table_of(Item(id="S", kind="shackle", diameter="19 mm", grade="6")).words
    'grade 6 shackle, 19 mm body'
    >>> table_of(Item(id="S", kind="shackle", diameter="19 mm"))
    'the size alone says nothing: which grade is marked on it?'
    """
    try:
        if item.kind == "shackle" and item.diameter is not None:
            if not item.grade:
                return "the size alone says nothing: which grade is marked on it?"
            return by_table.shackle(item.diameter, item.grade)
        if item.wire and item.diameter is not None and item.construction:
            if not item.core or not item.grade:
                return "its table needs the core and the grade [N/mm²] too"
            return by_table.wire_rope(item.diameter, float(item.grade), item.construction, item.core)
    except Refusal as refused:
        return refused.message
    except ValueError:
        return f"grade {item.grade!r} is not a grade of wire rope in N/mm², such as 1770"
    return by_table.colour_words(item.colour) if item.colour else ""


def _from_table(item: Item, kit: Kit, unknown: Limit) -> Limit:
    found = table_of(item)
    if isinstance(found, str):
        return noted(unknown, found)
    factor = item.factor or kit.mbs_factor if found.basis == "MBS" else None
    limit = rating.working_limit(found.force_N, found.basis, factor, item.label)
    basis = limit.basis.replace(found.basis, f"{found.basis} by table", 1)
    text = f"{item.label}: limit by table for a {found.words} ({found.source}), not by a mark. Read the mark."
    return told(replace(limit, basis=basis), item.id, text)


def rope_limit(item: Item, kit: Kit, round_what: Iterable[Item], wet: bool = False) -> Limit:
    """Return the working limit of a rope that turns round these blocks or rings.

    Parameters
    ----------
    item : Item
        The rope.
    kit : Kit
    round_what : iterable of Item
        What it turns round; the least diameter counts.
    wet : bool
        The whole rig is wet.

    Returns
    -------
    Limit
        Wire rope is derated by the published curve of strength where it is bent, or a warning says why not. For fibre
        rope no open table is known: not derated, and the note says so. A rope that is damaged or in quarantine, as the one
        on the drum may be, is not to be used.

    Raises
    ------
    Lacking
        Wire rope round something smaller than the published table.
    """
    placing = Placing(bends_m=tuple(one.sheave for one in round_what), wet=wet)
    if not item.usable:
        return unusable(item_limit(item, kit, placing), item.id, f"{item.label} is damaged or in quarantine.")
    try:
        return bent(item_limit(item, kit, placing), item, placing)
    except PlanRefusal as refused:
        raise Lacking(f"larger sheaves for wire rope: {refused.message}") from None


def anchor_limit(anchor: Anchor, kit: Kit) -> Limit:
    """Return the limit of an anchor: its maker's mark or the one entered with its source, else unknown.

    Parameters
    ----------
    anchor : Anchor
    kit : Kit
        Its ground anchors and pickets, by :attr:`Anchor.item`.

    Returns
    -------
    Limit
        No estimate of what friction or soil holds is ever a limit; see :mod:`haulwright.planning.holding`.
    """
    limit = marked_limit(anchor, anchor.name, kit.mbs_factor)
    piece = next((item for item in kit.items if item.id == anchor.item), None) if anchor.item else None
    if piece is None:
        return limit
    of_piece = item_limit(piece, kit)
    if not piece.usable:
        return told(replace(of_piece, limit_N=0.0), piece.id, f"{piece.label} is damaged or in quarantine.")
    if limit.limit_N is None or (of_piece.limit_N is not None and of_piece.limit_N < limit.limit_N):
        return of_piece
    return limit
