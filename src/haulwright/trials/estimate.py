"""From a log to the advantage that was really reached: one run, end to end."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from haulwright.errors import TrialRefusal
from haulwright.notices import Code, Notice
from haulwright.quantities.measured import Measured
from haulwright.records import Made
from haulwright.trials.align import clock_offset
from haulwright.trials.budget import RatioOfMeans, make_budget, mean_force, ratio_of_means
from haulwright.trials.cells import CellSpec
from haulwright.trials.condition import Conditioned, condition
from haulwright.trials.grid import Grid, correlation, make_grid, on_grid
from haulwright.trials.log import ForceLog, channel_info
from haulwright.trials.phases import name_phases
from haulwright.trials.remarks import cell_notices, quality, sanity, stretch_notices
from haulwright.trials.result import BudgetTerm, LogRecord, Traces, TrialResult
from haulwright.trials.scatter import scatter_of_mean
from haulwright.trials.steady import LEAST_S, Found, find_steady, select, stretches_by_hand

_SOURCES = (
    "JCGM 100:2008 (GUM)",
    "Cochran, Sampling Techniques, 3rd ed. 1977, ch. 6 (from memory, check before quoting)",
    "Flegal & Jones, Ann. Stat. 38 (2010) 1034 (from memory, check before quoting)",
)


@dataclass(frozen=True)
class _Prepared:
    """A log made ready: conditioned, aligned, on one grid."""

    conditioned: Mapping[str, Conditioned]
    offsets: Mapping[str, Measured]
    grid: Grid
    notices: tuple[Notice, ...]


def measure(
    log: ForceLog,
    *,
    run: str,
    rig_name: str,
    frictionless: float,
    lowest: float,
    devices: Sequence[str] = (),
    line: str = "line",
    anchor: str = "anchor",
    cells: Mapping[str, CellSpec] | None = None,
    steady: Sequence[tuple[float, float]] | None = None,
    chosen_by: str = "",
    why: str = "",
    advantage_per_ratio: Callable[[float], float] | None = None,
    path: str = "",
) -> TrialResult:
    """Measure one run.

    Parameters
    ----------
    log : ForceLog
        What :func:`haulwright.trials.readers.read_log` returned.
    run, rig_name : str
        Names of the run and of the rig.
    frictionless, lowest : float
        Advantage without friction, and with every device at a tension ratio of 3; outside them a warning is given.
    devices : sequence of str
        Devices from the drum.
    line, anchor : str
        Places of the two channels that make the ratio.
    cells : mapping of str to CellSpec, optional
        The cell at each place. Without a class 0.5 % of reading is assumed, with a notice.
    steady : sequence of (float, float), optional
        Steady stretches set by hand [s].
    chosen_by, why : str
        Who set them, and why.
    advantage_per_ratio : callable, optional
        Load over effort as a rising function of anchor over line; without it the two are the same.
    path : str
        The rig in short notation, for the record.

    Returns
    -------
    TrialResult
        Without friction of the devices, which needs the rig.

    Raises
    ------
    TrialRefusal
        If no honest number can be had; the message says why.

    References
    ----------
    JCGM 100:2008 (GUM), 4.3.7, 5.1.2 and G.4.
    """
    specs = {place: (cells or {}).get(place, CellSpec()) for place in (line, anchor)}
    ready = _prepare(log, line, anchor)
    found = find_steady(ready.grid) if steady is None else _by_hand(ready, steady, chosen_by, why)
    spans = [(s.start_s, s.end_s) for s in found.stretches]
    means = ratio_of_means(ready.grid, spans)
    pair = {"line": ready.conditioned[line], "anchor": ready.conditioned[anchor]}
    pair_specs = {"line": specs[line], "anchor": specs[anchor]}
    budget = make_budget(means, pair_specs, pair, ready.offsets[anchor])
    relation = advantage_per_ratio or (lambda ratio: ratio)
    advantage, gain = _through(budget.total, relation)
    repeat, _ = _through(budget.repeatability, relation)
    resemblance = correlation(ready.grid, select(ready.grid, spans))
    return TrialResult(
        run=run,
        rig=rig_name,
        path=path,
        devices=tuple(devices),
        frictionless=frictionless,
        channels={
            place: channel_info(
                log.channels[place],
                offset=ready.offsets[place],
                zero=done.zero_N,
                cell=(cells or {}).get(place, CellSpec()).cell,
                n=int(done.channel.time_s.size),
            )
            for place, done in ready.conditioned.items()
        },
        phases=name_phases(ready.conditioned[line], found),
        steady=found.stretches,
        mean_N=_mean_forces(ready, means, line, anchor, spans, cells or {}),
        ratio=budget.total,
        advantage=advantage,
        u_repeatability=repeat.u,
        interval95_repeatability=(repeat.lo, repeat.hi),
        winch_share=Measured(
            1.0 / advantage.value, advantage.u / advantage.value**2, 1.0 / advantage.hi, 1.0 / advantage.lo
        ),
        budget=tuple(BudgetTerm(term.term, term.u * gain, term.share) for term in budget.terms),
        quality=quality(ready.grid, spans, means, budget, resemblance),
        files=log.files,
        _traces=_traces(ready),
        notices=(
            *log.notices,
            *ready.notices,
            *cell_notices(specs, ready.conditioned),
            *stretch_notices(found, means),
            *sanity(advantage, frictionless, lowest, resemblance),
            Code.NO_PEAKS.notice(),
        ),
        made=Made("ratio of means over the steady stretch", _inputs(specs, steady, chosen_by, why), _SOURCES),
    )


def describe(log: ForceLog) -> LogRecord:
    """Return a log as it was understood, with its clock offset, zeros and phases where they can be told."""
    try:
        ready = _prepare(log, "line", "anchor")
    except TrialRefusal as refusal:
        return _told(log.to_record(), refusal)
    zeros = {place: done.zero_N for place, done in ready.conditioned.items()}
    spikes = sum(done.spikes for done in ready.conditioned.values())
    try:
        phases = name_phases(ready.conditioned["line"], find_steady(ready.grid))
    except TrialRefusal as refusal:
        return _told(log.to_record(offsets=ready.offsets, zeros=zeros, spikes=spikes), refusal)
    return log.to_record(phases=phases, offsets=ready.offsets, zeros=zeros, spikes=spikes)


def _told(record: LogRecord, refusal: TrialRefusal) -> LogRecord:
    notice = Code.UNCHECKED.notice(refusal.where, text=f"Read, but not measurable: {refusal.message}")
    return replace(record, notices=(*record.notices, notice))


def _prepare(log: ForceLog, line: str, anchor: str) -> _Prepared:
    for place in (line, anchor):
        if place not in log.channels:
            known = ", ".join(log.channels)
            raise TrialRefusal("NO_CHANNEL", f"The log has no channel {place!r}; it has {known}.", (place,))
    conditioned = {place: condition(log.channels[place]) for place in (line, anchor)}
    told: list[Notice] = []
    for place, channel in log.channels.items():
        if place in conditioned:
            continue
        try:
            conditioned[place] = condition(channel)
        except TrialRefusal as refusal:
            told.append(Code.UNCHECKED.notice((place,), text=f"{place} is left out: {refusal.message}"))
    base = conditioned[line].channel
    offsets = {
        place: Measured.exact(0.0) if place == line else clock_offset(base, done.channel)
        for place, done in conditioned.items()
    }
    grid = make_grid(base, conditioned[anchor].channel, offsets[anchor].value)
    return _Prepared(conditioned, offsets, grid, tuple(told))


def _by_hand(ready: _Prepared, steady: Sequence[tuple[float, float]], chosen_by: str, why: str) -> Found:
    stretches = stretches_by_hand(ready.grid, steady, chosen_by, why)
    return Found(stretches, tuple((s.start_s, s.end_s) for s in stretches), ())


def _through(ratio: Measured, relation: Callable[[float], float]) -> tuple[Measured, float]:
    """Carry a ratio through a rising relation; return the value and the slope there."""
    value, step = relation(ratio.value), 1e-4 * ratio.value
    gain = (relation(ratio.value + step) - relation(ratio.value - step)) / (2.0 * step)
    if not gain > 0.0:
        message = f"The advantage does not rise with the measured ratio ({ratio.value:.3f}) for these places of the cells."
        raise TrialRefusal("RELATION", message)
    return Measured(value, gain * ratio.u, relation(ratio.lo), relation(ratio.hi)), gain


def _mean_forces(
    ready: _Prepared,
    means: RatioOfMeans,
    line: str,
    anchor: str,
    spans: Sequence[tuple[float, float]],
    cells: Mapping[str, CellSpec],
) -> dict[str, Measured]:
    found: dict[str, Measured] = {}
    inside = select(ready.grid, spans)
    for place, done in ready.conditioned.items():
        spec = cells.get(place, CellSpec())
        if place == line:
            found[place] = mean_force(means.line_N, means.line_scatter, done, spec)
        elif place == anchor:
            found[place] = mean_force(means.anchor_N, means.anchor_scatter, done, spec)
        else:
            values = on_grid(done.channel, ready.offsets[place].value, ready.grid.time_s, ready.grid.step_s)[
                inside
            ]
            values = values[np.isfinite(values)]
            if values.size * ready.grid.step_s >= LEAST_S and float(values.mean()) > 0.0:
                size = max(1, round(1.0 / ready.grid.step_s))
                seconds = values[: values.size // size * size].reshape(-1, size).mean(axis=1)
                found[place] = mean_force(float(values.mean()), scatter_of_mean(seconds), done, spec)
    return found


def _traces(ready: _Prepared) -> Traces:
    times = {
        place: tuple((d.channel.time_s - ready.offsets[place].value).tolist())
        for place, d in ready.conditioned.items()
    }
    return Traces(times, {place: tuple(d.channel.force_N.tolist()) for place, d in ready.conditioned.items()})


def _inputs(
    specs: Mapping[str, CellSpec], steady: Sequence[tuple[float, float]] | None, chosen_by: str, why: str
) -> dict[str, object]:
    inputs: dict[str, object] = {"cells": dict(specs)}
    if steady is not None:
        inputs.update(steady=tuple(steady), chosen_by=chosen_by, why=why)
    return inputs
