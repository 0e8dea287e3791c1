"""Intervals of every figure of a rig by drawing its uncertain numbers at random (GUM, Supplement 1)."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from haulwright.errors import RigRefusal
from haulwright.mechanics.batch.equations import Floats
from haulwright.mechanics.batch.figures import covered, figures, sampled
from haulwright.mechanics.batch.laws import Array
from haulwright.mechanics.core import solve_core
from haulwright.mechanics.friction import Seized, resolve_laws
from haulwright.mechanics.intervals import Spread, figures_of, limits_of, spread_inputs, within
from haulwright.mechanics.rig import Rig
from haulwright.mechanics.solution import RigSolution
from haulwright.mechanics.statics import Ratio, by_block, measured_ratios, plain_ratios, solve_rig
from haulwright.mechanics.uncertain import LIMITS
from haulwright.notices import Code
from haulwright.quantities.measured import Measured
from haulwright.records import Made

FEWEST, MOST = 1_000, 200_000  # JCGM 101:2008, 7.2.1: some 10^4 / (1 - 0.95) draws serve any 95 % interval
SINGLY = 20_000  # draws where each of them is a solution of its own
TAIL = 0.025  # on either side of the 95 % interval
JAMMED = ("JAMS", "SLACK", "NO_EQUILIBRIUM", "STUCK")
SOURCE = "JCGM 101:2008 (GUM, Supplement 1), clauses 6.4.7 and 7"


@dataclass(frozen=True)
class Drawn:
    """Intervals by path, the share of draws that jam, and whether each draw was solved on its own."""

    uncertainty: Mapping[str, Measured]
    jammed: float
    singly: bool


def solve_rig_by_draws(
    rig: Rig,
    ratio: Ratio | None = None,
    *,
    draws: int,
    seed: int = 1,
    load_N: float | None = None,
    effort_N: float | None = None,
    letting_back: bool = False,
    seized: Seized = (),
    devices: Mapping[str, str] | None = None,
) -> RigSolution:
    """Return a solved rig whose intervals come from random draws instead of the law of propagation.

    Parameters
    ----------
    rig, ratio
        As :func:`haulwright.mechanics.statics.solve_rig` takes them.
    draws : int
        Number of draws, 1 000 to 200 000 (20 000 for several winches, a free load or lines that share, each draw of
        which is a solution of its own).
    seed : int
        0 or more; the same seed gives the same answer.
    load_N, effort_N, letting_back, seized, devices
        As there.

    Returns
    -------
    RigSolution
        Values at the best estimates; ``uncertainty``: u the standard deviation of the draws, interval from their 2.5 %
        to their 97.5 % point.

    Raises
    ------
    RigRefusal
        INPUT for a number of draws or a seed out of range, or where nothing carries an interval; JAMS where more than
        2.5 % of the draws jam, so that the upper end of an effort's interval is not there; else as the solver.

    Notes
    -----
    Each independent error is drawn from the normal distribution of its best estimate and standard uncertainty, cut off
    where a sheave would give back more than it gets (k below 1, e above 1, mu, f or c below 0): a draw beyond is drawn
    again. Blocks of one device share one draw. Intervals are of the draws in which the rig hauls.

    References
    ----------
    JCGM 101:2008 (GUM, Supplement 1): 6.4.7 for the normal distribution, 7.2 to 7.7 for draws and coverage interval.

    Examples
    --------
    >>> from haulwright.mechanics.tackles import named_rig
    >>> four, k = named_rig("four-part/on-load"), Measured.normal(1.09, 0.01)
    >>> found = solve_rig_by_draws(four, k, draws=10_000, load_N=20e3)
    >>> round(found.uncertainty["advantage"].u, 3), round(solve_rig(four, k).uncertainty["advantage"].u, 3)
    (0.045, 0.045)
    """
    solution = solve_rig(
        rig,
        ratio,
        load_N=load_N,
        effort_N=effort_N,
        letting_back=letting_back,
        seized=seized,
        devices=devices,
    )
    ratio = by_block(rig, ratio, devices)
    values = plain_ratios(ratio)
    core = solve_core(rig, values, load_N, effort_N, seized)
    known_N = core.resistance_N if effort_N is None else None
    spread = spread_inputs(rig, values, measured_ratios(rig, ratio), devices or {}, known_N, effort_N, seized)
    laws = resolve_laws(rig, values, seized)
    on_arrays = covered(core, laws)
    _check_asked(spread, draws, seed, on_arrays)
    drawn = draw(spread, draws, np.random.default_rng(seed))
    if on_arrays:
        solved = sampled(rig, core, laws, _numbers_by_block(spread, drawn), draws)
        found = figures(core, solved, known_N, effort_N)
    else:
        found = _singly(spread, drawn)
    jammed = _jammed(found, draws)
    _check_jams(rig, jammed, draws)
    told = Drawn(intervals(found, figures_of(core)), jammed, not on_arrays)
    return _with_draws(solution, told, draws, seed)


def draw(spread: Spread, draws: int, rng: np.random.Generator) -> Floats:
    """Return draws of every independent error (errors, draws), none beyond what a sheave can do.

    Parameters
    ----------
    spread : Spread
    draws : int
    rng : numpy.random.Generator

    Returns
    -------
    array (errors, draws)
    """
    found = np.empty((len(spread.inputs), draws))
    for i, (one, (number, _)) in enumerate(zip(spread.inputs, spread.numbers, strict=True)):
        least, most = LIMITS[number]
        xs = rng.normal(one.value, one.u, draws)
        while (beyond := ~((xs >= least) & (xs <= most))).any():
            xs[beyond] = rng.normal(one.value, one.u, int(beyond.sum()))
        found[i] = xs
    return found


def intervals(found: Mapping[str, Array], centre: Mapping[str, float]) -> dict[str, Measured]:
    """Return standard deviation and 95 % interval of every figure, about its value at the best estimates.

    Parameters
    ----------
    found : mapping path -> float or array (draws)
        Not a number where the rig jams.
    centre : mapping path -> float
        Every figure at the best estimates.
    """
    limits, told = limits_of(centre), {}
    for path, value in centre.items():
        xs = np.atleast_1d(np.asarray(found[path], dtype=np.float64))
        xs = xs[np.isfinite(xs)]
        u = float(xs.std(ddof=1)) if len(xs) > 1 else 0.0
        lo, hi = (float(x) for x in np.quantile(xs, (TAIL, 1.0 - TAIL)))
        about = Measured(value, u, min(lo, value), max(hi, value))
        told[path] = within(about, *limits.get(path, (0.0, math.inf)))
    return told


def _check_asked(spread: Spread, draws: int, seed: int, on_arrays: bool) -> None:
    most = MOST if on_arrays else SINGLY
    if not FEWEST <= draws <= most:
        raise RigRefusal("INPUT", f"{draws} draws: give {FEWEST} to {most} for this rig.", ("monte_carlo",))
    if seed < 0:
        raise RigRefusal("INPUT", f"seed = {seed}: give 0 or more.", ("seed",))
    if not any(one.u > 0.0 for one in spread.inputs):
        raise RigRefusal(
            "INPUT",
            "Nothing in this rig carries an interval to draw from. Give a ratio such as 1.09±0.02.",
            ("ratio",),
        )


def _numbers_by_block(spread: Spread, drawn: Floats) -> dict[str, dict[str, Floats]]:
    found: dict[str, dict[str, Floats]] = {}
    for (number, blocks), xs in zip(spread.numbers, drawn, strict=True):
        for block in blocks:
            found.setdefault(block, {})[number] = xs
    return found


def _singly(spread: Spread, drawn: Floats) -> dict[str, Floats]:
    """Return the figures of a rig that cannot be compiled, solved draw by draw."""
    told: list[dict[str, float] | None] = []
    for xs in drawn.T.tolist():
        try:
            told.append(spread.figures(*xs))
        except RigRefusal as refusal:
            if refusal.code not in JAMMED:
                raise
            told.append(None)
    paths = dict.fromkeys(path for one in told if one for path in one)
    return {path: np.array([one.get(path, math.nan) if one else math.nan for one in told]) for path in paths}


def _jammed(found: Mapping[str, Array], draws: int) -> float:
    efforts = [x for path, x in found.items() if path.startswith("effort_N.")]
    if not efforts:
        return 1.0
    share = found.get("advantage", efforts[0])  # the effort itself may be given
    return float(np.count_nonzero(~np.isfinite(np.broadcast_to(share, (draws,)))) / draws)


def _check_jams(rig: Rig, jammed: float, draws: int) -> None:
    if jammed > TAIL:
        raise RigRefusal(
            "JAMS",
            f"In {100.0 * jammed:.1f} % of {draws} draws the rig jams: its effort has no upper end within 95 %. Use better "
            "blocks or another rig.",
            tuple(rig.blocks),
        )


def _with_draws(solution: RigSolution, found: Drawn, draws: int, seed: int) -> RigSolution:
    text = f"Intervals by Monte Carlo: {draws} draws, seed {seed}; normal distributions, cut off where no friction is left."
    notices = [Code.ADVICE.notice(text=text)]
    if found.jammed:
        share = f"{100.0 * found.jammed:.2g} % of {draws} draws"
        text = f"With {share} the rig jams; the intervals are those of the draws in which it hauls. Use better blocks."
        notices.insert(0, Code.OUT_OF_RANGE.notice(text=text))
    made = solution.made or Made("", {})
    each = "each solved on its own" if found.singly else "all solved together"
    method = (
        f"{made.method}; intervals by Monte Carlo, {draws} draws {each}, seed {seed}: normal, cut off at no friction; one "
        "draw for each device"
    )
    inputs = {**made.inputs, "monte_carlo": draws, "seed": seed}
    made = replace(made, method=method, inputs=inputs, sources=(*made.sources, SOURCE))
    return replace(solution, uncertainty=found.uncertainty, notices=(*notices, *solution.notices), made=made)
