"""A whole campaign: every run measured, friction fitted over all of them, repeats combined, devices compared."""

from __future__ import annotations

import statistics
from collections.abc import Sequence
from dataclasses import replace

from haulwright.catalogue import Row, measured_row
from haulwright.errors import TrialRefusal
from haulwright.files.campaign import CampaignFolder
from haulwright.notices import Notice
from haulwright.progress import Progress, Step, silent, within
from haulwright.quantities.measured import Measured
from haulwright.records import Made
from haulwright.sources import Source
from haulwright.trials.associations import NotedRun, associations
from haulwright.trials.campaign_gains import as_measured, checks_of, corrected, described, fit_runs
from haulwright.trials.campaign_pool import measure_runs
from haulwright.trials.campaign_runs import MeasuredRun, cells_of, model_of, specs_of
from haulwright.trials.campaign_words import about, standing_notices
from haulwright.trials.combine import Pooled, combine, log_of, pooled_between_run, run_scatter
from haulwright.trials.compare import compare
from haulwright.trials.drift import lane_drift, trend
from haulwright.trials.fit import fit_friction
from haulwright.trials.load_dependence import over_range
from haulwright.trials.prediction import FrictionFit
from haulwright.trials.result import CampaignResult, CellResult, TrialResult
from haulwright.trials.run_store import RunStore
from haulwright.trials.typed import TYPED

_SOURCES = (
    "JCGM 100:2008 (GUM)",
    "JCGM 102:2011",
    "Schuirmann, J. Pharmacokinet. Biopharm. 15 (1987) 657 (from memory, check before quoting)",
    "Holm, Scand. J. Stat. 6 (1979) 65 (from memory, check before quoting)",
)


def measure_campaign(
    folder: CampaignFolder,
    *,
    progress: Progress | None = None,
    store: RunStore | None = None,
    jobs: int = 1,
) -> CampaignResult:
    """Measure every run of a campaign and everything that follows from all of them.

    Parameters
    ----------
    folder : CampaignFolder
        From :func:`haulwright.files.campaign.read_campaign`.
    progress : callable, optional
        Is told each step in words.
    store : RunStore, optional
        Runs kept from before; the result is the same to the last bit with or without.
    jobs : int
        Processes that measure side by side.

    Returns
    -------
    CampaignResult
        Runs left out by decision or refused stand in ``excluded`` with the reason, the refused ones also in
        a notice.

    Raises
    ------
    TrialRefusal
        ``NO_RUNS``: not one run gives a number.
    """
    tell = progress or silent
    runs = measure_runs(folder, within(tell, 0.0, 0.9), store or RunStore(None), jobs)
    if not runs.measured:
        reasons = "; ".join(f"{one['run']}: {one['why']}" for one in runs.excluded)
        raise TrialRefusal(
            "NO_RUNS", f"No run of {folder.spec.name} gives a number. {reasons}", (folder.spec.name,)
        )
    tell(Step("fitting the friction of the devices", 0.9))
    checks, gains, of_checks = checks_of(folder, runs)
    measured: list[MeasuredRun] = [corrected(one, gains) for one in runs.measured]
    pooled = _pooled(_configurations(measured))
    fit = _fit(runs.measured, pooled)
    tell(Step("combining and comparing", 0.95))
    measured = described(folder, measured, fit.devices)
    groups = _configurations(measured)
    configurations = tuple(combine([one.result for one in group], pooled) for group in groups)
    results = {one.result.run: one.result for one in measured}
    comparisons = compare(
        configurations,
        results,
        pooled,
        margin=folder.spec.margin,
        cells={one.entry.run: cells_of(one.entry) for one in measured},
    )
    return CampaignResult(
        name=folder.spec.name,
        runs=tuple(results.values()),
        configurations=configurations,
        devices=fit.devices,
        comparisons=comparisons,
        cells=_cells(measured, fit),
        scatter=run_scatter(pooled),
        left_out=fit.left_out,
        checks=checks,
        about=about(folder),
        excluded=runs.excluded,
        notices=(
            *standing_notices(folder),
            *runs.notices,
            *of_checks,
            *fit.notices,
            *_over_the_day(folder, measured),
        ),
        made=Made(
            "ratio of means for each run, the gains of the cells taken off as series and swap checks tell them; friction "
            "by least squares over all runs on ln R as read, gains fitted with the class of the cells as prior; two "
            "one-sided tests and Holm for the comparisons",
            {
                "folder": folder.path.name,
                "margin": folder.spec.margin,
                "runs": [entry.run for entry in folder.runs],
                "fitted": fit.runs,
            },
            _SOURCES,
        ),
    )


def fit_campaign(folder: CampaignFolder, result: CampaignResult) -> FrictionFit:
    """Return the friction fit of a measured campaign with its covariance, to predict rigs that were not tested.

    Parameters
    ----------
    folder : CampaignFolder
    result : CampaignResult
        What :func:`measure_campaign` returned for it.
    """
    by_run = {run.run: run for run in result.runs}
    measured = [
        MeasuredRun(
            entry,
            by_run[entry.run],
            model_of(folder, entry),
            by_run[entry.run]._others,
            cells=specs_of(folder, entry),
        )
        for entry in folder.runs
        if entry.run in by_run
    ]
    return _fit([as_measured(one) for one in measured], _pooled(_configurations(measured)))


def device_rows(folder: CampaignFolder, result: CampaignResult) -> dict[str, Row]:
    """Return the fitted devices as catalogue rows, to be written with :func:`haulwright.catalogue.dump_devices`.

    A ratio below 1 is left out: a notice of the campaign says so, and no plan may use it.
    """
    scatter = result.scatter.used if result.scatter else None
    years = [entry.date.year for entry in folder.runs if entry.date]
    rows: dict[str, Row] = {}
    for name, friction in result.devices.items():
        if friction.valid_N is None or friction.k.value < 1.0:
            continue
        runs = ", ".join(run.run for run in result.runs if name in run.devices)
        source = Source(
            f"Pull-test campaign {result.name}", f"runs {runs}", max(years, default=None), "measured"
        )
        spec = folder.spec.devices.get(name)
        words = f"{name}, {spec.description or spec.kind}" if spec else name
        rows[name] = measured_row(name, over_range(friction), friction.valid_N, source, words, scatter)
    return rows


def _over_the_day(folder: CampaignFolder, measured: Sequence[MeasuredRun]) -> list[Notice]:
    """Return what changes over the day, or along with what was noted of the runs."""
    order = {entry.run: float(number) for number, entry in enumerate(folder.runs, 1)}
    logged = [one for one in measured if one.result.grade != TYPED]
    points = [
        [(order[one.entry.run], _log(one.result)) for one in group] for group in _configurations(logged)
    ]
    loads = [
        (order[one.entry.run], load.value, one.result.u_repeatability / one.result.advantage.value)
        for one in logged
        if not one.model.unknowns and (load := one.result.mean_N.get("anchor"))
    ]
    noted = [
        NotedRun(" ".join(one.rig_key), order[one.entry.run], _log(one.result), one.entry.conditions)
        for one in logged
    ]
    found = [trend(points), lane_drift(loads), *associations(noted)]
    return [notice for notice in found if notice is not None]


def _log(result: TrialResult) -> float:
    return log_of(result)[0]


def _configurations(measured: Sequence[MeasuredRun]) -> list[list[MeasuredRun]]:
    """Group the runs by rig and devices, in the order of the run sheet."""
    groups: dict[tuple[str, ...], list[MeasuredRun]] = {}
    for one in measured:
        groups.setdefault(one.rig_key, []).append(one)
    return list(groups.values())


def _pooled(groups: Sequence[Sequence[MeasuredRun]]) -> Pooled:
    """Return the between-run variance over all rigs with devices; a series check has no device to scatter.

    Typed runs are left out: their own uncertainty would swamp it.
    """
    return pooled_between_run(
        [
            [log_of(one.result)[:2] for one in group if one.result.grade != TYPED]
            for group in groups
            if group[0].entry.devices
        ]
    )


def _fit(measured: Sequence[MeasuredRun], pooled: Pooled) -> FrictionFit:
    rows = [
        row
        for one in measured
        if one.entry.devices or not one.model.unknowns
        for row in fit_runs(one, pooled)
    ]
    return fit_friction(rows, pooled) if rows else FrictionFit({}, (), (), (), (), pooled.expected_tau2**0.5)


def _cells(measured: Sequence[MeasuredRun], fit: FrictionFit) -> dict[str, CellResult]:
    """Return what the campaign says of each cell whose gain it knows; the line's own is 1 by definition."""
    zeros: dict[str, list[Measured]] = {}
    for one in measured:
        for channel in one.result.channels.values():
            if channel.cell and channel.zero_N is not None:
                zeros.setdefault(channel.cell, []).append(channel.zero_N)
    found = dict(fit.cells)
    if found and (lines := {cells_of(one.entry)[0] for one in measured}) and len(lines) == 1:
        (line,) = lines
        found = {line: CellResult(Measured.exact(1.0), _cell=line), **found}
    return {name: replace(cell, zero_N=_zero(zeros.get(cell._cell, []))) for name, cell in found.items()}


def _zero(zeros: Sequence[Measured]) -> Measured | None:
    """Return the mean zero of a cell over the runs, with its scatter from run to run; of one run, its own [N]."""
    if len(zeros) < 2:
        return zeros[0] if zeros else None
    values = [zero.value for zero in zeros]
    return Measured.normal(statistics.fmean(values), statistics.stdev(values))
