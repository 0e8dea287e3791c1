"""The numbers a verdict hangs on as functions of what is uncertain: effort, loads, angles and line, at every place.

A rig is solved at its centre, with each input moved a step either way, and with two places moved at once; between, it is
taken to second order.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

from haulwright.planning.candidates import Setting
from haulwright.planning.likely_inputs import ALONG, ASIDE, FRICTION, NO_LOSS, TRAVEL, Input
from haulwright.planning.quadratic import Quadratic, Row, fitted
from haulwright.planning.shifted import Off, Seen, places_of, seen

_PER_USE = 2
_FIRST_USE = 5  # numbers of a place before those of its uses


@dataclass(frozen=True)
class At:
    """One place of the travel.

    Attributes
    ----------
    free, held : Quadratic
        Logarithm of effort ÷ resistance, without friction and with it.
    sides : (Quadratic, Quadratic)
        Pull on the stuck vehicle from its axis [rad], without friction and with it.
    out : Quadratic
        Winch line outside the drum [m].
    loads : tuple of (Quadratic, Quadratic)
        Load ÷ effort of every use, without friction and with it.
    """

    free: Quadratic
    held: Quadratic
    sides: tuple[Quadratic, Quadratic]
    out: Quadratic
    loads: tuple[tuple[Quadratic, Quadratic], ...]


@dataclass(frozen=True)
class Expanded:
    """A rig as a function of those of its inputs that move it."""

    setting: Setting
    inputs: tuple[Input, ...]
    places: tuple[At, ...]


def moves(one: Input) -> bool:
    """Return whether an input moves the rig itself."""
    return one.kind in (ALONG, ASIDE, TRAVEL, FRICTION)


def off_by(setting: Setting, inputs: Sequence[Input], deviations: Sequence[float]) -> Off:
    """Return how far a rig is off where each input deviates so much from its centre."""
    anchors: dict[str, tuple[float, float]] = {}
    ratios: dict[str, float] = {}
    travel_m, sign = 0.0, setting.request.direction[0]
    for one, x in zip(inputs, deviations, strict=True):
        if one.kind in (ALONG, ASIDE):
            ahead, aside = anchors.get(one.of, (0.0, 0.0))
            anchors[one.of] = (ahead + x * sign, aside) if one.kind == ALONG else (ahead, aside + x)
        elif one.kind == TRAVEL:
            travel_m = x
        elif one.kind == FRICTION:
            of = (block for block, device in setting.devices.items() if device == one.of)
            ratios |= {block: max(one.centre + x, NO_LOSS) for block in of}
    return Off(anchors, travel_m, ratios)


def expand(setting: Setting, inputs: Sequence[Input]) -> Expanded:
    """Return a rig as a function of its inputs.

    Parameters
    ----------
    setting : Setting
    inputs : sequence of Input

    Raises
    ------
    RigRefusal
        Where it does not work a step off its centre.
    """
    moving = tuple(one for one in inputs if moves(one))
    rigs = places_of(setting)

    def solve(deviations: Sequence[float]) -> Row:
        return _flat(seen(setting, rigs, off_by(setting, moving, deviations)))

    laid = [n for n, one in enumerate(moving) if one.kind != FRICTION]
    numbers = fitted(solve, [_steps(one) for one in moving], list(combinations(laid, 2)))
    return Expanded(setting, moving, _placed(numbers, len(rigs)))


def solved_at(setting: Setting, moving: Sequence[Input], deviations: Sequence[float]) -> Expanded:
    """Return a rig solved anew where its inputs deviate so much: a function of nothing more."""
    places = seen(setting, places_of(setting), off_by(setting, moving, deviations))
    return Expanded(setting, (), _placed([Quadratic(one, ()) for one in _flat(places)], len(places)))


def _steps(one: Input) -> tuple[float, float]:
    """Return how far an input is moved back and on."""
    return (min(one.step, one.centre - NO_LOSS), one.step) if one.kind == FRICTION else (one.step, one.step)


def _placed(numbers: Sequence[Quadratic], places: int) -> tuple[At, ...]:
    size = len(numbers) // places
    return tuple(_at(numbers[n * size : (n + 1) * size]) for n in range(places))


def _flat(places: Sequence[Seen]) -> Row:
    return [number for place in places for number in _numbers(place)]


def _numbers(place: Seen) -> Row:
    shares = [math.log(share) for share in place.share]
    return [*shares, *place.side_rad, place.out_m, *(load for both in place.loads for load in both)]


def _at(numbers: Sequence[Quadratic]) -> At:
    free, held, left, right, out = numbers[:_FIRST_USE]
    rest = numbers[_FIRST_USE:]
    loads = tuple((rest[n], rest[n + 1]) for n in range(0, len(rest), _PER_USE))
    return At(free, held, (left, right), out, loads)
