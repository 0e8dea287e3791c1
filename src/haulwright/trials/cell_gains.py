"""Series and swap checks turned into the gains of the cells, and those into corrections of the runs.

Unknown is ln g of each cell in each session (day). Its class, or certificate, says 0 ± u; a series check and a pair of
runs with the cells exchanged each say something of a difference of two. The runs are corrected with what comes out;
the fit over all runs solves for the gains itself and starts from the uncorrected ones, so nothing is corrected twice.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from scipy.optimize import brentq

from haulwright.notices import Code, Notice
from haulwright.quantities.measured import Measured
from haulwright.trials.between_run import HOUSE_SCATTER
from haulwright.trials.budget import coverage_factor, effective_dof
from haulwright.trials.cells import CellSpec
from haulwright.trials.combine import log_of
from haulwright.trials.result import BudgetTerm, CellCheck, CheckStep, TrialResult
from haulwright.trials.series import series_gain

MISTAKE = 0.05  # a ratio of gains further from 1 than this is a wrong unit, rig or column (house limit)
TELLING = 0.9  # runs are corrected where the checks leave less than this share of what the classes allow
_MANY = 1e5  # degrees of freedom that count as all there can be
_ONE_LEVEL = 0.15  # levels of a check within this of each other are one level


@dataclass(frozen=True)
class CheckedRun:
    """What the checks need of a run.

    Attributes
    ----------
    result : TrialResult or None
        None for a series check that is no pull.
    rig : str
        What tells its rig and devices from others.
    session, line_cell, anchor_cell : str
    cells : mapping place -> CellSpec
    steps : tuple of CheckStep
        Levels, if both cells hung in one line.
    run : str
    """

    result: TrialResult | None
    rig: str
    session: str
    line_cell: str
    anchor_cell: str
    cells: Mapping[str, CellSpec]
    steps: tuple[CheckStep, ...] = ()
    run: str = ""


def check_cells(runs: Sequence[CheckedRun]) -> tuple[CellCheck, ...]:
    """Return what each series check and each exchange of the cells says."""
    return (*_series(runs), *_swaps(runs))


def check_notices(checks: Sequence[CellCheck], runs: Sequence[CheckedRun]) -> list[Notice]:
    """Tell of checks that cannot be, cells that disagree beyond their classes, and checks at one load only."""
    told = []
    for check in checks:
        names = f"{check.anchor_cell} ÷ {check.line_cell}"
        where, off = (*check.runs, check.anchor_cell, check.line_cell), abs(check.ratio.value - 1.0)
        prior = math.hypot(
            *(_prior(runs, (check.session, one)) for one in (check.line_cell, check.anchor_cell))
        )
        if not check.used:
            text = (
                f"The {check.how} check of {', '.join(check.runs)} gives {names} = {check.ratio.value:.3f}: over "
                f"{100 * MISTAKE:g} % off, a wrong unit, column or rig. It is not used; look at it before anything else."
            )
            told.append(Code.OUT_OF_RANGE.notice(where, text=text))
        elif off > 2.0 * math.hypot(prior, check.ratio.u):
            text = (
                f"{names} = {check.ratio.value:.4f} ± {2 * check.ratio.u:.4f} by the {check.how} check of "
                f"{', '.join(check.runs)}: more than their classes allow. One of them is out of its class; have both "
                "calibrated."
            )
            told.append(Code.OUT_OF_RANGE.notice(where, text=text))
        elif check.nonlinearity is not None and check.nonlinearity > prior * math.sqrt(3.0):
            text = f"{names} changes by up to {100 * check.nonlinearity:.2f} % with the load: more than their classes allow."
            told.append(Code.OUT_OF_RANGE.notice(where, text=text))
        elif check.how == "series" and _one_level(check.steps):
            text = f"{names} was checked at one load only ({check.runs[0]}): check at low, middle and top load, up and down."
            told.append(Code.ADVICE.notice(where, text=text))
    return told


def _one_level(steps: Sequence[CheckStep]) -> bool:
    loads = [step.line_N for step in steps]
    return max(loads) - min(loads) < _ONE_LEVEL * max(loads)


def _series(runs: Sequence[CheckedRun]) -> Iterable[CellCheck]:
    for run in runs:
        if run.steps:
            zeros = [c.zero_N.u for c in run.result.channels.values() if c.zero_N] if run.result else []
            floor = 0.002 * max(step.line_N for step in run.steps)  # without a known zero (house value)
            gain = series_gain(run.steps, math.hypot(*zeros) if len(zeros) > 1 else floor)
            yield CellCheck(
                "series",
                (run.run,),
                run.session,
                run.line_cell,
                run.anchor_cell,
                gain.ratio,
                run.steps,
                gain.nonlinearity,
                gain.hysteresis,
                abs(gain.ratio.value - 1.0) < MISTAKE,
            )


def _swaps(runs: Sequence[CheckedRun]) -> Iterable[CellCheck]:
    """Yield one check for every rig and set of devices that was pulled with the cells both ways in one session."""
    groups: dict[tuple[str, str], dict[tuple[str, str], list[TrialResult]]] = {}
    for run in runs:
        if run.result is not None and not run.steps and run.result.grade == "logged":
            ways = groups.setdefault((run.session, run.rig), {})
            ways.setdefault((run.line_cell, run.anchor_cell), []).append(run.result)
    for (session, _), ways in groups.items():
        for (line, anchor), these in ways.items():
            those = ways.get((anchor, line))
            if not those or line >= anchor:
                continue
            (y, u), (other, v) = _ratio_mean(these), _ratio_mean(those)
            ratio, sd = math.exp((y - other) / 2.0), math.hypot(u, v) / 2.0
            names = tuple(one.run for one in (*these, *those))
            yield CellCheck(
                "swap", names, session, line, anchor, Measured.normal(ratio, ratio * sd),
                used=abs(ratio - 1.0) < MISTAKE,
            )  # fmt: skip


def _ratio_mean(results: Sequence[TrialResult]) -> tuple[float, float]:
    """Return the mean of ln ratio as read, and its u: repeatability and scatter between set-ups."""
    y = [math.log(one.ratio.value) for one in results]
    u2 = [log_of(one)[1] ** 2 + HOUSE_SCATTER**2 for one in results]
    return math.fsum(y) / len(y), math.sqrt(math.fsum(u2)) / len(y)


@dataclass(frozen=True)
class CellGains:
    """ln of the gain of each (session, cell), with covariance, and the checks it rests on."""

    keys: tuple[tuple[str, str], ...]
    value: tuple[float, ...]
    covariance: tuple[tuple[float, ...], ...]
    prior: Mapping[tuple[str, str], float]
    nonlinear: float
    checks: tuple[CellCheck, ...]

    def ratio(self, session: str, line_cell: str, anchor_cell: str) -> Measured | None:
        """Return gain of the anchor cell ÷ gain of the line cell; None where the checks tell hardly more than the class."""
        try:
            i, j = self.keys.index((session, anchor_cell)), self.keys.index((session, line_cell))
        except ValueError:
            return None
        c = self.covariance
        sd = math.sqrt(max(c[i][i] + c[j][j] - 2.0 * c[i][j], 0.0))
        if i == j or sd >= TELLING * math.hypot(self.prior[self.keys[i]], self.prior[self.keys[j]]):
            return None
        sd = math.hypot(sd, self.nonlinear)
        value = math.exp(self.value[i] - self.value[j])
        return Measured.normal(value, value * sd)


def solve_gains(checks: Sequence[CellCheck], runs: Sequence[CheckedRun]) -> CellGains:
    """Return the gains that the checks and the classes of the cells together say.

    Notes
    -----
    Weighted least squares on ln g: one row for each check, one for each cell (0 ± its class ÷ √3, or half its
    certificate's U). The greatest nonlinearity seen in a series check ÷ √3 is joined to every ratio.
    """
    used = [check for check in checks if check.used]
    keys = tuple(dict.fromkeys((c.session, cell) for c in used for cell in (c.line_cell, c.anchor_cell)))
    prior = {key: _prior(runs, key) for key in keys}
    rows = [[float(k == key) / prior[key] for k in keys] for key in keys]
    target = [0.0] * len(keys)
    for check in used:
        u = check.ratio.u / check.ratio.value
        signs = {(check.session, check.anchor_cell): 1.0, (check.session, check.line_cell): -1.0}
        rows.append([signs.get(key, 0.0) / u for key in keys])
        target.append(math.log(check.ratio.value) / u)
    if not keys:
        return CellGains((), (), (), {}, 0.0, ())
    matrix = np.array(rows)
    covariance = np.linalg.inv(matrix.T @ matrix)
    value = covariance @ matrix.T @ np.array(target)
    nonlinear = max((check.nonlinearity or 0.0 for check in used), default=0.0) / math.sqrt(3.0)
    return CellGains(
        keys, tuple(value.tolist()), tuple(map(tuple, covariance.tolist())), prior, nonlinear, tuple(used)
    )


def _prior(runs: Sequence[CheckedRun], key: tuple[str, str]) -> float:
    """Return what the class of a cell leaves open of its gain: root mean square over its runs."""
    squares = []
    for run in runs:
        for place, cell in (("line", run.line_cell), ("anchor", run.anchor_cell)):
            if (run.session, cell) != key:
                continue
            spec = run.cells.get(place, CellSpec())
            reading = run.result.mean_N[place].value if run.result else max(s.line_N for s in run.steps)
            squares.append(spec.standard_at(reading) ** 2)
    return math.sqrt(math.fsum(squares) / len(squares))


def take_off_gain(
    result: TrialResult,
    gain: Measured,
    relation: Callable[[float], float] | None,
    checks: Sequence[CellCheck],
) -> TrialResult:
    """Return a run with the ratio of the cells' gains taken off its advantage.

    Parameters
    ----------
    result : TrialResult
        As measured.
    gain : Measured
        Gain of its anchor cell over that of its line cell.
    relation : callable, optional
        Advantage as a function of the ratio, where the two are not the same.
    checks : sequence of CellCheck
        What the gain rests on, for the budget.

    Notes
    -----
    In the budget the uncertainty of the ratio of gains stands in place of both classes; ``ratio`` stays as read.
    """
    advantage_of = relation or (lambda ratio: ratio)
    here, step = result.ratio.value / gain.value, 1e-4 * result.ratio.value
    new = advantage_of(here)
    slope = (
        (advantage_of(here + step) - advantage_of(here - step)) / (2.0 * step) * here / new
    )  # d ln A / d ln ratio
    before = (advantage_of(result.ratio.value + step) - advantage_of(result.ratio.value - step)) / (
        2.0 * step
    )
    before *= result.ratio.value / result.advantage.value
    repeat = result.u_repeatability / result.advantage.value * slope / before
    of_gain = gain.u / gain.value * slope
    u = math.hypot(repeat, of_gain)
    factor = _factor(result)
    dof = effective_dof([(repeat, _dof(factor)), (of_gain, math.inf)])
    total = Measured.normal(new, new * u, coverage_factor(dof))
    names = ", ".join(dict.fromkeys(run for check in checks for run in check.runs))
    terms = [
        BudgetTerm(t.term, t.u * new / result.advantage.value * slope / before, 0.0)
        for t in result.budget
        if not t.term.startswith(("class of", "certificate of"))
    ]
    terms.append(BudgetTerm(f"gain of the cells, from {names}", of_gain * new, 0.0))
    variance = math.fsum(t.u**2 for t in terms) or 1.0
    return replace(
        result,
        advantage=total,
        u_repeatability=repeat * new,
        interval95_repeatability=(new * (1.0 - factor * repeat), new * (1.0 + factor * repeat)),
        winch_share=Measured(1.0 / new, u / new, 1.0 / total.hi, 1.0 / total.lo),
        budget=tuple(replace(t, share=t.u**2 / variance) for t in terms),
        gain=gain,
    )


def _factor(result: TrialResult) -> float:
    """Return the coverage factor of a run's repeatability."""
    low, high = result.interval95_repeatability
    return (high - low) / 2.0 / result.u_repeatability if result.u_repeatability else 0.0


@lru_cache(maxsize=4096)
def _dof(factor: float) -> float:
    """Return the degrees of freedom at which Student's t has this 97.5 % point, between 1 and many."""
    if factor <= coverage_factor(_MANY):
        return math.inf
    if factor >= coverage_factor(1.0):
        return 1.0
    return float(brentq(lambda dof: coverage_factor(dof) - factor, 1.0, _MANY, xtol=1e-6))
