"""Made-up pull tests with known truth: to test the estimators, to try a campaign before going out, to teach.

Nothing here describes a real cell, device or place, and nothing here asks the estimators how they see the world: the
motion, the friction, the noise, the cells and their clocks have models of their own, and the forces come from the rig
solver.

Examples
--------
What a course can do with it: one run, its truth, and what side-by-side averaging makes of it.

>>> from haulwright.trials.simulate import RunPlan, simulate_run, side_by_side
>>> run = simulate_run(RunPlan(rig="two-part", ratios=(1.2,), zero_kgf=5.0), seed=4)
>>> run.advantage
1.833
>>> abs(side_by_side(run) / run.advantage - 1.0) > 0.002
True
"""

from haulwright.trials.simulate.plan import RunPlan, draw_plan
from haulwright.trials.simulate.practices import (
    eyeballed,
    iid_interval,
    mean_of_ratios,
    overlap,
    side_by_side,
)
from haulwright.trials.simulate.run import SimulatedRun, simulate_run
from haulwright.trials.simulate.write import DIALECTS, write_run

__all__ = [
    "DIALECTS",
    "RunPlan",
    "SimulatedRun",
    "draw_plan",
    "eyeballed",
    "iid_interval",
    "mean_of_ratios",
    "overlap",
    "side_by_side",
    "simulate_run",
    "write_run",
]
