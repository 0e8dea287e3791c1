"""The channels of a run of a campaign, made ready as for measuring."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import PurePath

import numpy as np

from haulwright.errors import QuantityRefusal
from haulwright.files.campaign import CampaignFolder
from haulwright.files.runsheet import RunEntry
from haulwright.quantities.units import to_si
from haulwright.trials.campaign_runs import (
    ANCHOR,
    LINE,
    by_hand_of,
    logged_entry,
    model_of,
    relation_of,
    specs_of,
)
from haulwright.trials.cells import CellSpec, calibrated
from haulwright.trials.channels.result import (
    AveragedRows,
    CorrectedChannel,
    Floats,
    LoggedChannel,
    RunChannels,
)
from haulwright.trials.grid import on_grid
from haulwright.trials.log import Channel
from haulwright.trials.prepare import ByHand, Prepared, prepare
from haulwright.trials.result import TrialResult
from haulwright.trials.steady import select


def channels_of(folder: CampaignFolder, entry: RunEntry, result: TrialResult) -> RunChannels:
    """Return the channels of a measured run.

    Parameters
    ----------
    folder : CampaignFolder
    entry : RunEntry
    result : TrialResult
        What measuring it gave; its steady stretches are taken.

    Raises
    ------
    TrialRefusal
        What reading and preparing refuse, where a log is not what was measured.
    """
    direct = relation_of(entry, model_of(folder, entry)) is None
    if entry.typed:
        return RunChannels(entry.run, direct, noted=entry.row)
    as_logged = logged_entry(folder, entry)
    cells = specs_of(folder, entry)
    log = calibrated(as_logged, cells)
    by_hand = by_hand_of(folder, entry)
    chosen = ByHand(None, by_hand["offsets_s"], by_hand["zeros_N"])
    ready = prepare(log, LINE, ANCHOR, chosen, tugs=entry.tugs)
    return RunChannels(
        entry.run,
        direct,
        logged={
            place: _logged(as_logged.channels[place], cells.get(place, CellSpec()).factor)
            for place in ready.conditioned
        },
        corrected={
            place: CorrectedChannel(done.channel.time_s - ready.offsets[place].value, done.channel.force_N)
            for place, done in ready.conditioned.items()
        },
        rows=_rows(ready, [(one.start_s, one.end_s) for one in result.steady]),
        noted=entry.row,
    )


def _rows(ready: Prepared, spans: Sequence[tuple[float, float]]) -> AveragedRows:
    grid = ready.grid
    forces = {LINE: grid.line_N, ANCHOR: grid.anchor_N}
    for place, done in ready.conditioned.items():
        if place not in forces:
            forces[place] = on_grid(done.channel, ready.offsets[place].value, grid.time_s, grid.step_s)
    return AveragedRows(grid.time_s, forces, select(grid, spans))


def _logged(channel: Channel, factor: float) -> LoggedChannel:
    unit, unit_N = _unit(channel)
    return LoggedChannel(
        file=PurePath(channel.file).name,
        label=channel.label,
        unit=unit,
        unit_N=unit_N,
        factor=factor,
        time_s=channel.time_s,
        reading=as_read(channel.force_N, unit_N),
    )


def _unit(channel: Channel) -> tuple[str, float]:
    """Return the unit of the readings and its size; newtons where the log's own is none of ours."""
    try:
        return channel.unit_read, to_si(1.0, channel.unit_read, "force")
    except QuantityRefusal:
        return "N", 1.0


def as_read(force_N: Floats, unit_N: float) -> Floats:
    """Return forces in the unit they were read in, as the figures that stand in the log.

    Parameters
    ----------
    force_N : array
        As the reader turned them into newtons.
    unit_N : float
        One unit [N].

    Notes
    -----
    A quotient of two doubles may end in ...9997 where the log says 612.4. The figure with at most fifteen digits is
    taken, but only where it gives the very force that was read; else the quotient as it is.

    Examples
    --------
    >>> as_read(np.array([612.4 * 9.80665, 0.1 * 9.80665]), 9.80665).tolist()
    [612.4, 0.1]
    """
    plain = force_N / unit_N
    short = np.array([float(f"{value:.15g}") for value in plain.tolist()], dtype=np.float64)
    return np.where(short * unit_N == force_N, short, plain)
