"""Pass or redo, while the gear still lies on the lane: every run of the sheet read and measured at once."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace

from haulwright.files.campaign import CampaignFolder, log_name
from haulwright.files.runsheet import RunEntry
from haulwright.notices import Code, Notice
from haulwright.progress import Progress, silent
from haulwright.records import Made
from haulwright.trials.campaign_pool import measure_runs
from haulwright.trials.campaign_runs import ANCHOR, LINE, MeasuredRun
from haulwright.trials.result import CampaignCheck, LogThere, RunVerdict
from haulwright.trials.run_store import RunStore

LEAST_TOGETHER = 0.9  # share of the steady stretch that both cells must have logged (house rule)
VERDICTS = ("pass", "redo", "missing", "left_out")
REDO = {
    Code.NO_ZERO.name: "zero missing: start the loggers before tension, stop them after it",
    Code.CLIPPED.name: "clipped: larger cell or finer display",
    Code.UNCORRELATED.name: "the two logs do not move together: are they one pull?",
    Code.IMPOSSIBLE_HIGH.name: "impossible: more than without friction; wrong rig, swapped cells, zero or unit?",
    Code.IMPOSSIBLE_LOW.name: "impossible: less than any device under test; wrong rig, swapped cells, stuck sheave?",
    Code.FEW_SAMPLES.name: "too short: pull at least 30 s in one go",
}


def check_campaign(
    folder: CampaignFolder,
    *,
    progress: Progress | None = None,
    store: RunStore | None = None,
    jobs: int = 1,
) -> CampaignCheck:
    """Check every run of a campaign on the day.

    Parameters
    ----------
    folder : CampaignFolder
        Read with ``logs_needed=False``.
    progress : callable, optional
        Is told each step in words.
    store : RunStore, optional
        Runs kept from before.
    jobs : int
        Processes that measure side by side.

    Returns
    -------
    CampaignCheck

    Notes
    -----
    Redo: a run that gives no number (no steady motion, clipped, gaps, too short …), or one that would but with zero
    missing, clipping over 3 %, traces that do not move together, an impossible advantage, under 30 s of steady pull, or
    under 90 % of it logged by both cells. A series pull: a quotient further from 1 than both classes and its own
    uncertainty allow.
    """
    missing = {entry.run: _missing(entry) for entry in folder.runs}
    found = measure_runs(so_far(folder), progress or silent, store or RunStore(None), jobs)
    by_run = {one.entry.run: one for one in found.measured}
    left = {str(one["run"]): one for one in found.excluded}
    runs = tuple(
        _described(entry, _checked(entry.run, missing[entry.run], by_run, left, folder), folder)
        for entry in folder.runs
    )
    return CampaignCheck(
        name=folder.spec.name,
        runs=runs,
        unmatched=_unmatched(folder),
        next=next((one.run for one in runs if one.verdict == "missing"), None),
        counts={word: sum(one.verdict == word for one in runs) for word in VERDICTS},
        made=Made("every run read and measured; rules of the same day", {"folder": folder.path.name}),
    )


def so_far(folder: CampaignFolder) -> CampaignFolder:
    """Return a campaign with the runs alone whose logs are there."""
    return replace(folder, runs=tuple(entry for entry in folder.runs if not _missing(entry)))


def still_to_come(folder: CampaignFolder) -> tuple[Notice, ...]:
    """Return the notice that runs of the sheet have no log yet, where some have none."""
    left = [entry.run for entry in folder.runs if _missing(entry)]
    if not left:
        return ()
    text = (
        f"{len(left)} of {len(folder.runs)} runs of the sheet have no log yet: these are the results so far."
    )
    return (Code.ADVICE.notice(tuple(left), text=text),)


def _described(entry: RunEntry, verdict: RunVerdict, folder: CampaignFolder) -> RunVerdict:
    """Return a verdict with what the sheet says of its run."""
    logs = tuple(
        LogThere(place, log_name(folder.path, one.log), one.log.is_file())
        for place, one in entry.channels.items()
        if one.log is not None
    )
    return replace(verdict, rig=entry.rig, devices=entry.devices, logs=logs, row=entry.row)


def _missing(entry: RunEntry) -> tuple[str, ...]:
    return tuple(log.name for log in entry.logs if not log.is_file())


def _unmatched(folder: CampaignFolder) -> tuple[str, ...]:
    """Return the files in the logs folder that no run names."""
    logs = folder.path / "logs"
    named = {log.resolve() for entry in folder.runs for log in entry.logs}
    if not logs.is_dir():
        return ()
    return tuple(
        sorted(
            path.relative_to(logs).as_posix()
            for path in logs.rglob("*")
            if path.is_file() and path.resolve() not in named and not path.name.startswith(".")
        )
    )


def _checked(
    run: str,
    missing: tuple[str, ...],
    measured: Mapping[str, MeasuredRun],
    left: Mapping[str, Mapping[str, str]],
    folder: CampaignFolder,
) -> RunVerdict:
    decision = folder.exclusion(run)
    if decision:
        return RunVerdict(run, "left_out", (f"{decision.why} ({decision.who})",))
    if missing:
        return RunVerdict(run, "missing", tuple(f"no log {name}" for name in missing))
    if run not in measured:
        return RunVerdict(run, "redo", (left[run]["why"],))
    one = measured[run]
    reasons = _reasons(one, folder)
    return RunVerdict(run, "redo" if reasons else "pass", reasons, one.result.advantage)


def _reasons(one: MeasuredRun, folder: CampaignFolder) -> tuple[str, ...]:
    """Return why a measured run is to be pulled again."""
    reasons = []
    for notice in one.result.notices:
        if words := REDO.get(notice.code):
            reasons.append(f"{', '.join(notice.where)}: {words}" if notice.where else words)
    together = float(one.result.quality.get("both_cells_share", "1"))
    if together < LEAST_TOGETHER:
        reasons.append(f"gaps: both cells logged only {100.0 * together:.0f} % of the steady pull")
    if not one.model.unknowns and (words := _over_class(one, folder)):
        reasons.append(words)
    return tuple(reasons)


def _over_class(one: MeasuredRun, folder: CampaignFolder) -> str:
    """Return what a series pull says of the cells, if more than their classes and its own scatter allow."""
    result = one.result
    ratio = result.ratio.value
    own = 2.0 * result.u_repeatability / result.advantage.value
    classes = sum(_limit(one, place, folder) for place in (LINE, ANCHOR))
    if abs(math.log(ratio)) <= classes + own:
        return ""
    return (
        f"series pull: the cells differ by {100.0 * (ratio - 1.0):+.2f} %, their classes allow "
        f"± {100.0 * classes:.2f} %: check zero, pins and side load, and which cell hung where"
    )


def _limit(one: MeasuredRun, place: str, folder: CampaignFolder) -> float:
    """Return the limit of a cell's relative error in this run, from its class or its certificate."""
    cell = folder.spec.cells.get(one.entry.channels[place].cell)
    if cell is None:
        return 0.005
    if cell.expanded is not None:
        return cell.expanded
    limit = cell.class_ or 0.005
    return limit * cell.capacity / one.result.mean_N[place].value if cell.class_of == "range" else limit
