"""Verbs of one run of a campaign's folder."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from haulwright.progress import Progress, within
from haulwright.workflows.campaigns import check_campaign, reading_store

if TYPE_CHECKING:
    from haulwright.files.campaign import CampaignFolder
    from haulwright.files.runsheet import RunEntry
    from haulwright.publishing.run_view_record import RunView
    from haulwright.trials.result import CampaignResult, Phase, TrialResult
    from haulwright.trials.traces import RunTraces


def show_run(
    folder: str | Path, run: str, *, units: str = "kN", progress: Progress | None = None, jobs: int = 1
) -> RunView:
    """Return one run of a campaign as its page shows it, with what the whole campaign says of its cells.

    Runs are kept as :func:`kept_campaign` keeps them. Runs whose logs are not there yet are passed over.

    Parameters
    ----------
    folder : path
    run : str
    units : str
        Unit of the forces in sentences.
    progress : callable, optional
        Is told each step in words.
    jobs : int
        Processes that measure side by side.

    Raises
    ------
    Refusal
        A folder that cannot be read; FileRefusal UNKNOWN_RUN.
    """
    from haulwright.errors import TrialRefusal
    from haulwright.files.campaign import read_campaign
    from haulwright.publishing.run_view import Neighbours, refused_view, view_in_campaign, view_of
    from haulwright.trials.campaign import measure_campaign as measure

    read = read_campaign(folder, logs_needed=False)
    entry, at = _entry(read, run), [one.run for one in read.runs].index(run)
    check = check_campaign(folder, progress=within(progress, 0.0, 0.8), jobs=jobs, kept=True)
    there = replace(read, runs=tuple(one for one in read.runs if all(log.is_file() for log in one.logs)))
    result: CampaignResult | None = None
    no_number = ""
    if there.runs:
        try:
            result = measure(
                there, progress=within(progress, 0.8, 1.0), store=reading_store(folder), jobs=jobs
            )
        except TrialRefusal as refused:
            no_number = refused.message
    mine = next((one for one in result.runs if one.run == run), None) if result else None
    verdict = check.runs[at]
    if mine is not None:
        view = view_of(mine, units=units)
    else:
        why = "; ".join(verdict.reasons) or no_number
        view = refused_view(
            run,
            why,
            title=f"Run {run}, {entry.rig}",
            phases=_phases(read, entry),
            by_hand=read.stretches(run),
        )
    names = [one.run for one in read.runs]
    place = Neighbours((at + 1, len(names)), names[at - 1] if at else None, next(iter(names[at + 1 :]), None))
    return view_in_campaign(view, read.spec.name, verdict, place, result)


def try_run(folder: str | Path, run: str, steady: Sequence[str | tuple[float, float]]) -> TrialResult:
    """Return what a run of a campaign would give with other steady stretches; nothing is kept or decided.

    The gains of the cells, which follow from all runs, are not taken off.

    Parameters
    ----------
    folder : path
    run : str
    steady : sequence of str or (float, float)
        In seconds of the line's clock, as ``95:160``.

    Raises
    ------
    Refusal
        A folder that cannot be read, UNKNOWN_RUN, BAD_STRETCH, or a run that gives no number with them.
    """
    from haulwright.errors import TrialRefusal
    from haulwright.files.campaign import read_campaign
    from haulwright.trials.campaign_runs import measure_entry, with_stretches
    from haulwright.trials.prepare import choose_by_hand

    read = read_campaign(folder, logs_needed=False)
    entry = _entry(read, run)
    spans = choose_by_hand(steady, None, {}, "nobody", "a try", "").steady or ()
    found = measure_entry(with_stretches(read, run, spans), entry, entry.rig)
    if found.result is None:
        raise TrialRefusal("BAD_STRETCH", found.refusal, (run,))
    return found.result


def _phases(folder: CampaignFolder, entry: RunEntry) -> tuple[Phase, ...]:
    """Return the phases of a run that gives no number; none where its log cannot be read."""
    from haulwright.errors import TrialRefusal
    from haulwright.trials.campaign_runs import read_entry
    from haulwright.trials.estimate import describe

    if entry.typed or not all(log.is_file() for log in entry.logs):
        return ()
    try:
        return describe(read_entry(folder, entry)).phases
    except TrialRefusal:
        return ()


def trace_run(
    folder: str | Path,
    run: str,
    *,
    from_s: float | None = None,
    to_s: float | None = None,
    points: int = 3000,
    logged: bool = False,
) -> RunTraces:
    """Return the traces of one run of a campaign within a span, at the level of detail asked for.

    They are kept in ``results/cache/traces`` of the folder.

    Parameters
    ----------
    folder : path
    run : str
    from_s, to_s, points, logged
        As :func:`haulwright.trials.traces.traces_within`.

    Raises
    ------
    Refusal
        A folder that cannot be read; FileRefusal UNKNOWN_RUN; TrialRefusal NO_TRACES.
    """
    from haulwright.files.campaign import read_campaign
    from haulwright.trials.trace_sources import traces_of_entry
    from haulwright.trials.trace_store import TraceStore
    from haulwright.trials.traces import traces_within

    read = read_campaign(folder, logs_needed=False)
    store = TraceStore(Path(folder) / "results" / "cache" / "traces")
    whole = traces_of_entry(read, _entry(read, run), store)
    return traces_within(whole, run, from_s=from_s, to_s=to_s, points=points, logged=logged)


def _entry(folder: CampaignFolder, run: str) -> RunEntry:
    from haulwright.files.faults import nearest, refusal

    found = next((one for one in folder.runs if one.run == run), None)
    if found is None:
        known = [one.run for one in folder.runs]
        raise refusal("UNKNOWN_RUN", "runs.csv", None, f"no run {run!r}: {nearest(run, known)}", (run,))
    return found
