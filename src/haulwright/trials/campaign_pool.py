"""Every run of a campaign measured: those kept are taken as they are, the others measured, side by side if wanted."""

from __future__ import annotations

import concurrent.futures
import multiprocessing
import os
import threading
from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures.process import BrokenProcessPool
from dataclasses import dataclass

from haulwright.errors import Refusal
from haulwright.files.campaign import CampaignFolder
from haulwright.files.runsheet import RunEntry
from haulwright.notices import Code, Notice
from haulwright.progress import Progress, Step
from haulwright.quantities.units import speak_kept, unspoken
from haulwright.trials.campaign_runs import (
    MeasuredRun,
    Outcome,
    measure_entry,
    model_of,
    rig_of,
    run_key,
    specs_of,
)
from haulwright.trials.result import CheckStep
from haulwright.trials.run_store import RunStore
from haulwright.trials.run_text import from_text, to_text

FEW = 6  # up to this many runs another process costs more than it saves
_campaign: CampaignFolder | None = None  # of a worker process


@dataclass(frozen=True)
class Runs:
    """The runs of a campaign.

    Attributes
    ----------
    measured : tuple of MeasuredRun
    excluded : tuple of mapping
        Run and reason; who and when where a person decided.
    notices : tuple of Notice
    steps : mapping run -> tuple of CheckStep
        Levels of series checks that are no pull.
    """

    measured: tuple[MeasuredRun, ...]
    excluded: tuple[Mapping[str, str], ...]
    notices: tuple[Notice, ...]
    steps: Mapping[str, tuple[CheckStep, ...]]


def measure_runs(folder: CampaignFolder, tell: Progress, store: RunStore, jobs: int = 1) -> Runs:
    """Return the measured runs, those left out with the reason, and the notices about them.

    Parameters
    ----------
    folder : CampaignFolder
    tell : callable
        Is told each run as it is taken up, or done.
    store : RunStore
        Runs kept from before; a run measured now is kept at once, so that a stop loses nothing.
    jobs : int
        Processes that measure side by side.
    """
    measured: list[MeasuredRun] = []
    excluded: list[Mapping[str, str]] = []
    notices: list[Notice] = []
    holds: dict[str, tuple[CheckStep, ...]] = {}
    outcomes = _outcomes(folder, tell, store, jobs)
    for entry in folder.runs:
        if decision := folder.exclusion(entry.run):
            why = {
                "run": entry.run,
                "why": decision.why,
                "who": decision.who,
                "when": decision.when.isoformat(),
            }
            excluded.append(why)
            continue
        found = outcomes[entry.run]
        if found.result is not None:
            measured.append(
                MeasuredRun(
                    entry,
                    found.result,
                    model_of(folder, entry),
                    found.others,
                    found.steps,
                    specs_of(folder, entry),
                )
            )
            continue
        excluded.append({"run": entry.run, "why": found.refusal})
        if found.steps:
            holds[entry.run] = found.steps
            text = f"Run {entry.run} is no pull ({found.refusal}), but its {len(found.steps)} levels check the cells."
            notices.append(Code.ADVICE.notice((entry.run,), text=text))
            continue
        text = f"Run {entry.run} (runs.csv, line {entry.line}) gives no number: {found.refusal}"
        notices.append(Code.UNCHECKED.notice((entry.run,), text=text))
    return Runs(tuple(measured), tuple(excluded), tuple(notices), holds)


def _outcomes(folder: CampaignFolder, tell: Progress, store: RunStore, jobs: int) -> dict[str, Outcome]:
    wanted = [entry for entry in folder.runs if folder.exclusion(entry.run) is None]
    names = _rig_names(folder, wanted)
    keys = {entry.run: run_key(folder, entry, names[entry.run]) for entry in wanted}
    number = {entry.run: i for i, entry in enumerate(folder.runs, 1)}
    found: dict[str, Outcome] = {}
    left: list[RunEntry] = []
    for entry in wanted:
        kept = _kept(store, keys[entry.run])
        if kept is None:
            left.append(entry)
        else:
            found[entry.run] = kept
    if found:
        tell(f"{len(found)} of {len(wanted)} runs are kept from before")

    def taken_up(entry: RunEntry) -> None:
        words = f"run {number[entry.run]} of {len(folder.runs)}: {entry.run}"
        tell(Step(words, len(found) / len(wanted)))

    for entry, text in _measure(folder, left, names, jobs, taken_up):
        found[entry.run] = _told(text)
        if run_key(folder, entry, names[entry.run]) == keys[entry.run]:  # no log changed meanwhile
            store.put(keys[entry.run], text)
    store.keep_only(keys.values())
    return found


def _kept(store: RunStore, key: str) -> Outcome | None:
    text = store.get(key)
    if text is None:
        return None
    try:
        return _told(text)
    except (ValueError, KeyError, TypeError, AttributeError):
        return None


def _told(text: str) -> Outcome:
    """Return an outcome with its sentences in the unit that is spoken now."""
    return from_text(Outcome, speak_kept(text))


def _outcome(folder: CampaignFolder, entry: RunEntry, name: str) -> str:
    """Return the outcome of a run as text that is kept for readers of any unit."""
    with unspoken():
        return to_text(measure_entry(folder, entry, name))


def _rig_names(folder: CampaignFolder, wanted: Sequence[RunEntry]) -> dict[str, str]:
    """Return what the record calls the rig of each run: the first spelling of the same path."""
    first: dict[str, str] = {}
    names = {}
    for entry in wanted:
        try:
            path = rig_of(entry.rig, folder.path).path or entry.rig
        except Refusal:
            path = entry.rig  # told when the run is measured
        names[entry.run] = first.setdefault(path, entry.rig)
    return names


def _measure(
    folder: CampaignFolder,
    left: Sequence[RunEntry],
    names: Mapping[str, str],
    jobs: int,
    tell: Callable[[RunEntry], None],
) -> Iterator[tuple[RunEntry, str]]:
    """Yield each run with its outcome as text, as they come."""
    if jobs <= 1 or len(left) <= FEW:
        for entry in left:
            tell(entry)
            yield entry, _outcome(folder, entry, names[entry.run])
        return
    done: set[str] = set()
    try:
        for entry, text in _side_by_side(folder, left, names, jobs):
            tell(entry)
            done.add(entry.run)
            yield entry, text
    except BrokenProcessPool:  # a worker was killed: the rest is measured here
        yield from _measure(folder, [one for one in left if one.run not in done], names, 1, tell)


def _side_by_side(
    folder: CampaignFolder, left: Sequence[RunEntry], names: Mapping[str, str], jobs: int
) -> Iterator[tuple[RunEntry, str]]:
    fresh = multiprocessing.get_context("spawn")  # a fork of a process with threads can hang
    with concurrent.futures.ProcessPoolExecutor(min(jobs, len(left)), fresh, _begin, (folder,)) as pool:
        waiting = {pool.submit(_work, entry, names[entry.run]): entry for entry in left}
        try:
            for done in concurrent.futures.as_completed(waiting):
                yield waiting[done], done.result()
        finally:
            pool.shutdown(wait=False, cancel_futures=True)


def _begin(folder: CampaignFolder) -> None:
    """Set up a worker: its campaign, and an end of its own when its parent is gone."""
    global _campaign
    _campaign = folder
    parent = multiprocessing.parent_process()
    if parent is not None:

        def follow() -> None:
            parent.join()
            os._exit(1)

        threading.Thread(target=follow, daemon=True).start()


def _work(entry: RunEntry, name: str) -> str:
    if _campaign is None:
        raise RuntimeError("worker without a campaign")
    return _outcome(_campaign, entry, name)
