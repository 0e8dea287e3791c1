"""What is known of an anchor beside a limit: what friction or a table lets it hold, and which signs speak against it.

None of it is a rating. An anchor without its own limit stays unknown; one that even the best end of the estimate does not
hold is over, whatever was entered for it, unless chocks or a back-tie help by an amount nobody knows.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from haulwright.errors import PlanRefusal
from haulwright.field.anchor import Holding, parked_vehicle
from haulwright.field.made_anchor import deadman, pickets
from haulwright.files.anchor_fields import NO_ANCHOR
from haulwright.files.place import Anchor, Ground

Vector = tuple[float, float]
_UNDISTURBED = ("", "loam")


@dataclass(frozen=True)
class Hold:
    """What an anchor is estimated to hold in one direction.

    Attributes
    ----------
    holding : Holding or None
        None where nothing can be said.
    bound : bool
        Nothing else holds it: above the high end it goes.
    goes : str
        What it does then: ``slides`` or ``gives way``.
    words : str
        What is to be known of it in any case.
    never : str
        Why it is no anchor at all; empty where it may be one.
    """

    holding: Holding | None = None
    bound: bool = False
    goes: str = "gives way"
    words: str = ""
    never: str = ""


def hold_of(anchor: Anchor, ground: Ground, pull: Vector | None, ahead: Vector) -> Hold:
    """Return what is known of an anchor that is pulled in one direction.

    Parameters
    ----------
    anchor : Anchor
    ground : Ground
        Its slope is taken to go on to the anchor, unless the anchor has its own.
    pull : (float, float) or None
        Pull on it, level components; None where it is not known: straight towards the stuck vehicle then.
    ahead : (float, float)
        Unit vector of the way the stuck vehicle goes.

    Returns
    -------
    Hold

    Examples
    --------
    >>> helper = Anchor(name="helper", kind="vehicle", distance="12 m", mass="2 t", surface="wet grass")
    >>> hold = hold_of(helper, Ground(surface="grass"), (-1.0, 0.0), (1.0, 0.0))
    >>> round(hold.holding.high_N), hold.bound
    (7845, True)
    """
    if anchor.kind == "vehicle":
        return _vehicle(anchor, ground, pull, ahead)
    if anchor.kind == "pickets" and anchor.pattern is not None:
        return _pickets(anchor)
    if anchor.kind == "deadman" and anchor.deadman is not None:
        return _deadman(anchor)
    return Hold(words=_seen(anchor), never=_never(anchor))


def _vehicle(anchor: Anchor, ground: Ground, pull: Vector | None, ahead: Vector) -> Hold:
    helped = [
        words for words, there in (("chocks", anchor.chocks), ("a back-tie", bool(anchor.back_tie))) if there
    ]
    if anchor.brakes == "off" and not helped:
        return Hold(
            Holding(0.0, 0.0, 0.0, "", "its brakes are off"),
            True,
            "rolls",
            "",
            "its brakes are off and nothing chocks it",
        )
    if anchor.mass is None or anchor.surface is None:
        untold = " and ".join(
            word for word, there in (("mass", anchor.mass), ("surface", anchor.surface)) if not there
        )
        return Hold(words=f"its {untold} is not told, so nothing can be said of sliding")
    slope = ground.slope if anchor.slope is None else anchor.slope
    try:
        holding = parked_vehicle(
            anchor.mass,
            anchor.surface,
            slope,
            _from_downhill(anchor, ground, pull, ahead),
            brakes=anchor.brakes,
        )
    except PlanRefusal as refused:
        return Hold(
            never="" if helped else "even the best grip lets it slide by itself", words=refused.message
        )
    words = f"friction alone, an estimate and no rating: {holding.note}"
    if helped:
        words += f"; {' and '.join(helped)} hold more, by an amount nobody knows"
    return Hold(holding, not helped, "slides", words)


def _from_downhill(anchor: Anchor, ground: Ground, pull: Vector | None, ahead: Vector) -> float:
    """Return the angle of the pull from straight downhill [rad]; downhill where the way of the slope is not told."""
    if ground.direction == "level":
        return 0.0
    if pull is None or math.hypot(*pull) == 0.0:
        sign = -1.0 if anchor.side == "ahead" else 1.0
        pull = (sign * ahead[0], sign * ahead[1])
    down = (-ahead[0], -ahead[1]) if ground.direction == "up" else ahead
    cosine = (pull[0] * down[0] + pull[1] * down[1]) / math.hypot(*pull)
    return math.acos(max(-1.0, min(1.0, cosine)))


def _pickets(anchor: Anchor) -> Hold:
    if anchor.soil not in _UNDISTURBED:
        return Hold(words=f"pickets in {anchor.soil}: the published figures are for undisturbed loam only")
    holding = pickets(anchor.pattern or "single")
    return Hold(holding, True, "gives way", f"published pull, no rating: {holding.note} ({holding.source})")


def _deadman(anchor: Anchor) -> Hold:
    log = anchor.deadman
    if log is None:
        return Hold()
    try:
        holding = deadman(log.face, log.length, log.depth, log.line_slope, log.trench, log.soil, log.shape)
    except PlanRefusal as refused:
        return Hold(words=refused.message)
    return Hold(
        holding, True, "gives way", f"published holding power, no rating: {holding.note} ({holding.source})"
    )


def _seen(anchor: Anchor) -> str:
    if anchor.kind != "tree":
        return ""
    return f"seen: {', '.join(anchor.signs)}" if anchor.signs else ""


def _never(anchor: Anchor) -> str:
    bad = [sign for sign in anchor.signs if sign in NO_ANCHOR]
    return f"a tree that is {' and '.join(bad)} is no anchor, whatever it once held" if bad else ""


LOOK_AT_A_TREE = (
    "live, sound from root to crown (no dead top, rot, hollow or split), straight, its roots neither lifted nor cut; strap "
    "low with a protector"
)
"""Signs to look at before a tree is an anchor (common practice, no source); no number comes of them."""
