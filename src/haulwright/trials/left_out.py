"""How the fit does on what it has not seen: each configuration predicted from all the other runs."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from haulwright.quantities.measured import Measured
from haulwright.trials.between_run import ScatterPosterior
from haulwright.trials.fit_problem import Problem, Vector, free_names
from haulwright.trials.prediction import half_width
from haulwright.trials.result import LeftOut


def leave_out(problem: Problem, x: Vector, jac: Vector, known: ScatterPosterior) -> tuple[LeftOut, ...]:
    """Return each configuration predicted from the runs of all others.

    Parameters
    ----------
    problem : Problem
    x, jac : array
        Its solution and the Jacobian there.
    known : ScatterPosterior
        What is known of the scatter between set-ups.

    Returns
    -------
    tuple of LeftOut
        Without configurations whose devices the others do not identify, and without series checks.

    Notes
    -----
    To first order about the solution: with the rows J_g of a configuration taken out, the unknowns move by
    (J'J - J_g'J_g)^-1 J_g' r_g. The interval holds the fit without them, their own noise and the scatter between set-ups.

    References
    ----------
    Deletion of observations: Belsley, Kuh, Welsch, Regression Diagnostics, 1980, ch. 2. From memory.
    """
    residuals = problem.residuals(x)
    found = []
    for rows in _groups(problem):
        rest = np.delete(jac, rows, axis=0)
        run = problem.runs[rows[0]]
        if set(run.model.unknowns) & set(free_names(rest, problem.devices)):
            continue
        if not all(np.any(rest[:, problem.devices.index(name)]) for name in run.model.unknowns):
            continue
        covariance = np.linalg.pinv(rest.T @ rest)
        moved = covariance @ jac[rows].T @ residuals[rows]
        shown = _of_one_place(problem, rows)
        weight = problem.weight[shown]
        miss = (residuals[shown] + jac[shown] @ moved) / weight
        share = weight**2 / float((weight**2).sum())
        slope = share @ (jac[shown] / weight[:, None])
        own = 1.0 / float((weight**2).sum())
        of_others = (covariance @ rest.T)[:, : len(problem.runs) - len(rows)]
        theirs = np.delete(problem.scatter_share, rows)
        scatter = float(slope @ (of_others * theirs) @ of_others.T @ slope)
        scatter += own * float(np.mean(problem.scatter_share[shown]))
        variance = float(slope @ covariance @ slope) + own
        found.append(
            _told(
                problem,
                shown,
                share,
                float(share @ miss),
                variance,
                half_width(variance, scatter, known),
            )
        )
    return tuple(found)


def _groups(problem: Problem) -> list[list[int]]:
    """Return the rows of each configuration with devices."""
    groups: dict[tuple[object, ...], list[int]] = {}
    for i, run in enumerate(problem.runs):
        if run.model.unknowns:
            groups.setdefault((run.model.rig.path or id(run.model.rig), run.model.devices), []).append(i)
    return list(groups.values())


def _of_one_place(problem: Problem, rows: Sequence[int]) -> list[int]:
    """Return the rows whose cells sit where those of the first do: further cells read another quantity."""
    first = problem.runs[rows[0]].model
    where = (first.place, first.line_place)
    return [i for i in rows if (problem.runs[i].model.place, problem.runs[i].model.line_place) == where]


def _told(
    problem: Problem, rows: Sequence[int], share: Vector, miss: float, variance: float, spread: float
) -> LeftOut:
    run = problem.runs[rows[0]]
    measured = math.exp(float(share @ np.log([problem.runs[i].result.advantage.value for i in rows])))
    value = measured * math.exp(-miss)
    predicted = Measured(
        value, value * math.sqrt(variance), value * math.exp(-spread), value * math.exp(spread)
    )
    return LeftOut(
        rig=run.result.rig,
        devices=run.model.devices,
        predicted=predicted,
        measured=measured,
        inside=predicted.lo <= measured <= predicted.hi,
    )
