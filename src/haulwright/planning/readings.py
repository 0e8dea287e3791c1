"""Two readings under light tension against the rig as drawn: as drawn, suspect, or too light to tell."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import ClassVar

from haulwright.errors import PlanRefusal
from haulwright.field.published import house
from haulwright.notices import Code, Notice
from haulwright.planning.candidates import Setting
from haulwright.planning.foretold import PATH, STUCK, Foretold, cell_places, foretold
from haulwright.planning.found import Planned
from haulwright.planning.result import Candidate
from haulwright.planning.seen import reading
from haulwright.quantities.measured import Z95, Measured
from haulwright.quantities.units import parse_force, spoken
from haulwright.records import Made, Record

AS_DRAWN_VERDICT, SUSPECT, CANNOT_TELL = "as drawn", "suspect", "cannot tell"
ZERO_LOST = "zero lost"
_RECTANGLE = math.sqrt(3.0)


@dataclass(frozen=True)
class Explanation:
    """One thing that would explain a ratio, the range of ratios it gives, and whether the readings agree with it."""

    what: str
    words: str
    low: float
    high: float | None
    fits: bool


@dataclass(frozen=True, kw_only=True)
class ReadingsCheck(Record):
    """A pair of readings against the rig of a plan.

    Attributes
    ----------
    pull, rig, place : str
        ``place`` is the body whose load the second cell reads.
    moving : bool
    line_N, anchor_N : Measured
        Readings with what the cells may err.
    ratio : Measured
        Anchor ÷ line.
    verdict : str
        ``as drawn``, ``suspect`` or ``cannot tell``.
    explanations : tuple of Explanation
        The rig as drawn first.
    words : tuple of str
        What it means and what to do.
    pull_to_N : float or None
        Line pull from which the pair could tell the rig as drawn from a wrong path or swapped cells [N].
    against_plan : str
        The line's reading against the effort planned: ``below``, ``inside``, ``above``, ``near stall``; standing still
        only ``above`` and ``near stall``, else empty.
    """

    kind: ClassVar[str] = "readings-check"
    pull: str
    rig: str
    place: str
    moving: bool
    line_N: Measured
    anchor_N: Measured
    ratio: Measured
    verdict: str
    explanations: tuple[Explanation, ...]
    words: tuple[str, ...]
    pull_to_N: float | None
    against_plan: str


def check_readings(
    planned: Planned,
    *,
    line: str | float,
    anchor: str | float,
    at: str | None = None,
    moving: bool = False,
    zero: str | float | None = None,
) -> ReadingsCheck:
    """Return whether two readings fit the chosen rig of a plan as drawn.

    Parameters
    ----------
    planned : Planned
        From :func:`haulwright.planning.plan.planned`.
    line, anchor : str or float
        Readings of the cell in the winch line and of the cell at the anchor; text with unit, ``8.4 ± 0.2 kN`` where they
        swing, or newtons.
    at : str or None
        Anchor, or the stuck vehicle, whose load the second cell reads; None takes what carries the most.
    moving : bool
        True while it hauls slowly and steadily; False under light tension, standing still.
    zero : str, float or None
        How far the unloaded readings may be from zero [N]; None takes the house number.

    Returns
    -------
    ReadingsCheck

    Raises
    ------
    QuantityRefusal
        ``READING`` for a reading of zero or less, or one that is no force.
    PlanRefusal
        ``NO_RIG`` where the plan has none; ``UNKNOWN_BODY`` for a place the rig does not load.

    Notes
    -----
    The ratio's interval holds the zero of both cells (half the 95 % width), their class (a limit, taken as a rectangle)
    and what was typed as ±. *As drawn*: it touches the range foretold and no wrong path or exchange of the cells that
    lies apart from it. Standing still, a stuck block can hide in that range: the words say so.

    References
    ----------
    Propagation of independent errors to first order: JCGM 100:2008 (GUM), 5.1; rectangular limits, 4.3.7.
    """
    plan, best, setting = planned.plan, planned.plan.best, planned.chosen
    if best is None or setting is None:
        raise PlanRefusal("NO_RIG", f"{plan.pull}: the plan has no rig; name one (--rig).", ("rig",))
    place = _place(setting, at)
    zero_N = house("reading-zero").value if zero is None else parse_force(zero, default_unit="N", what="zero")
    read = tuple(_with_cell(given, what, zero_N) for given, what in ((line, "line"), (anchor, "anchor")))
    ratio = quotient(read[1], read[0])
    told = foretold(setting.rig, setting.ratios, place, moving)
    apart = _apart(told)
    shown = [
        one for one in told if one.what != PATH or one in apart
    ]  # a path like the rig's own tells nothing
    explanations = [Explanation(t.what, t.words, t.low, t.high, t.meets(ratio.lo, ratio.hi)) for t in shown]
    verdict = _verdict(told, ratio)
    if verdict == SUSPECT:
        explanations += _lost_zero(told[0], read)
    pull_to = _pull_to(told, zero_N) if verdict == CANNOT_TELL else None
    against = _against_plan(best, read[0], moving)
    return ReadingsCheck(
        pull=plan.pull,
        rig=best.rig,
        place=place,
        moving=moving,
        line_N=read[0],
        anchor_N=read[1],
        ratio=ratio,
        verdict=verdict,
        explanations=tuple(explanations),
        words=tuple(_words(verdict, explanations, moving, against, pull_to)),
        pull_to_N=pull_to,
        against_plan=against,
        notices=_notices(setting, zero is None),
        made=Made(
            "anchor ÷ line against the ratio of the rig as drawn and of what could be wrong",
            {"line": line, "anchor": anchor, "at": at, "moving": moving, "zero": zero},
        ),
    )


def quotient(a: Measured, b: Measured) -> Measured:
    """Return a ÷ b with relative variances added.

    Examples
    --------
    >>> round(quotient(Measured.normal(20.0, 0.4), Measured.normal(10.0, 0.2)).u, 4)
    0.0566
    """
    value = a.value / b.value
    return Measured.normal(value, value * math.hypot(a.u / a.value, b.u / b.value))


def _with_cell(given: str | float, what: str, zero_N: float) -> Measured:
    """Return a reading with its cell's zero and class."""
    read = reading(given, what)
    swing = read.u if "±" in str(given) or "+-" in str(given) else 0.0
    of_class = house("reading-class").value * read.value / _RECTANGLE
    return Measured.normal(read.value, math.hypot(swing, zero_N / Z95, of_class))


def _place(setting: Setting, at: str | None) -> str:
    loads = cell_places(setting.rig, setting.along[0].free)
    if at is not None and at in loads:
        return at
    if at is not None or not loads:
        has = f"there is {', '.join(loads)}" if loads else "it loads nothing but what the winch stands on"
        raise PlanRefusal("UNKNOWN_BODY", f"at: {at!r} is nothing that {setting.name} loads; {has}.", ("at",))
    return max(loads, key=lambda name: loads[name])


def _apart(told: tuple[Foretold, ...]) -> list[Foretold]:
    """Return what could be told from the rig as drawn: ranges that do not touch its own."""
    drawn = told[0]
    return [
        one
        for one in told[1:]
        if one.what != STUCK and not drawn.meets(one.low, math.inf if one.high is None else one.high)
    ]


def _verdict(told: tuple[Foretold, ...], ratio: Measured) -> str:
    if not told[0].meets(ratio.lo, ratio.hi):
        return SUSPECT
    return CANNOT_TELL if any(one.meets(ratio.lo, ratio.hi) for one in _apart(told)) else AS_DRAWN_VERDICT


def _pull_to(told: tuple[Foretold, ...], zero_N: float) -> float | None:
    """Return the line pull at which the zeros no longer bridge the gap to the nearest wrong ratio [N]."""
    drawn, gaps = told[0], []
    for one in _apart(told):
        near, far = sorted(((drawn.low, drawn.high), (one.low, one.high)), key=lambda ends: ends[0])
        if near[1] is not None:
            gaps.append((far[0] - near[1]) / (1.0 + far[0]))
    least = min(gaps, default=0.0) - 2.0 * house("reading-class").value
    return zero_N / least if least > 0.0 else None


def _lost_zero(drawn: Foretold, read: tuple[Measured, ...]) -> list[Explanation]:
    """Return how far off the zero of either cell would have to be, where that is not out of all proportion."""
    line, anchor = (one.value for one in read)
    ratio = anchor / line
    wanted = drawn.low if ratio < drawn.low else drawn.high
    found: list[Explanation] = []
    if wanted is None or wanted <= 0.0:
        return found
    most = house("reading-zero-lost").value
    for what, off, of in (("anchor", anchor - wanted * line, anchor), ("line", line - anchor / wanted, line)):
        if abs(off) <= most * of:
            way = "high" if off > 0.0 else "low"
            words = f"the {what} cell reads {spoken(abs(off))} too {way}"
            found.append(Explanation(ZERO_LOST, words, drawn.low, drawn.high, True))
    return found


def _against_plan(best: Candidate, line: Measured, moving: bool) -> str:
    if line.value >= house("near-stall").value * (best.winch_limit_N or best.stall_N):
        return "near stall"
    if line.value > best.effort_N.high:
        return "above"
    if not moving:
        return ""
    return "below" if line.value < best.effort_N.low else "inside"


def _words(
    verdict: str, explanations: list[Explanation], moving: bool, against: str, pull_to: float | None
) -> list[str]:
    words = []
    if against in ("above", "near stall"):
        more = "more than planned" if against == "above" else "nearly what the winch stalls at"
        words.append(
            f"STOP. The line carries {more}: something holds the vehicle that the plan does not know."
        )
    fits = [one for one in explanations[1:] if one.fits]
    if verdict == AS_DRAWN_VERDICT:
        words.append(
            "The readings fit the rig as drawn. They prove nothing of gear and anchors: walk the line all the same."
        )
        if any(one.what == STUCK for one in fits):
            hidden = " or ".join(one.words for one in fits if one.what == STUCK)
            still = " Look" if moving else " Standing still it cannot be told: look"
            words.append(
                f"They would also fit if {hidden}.{still} whether each sheave turns as the line creeps in."
            )
    elif verdict == CANNOT_TELL:
        words.append(
            "Too light to tell: the zeros of the cells could make this ratio. Take up a little more, stop, read again"
            + ("." if pull_to is None else f": the line at {spoken(pull_to)} or more.")
        )
    else:
        words.append("STOP. The readings do not fit the rig as drawn. Slacken, secure the vehicle, and look.")
        words += [f"It would fit if {one.words}." for one in fits] or [
            "Nothing that was looked at explains it: check units, cells and path before anything else."
        ]
    if against == "below":
        words.append(
            "The line carries less than planned: is the vehicle moving as thought, and is the cell's unit right?"
        )
    return words


def _notices(setting: Setting, zero_assumed: bool) -> tuple[Notice, ...]:
    notices = [Code.NO_STANDING.notice(), Code.DEFER.notice(), *setting_notices(setting)]
    if zero_assumed:
        text = (
            f"How far the unloaded cells were from zero is not told: ± {spoken(house('reading-zero').value)} is taken, and "
            f"{house('reading-class').value:.0%} of the reading for the class of each cell."
        )
        notices.append(Code.UNCHECKED.notice(("line", "anchor"), text=text))
    return tuple(notices)


def setting_notices(setting: Setting) -> tuple[Notice, ...]:
    """Return that winch stall stays what gear is judged at, whatever the cells read now."""
    return (Code.STALL.notice((setting.request.pull.winch.id,), stall=spoken(setting.stall_N)),)
