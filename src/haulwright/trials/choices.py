"""The choices behind one number, each in a sentence, and what the number does when the stretch is moved."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from haulwright.trials.condition import Conditioned
from haulwright.trials.grid import Grid
from haulwright.trials.prepare import ByHand, Prepared
from haulwright.trials.result import MovedStretch
from haulwright.trials.steady import LEAST_S, LEVEL_HIGH, LEVEL_LOW, Found, select

SHIFT_S = 5.0
# what is moved, by how many shifts the start and the end
_MOVES = (
    ("begins 5 s earlier", -1.0, 0.0),
    ("begins 5 s later", 1.0, 0.0),
    ("ends 5 s earlier", 0.0, -1.0),
    ("ends 5 s later", 0.0, 1.0),
    ("all 5 s earlier", -1.0, -1.0),
    ("all 5 s later", 1.0, 1.0),
)


def explain(ready: Prepared, found: Found, line: str, anchor: str, by_hand: ByHand) -> dict[str, str]:
    """Return how zero, clock, grid and stretches were chosen, one sentence each, and by whom where by hand."""
    told = {}
    for place in (line, anchor):
        by_rule = _zero(ready.conditioned[place])
        zero = f"zero of the {place}"
        told[zero] = by_hand.words(zero) if place in by_hand.zeros_N else by_rule
        told[f"spikes of the {place}"] = f"{ready.conditioned[place].spikes} readings rejected"
    told["clock offset"] = (
        by_hand.words(f"clock offset of the {anchor}")
        if anchor in by_hand.offsets_s
        else ready.clocks[anchor].found_from
    )
    for what in [f"clock offset of the {place}" for place in by_hand.offsets_s if place != anchor] + [
        f"zero of the {place}" for place in by_hand.zeros_N if place not in (line, anchor)
    ]:
        told[what] = by_hand.words(what)
    step = ready.grid.step_s
    told["grid"] = f"{step:.2g} s, the slower cell's period within 0.1 to 1 s; instants both cells know"
    told["steady stretch"] = "; ".join(
        f"{s.start_s:.0f} to {s.end_s:.0f} s: {s.why}" for s in found.stretches
    )
    if found.holds:
        told["stops"] = "the noise of motion is missing: " + _spans(found.holds)
    if found.other_level:
        told["left out"] = (
            f"load not within {LEVEL_LOW:g} to {LEVEL_HIGH:g} of the longest stretch's: {_spans(found.other_level)}"
        )
    return told


def _spans(spans: Sequence[tuple[float, float]]) -> str:
    return ", ".join(f"{a:.0f} to {b:.0f} s" for a, b in spans)


def _zero(done: Conditioned) -> str:
    ends = []
    if done.zero_end_s is not None:
        ends.append(f"up to {done.zero_end_s:.0f} s")
    if done.zero_start_s is not None:
        ends.append(f"from {done.zero_start_s:.0f} s on")
    if not ends or done.zero_N is None:
        return "nothing taken off: no unloaded stretch"
    return f"mean of the unloaded readings {' and '.join(ends)}"


def sensitivity(grid: Grid, found: Found, advantage: Callable[[float], float]) -> tuple[MovedStretch, ...]:
    """Return the relative change of the advantage when the stretches are moved or trimmed by five seconds.

    Parameters
    ----------
    grid : Grid
    found : Found
        Stretches, and the loaded runs they are not moved out of.
    advantage : callable
        Advantage for a ratio of anchor over line.
    """

    def value(spans: Sequence[tuple[float, float]]) -> float | None:
        inside = select(grid, spans)
        if np.count_nonzero(inside) * grid.step_s < LEAST_S:
            return None
        return advantage(float(grid.anchor_N[inside].mean() / grid.line_N[inside].mean()))

    base = value([(s.start_s, s.end_s) for s in found.stretches])
    moved = []
    for text, start, end in _MOVES:
        spans = []
        for stretch in found.stretches:
            low, high = _room(found, stretch.start_s, stretch.end_s)
            a, b = stretch.start_s + start * SHIFT_S, stretch.end_s + end * SHIFT_S
            spans.append((max(low, a), min(high, b)))
        there = value(spans)
        if base is not None and there is not None:
            moved.append(MovedStretch(text, there / base - 1.0))
    return tuple(moved)


def _room(found: Found, start: float, end: float) -> tuple[float, float]:
    """Return the loaded run around a stretch: beyond it lie ramp, stop or release."""
    around = [(a, b) for a, b in found.runs if a <= start + 1e-9 and end <= b + 1e-9]
    return around[0] if around else (start, end)
