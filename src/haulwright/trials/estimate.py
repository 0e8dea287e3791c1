"""From a log to the advantage that was really reached: one run, end to end."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace

import numpy as np

from haulwright.errors import TrialRefusal
from haulwright.notices import Code
from haulwright.quantities.measured import Measured
from haulwright.records import Made
from haulwright.trials.budget import RatioOfMeans, make_budget, mean_force, ratio_of_means
from haulwright.trials.cells import CellSpec
from haulwright.trials.choices import explain, sensitivity
from haulwright.trials.clocks import with_clocks
from haulwright.trials.grid import correlation, on_grid
from haulwright.trials.hauls import count_hauls, find_hauls
from haulwright.trials.holds import motion_noise
from haulwright.trials.log import ForceLog, channel_info
from haulwright.trials.phases import name_phases
from haulwright.trials.prepare import ByHand, Prepared, prepare
from haulwright.trials.remarks import cell_notices, quality, refuse_static, sanity, stretch_notices
from haulwright.trials.result import BudgetTerm, LogRecord, Phase, Traces, TrialResult
from haulwright.trials.scatter import scatter_of_mean
from haulwright.trials.steady import LEAST_S, Found, find_steady, select, stretches_by_hand

_MOST_SHOWN = 10_000  # points of a trace
_SOURCES = (
    "JCGM 100:2008 (GUM)",
    "Cochran, Sampling Techniques, 3rd ed. 1977, ch. 6 (from memory, check before quoting)",
    "Flegal & Jones, Ann. Stat. 38 (2010) 1034 (from memory, check before quoting)",
)


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
    offsets_s: Mapping[str, float] | None = None,
    zeros_N: Mapping[str, float] | None = None,
    said: Mapping[str, str] | None = None,
    advantage_per_ratio: Callable[[float], float] | None = None,
    path: str = "",
    tugs: str = "",
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
        Who chose stretches, offset or zeros by hand, and why.
    offsets_s : mapping of str to float, optional
        Clock offsets by hand: the channel's stamp minus the line's stamp of the same instant [s].
    zeros_N : mapping of str to float, optional
        Zeros by hand, by place [N].
    said : mapping of str to str, optional
        Who and why in words where one of these has its own: ``zero of the line``, ``clock offset of the anchor``.
    advantage_per_ratio : callable, optional
        Load over effort as a rising function of anchor over line; without it the two are the same.
    path : str
        The rig in short notation, for the record.
    tugs : str
        What the run sheet says of tugs as clock marks: ``both``, ``start``, ``end``, ``none``; without it they are
        looked for.

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
    spans_by_hand = None if steady is None else tuple(steady)
    by_hand = ByHand(spans_by_hand, offsets_s or {}, zeros_N or {}, chosen_by, why, said or {})
    ready = prepare(log, line, anchor, by_hand, tugs=tugs)
    found = (
        find_steady(ready.grid, ready.quanta_N) if steady is None else _by_hand(ready, steady, chosen_by, why)
    )
    spans = [(s.start_s, s.end_s) for s in found.stretches]
    means = ratio_of_means(ready.grid, spans)
    pair = {"line": ready.conditioned[line], "anchor": ready.conditioned[anchor]}
    pair_specs = {"line": specs[line], "anchor": specs[anchor]}
    budget = make_budget(means, pair_specs, pair, ready.offsets[anchor])
    relation = advantage_per_ratio or (lambda ratio: ratio)
    advantage, gain = _through(budget.total, relation)
    repeat, _ = _through(budget.repeatability, relation)
    resemblance = correlation(ready.grid, select(ready.grid, spans))
    if steady is None and frictionless > 1.0 + 1e-9:
        refuse_static(*motion_noise(ready.grid, select(ready.grid, spans), ready.quanta_N))
    return TrialResult(
        run=run,
        rig=rig_name,
        path=path,
        devices=tuple(devices),
        frictionless=frictionless,
        channels=with_clocks(
            {
                place: channel_info(
                    log.channels[place],
                    offset=ready.offsets[place],
                    zero=done.zero_N,
                    cell=(cells or {}).get(place, CellSpec()).cell,
                    n=done.n,
                )
                for place, done in ready.conditioned.items()
            },
            ready.clocks,
        ),
        phases=name_phases(ready.conditioned[line], found, ready.tugs),
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
        choices={**explain(ready, found, line, anchor, by_hand), **_format_given(log)},
        sensitivity=sensitivity(ready.grid, found, relation),
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
        made=Made("ratio of means over the steady stretch", _inputs(specs, by_hand), _SOURCES),
    )


def describe(log: ForceLog) -> LogRecord:
    """Return a log as it was understood, with its clock offset, zeros and phases where they can be told.

    The phases are those of a run; of one cell alone, of several hauls in one log, or where no run can be made out,
    they are hauls, rests and silences.
    """
    hauls = find_hauls(log.channels.get("line") or next(iter(log.channels.values())))
    try:
        ready = prepare(log, "line", "anchor")
    except TrialRefusal as refusal:
        return _told(log.to_record(phases=hauls), refusal)
    try:
        phases = name_phases(ready.conditioned["line"], find_steady(ready.grid, ready.quanta_N), ready.tugs)
    except TrialRefusal as refusal:
        return _told(_record(log, ready, hauls), refusal)
    if count_hauls(hauls) > 1:
        phases = hauls
    return _record(log, ready, phases)


def _record(log: ForceLog, ready: Prepared, phases: Sequence[Phase]) -> LogRecord:
    zeros = {place: done.zero_N for place, done in ready.conditioned.items()}
    spikes = sum(done.spikes for done in ready.conditioned.values())
    record = log.to_record(phases=phases, offsets=ready.offsets, zeros=zeros, spikes=spikes)
    told = tuple(note for clock in ready.clocks.values() for note in clock.notices)
    channels = with_clocks(record.channels, ready.clocks)
    return replace(record, channels=channels, notices=(*record.notices, *told))


def _told(record: LogRecord, refusal: TrialRefusal) -> LogRecord:
    notice = Code.UNCHECKED.notice(refusal.where, text=f"Read, but not measurable: {refusal.message}")
    return replace(record, notices=(*record.notices, notice))


def _by_hand(ready: Prepared, steady: Sequence[tuple[float, float]], chosen_by: str, why: str) -> Found:
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
    ready: Prepared,
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


def _traces(ready: Prepared) -> Traces:
    """Return what charts draw: no more points than a screen or a page can show, a long log as means."""
    shown = {
        place: done.channel.thinned((done.channel.time_s[-1] - done.channel.time_s[0]) / _MOST_SHOWN)
        for place, done in ready.conditioned.items()
    }
    times = {p: tuple((c.time_s - ready.offsets[p].value).tolist()) for p, c in shown.items()}
    return Traces(times, {place: tuple(c.force_N.tolist()) for place, c in shown.items()})


def _inputs(specs: Mapping[str, CellSpec], by_hand: ByHand) -> dict[str, object]:
    inputs: dict[str, object] = {"cells": dict(specs)}
    if by_hand.steady is not None:
        inputs["steady"] = by_hand.steady
    if by_hand.offsets_s:
        inputs["offsets_s"] = dict(by_hand.offsets_s)
    if by_hand.zeros_N:
        inputs["zeros_N"] = dict(by_hand.zeros_N)
    if by_hand.anything:
        inputs.update(chosen_by=by_hand.who, why=by_hand.why)
    if by_hand.said:
        inputs["said"] = dict(by_hand.said)
    return inputs


def _format_given(log: ForceLog) -> dict[str, str]:
    given = log.format.get("given")
    return {"format": f"as given: {given}"} if given else {}
