"""Results of a campaign of known truth: made directly, or measured from made-up logs."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from haulwright.quantities.measured import Measured
from haulwright.trials.budget import coverage_factor, effective_dof
from haulwright.trials.cells import CellSpec
from haulwright.trials.combine import RUN_DOF
from haulwright.trials.design.result import PlannedRun
from haulwright.trials.estimate import measure
from haulwright.trials.friction import RigModel
from haulwright.trials.result import TrialResult
from haulwright.trials.simulate import RunPlan, simulate_run

LINE_N = 8000.0


@dataclass(frozen=True)
class Truth:
    """What a made-up campaign really is.

    Attributes
    ----------
    k : mapping device -> float
        True tension ratios.
    tau : float
        Scatter of ln R between set-ups.
    noise : float
        Scatter of ln R of one steady pull; of results made directly.
    classes : (float, float)
        Classes of line and anchor cell, of reading; each cell's error is drawn evenly within, once a campaign.
    """

    k: Mapping[str, float]
    tau: float
    noise: float
    classes: tuple[float, float]

    def log_advantage(self, model: RigModel) -> float:
        """Return the true ln A of a rig."""
        return model.log_advantage({name: math.log(self.k[name]) for name in model.unknowns})


def draw_gain(truth: Truth, draw: np.random.Generator) -> float:
    """Return ln of the anchor cell's gain over the line cell's for one campaign."""
    line, anchor = (limit * draw.uniform(-1.0, 1.0) for limit in truth.classes)
    return math.log1p(anchor) - math.log1p(line)


def made_directly(
    runs: Sequence[PlannedRun], models: Sequence[RigModel], truth: Truth, seed: int
) -> list[TrialResult]:
    """Return results as if measured: true advantage, gain of the cells, scatter between set-ups, noise.

    The noise of a pull counts as known; only made-up logs (:func:`from_logs`) have it estimated.

    Parameters
    ----------
    runs, models
        The sheet, and the rig of each of its runs.
    truth : Truth
    seed : int
    """
    draw = np.random.default_rng((seed, 7))
    gain = draw_gain(truth, draw)
    class_u = math.hypot(*(limit / math.sqrt(3.0) for limit in truth.classes))
    known: dict[tuple[str, tuple[str, ...]], float] = {}
    results = []
    for run, model in zip(runs, models, strict=True):
        key = (run.rig, run.devices)
        if key not in known:
            known[key] = truth.log_advantage(model)
        u = truth.noise * draw.uniform(0.7, 1.3)
        off = draw.normal(0.0, u) + (draw.normal(0.0, truth.tau) if model.unknowns else 0.0)
        results.append(_result(run, model, math.exp(known[key] + gain + off), u, class_u))
    return results


def _result(run: PlannedRun, model: RigModel, advantage: float, u: float, class_u: float) -> TrialResult:
    """Return a result of this advantage; ``u`` and ``class_u`` are relative."""
    total = math.hypot(u, class_u) * advantage
    dof = effective_dof([(u, float(RUN_DOF)), (class_u, math.inf)])
    value = Measured.normal(advantage, total, coverage_factor(dof))
    spread = coverage_factor(float(RUN_DOF)) * u * advantage
    return TrialResult(
        run=run.run,
        rig=run.rig,
        path=model.rig.path,
        devices=run.devices,
        frictionless=model.frictionless,
        channels={},
        phases=(),
        steady=(),
        mean_N={"line": Measured.exact(LINE_N), "anchor": Measured.exact(LINE_N * advantage)},
        ratio=value,
        advantage=value,
        u_repeatability=u * advantage,
        interval95_repeatability=(advantage - spread, advantage + spread),
        winch_share=Measured(1.0 / advantage, total / advantage**2, 1.0 / value.hi, 1.0 / value.lo),
    )


def from_logs(
    runs: Sequence[PlannedRun],
    models: Sequence[RigModel],
    truth: Truth,
    seed: int,
    plan: RunPlan | None = None,
) -> list[TrialResult]:
    """Return results measured from made-up logs, one pull after the other.

    Parameters
    ----------
    runs, models, truth, seed
        As :func:`made_directly`.
    plan : RunPlan, optional
        All of a pull but rig, friction, load and the cells' gains, which are those of the campaign.
    """
    draw = np.random.default_rng((seed, 8))
    gain = draw_gain(truth, draw)
    cells = {
        place: CellSpec(place, None, limit)
        for place, limit in zip(("line", "anchor"), truth.classes, strict=True)
    }
    results = []
    for number, (run, model) in enumerate(zip(runs, models, strict=True)):
        off = gain + (draw.normal(0.0, truth.tau) if model.unknowns else 0.0)
        own = replace(
            plan or RunPlan(),
            rig=run.rig,
            ratios=tuple(truth.k[name] for name in run.devices) or (1.0,),
            load_kgf=model.frictionless * float(draw.uniform(600.0, 1100.0)),
            accuracy=1e-9,
        )
        log = simulate_run(own, seed * 1000 + number).log
        anchor = log.channels["anchor"]
        scaled = replace(anchor, force_N=anchor.force_N * math.exp(off))
        log = replace(log, channels={**log.channels, "anchor": scaled})
        results.append(
            measure(
                log,
                run=run.run,
                rig_name=run.rig,
                path=model.rig.path,
                frictionless=model.frictionless,
                lowest=model.lowest,
                devices=run.devices,
                cells=cells,
            )
        )
    return results
