"""How a piece sits in a rig, as far as its limit depends on it, and what the rig takes off its mark for that."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

from haulwright.errors import PlanRefusal
from haulwright.field import derating, rating, rope_derating
from haulwright.field.derating import Derating
from haulwright.field.published import house
from haulwright.field.published_gear import bow_spread
from haulwright.field.rating import Limit
from haulwright.files.kit import ROPES, Item
from haulwright.notices import Code

_STEEPEST_rad = math.pi / 2.0


@dataclass(frozen=True)
class Placing:
    """How a piece sits in a rig.

    Attributes
    ----------
    side_rad : float
        Angle of the load from the axis of a shackle [rad].
    between_rad : float or None
        Angle between two legs in the bow of a shackle [rad].
    bends_m : tuple of (float or None)
        Diameters a rope turns round [m]; None where one is not told.
    round_m : float or None
        Diameter of the tree or post a strap goes round [m].
    wet : bool
        The whole rig is wet.
    """

    side_rad: float = 0.0
    between_rad: float | None = None
    bends_m: tuple[float | None, ...] = ()
    round_m: float | None = None
    wet: bool = False


STRAIGHT = Placing()
Step = Callable[[Limit, Item, Placing], Limit]


def noted(limit: Limit, text: str) -> Limit:
    """Return the limit with words added to its note."""
    return replace(limit, note="; ".join(words.rstrip(".") for words in (limit.note, text) if words))


def told(limit: Limit, item: str, text: str) -> Limit:
    """Return the limit with a warning, which also stands in its note."""
    notice = Code.UNCHECKED.notice((item,), text=text)
    return noted(replace(limit, notices=(*limit.notices, notice)), text)


def unusable(limit: Limit, item: str, text: str) -> Limit:
    """Return a limit of nothing: the piece is not to be used so."""
    return replace(told(limit, item, text), limit_N=0.0, basis="not to be used")


def as_placed(limit: Limit, item: Item, placing: Placing, only_side: bool = False) -> Limit:
    """Return the limit of a piece with everything the rig and its state take off.

    Parameters
    ----------
    limit : Limit
        By its mark, table or own limit.
    item : Item
    placing : Placing
    only_side : bool
        The rest is taken off already.

    Returns
    -------
    Limit
        Each derating with its source. What nothing is printed for is said and not taken off; a use beyond a printed
        table leaves a limit of nothing.
    """
    every: tuple[Step, ...] = (_used, _choked, _joint, _ended, _wet, _hot)
    for step in (_joint,) if only_side else every:
        try:
            limit = step(limit, item, placing)
        except PlanRefusal as refused:
            limit = unusable(limit, item.id, f"{item.label}: {refused.message}")
    return limit


def _less(limit: Limit, part: Derating) -> Limit:
    return rating.derated(limit, part.share, part.reason, part.source)


def strap_half_angle(length_m: float, round_m: float) -> float | None:
    """Return half the angle between the two legs of a strap laid round a post, eyes together [rad].

    Parameters
    ----------
    length_m, round_m : float
        Length of the strap, diameter of the post [m].

    Returns
    -------
    float or None
        None where the strap is too short to go round.

    Notes
    -----
    ``L = 2 sqrt(d² - r²) + r (pi + 2 asin(r / d))``, d from the middle of the post to the eyes; half angle asin(r / d).

    Examples
    --------
    >>> round(math.degrees(strap_half_angle(3.0, 0.4)), 1), strap_half_angle(1.0, 0.4)
    (9.9, None)
    """
    r = round_m / 2.0
    if length_m <= 2.0 * math.pi * r:
        return None

    def needed(half_rad: float) -> float:
        return 2.0 * r / math.tan(half_rad) + r * (math.pi + 2.0 * half_rad)

    low, high = 1e-6, _STEEPEST_rad
    for _ in range(60):
        middle = (low + high) / 2.0
        low, high = (middle, high) if needed(middle) > length_m else (low, middle)
    return high


def _used(limit: Limit, item: Item, placing: Placing) -> Limit:
    """Take the factor of the way a strap or sling goes round, by its own angle where tree and length are told."""
    half = None
    if placing.round_m is not None and item.length is not None and item.use != "choke":
        half = strap_half_angle(item.length, placing.round_m)
        if half is None:
            raise PlanRefusal(
                "DERATING",
                f"{item.length:.1f} m does not go round {placing.round_m:.2f} m: take a longer strap.",
                (item.id,),
            )
    if item.use == "straight":
        share = 2.0 * math.cos(half) if half is not None else 1.0
        if share >= 1.0:
            return limit
        reason = f"legs {2.0 * math.degrees(half or 0.0):.0f}° apart round the anchor"
        return rating.derated(limit, share, reason, "statics of two legs")
    mode = item.use if half is None or item.use == "choke" else _basket(half)
    return _less(limit, derating.sling_mode(mode))


def _basket(half_rad: float) -> str:
    """Return the printed basket whose greatest angle covers this one."""
    for mode, degrees in (("basket-45", 45.0), ("basket-60", 60.0)):
        if half_rad <= math.radians(degrees):
            return mode
    raise PlanRefusal(
        "DERATING",
        f"The legs of the basket stand {math.degrees(half_rad):.0f}° from the middle line; printed are up to 60°: "
        "take a longer strap.",
    )


def _choked(limit: Limit, item: Item, placing: Placing) -> Limit:
    if item.use != "choke":
        return limit
    if item.choke_angle is None:
        return noted(limit, "choke angle not told: taken as over 120°")
    return _less(limit, derating.choker(item.choke_angle))


def _joint(limit: Limit, item: Item, placing: Placing) -> Limit:
    """Take off what a pull from the side leaves of a shackle, and say where legs in its bow stand too wide."""
    if item.kind not in ("shackle", "soft shackle"):
        return limit
    if placing.between_rad is not None and placing.between_rad > bow_spread().value + 1e-9:
        raise PlanRefusal(
            "DERATING",
            f"Two legs {math.degrees(placing.between_rad):.0f}° apart in one bow; printed is up to "
            f"{math.degrees(bow_spread().value):.0f}° ({bow_spread().source}).",
        )
    if placing.side_rad <= house("in-line").value:
        return limit
    if item.kind == "soft shackle":
        return noted(limit, "pulled from the side: no open table for soft shackles, nothing taken off")
    return _less(limit, derating.shackle_side_load(min(placing.side_rad, _STEEPEST_rad)))


def _ended(limit: Limit, item: Item, placing: Placing) -> Limit:
    if item.end == "unknown":
        return limit
    if item.end == "knotted":
        return _less(limit, rope_derating.knotted())
    if item.end in rope_derating.FIBRE_ENDS:
        return noted(
            limit,
            f"{item.end} ends: no open table; ask the maker whether the mark is that of the {item.end} rope",
        )
    return _less(limit, rope_derating.wire_end(item.end, item.core or "fibre"))


def _wet(limit: Limit, item: Item, placing: Placing) -> Limit:
    if not (item.wet or placing.wet) or not item.textile:
        return limit
    fibre = rope_derating.fibre_of(item.material)
    part = rope_derating.wet(fibre)
    if part is not None:
        return _less(limit, part)
    what = fibre or "the fibre is not told; nylon loses up to a quarter"
    return told(limit, item.id, f"{item.label} wet: nothing taken off ({what}: no open figure).")


def _hot(limit: Limit, item: Item, placing: Placing) -> Limit:
    if item.temperature_C is None:
        return limit
    if item.kind == "shackle":
        if item.temperature_C < 0.0:
            return noted(limit, "frost: the table starts at 0 °C, nothing taken off; ask the maker")
        return _less(limit, derating.shackle_heat(item.temperature_C))
    fibre = rope_derating.fibre_of(item.material) if item.textile else None
    part = rope_derating.textile_heat(fibre, item.temperature_C) if fibre else None
    if part is not None:
        return _less(limit, part)
    return told(
        limit, item.id, f"{item.label} at {item.temperature_C:g} °C: no open figure, nothing taken off."
    )


def bent(limit: Limit, item: Item, placing: Placing) -> Limit:
    """Return the limit of a rope that turns round something.

    Raises
    ------
    PlanRefusal
        ``DERATING`` for wire rope round something smaller than the published table.

    Notes
    -----
    Wire rope by the published curve. For fibre rope no open table is known: nothing is taken off, the note says so, and
    a bend tighter than a stated D/d is told.
    """
    if item.kind not in ROPES or not placing.bends_m:
        return limit
    sizes = [size for size in placing.bends_m if size is not None]
    untold = len(sizes) < len(placing.bends_m)
    if not item.wire:
        limit = noted(limit, "not derated for the bends: no open table for fibre rope")
        if item.diameter is None or not sizes:
            return limit
        tight = rope_derating.tight_bend(min(sizes), item.diameter)
        return told(limit, item.id, f"{item.label} is {tight}.") if tight else limit
    if item.diameter is None or untold:
        text = f"{item.label} is not derated for its bends: give its diameter and that of each sheave it turns round."
        return told(limit, item.id, text)
    return _less(limit, derating.wire_bend(min(sizes), item.diameter))
