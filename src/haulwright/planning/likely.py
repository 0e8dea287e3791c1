"""How far a verdict holds: the share of likely conditions in which a rig stays inside, and what that hangs on.

It says how well the plan stands the spread of its own numbers. It says nothing of what the plan does not know: whether
an anchor holds, what is worn, how the pull is made. It is no chance that nothing breaks.
"""

from __future__ import annotations

import math
import random
from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import cache
from statistics import pvariance

from haulwright.errors import RigRefusal
from haulwright.planning.candidates import Setting
from haulwright.planning.expanded import Expanded, expand, moves, solved_at
from haulwright.planning.judged import limit_at
from haulwright.planning.lacking import Lacking
from haulwright.planning.likely_inputs import RESISTANCE, SCATTER, STALL, Input, inputs_of
from haulwright.planning.likely_result import Assumed, Driver, Likely
from haulwright.planning.margins import Drawn, Margins, Piece, lines_out_of, margins, worst_of
from haulwright.planning.result import Candidate, ResistanceSummary
from haulwright.planning.shelf import Use
from haulwright.planning.wound import Wound, wound
from haulwright.quantities.proportion import proportion

DRAWS = 2000
SEED = 20
FIRST = 3  # house number: so many of the ranked rigs are looked at
SPREAD = 200  # evenly spread values of a number that is varied alone
CHECKED = 4  # draws solved anew
_STEP_rad = math.radians(0.25)  # an angle is taken at the next step up
_SAME_rad = 1e-9
LEFT_OUT = (
    "whether the anchors hold",
    "the condition of the gear, and anything marked wrongly",
    "how the pull is made: shock, a line off its block, a wrong path",
    "a resistance outside the rule that was chosen",
)


@dataclass(frozen=True)
class _Rig:
    """A rig with what its margins need."""

    setting: Setting
    inputs: tuple[Input, ...]
    pieces: tuple[Piece, ...]
    expanded: Expanded

    def margins(self, values: Sequence[Sequence[float]]) -> Margins:
        """Return the margins for values of the inputs, one column for each."""
        drawn = self.drawn(values)
        return margins(self.expanded, self.pieces, self.wound(self.expanded, drawn), drawn)

    def worst(self, values: Sequence[Sequence[float]]) -> list[float]:
        """Return the tightest margins alone."""
        drawn = self.drawn(values)
        return worst_of(self.expanded, self.pieces, self.wound(self.expanded, drawn), drawn)

    def solved_anew(self, values: Sequence[float]) -> float:
        """Return the tightest margin for one value of each input, nothing carried over."""
        drawn = self.drawn([[value] for value in values])
        there = solved_at(self.setting, self.expanded.inputs, [column[0] for column in drawn.deviations])
        still = replace(drawn, deviations=())
        return worst_of(there, self.pieces, self.wound(there, still), still)[0]

    def wound(self, expanded: Expanded, drawn: Drawn) -> Wound:
        """Return the drum in drawn conditions."""
        planned_m = [place.out.centre for place in self.expanded.places]
        return wound(self.setting, *lines_out_of(expanded.places, drawn, planned_m))

    def drawn(self, values: Sequence[Sequence[float]]) -> Drawn:
        """Return values of the inputs as drawn conditions."""
        by_kind = {
            one.kind: list(column) for one, column in zip(self.inputs, values, strict=True) if not moves(one)
        }
        cases = len(values[0])
        winch = self.setting.request.pull.winch
        deviations = tuple(
            [value - one.centre for value in column]
            for one, column in zip(self.inputs, values, strict=True)
            if moves(one)
        )
        return Drawn(
            deviations,
            by_kind[RESISTANCE],
            by_kind.get(SCATTER, [1.0] * cases),
            by_kind.get(STALL, [winch.stall_factor] * cases),
        )


def with_likely(
    candidate: Candidate, setting: Setting, resistance: ResistanceSummary, draws: int = DRAWS
) -> Candidate:
    """Return a candidate with the share of likely conditions in which it stays inside, or with why there is none.

    Parameters
    ----------
    candidate : Candidate
    setting : Setting
        Behind it.
    resistance : ResistanceSummary
        Of its way.
    draws : int

    Notes
    -----
    Each uncertain number is drawn from its own distribution; blocks of one device share a draw, every rig sees the same
    draws. Inside is: the winch pulls the drawn resistance on its last layer, every rated piece is within its limit at
    that resistance, the line is long enough. Drivers: each number is varied alone, all others at what the plan takes; its
    share is the variance it then gives the tightest margin, over the sum of all.

    References
    ----------
    JCGM 101:2008, 6.4 for the distributions, 7 for the draws, Annex B for one number varied alone.
    """
    try:
        rig = _rig_of(candidate, setting, resistance)
        return _with(candidate, rig, draws)
    except (Lacking, RigRefusal) as none:
        return replace(candidate, likely_note=f"No share of likely conditions: {none}")


def _rig_of(candidate: Candidate, setting: Setting, resistance: ResistanceSummary) -> _Rig:
    if candidate.winch_limit_N is None:
        raise Lacking("the drum or its rope is not described, so what the winch pulls is not known.")
    pieces = []
    for n, (use, item) in enumerate(zip(setting.geared.uses, candidate.items[1:], strict=True)):
        if item.limit_N is not None and item.limit_N <= 0.0:
            raise Lacking(f"{item.item} is not to be used so.")
        if item.limit_N is not None:
            pieces.append(Piece(f"{item.item} ({item.role})", n, _limit(use, item.limit_N, setting)))
    inputs = tuple(inputs_of(setting, resistance))
    return _Rig(setting, inputs, tuple(pieces), expand(setting, inputs))


def _limit(use: Use, limit_N: float, setting: Setting) -> Callable[[float], float]:
    """Return the limit of a use by the angle the stuck vehicle is pulled from its axis."""
    side, first = use.side, setting.along[0].free
    pull = first.bodies[setting.rig.load.name].vector_N or (0.0, 0.0)
    turning = side is not None and abs(side(first) - _from_axis(pull[0], pull[1])) < _SAME_rad
    if not turning or use.owned is None:
        return lambda _: limit_N

    @cache
    def at(step: int) -> float:
        return limit_at(use, step * _STEP_rad).limit_N or 0.0

    return lambda side_rad: at(math.ceil(side_rad / _STEP_rad - _SAME_rad))


def _from_axis(along: float, aside: float) -> float:
    return math.atan2(abs(aside), abs(along)) if math.hypot(along, aside) > 0.0 else 0.0


def _with(candidate: Candidate, rig: _Rig, draws: int) -> Candidate:
    values = [_drawn(one, draws) for one in rig.inputs]
    found = rig.margins(values)
    inside = sum(worst <= 1.0 and holds for worst, holds in zip(found.worst, found.holds, strict=True))
    stalls = zip(found.at_stall, found.holds, strict=True)
    tightest = Counter(found.tightest)
    off = 0.0
    for n in range(min(CHECKED, draws)):
        anew = rig.solved_anew([column[n] for column in values])
        off = max(off, abs(found.worst[n] / anew - 1.0))
    likely = Likely(
        draws=draws,
        seed=SEED,
        at_stall=proportion(sum(worst <= 1.0 and holds for worst, holds in stalls), draws),
        tightest={name: count / draws for name, count in tightest.most_common()},
        inputs=_assumed(rig.inputs),
        left_out=(*LEFT_OUT, *_unrated(candidate)),
        checked=min(CHECKED, draws),
        off_by=off,
    )
    return replace(
        candidate,
        inside_share=proportion(inside, draws),
        drivers=_drivers(rig),
        likely=likely,
        likely_note="",
    )


def _drawn(one: Input, draws: int) -> list[float]:
    rng = random.Random(f"{SEED} {one.name}")
    return [one.at(1.0 - rng.random()) if draws else 0.0 for _ in range(draws)]


def _drivers(rig: _Rig) -> tuple[Driver, ...]:
    """Return what the tightest margin hangs on, each number varied alone."""
    alone: dict[str, float] = {}
    shares = [(n + 0.5) / SPREAD for n in range(SPREAD)]
    for n, one in enumerate(rig.inputs):
        if one.kind == STALL:
            continue
        values = [[other.centre] * SPREAD for other in rig.inputs]
        values[n] = [one.at(share) for share in shares]
        alone[one.what] = alone.get(one.what, 0.0) + pvariance(rig.worst(values))
    total = sum(alone.values())
    if total <= 0.0:
        return ()
    ranked = sorted(alone.items(), key=lambda pair: -pair[1])
    return tuple(Driver(what, variance / total) for what, variance in ranked)


def _assumed(inputs: Sequence[Input]) -> tuple[Assumed, ...]:
    rows = {one.what: Assumed(one.what, one.drawn, one.source) for one in inputs}
    return tuple(rows.values())


def _unrated(candidate: Candidate) -> tuple[str, ...]:
    names = dict.fromkeys(item.item for item in candidate.items if item.verdict == "unknown")
    return (f"what has no rating: {', '.join(names)}",) if names else ()
