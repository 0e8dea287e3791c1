"""A log as read: force against time at stated places of the rig, with every reading accounted for."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from haulwright.notices import Notice
from haulwright.quantities.measured import Measured
from haulwright.trials.result import ChannelInfo, LogRecord, Phase

Floats = NDArray[np.float64]

GAP_PERIODS = 2.6  # a silence longer than this many periods is a gap
SEARCH_S = 20.0  # two cells' clocks are looked for within this of each other [s]


@dataclass(frozen=True)
class Channel:
    """One logged force.

    Attributes
    ----------
    place : str
        Where in the rig: ``line``, ``anchor`` or another place.
    label : str
        Column or sensor name in the file.
    file : str
        The file it was read from.
    unit_read : str
        Unit in the file.
    time_s : array
        Seconds on this cell's own clock, counted from the log's first stamp; increasing.
    force_N : array
        Force as read [N], zero not taken off.
    """

    place: str
    label: str
    file: str
    unit_read: str
    time_s: Floats
    force_N: Floats

    @cached_property
    def period_s(self) -> float:
        """Median time between readings [s]."""
        steps = np.diff(self.time_s)
        steps = steps[steps > 0.0]
        return float(np.median(steps)) if steps.size else float("nan")

    @property
    def gaps(self) -> int:
        """Silences longer than 2.6 periods."""
        return int(np.count_nonzero(np.diff(self.time_s) > GAP_PERIODS * self.period_s))

    def thinned(self, step_s: float) -> Channel:
        """Return means over ``step_s`` of a channel at least twice as fast, any other channel as it is.

        Examples
        --------
        >>> fast = Channel("line", "", "", "N", np.arange(8) / 8.0, np.arange(8.0))
        >>> fast.thinned(0.5).time_s.tolist(), fast.thinned(0.5).force_N.tolist()
        ([0.1875, 0.6875], [1.5, 5.5])
        """
        if not self.period_s <= 0.5 * step_s:
            return self
        cell = np.floor((self.time_s - self.time_s[0]) / step_s + 1e-6)
        starts = np.flatnonzero(np.concatenate(([True], np.diff(cell) > 0.0)))
        counts = np.diff(np.append(starts, self.time_s.size))
        time = np.add.reduceat(self.time_s, starts) / counts
        return replace(self, time_s=time, force_N=np.add.reduceat(self.force_N, starts) / counts)


@dataclass(frozen=True)
class ForceLog:
    """One or more logged forces of one run, read and not yet judged.

    Attributes
    ----------
    files : tuple of mapping
        ``path`` and ``sha256`` of each file.
    format : mapping
        How the files were understood: layout, separator, decimal mark, encoding, unit, clock.
    channels : mapping
        Place in the rig to :class:`Channel`.
    rows : mapping
        Fate of every reading to its count.
    notices : tuple of Notice
        What the reader has to say.
    """

    files: tuple[Mapping[str, str], ...]
    format: Mapping[str, str]
    channels: Mapping[str, Channel]
    rows: Mapping[str, int]
    notices: tuple[Notice, ...] = field(default_factory=tuple)

    def to_record(
        self,
        *,
        phases: Sequence[Phase] = (),
        offsets: Mapping[str, Measured] | None = None,
        zeros: Mapping[str, Measured | None] | None = None,
        spikes: int = 0,
    ) -> LogRecord:
        """Return the log as a record.

        Parameters
        ----------
        phases : sequence of Phase
            Phases of the run, where they were looked for.
        offsets : mapping, optional
            Clock offset of each channel [s]; without it any offset within the search range is possible.
        zeros : mapping, optional
            Zero of each channel [N].
        spikes : int
            Readings rejected as spikes.
        """
        unknown = Measured(0.0, SEARCH_S / 3.0**0.5, -SEARCH_S, SEARCH_S)
        offsets, zeros = offsets or {}, zeros or {}
        infos = {
            place: channel_info(
                channel,
                offset=offsets.get(
                    place, Measured.exact(0.0) if place == "line" or len(self.channels) == 1 else unknown
                ),
                zero=zeros.get(place),
            )
            for place, channel in self.channels.items()
        }
        rows = dict(self.rows)
        rows["used"], rows["spike"] = rows.get("used", 0) - spikes, spikes
        return LogRecord(
            files=self.files,
            format=self.format,
            channels=infos,
            rows=rows,
            phases=tuple(phases),
            notices=self.notices,
        )


def channel_info(
    channel: Channel, *, offset: Measured, zero: Measured | None = None, cell: str = "", n: int | None = None
) -> ChannelInfo:
    """Return the record of a channel: cell, unit, rate, samples, gaps, clock offset [s], zero [N]."""
    return ChannelInfo(
        cell=cell,
        unit_read=channel.unit_read,
        rate_Hz=1.0 / channel.period_s,
        n=int(channel.time_s.size) if n is None else n,
        gaps=channel.gaps,
        clock_offset_s=offset,
        zero_N=zero,
    )
