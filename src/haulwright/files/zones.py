"""The zone of a clock: an offset from UTC, or a name of the IANA time zone database with its changes over the year."""

from __future__ import annotations

import datetime as dt
import difflib
import re
import zoneinfo
from dataclasses import dataclass

from haulwright.errors import TrialRefusal

_OFFSET = re.compile(r"(?:UTC|GMT)?([+-])(\d{1,2})(?::?([0-5]\d))?", re.IGNORECASE)
_FURTHEST_S = 14 * 3600  # no clock on earth is further from UTC
EXPECTED = "expected UTC, an offset such as +02:00, or a name such as Europe/Paris"


@dataclass(frozen=True)
class Zone:
    """A zone.

    Attributes
    ----------
    name : str
        As given.
    tz : tzinfo
        Offset from UTC at any wall time.
    fixed : bool
        True for an offset that never changes.
    """

    name: str
    tz: dt.tzinfo
    fixed: bool

    def offset_s(self, wall: dt.datetime, fold: int = 0) -> float:
        """Return the offset from UTC at a wall time [s]; ``fold`` 1 for the second pass of an hour that comes twice."""
        offset = self.tz.utcoffset(wall.replace(fold=fold, tzinfo=None if self.fixed else self.tz))
        return offset.total_seconds() if offset else 0.0


def read_zone(text: str) -> Zone:
    """Return the zone a user names.

    Parameters
    ----------
    text : str
        ``UTC``, ``+02:00``, ``UTC-3``, or a name of the IANA database. An offset counts eastward, as ISO 8601 has it.

    Raises
    ------
    TrialRefusal
        ZONE: no such zone, or no time zone data on this machine.

    Examples
    --------
    >>> zone = read_zone("UTC-03:30")
    >>> zone.offset_s(dt.datetime(2025, 1, 1)), zone.fixed
    (-12600.0, True)
    """
    word = text.strip()
    if word.upper() in ("UTC", "GMT", "Z"):
        return Zone("UTC", dt.UTC, fixed=True)
    if match := _OFFSET.fullmatch(word):
        seconds = int(match[2]) * 3600 + int(match[3] or 0) * 60
        if seconds > _FURTHEST_S:
            raise _refused(text, "no clock is more than 14 h from UTC")
        offset = dt.timedelta(seconds=seconds if match[1] == "+" else -seconds)
        return Zone(f"UTC{offset_words(offset.total_seconds())}", dt.timezone(offset), fixed=True)
    return Zone(word, _named(word), fixed=False)


def offset_words(seconds: float) -> str:
    """Return an offset as ISO 8601 writes it.

    Examples
    --------
    >>> offset_words(7200.0), offset_words(-12600.0)
    ('+02:00', '-03:30')
    """
    minutes = round(abs(seconds) / 60.0)
    return f"{'-' if seconds < 0 else '+'}{minutes // 60:02d}:{minutes % 60:02d}"


def _named(word: str) -> dt.tzinfo:
    try:
        return zoneinfo.ZoneInfo(word)
    except (KeyError, ValueError, OSError, UnicodeError):
        pass
    known = zoneinfo.available_timezones()
    if not known:
        why = "this machine has no time zone data: give the offset from UTC, as +02:00"
        raise _refused(word, why)
    near = difflib.get_close_matches(word[:60], sorted(known), n=1, cutoff=0.6)
    raise _refused(word, f"did you mean {near[0]}?" if near else EXPECTED)


def _refused(text: str, why: str) -> TrialRefusal:
    stop = "" if why.endswith("?") else "."
    return TrialRefusal("ZONE", f"zone {text[:60]!r} is not known: {why}{stop}", (text[:60],))
