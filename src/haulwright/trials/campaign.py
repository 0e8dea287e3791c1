"""A whole campaign: every run measured, friction fitted over all of them, repeats combined, devices compared."""

from __future__ import annotations

import statistics
from collections.abc import Callable, Sequence
from dataclasses import replace

from haulwright.catalogue import Row, measured_row
from haulwright.errors import TrialRefusal
from haulwright.files.campaign import CampaignFolder
from haulwright.quantities.measured import Measured
from haulwright.records import Made
from haulwright.sources import Source
from haulwright.trials.campaign_runs import MeasuredRun, cells_of, measure_runs, rig_of
from haulwright.trials.campaign_words import about, standing_notices
from haulwright.trials.combine import Pooled, combine, log_of, pooled_between_run, trend
from haulwright.trials.compare import compare
from haulwright.trials.fit import FitRun, fit_friction
from haulwright.trials.friction import rig_model
from haulwright.trials.prediction import FrictionFit
from haulwright.trials.result import CampaignResult, CellResult

_SOURCES = (
    "JCGM 100:2008 (GUM)",
    "JCGM 102:2011",
    "Schuirmann, J. Pharmacokinet. Biopharm. 15 (1987) 657 (from memory, check before quoting)",
    "Holm, Scand. J. Stat. 6 (1979) 65 (from memory, check before quoting)",
)


def measure_campaign(
    folder: CampaignFolder, *, progress: Callable[[str], None] | None = None
) -> CampaignResult:
    """Measure every run of a campaign and everything that follows from all of them.

    Parameters
    ----------
    folder : CampaignFolder
        From :func:`haulwright.files.campaign.read_campaign`.
    progress : callable, optional
        Is told each step in words.

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
    tell = progress or (lambda _: None)
    measured, excluded, notices = measure_runs(folder, tell)
    if not measured:
        reasons = "; ".join(f"{one['run']}: {one['why']}" for one in excluded)
        raise TrialRefusal(
            "NO_RUNS", f"No run of {folder.spec.name} gives a number. {reasons}", (folder.spec.name,)
        )
    tell("fitting the friction of the devices")
    groups = _configurations(measured)
    pooled = _pooled(groups)
    fit = _fit(measured, pooled)
    tell("combining and comparing")
    configurations = tuple(combine([one.result for one in group], pooled) for group in groups)
    results = {one.result.run: one.result for one in measured}
    comparisons = compare(
        configurations,
        results,
        pooled,
        margin=folder.spec.margin,
        cells={one.entry.run: cells_of(one.entry) for one in measured},
    )
    order = {entry.run: float(number) for number, entry in enumerate(folder.runs, 1)}
    drift = trend([[(order[one.entry.run], log_of(one.result)[0]) for one in group] for group in groups])
    return CampaignResult(
        name=folder.spec.name,
        runs=tuple(results.values()),
        configurations=configurations,
        devices=fit.devices,
        comparisons=comparisons,
        cells=_cells(measured, fit),
        about=about(folder),
        excluded=tuple(excluded),
        notices=(*standing_notices(folder), *notices, *fit.notices, *((drift,) if drift else ())),
        made=Made(
            "ratio of means for each run; friction by least squares over all runs on ln R, gains of the cells fitted "
            "with their class as prior; two one-sided tests and Holm for the comparisons",
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
        MeasuredRun(entry, by_run[entry.run], rig_model(rig_of(entry.rig), entry.devices))
        for entry in folder.runs
        if entry.run in by_run
    ]
    return _fit(measured, _pooled(_configurations(measured)))


def device_rows(folder: CampaignFolder, result: CampaignResult) -> dict[str, Row]:
    """Return the fitted devices as catalogue rows, to be written with :func:`haulwright.catalogue.dump_devices`.

    A ratio below 1 is left out: a notice of the campaign says so, and no plan may use it.
    """
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
        rows[name] = measured_row(name, friction.k, friction.valid_N, source, words)
    return rows


def _configurations(measured: Sequence[MeasuredRun]) -> list[list[MeasuredRun]]:
    """Group the runs by rig and devices, in the order of the run sheet."""
    groups: dict[tuple[str, ...], list[MeasuredRun]] = {}
    for one in measured:
        groups.setdefault((one.model.rig.path, *one.entry.devices), []).append(one)
    return list(groups.values())


def _pooled(groups: Sequence[Sequence[MeasuredRun]]) -> Pooled:
    """Return the between-run variance over all rigs with devices; a series check has no device to scatter."""
    return pooled_between_run(
        [[log_of(one.result)[:2] for one in group] for group in groups if group[0].entry.devices]
    )


def _fit(measured: Sequence[MeasuredRun], pooled: Pooled) -> FrictionFit:
    runs = []
    for one in measured:
        if one.model.unknowns and not one.entry.devices:
            continue
        session = one.entry.date.isoformat() if one.entry.date else ""
        runs.append(FitRun(one.result, one.model, *cells_of(one.entry), session))
    return fit_friction(runs, pooled) if runs else FrictionFit({}, (), (), (), (), pooled.expected_tau2**0.5)


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
