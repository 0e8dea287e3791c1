"""The working limit of every kind of thing in a rig; what is not marked stays unknown."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from haulwright.errors import PlanRefusal
from haulwright.field import derating, rating
from haulwright.field.anchor import parked_vehicle
from haulwright.field.rating import Limit
from haulwright.files.kit import Item, Kit, Marked
from haulwright.files.place import Anchor, Ground
from haulwright.notices import Code
from haulwright.planning.layout import Lacking
from haulwright.quantities.units import show


def marked_limit(marked: Marked | None, what: str, mbs_factor: float | None = None) -> Limit:
    """Return the working limit of what is marked on a piece.

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
    A WLL counts as it stands, an MBS divided by its factor; a figure that does not say which is unknown.

    Examples
    --------
    >>> marked_limit(None, "S-1").basis
    'unknown'
    """
    if marked is None or marked.rating is None:
        return rating.working_limit(None, "unknown", item=what)
    if marked.basis == "unknown":
        unknown = rating.working_limit(None, "unknown", item=what)
        return replace(
            unknown, note=f"{marked.rating / 1e3:.1f} kN is marked, but not whether it is WLL or MBS"
        )
    return rating.working_limit(
        marked.rating, marked.basis, marked.factor or (mbs_factor if marked.basis == "MBS" else None), what
    )


def item_limit(item: Item, kit: Kit) -> Limit:
    """Return the working limit of a kit item, with the factor of the way a strap or sling is used."""
    limit = marked_limit(item, item.label, kit.mbs_factor)
    if item.use != "straight":
        mode = derating.sling_mode(item.use)
        limit = rating.derated(limit, mode.share, f"{mode.reason} ({mode.source})")
    worn = "worn: have it looked at by a competent person" if item.condition == "worn" else ""
    return _noted(limit, worn)


def rope_limit(item: Item, kit: Kit, round_what: Iterable[Item]) -> Limit:
    """Return the working limit of a rope that turns round these blocks or rings.

    Parameters
    ----------
    item : Item
        The rope.
    kit : Kit
    round_what : iterable of Item
        What it turns round; the least diameter counts.

    Returns
    -------
    Limit
        Wire rope is derated by the published curve of strength where it is bent, or a warning says why not. For fibre
        rope no open table is known: not derated, and the note says so.

    Raises
    ------
    Lacking
        Wire rope round something smaller than the published table.
    """
    limit = item_limit(item, kit)
    turned = list(round_what)
    if not turned:
        return limit
    sizes = [one.sheave for one in turned if one.sheave is not None]
    if not item.wire:
        return _noted(limit, "not derated for the bends: no open table for fibre rope")
    if item.diameter is None or len(sizes) < len(turned):
        text = f"{item.label} is not derated for its bends: give its diameter and that of each sheave it turns round."
        return _told(limit, item.id, text)
    try:
        bent = derating.wire_bend(min(sizes), item.diameter)
    except PlanRefusal as refused:
        raise Lacking(f"larger sheaves for wire rope: {refused.message}") from None
    return rating.derated(limit, bent.share, f"{bent.reason} ({bent.source})")


def _told(limit: Limit, item: str, text: str) -> Limit:
    """Return the limit with a warning, which also stands in its note."""
    notice = Code.UNCHECKED.notice((item,), text=text)
    return _noted(replace(limit, notices=(*limit.notices, notice)), text)


def _noted(limit: Limit, text: str) -> Limit:
    return replace(limit, note="; ".join(words for words in (limit.note, text) if words))


def anchor_limit(anchor: Anchor, ground: Ground) -> Limit:
    """Return the limit of an anchor: the one entered with its source, else unknown.

    Parameters
    ----------
    anchor : Anchor
    ground : Ground
        Its slope is taken to go on to the anchor.

    Returns
    -------
    Limit
        For a vehicle, with a note and a warning of where friction alone would let it slide: an estimate, never a limit.
    """
    limit = rating.entered_limit(anchor.limit, anchor.source, anchor.name)
    text = _slides(anchor, ground)
    return _told(limit, anchor.name, text) if text else limit


def _slides(anchor: Anchor, ground: Ground) -> str:
    """Return where a vehicle that serves as anchor starts to slide, in words; empty where nothing is known."""
    if anchor.kind != "vehicle" or anchor.mass is None or anchor.surface is None:
        return ""
    towards_stuck = {"up": "down", "down": "up", "level": "down"}[ground.direction]
    ahead = towards_stuck if anchor.side == "ahead" else {"up": "down", "down": "up"}[towards_stuck]
    try:
        holds = parked_vehicle(anchor.mass, anchor.surface, ground.slope, ahead)
    except PlanRefusal as refused:
        return f"{anchor.name}: {refused.message}"
    return (
        f"{anchor.name} starts to slide at about {show(holds.low_N, 'kN')} to {show(holds.high_N, 'kN')} "
        f"({holds.note}): an estimate, not a limit."
    )
