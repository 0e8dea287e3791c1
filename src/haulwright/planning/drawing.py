"""What the drawing of a planned rig needs besides its path."""

from __future__ import annotations

from collections.abc import Mapping

from haulwright.planning.result import Candidate, Plan
from haulwright.quantities.measured import Measured


def ratios_of(plan: Plan, candidate: Candidate) -> Mapping[str, float | Measured] | None:
    """Return the tension ratio of every block of a candidate, with its interval; None for a rig without blocks.

    Parameters
    ----------
    plan : Plan
    candidate : Candidate
        One of the plan's.

    Returns
    -------
    mapping block -> Measured, or None
        As :func:`haulwright.mechanics.statics.solve_rig` takes it, for the rig at ``candidate.path``.
    """
    row = plan.candidates.index(candidate)
    ratios = {
        block: plan.uncertainty.get(f"candidates.{row}.ratios.{block}", k)
        for block, k in candidate.ratios.items()
    }
    return ratios or None
