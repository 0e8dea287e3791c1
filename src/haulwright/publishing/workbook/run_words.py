"""What is said of a run beside its numbers: places, cells, logs, choices, the run sheet, notices."""

from __future__ import annotations

from haulwright.publishing.report_words import short_path
from haulwright.publishing.wording import NOT_STATED, plus_minus
from haulwright.trials.channels.result import RunChannels
from haulwright.trials.result import ChannelInfo, TrialResult


def where(place: str) -> str:
    """Return where a force is, in words.

    Examples
    --------
    >>> where("line"), where("standing part")
    ('of the line', 'at standing part')
    """
    return f"of the {place}" if place in ("line", "anchor") else f"at {place}"


def told_of(run: TrialResult, channels: RunChannels) -> list[tuple[str, str]]:
    """Return how a run was read, chosen and noted: what, and in words."""
    lines: list[tuple[str, str]] = [
        ("Rig", f"{run.rig}  {run.path}"),
        ("Devices, from the drum", "; ".join(run.devices)),
    ]
    for place, one in run.channels.items():
        lines.append((f"Channel {place}", _channel(one)))
    lines += [
        (f"Log {short_path(file.get('path', ''))}", f"sha256 {file.get('sha256', '')}") for file in run.files
    ]
    lines += [(key[:1].upper() + key[1:], str(text)) for key, text in run.choices.items()]
    lines += [(f"Quality: {key}", str(text)) for key, text in run.quality.items()]
    lines += [(f"Run sheet: {column}", text) for column, text in channels.noted.items()]
    lines += [
        (f"Stretch {one.moved}", f"the advantage changes by {100.0 * one.change:.3f} %")
        for one in run.sensitivity
    ]
    lines += [(f"{notice.level} {notice.code}", notice.message) for notice in run.notices]
    return lines


def _channel(one: ChannelInfo) -> str:
    zero = f"zero {plus_minus(one.zero_N, unit='N')} taken off" if one.zero_N else "no zero taken off"
    return (
        f"cell {one.cell or NOT_STATED}, read in {one.unit_read or NOT_STATED}, {one.n} readings used, {one.gaps} gaps, "
        f"clock {plus_minus(one.clock_offset_s, unit='s')} late, {zero}"
    )
