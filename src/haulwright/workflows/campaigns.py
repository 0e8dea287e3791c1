"""Verbs of a campaign: check, measure, keep, predict."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from haulwright.progress import Progress
from haulwright.publishing.output import Files, output_folder, record_of
from haulwright.workflows.given import Given, newtons
from haulwright.workflows.rigs import read_rig

if TYPE_CHECKING:
    from haulwright.files.campaign import CampaignFolder
    from haulwright.mechanics.rig import Rig
    from haulwright.publishing.overview_record import CampaignOverview
    from haulwright.trials.predict import Prediction
    from haulwright.trials.result import CampaignCheck, CampaignResult
    from haulwright.trials.run_store import RunStore


def measure_campaign(
    folder: str | Path,
    *,
    progress: Progress | None = None,
    out: str | Path | None = None,
    jobs: int = 1,
    keep: bool = True,
    so_far: bool = False,
) -> CampaignResult:
    """Return every run of a campaign folder measured, combined, fitted and compared.

    Parameters
    ----------
    folder : path
    progress : callable, optional
        Is told each step in words.
    out : path or None
        Results folder; measured runs are kept in its ``cache`` and only what changed is measured again. None keeps none.
    jobs : int
        Processes that measure side by side. From a script, call it below ``if __name__ == "__main__":``.
    keep : bool
        False uses what is kept and writes nothing.
    so_far : bool
        Measure the runs whose logs are there, and say how many are to come; else a log that is missing is refused.

    Returns
    -------
    CampaignResult
        The same to the last bit with or without kept runs, by one process or several.

    Raises
    ------
    Refusal
        A folder that cannot be read, no run with a number, or a results folder that cannot be written.
    """
    from haulwright.trials.run_store import RunStore

    read = _read(folder, so_far)
    store = RunStore(None if out is None else Path(out) / "cache", write=keep)
    if out is not None and keep:
        with output_folder(out):
            pass
    return _measured(read, store, progress, jobs, so_far)


def _read(folder: str | Path, so_far: bool) -> CampaignFolder:
    """Return a campaign's folder as read: with every log it names, or with what there is so far."""
    from haulwright.files.campaign import read_campaign

    return read_campaign(folder, logs_needed=not so_far, runs_needed=not so_far)


def _measured(
    read: CampaignFolder, store: RunStore, progress: Progress | None, jobs: int, so_far: bool
) -> CampaignResult:
    """Return a campaign measured: all of it, or what there is so far with a notice of what is to come."""
    from haulwright.trials.campaign import measure_campaign as measure
    from haulwright.trials.check import so_far as with_logs
    from haulwright.trials.check import still_to_come

    if not so_far:
        return measure(read, progress=progress, store=store, jobs=jobs)
    result = measure(with_logs(read), progress=progress, store=store, jobs=jobs)
    return replace(result, notices=(*result.notices, *still_to_come(read)))


def kept_campaign(
    folder: str | Path, *, progress: Progress | None = None, jobs: int = 1, so_far: bool = False
) -> CampaignResult:
    """Return every run of a campaign measured, for a page or a question about it.

    Runs are kept in ``results/cache`` of the folder, as ``campaign measure`` keeps them; where nothing can be written,
    they are measured anew each time.

    Parameters
    ----------
    folder : path
    progress : callable, optional
        Is told each step in words.
    jobs : int
        Processes that measure side by side.
    so_far : bool
        Measure the runs whose logs are there, and say how many are to come; else a log that is missing is refused.
    """
    return _measured(_read(folder, so_far), _store(folder), progress, jobs, so_far)


def overview_campaign(
    folder: str | Path, *, units: str = "kN", progress: Progress | None = None, jobs: int = 1
) -> CampaignOverview:
    """Return what the runs logged so far found and what that rests on, in sentences, figures and tables.

    Parameters
    ----------
    folder : path
        Campaign folder; runs without logs are listed as missing.
    units : str
        Unit of the forces in words.
    progress : callable, optional
        Is told each step in words.
    jobs : int
        Processes that measure side by side.

    Raises
    ------
    Refusal
        A folder that cannot be read; NO_RUNS: not one run gives a number yet; UNITS.
    """
    from haulwright.publishing.overview import campaign_overview
    from haulwright.publishing.wording import check_units

    check_units(units)
    result = kept_campaign(folder, progress=progress, jobs=jobs, so_far=True)
    return campaign_overview(result, check_campaign(folder, kept=True), units=units)


def _store(folder: str | Path) -> RunStore:
    """Return the kept runs of a campaign folder."""
    from haulwright.trials.run_store import RunStore

    return RunStore(Path(folder) / "results" / "cache")


def reading_store(folder: str | Path) -> RunStore:
    """Return the kept runs of a campaign folder, for a question that only takes them up."""
    from haulwright.trials.run_store import RunStore

    return RunStore(Path(folder) / "results" / "cache", write=False)


def predict_campaign(
    folder: str | Path,
    rig: Given | Rig,
    devices: Sequence[str] = (),
    *,
    load: str | float | None = None,
    progress: Progress | None = None,
    jobs: int = 1,
) -> Prediction:
    """Return the advantage of a rig that need not have been tested, from the friction a campaign found.

    Parameters
    ----------
    folder : path
        Campaign folder.
    rig : path, mapping, notation, name or Rig
        With one winch; a file is looked for in the present folder, then in the campaign's.
    devices : sequence of str
        Of the campaign, one for each block from the drum.
    load : str or float or None
        Resistance of the load: text with its unit, or newtons.
    progress : callable, optional
        Is told each step in words.
    jobs : int
        Processes that measure side by side.

    Returns
    -------
    Prediction

    Raises
    ------
    Refusal
        A rig or campaign that cannot be read; a device the campaign says nothing of, by name.
    """
    from haulwright.files.campaign import read_campaign
    from haulwright.trials.campaign import measure_campaign as measure
    from haulwright.trials.predict import predict_rig, refuse_early

    load_N = None if load is None else newtons(load, "load")
    found = read_rig(_rig_beside(folder, rig))
    read = read_campaign(folder)
    refuse_early(read, found, devices, load_N)
    result = measure(read, progress=progress, store=_store(folder), jobs=jobs)
    return predict_rig(read, result, found, devices, load_N=load_N)


def _rig_beside(folder: str | Path, rig: Given | Rig) -> Given | Rig:
    """Return a rig as given, or the file of that name in a folder where the present one has none."""
    if not (isinstance(rig, str) and rig.endswith((".yaml", ".yml"))):
        return rig
    try:
        beside = Path(folder) / rig
        return beside if beside.is_file() and not Path(rig).is_file() else rig
    except OSError:  # no name of a file; the reader will tell
        return rig


def check_campaign(
    folder: str | Path, *, progress: Progress | None = None, jobs: int = 1, kept: bool = False
) -> CampaignCheck:
    """Return pass or redo for every run of a campaign, with the reason, while it can still be pulled again.

    ``kept`` takes up the runs that are kept in its ``results/cache`` and keeps the others there.
    """
    from haulwright.files.campaign import read_campaign
    from haulwright.trials.check import check_campaign as check

    read = read_campaign(folder, logs_needed=False, runs_needed=False)
    return check(read, progress=progress, store=_store(folder) if kept else None, jobs=jobs)


def check_exit_code(check: CampaignCheck) -> int:
    """Return 0, or 1 where a run is to be redone or a log is missing."""
    return 0 if check.done else 1


def write_devices(folder: str | Path, result: CampaignResult, out: str | Path) -> Files:
    """Write the friction of a campaign's devices as ``devices.toml``, the form the catalogue and a plan read."""
    from haulwright.catalogue import dump_devices
    from haulwright.files.campaign import read_campaign
    from haulwright.trials.campaign import device_rows

    rows = device_rows(read_campaign(folder, logs_needed=False), result)
    with output_folder(out) as target:
        path = target / "devices.toml"
        dump_devices(rows, path)
        return record_of([(path, "friction of the devices, in catalogue form")])


def write_results(folder: str | Path, result: CampaignResult, out: str | Path) -> Files:
    """Write a campaign's record as JSON and its devices in catalogue form."""
    from haulwright.publishing.writing import write_record

    with output_folder(out) as target:
        what = "every result of the campaign, machine-readable"
        written = [write_record(result, target / "campaign.json", what)]
        if result.devices:
            written += [(Path(f.path), f.what) for f in write_devices(folder, result, out).files]
        return record_of(written)
