"""Wall-clock stamps to UTC by the zone that is given, across the changes of daylight-saving time."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from haulwright.errors import TrialRefusal
from haulwright.files.zones import Zone, offset_words
from haulwright.notices import Code, Notice
from haulwright.trials.readers._clock import Clock, Floats
from haulwright.trials.readers._raw import TOLERATED, RawChannel

_DAY = 86400.0
_STEP_S = 900.0  # zones change their offset at whole quarters of an hour
_MOST_STEPS = 4000  # more than a month of quarter hours: no log
_GOES_ON_S = 60.0  # stamps nearer than this follow each other (house rule)
_EPOCH = dt.datetime(1970, 1, 1)
_LATEST_S = 2.5e11  # the year 9999, nearly

Mask = NDArray[np.bool_]


def in_zones(
    chosen: Mapping[str, RawChannel], zones: Mapping[str, Zone | None]
) -> tuple[dict[str, RawChannel], list[Notice]]:
    """Return the channels with their stamps as UTC where a zone is given for them, and what there is to tell.

    Raises
    ------
    TrialRefusal
        ZONE: two zones for one column of stamps; a zone of changing offset for stamps without a date; an hour that
        comes twice, or not at all.
    """
    _refuse_two(chosen, zones)
    found: dict[str, RawChannel] = {}
    told: list[Notice] = []
    for place, raw in chosen.items():
        zone = zones[place]
        why = "" if zone is None else _not_used(raw.clock)
        if zone is None or why:
            found[place] = raw
            if zone is not None:
                text = f"The zone {zone.name} changes nothing for the {place}: {why}."
                told.append(Code.CLOCK.notice((place,), text=text))
            continue
        found[place] = replace(raw, clock=_to_utc(raw, zone))
    return found, told


def _refuse_two(chosen: Mapping[str, RawChannel], zones: Mapping[str, Zone | None]) -> None:
    """Refuse two zones for the same stamps: a row of a joint log has one instant."""
    first: dict[int, str] = {}
    for place, raw in chosen.items():
        other = first.setdefault(id(raw.clock), place)
        if raw.layout == "wide" and zones[other] != zones[place]:
            message = (
                f"{raw.file}: {other} and {place} share one column of time, so they cannot lie in two zones: "
                "give one zone for both."
            )
            raise TrialRefusal("ZONE", message, (raw.file, other, place))


def _not_used(clock: Clock) -> str:
    """Return why a zone changes nothing on a clock; empty where it does."""
    if "mm:ss" in clock.style or not (clock.dated or clock.of_day):
        return f"its clock counts from a start ({clock.style})"
    if not clock.wall:
        return f"its stamps are in UTC, or state their offset ({clock.style})"
    return ""


def _to_utc(raw: RawChannel, zone: Zone) -> Clock:
    clock, wall = raw.clock, raw.time_s
    if clock.of_day:
        if not zone.fixed:
            message = (
                f"{raw.file}: the stamps tell no date, so the offset of {zone.name} on that day is not known: "
                "give the offset itself (--zone +02:00)."
            )
            raise TrialRefusal("ZONE", message, (raw.file, zone.name))
        offset = zone.offset_s(_EPOCH)
        return replace(_put(raw, np.mod(wall - offset, _DAY)), style=f"{clock.style}, zone {zone.name}")
    if zone.fixed:
        words = f"{clock.style}, zone {zone.name}"
        return replace(_put(raw, wall - zone.offset_s(_EPOCH)), style=words, wall=False)
    offsets = _offsets(raw, wall, zone)
    seen = dict.fromkeys(offset_words(x) for x in np.unique(offsets[np.isfinite(offsets)]).tolist())
    words = f"{clock.style}, zone {zone.name} ({' / '.join(seen)})"
    return replace(_put(raw, wall - offsets), style=words, wall=False)


def _put(raw: RawChannel, time_s: Floats) -> Clock:
    """Return the clock with this channel's stamps in their rows."""
    if raw.rows is None:
        return replace(raw.clock, time_s=time_s)
    whole = np.full_like(raw.clock.time_s, np.nan)
    whole[raw.rows] = time_s
    return replace(raw.clock, time_s=whole)


def _offsets(raw: RawChannel, wall: Floats, zone: Zone) -> Floats:
    """Return the offset of each stamp [s]; not-a-number for the few that cannot be."""
    early, late = _both(raw, wall, zone)
    with np.errstate(invalid="ignore"):
        skipped, twice = early < late, early > late
    count = int(np.count_nonzero(skipped))
    if count > max(3.0, TOLERATED * wall.size):
        at = int(np.argmax(skipped))
        message = (
            f"{raw.file}, line {int(raw.lines[at])}: the hour of this stamp is skipped in {zone.name}, where the clocks "
            f"were put forward from {offset_words(early[at])} to {offset_words(late[at])}: the logger keeps another "
            f"time. Give its offset (--zone {offset_words(early[at])})."
        )
        raise TrialRefusal("ZONE", message, (raw.file, zone.name), int(raw.lines[at]))
    offsets = np.where(skipped, np.nan, early)
    if bool(twice.any()):
        second = _second_pass(raw, wall, twice, zone, (early, late))
        offsets = np.where(second, late, offsets)
    return offsets


def _both(raw: RawChannel, wall: Floats, zone: Zone) -> tuple[Floats, Floats]:
    """Return the offset at each stamp in the first and in the second pass of an hour that comes twice [s]."""
    known = np.isfinite(wall) & (np.abs(wall) < _LATEST_S)
    step = np.where(known, np.floor(wall / _STEP_S), 0.0)
    firsts = np.flatnonzero(np.concatenate(([True], np.diff(step) != 0.0)))
    steps, back = np.unique(step[firsts], return_inverse=True)
    if steps.size > _MOST_STEPS:
        message = f"{raw.file}: the stamps are strewn over more than a month: is the clock right? Cut the log to the run."
        raise TrialRefusal("CLOCK", message, (raw.file,))
    counts = np.diff(np.append(firsts, step.size))
    pair = []
    for fold in (0, 1):
        each = [_offset(zone, one, fold) for one in steps.tolist()]
        pair.append(np.where(known, np.repeat(np.array(each)[back], counts), np.nan))
    return pair[0], pair[1]


def _offset(zone: Zone, step: float, fold: int) -> float:
    try:
        return zone.offset_s(_EPOCH + dt.timedelta(seconds=step * _STEP_S), fold)
    except (OverflowError, ValueError):  # at the ends of the calendar
        return float("nan")


def _second_pass(raw: RawChannel, wall: Floats, twice: Mask, zone: Zone, offsets: Sequence[Floats]) -> Mask:
    """Tell which stamps of an hour that comes twice belong to its second pass.

    The clock that is put back in the middle tells; else the readings that lead into the hour, or out of it.
    """
    rows = np.flatnonzero(np.isfinite(wall))
    time = wall[rows]
    hour = np.flatnonzero(twice[rows])
    first, last = int(hour[0]), int(hour[-1])
    steps = np.diff(time, prepend=time[0])
    puts_back = np.flatnonzero(steps[first : last + 2] < -_GOES_ON_S) + first
    leads_in = first > 0 and 0.0 <= steps[first] < _GOES_ON_S
    leads_out = last + 1 < time.size and 0.0 <= steps[last + 1] < _GOES_ON_S
    second = np.zeros(wall.size, dtype=np.bool_)
    if puts_back.size == 1:
        second[rows[puts_back[0] :]] = True
        return twice & second
    if puts_back.size == 0 and leads_in != leads_out:
        return twice if leads_out else second
    one, two = (offset_words(float(offset[rows[first]])) for offset in offsets)
    line = int(raw.lines[rows[first]])
    why = (
        "and this log runs through it as if it came once"
        if leads_in and leads_out
        else "and nothing in this log tells which pass this is"
    )
    message = (
        f"{raw.file}, line {line}: this hour comes twice in {zone.name}, once as UTC{one} and once as UTC{two}, {why}. "
        f"State which: {one} or {two} (--zone)."
    )
    raise TrialRefusal("ZONE", message, (raw.file, zone.name), line)
