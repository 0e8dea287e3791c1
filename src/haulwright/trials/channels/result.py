"""Records of the channels of a run: every reading as logged, as corrected, and the rows that are averaged."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class LoggedChannel:
    """One channel as it stands in its log.

    Attributes
    ----------
    file, label : str
        Name of the log, and of the column or sensor in it.
    unit : str
        Unit of the readings.
    unit_N : float
        One of it [N].
    factor : float
        Calibration factor of the cell, true force ÷ reading; it is not in the readings.
    time_s : array
        Seconds on the cell's own clock, from the first stamp of the log.
    reading : array
        As read, in the log's unit; nothing is taken off or rounded.
    """

    file: str
    label: str
    unit: str
    unit_N: float
    factor: float
    time_s: Floats
    reading: Floats


@dataclass(frozen=True)
class CorrectedChannel:
    """One channel on the line's clock [s], zero taken off [N], spikes left out; above 50 Hz as means over 20 ms."""

    time_s: Floats
    force_N: Floats


@dataclass(frozen=True)
class AveragedRows:
    """The rows that are averaged: all channels at common instants of the line's clock.

    Attributes
    ----------
    time_s : array
        Evenly spaced [s].
    force_N : mapping place -> array
        Not-a-number where the line or the anchor is silent [N].
    inside : array of bool
        Which rows lie in a steady stretch and know both forces: these are averaged.
    """

    time_s: Floats
    force_N: Mapping[str, Floats]
    inside: NDArray[np.bool_]


@dataclass(frozen=True)
class RunChannels:
    """The channels of one run.

    Attributes
    ----------
    run : str
    direct : bool
        Whether the advantage is the ratio of the cells itself; else the rig's solver stands between them.
    logged : mapping place -> LoggedChannel
    corrected : mapping place -> CorrectedChannel
    rows : AveragedRows or None
        None for forces typed from the displays.
    noted : mapping column -> text
        Its row of the run sheet as it stands, the empty cells left out.
    """

    run: str
    direct: bool
    logged: Mapping[str, LoggedChannel] = field(default_factory=dict)
    corrected: Mapping[str, CorrectedChannel] = field(default_factory=dict)
    rows: AveragedRows | None = None
    noted: Mapping[str, str] = field(default_factory=dict)
