"""Verbs of one run from its logs."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

from haulwright.progress import Progress, Step, silent
from haulwright.workflows.given import Given
from haulwright.workflows.rigs import read_rig

if TYPE_CHECKING:
    from haulwright.mechanics.rig import Rig
    from haulwright.publishing.run_view_record import RunView
    from haulwright.trials.result import LogRecord, TrialResult
    from haulwright.trials.traces import RunTraces

_NO_NUMBER = ("NO_STEADY", "TOO_SHORT", "STATIC", "IMPOSSIBLE", "SWAPPED")  # of a log that can be drawn
# what is asked of a run beside the format of its logs
_NO_FORMAT = ("devices", "anchor_at", "cells", "run", "steady", "clock_offset", "zeros", "by", "why")


def read_trial(logs: Sequence[str | Path], *, progress: Progress = silent, **choices: Any) -> LogRecord:
    """Return a log as understood: format, units, clocks, channels, every row's fate, phases.

    Parameters
    ----------
    logs : sequence of paths
        One joint log, a log for each cell, or the log of one cell.
    progress : callable
        Is told each step in words.
    **choices
        What is not to be found out: ``line_column``, ``anchor_column``, ``time_column``, ``unit``, ``date_order``,
        ``clock``, ``separator``, ``decimal``, ``encoding``, ``sheet``, ``zone``.
    """
    from haulwright.trials.estimate import describe
    from haulwright.trials.readers import read_log

    paths = [Path(log) for log in logs]
    progress(Step(_reading(paths), 0.0))
    log = read_log(paths, both=False, **choices)
    progress(Step("looking for the phases of the pull", 0.7))
    return describe(log)


def _reading(logs: Sequence[Path]) -> str:
    return f"reading {' and '.join(log.name for log in logs)}"


def measure_trial(
    logs: Sequence[str | Path] | str | Path | Mapping[str, Mapping[str, Any] | str],
    *,
    rig: Given | Rig,
    devices: Sequence[str] = (),
    line_column: str | None = None,
    anchor_column: str | None = None,
    anchor_at: str | None = None,
    unit: str | None = None,
    date_order: str | None = None,
    cells: Mapping[str, Any] | None = None,
    run: str = "",
    steady: Sequence[str | tuple[float, float]] = (),
    clock_offset: str | float | Mapping[str, str | float] | None = None,
    zeros: Mapping[str, str | float] | None = None,
    by: str = "",
    why: str = "",
    progress: Progress = silent,
    **choices: Any,
) -> TrialResult:
    """Return the advantage that one logged run really reached, with its uncertainty and its devices' friction.

    Parameters
    ----------
    logs : path, sequence of paths, or mapping
        One joint log, or line and anchor log; or the readings themselves:
        ``{"line": {"time_s": […], "force": […], "unit": "kgf"}, "anchor": {…}}``; or two forces typed from the displays,
        ``{"line": "612 kgf", "anchor": "1120 ± 10 kgf"}``: a run of lower grade.
    rig : path, mapping, notation, name or Rig
    devices : sequence of str
        From the drum, one per block.
    line_column, anchor_column : str or None
        Columns, where the headers do not tell.
    anchor_at : str or None
        Place of the anchor channel in the rig: a body or a block; None: it reads the whole load.
    unit : str or None
        Unit of the forces, where the file does not tell.
    date_order : str or None
        ``day-first`` or ``month-first``, where the stamps can be read both ways.
    cells : mapping place -> CellSpec or mapping, or None
        ``{"line": {"class": "0.5 %", "of": "reading", "capacity": "3 t"}}``; places ``line`` and ``anchor``.
    run : str
        Name of the run; the first log's name if empty.
    steady : sequence of str or (float, float)
        Steady stretches by hand, in seconds of the line's clock, as ``95:160``.
    clock_offset : str, float, mapping place -> either, or None
        Clock offset by hand, of the anchor or of each channel named: its stamp minus the line's stamp of the same
        instant [s].
    zeros : mapping place -> force, or None
        Zeros to take off by hand, as ``{"line": "2 kgf"}``.
    by, why : str
        Who chose by hand, and why: needed with any of the three; kept in the record with today's date.
    progress : callable
        Is told each step in words.
    **choices
        Further decisions about the format of the logs, as in :func:`read_trial`.

    Returns
    -------
    TrialResult

    Raises
    ------
    Refusal
        A log or rig that cannot be read, or a run from which no honest number can be had.
    """
    from haulwright.trials.arrays import log_from_arrays
    from haulwright.trials.cells import calibrated, cell_specs
    from haulwright.trials.estimate import measure
    from haulwright.trials.friction import friction_of_run, rig_model
    from haulwright.trials.place import advantage_relation
    from haulwright.trials.plausible import judged
    from haulwright.trials.prepare import choose_by_hand
    from haulwright.trials.readers import read_log

    hand = choose_by_hand(steady, clock_offset, zeros or {}, by, why, date.today().isoformat())
    model = rig_model(read_rig(rig), devices)
    if isinstance(logs, Mapping) and any(isinstance(one, str) for one in logs.values()):
        from haulwright.errors import TrialRefusal
        from haulwright.trials.typed import typed_run

        if hand.anything:
            text = "Forces typed from the displays have no stretch, clock or zero to set by hand."
            raise TrialRefusal("BAD_CHOICE", text, ("steady", "clock_offset", "zeros"))
        typed = typed_run(logs, model, devices, cell_specs(cells), advantage_relation(model, anchor_at), run)
        return friction_of_run(judged(typed, model), model)
    if isinstance(logs, Mapping):
        arrays = {place: one for place, one in logs.items() if not isinstance(one, str)}
        name, log = "readings", log_from_arrays(arrays)
    else:
        paths = [Path(one) for one in ([logs] if isinstance(logs, str | Path) else logs)]
        progress(Step(_reading(paths), 0.0))
        log = read_log(
            paths,
            line_column=line_column,
            anchor_column=anchor_column,
            unit=unit,
            date_order=date_order,
            **choices,
        )
        name = paths[0].stem
    specs = cell_specs(cells)
    progress(Step("clocks, zeros, steady stretch, advantage", 0.4))
    result = measure(
        calibrated(log, specs),
        run=run or name,
        rig_name=model.rig.name,
        frictionless=model.frictionless,
        lowest=model.lowest,
        devices=devices,
        cells=specs,
        steady=hand.steady,
        offsets_s=hand.offsets_s,
        zeros_N=hand.zeros_N,
        chosen_by=hand.who,
        why=hand.why,
        advantage_per_ratio=advantage_relation(model, anchor_at),
        path=model.rig.path,
    )
    return friction_of_run(judged(result, model), model)


def show_trial(
    logs: Sequence[str | Path],
    *,
    rig: Given | Rig,
    keep: str | Path | None = None,
    units: str = "kN",
    progress: Progress = silent,
    **choices: Any,
) -> RunView:
    """Return one run of no campaign as its page shows it; of one that gives no number, why, if it can be drawn.

    Parameters
    ----------
    logs, rig
        As :func:`measure_trial`.
    keep : path or None
        Folder in which what is drawn of the logs is kept between questions.
    units : str
        Unit of the forces in sentences.
    progress : callable
        Is told each step in words.
    **choices
        As :func:`measure_trial`.

    Raises
    ------
    Refusal
        As :func:`measure_trial`, where the logs cannot even be drawn.
    """
    from haulwright.errors import TrialRefusal
    from haulwright.publishing.run_view import refused_view, view_of

    try:
        return view_of(measure_trial(logs, rig=rig, progress=progress, **choices), units=units)
    except TrialRefusal as refused:
        if refused.code not in _NO_NUMBER:
            raise
        format_of = {key: value for key, value in choices.items() if key not in _NO_FORMAT}
        try:
            trace_trial(logs, keep=keep, **choices)
            phases = read_trial(logs, **format_of).phases
        except TrialRefusal:
            raise refused from None
        return refused_view(choices.get("run") or Path(logs[0]).stem, refused.message, phases=phases)


def trace_trial(
    logs: Sequence[str | Path],
    *,
    keep: str | Path | None = None,
    from_s: float | None = None,
    to_s: float | None = None,
    points: int = 3000,
    logged: bool = False,
    **choices: Any,
) -> RunTraces:
    """Return the traces of a run of no campaign within a span, at the level of detail asked for.

    Parameters
    ----------
    logs : sequence of paths
        One joint log, or line and anchor log.
    keep : path or None
        Folder in which they are kept between questions.
    from_s, to_s, points, logged
        As :func:`haulwright.trials.traces.traces_within`.
    **choices
        As :func:`measure_trial`; the stretches change nothing that is drawn.

    Raises
    ------
    Refusal
        Logs that cannot be read or laid on one clock.
    """
    from haulwright.trials.cells import cell_specs
    from haulwright.trials.prepare import choose_by_hand
    from haulwright.trials.trace_sources import traces_of_logs
    from haulwright.trials.trace_store import TraceStore
    from haulwright.trials.traces import traces_within

    paths = [Path(log) for log in logs]
    hand = choose_by_hand(
        (),
        choices.get("clock_offset"),
        choices.get("zeros") or {},
        choices.get("by", ""),
        choices.get("why", ""),
        "",
    )
    format_of = {key: value for key, value in choices.items() if key not in _NO_FORMAT}
    store = TraceStore(None if keep is None else Path(keep))
    whole = traces_of_logs(paths, cell_specs(choices.get("cells")), hand, store, format_of)
    name = choices.get("run") or paths[0].stem
    return traces_within(whole, name, from_s=from_s, to_s=to_s, points=points, logged=logged)
