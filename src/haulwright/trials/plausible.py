"""Results that cannot be: refused where the number would mislead, else warned of, with what would fit."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache

from haulwright.errors import TrialRefusal
from haulwright.mechanics.tackles import NAMES, named_rig
from haulwright.notices import Code
from haulwright.trials.friction import RigModel, rig_model
from haulwright.trials.result import TrialResult

GROSS = 0.25  # this far beyond what a rig can give no cell, zero or gain explains it (house limit)
_MOST_NAMES = 4


def judged(result: TrialResult, model: RigModel) -> TrialResult:
    """Return a run with a word on what would fit, where its advantage cannot be.

    Parameters
    ----------
    result : TrialResult
    model : RigModel
        Its rig.

    Raises
    ------
    TrialRefusal
        SWAPPED: exchanged, the two cells fit the rig, as they are they are far off. IMPOSSIBLE: over a quarter above
        what the rig gives without friction, or below what it gives with every device at k = 3.
    """
    ratio, low, high = result.advantage, model.lowest, model.frictionless
    if low <= ratio.value <= high or (ratio.hi >= low and ratio.lo <= high):
        return result
    factor = ratio.value / high if ratio.value > high else low / ratio.value
    fits = _fitting(ratio.value)
    words = f" It would fit {', '.join(fits)}." if fits else ""
    swapped = result.ratio.value if result.gain is None else result.ratio.value / result.gain.value
    exchanged = low <= 1.0 / swapped <= high
    if factor > 1.0 + GROSS:
        here = f"Run {result.run}: advantage {ratio.value:.3f}; {result.rig} gives {low:.3g} to {high:g}."
        if exchanged:
            text = f"{here} Exchanged the two cells would fit ({1.0 / swapped:.3f}): name the columns of line and anchor."
            raise TrialRefusal("SWAPPED", text, (result.run, "line", "anchor"))
        text = f"{here} No cell or zero explains that: wrong rig, unit or column.{words}"
        raise TrialRefusal("IMPOSSIBLE", text, (result.run, result.rig))
    if not words and not exchanged:
        return result
    text = "Exchanged, the two cells would fit." if exchanged else f"Is it the right rig?{words}"
    return replace(result, notices=(*result.notices, Code.ADVICE.notice((result.rig,), text=text)))


def _fitting(advantage: float) -> list[str]:
    """Return the named rigs, simplest first, that could give this advantage with ordinary friction."""
    return [name for name, low, high in _named_ranges() if low <= advantage <= high][:_MOST_NAMES]


@lru_cache(maxsize=1)
def _named_ranges() -> tuple[tuple[str, float, float], ...]:
    models = [(name, rig_model(named_rig(name))) for name in NAMES]
    ordered = sorted(models, key=lambda pair: len(pair[1].device_of))
    return tuple((name, _at_usual_friction(model), model.frictionless) for name, model in ordered)


def _at_usual_friction(model: RigModel) -> float:
    """Return the advantage with every device at k = 1.4, a hard ring (house number)."""
    return model.solution(dict.fromkeys(model.devices, 0.3365)).one_winch.advantage
