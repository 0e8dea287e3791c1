"""One stamp: date, time of day and zone in a text, and the seconds they mean."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date
from functools import lru_cache

_STAMP = re.compile(
    r"(?:(?P<date>(?P<a>\d{1,4})(?P<sep>[-./ ])(?P<b>\d{1,2}|[^\W\d_]{3,9}\.?)(?P=sep)(?P<c>\d{1,4})"
    r"|(?P<word>[^\W\d_]{3,9})\.?\s(?P<wd>\d{1,2}),?\s(?P<wy>\d{4})"
    r"|(?P<cy>\d{4})(?P<cm>\d{2})(?P<cd>\d{2})(?=T))(?:[T\s,_-]+|$))?"
    r"(?:(?P<p>\d{1,3}):(?P<q>\d{1,2})(?::(?P<r>\d{1,2}))?(?:[.,:](?P<f>\d{1,9}))?"
    r"|(?<=T)(?P<ch>\d{2})(?P<cq>\d{2})(?P<cr>\d{2})(?:[.,](?P<cf>\d{1,9}))?)?"
    r"\s*(?P<half>[AaPp]\.?[Mm]\.?)?\s*(?P<zone>Z|UTC|GMT|[+-]\d{2}(?::?\d{2})?)?",
    re.ASCII,
)
_MONTHS = {
    word: number
    for number, words in enumerate(
        (
            "jan january januar janvier",
            "feb february februar fév février",
            "mar march mär märz mrz mars",
            "apr april avr avril",
            "may mai",
            "jun june juni juin",
            "jul july juli juil juillet",
            "aug august août",
            "sep sept september septembre",
            "oct okt october oktober octobre",
            "nov november novembre",
            "dec dez december dezember déc décembre",
        ),
        start=1,
    )
    for word in words.split()
}
LONGEST = 48  # a longer field is no stamp


@dataclass(frozen=True)
class Reading:
    """How the stamps of a column are read.

    Attributes
    ----------
    order : str
        Order of year, month and day: a permutation of ``ymd``.
    pair : str
        What two numbers with one colon are: ``hh:mm`` or ``mm:ss``.
    """

    order: str = "ymd"
    pair: str = "mm:ss"


def match_stamp(text: str) -> re.Match[str] | None:
    """Return the parts of a stamp, None if the text is none."""
    if len(text) > LONGEST or not text[:1].isalnum():
        return None
    match = _STAMP.fullmatch(text)
    if match is None or not (match["date"] or match["p"]):
        return None
    if match["b"] and not match["b"].isdecimal() and month_of(match["b"]) is None:
        return None
    if match["word"] and month_of(match["word"]) is None:
        return None
    if match["sep"] == " " and match["b"].isdecimal():
        return None
    return match


def looks_like_stamp(text: str) -> bool:
    """Tell whether a field is a date, a time of day, or both.

    Examples
    --------
    >>> [looks_like_stamp(t) for t in ("02.06.2025 11:15:00,6", "11:02:03", "2-Jun-2025 10:00", "12.5", "1.2.3")]
    [True, True, True, False, True]
    """
    return match_stamp(text) is not None


def month_of(word: str) -> int | None:
    """Return the number of a month's name, English, German or French."""
    return _MONTHS.get(word.rstrip(".").lower())


def zone_seconds(zone: str | None) -> float:
    """Return the offset from UTC a stamp states [s].

    Examples
    --------
    >>> zone_seconds("+02:00"), zone_seconds("-0930"), zone_seconds("Z")
    (7200.0, -34200.0, 0.0)
    """
    if not zone or zone[0] not in "+-":
        return 0.0
    digits = zone[1:].replace(":", "").ljust(4, "0")
    return (1.0 if zone[0] == "+" else -1.0) * (int(digits[:2]) * 3600.0 + int(digits[2:]) * 60.0)


@lru_cache(maxsize=4096)
def day_seconds(a: str, b: str, c: str, order: str) -> float | None:
    """Return the seconds from 1970 to the start of a day, None if there is no such day."""
    parts = dict(zip(order, (a, b, c), strict=True))
    month = month_of(parts["m"]) if not parts["m"].isdecimal() else int(parts["m"])
    if month is None or not (parts["y"].isdecimal() and parts["d"].isdecimal()):
        return None
    year = int(parts["y"])
    try:
        return (
            date(year + 2000 if year < 100 else year, month, int(parts["d"])) - date(1970, 1, 1)
        ).days * 86400.0
    except ValueError:
        return None


def seconds_of(match: re.Match[str], reading: Reading) -> float | None:
    """Return the seconds a stamp means, from 1970 (UTC) or from midnight; None if it cannot be."""
    day = date_seconds(match, reading)
    clock = clock_seconds(match, reading)
    if day is None or clock is None:
        return None
    return day + clock - zone_seconds(match["zone"])


def date_seconds(match: re.Match[str], reading: Reading) -> float | None:
    """Return the seconds to the start of the stamp's day; 0 without a date, None for a day there is not."""
    if not match["date"]:
        return 0.0
    if match["word"]:
        return day_seconds(match["wy"], match["word"], match["wd"], "ymd")
    if match["cy"]:
        return day_seconds(match["cy"], match["cm"], match["cd"], "ymd")
    order = reading.order
    if not match["b"].isdecimal():
        order = "ymd" if len(match["a"]) == 4 else "dmy"
    return day_seconds(match["a"], match["b"], match["c"], order)


def clock_seconds(match: re.Match[str], reading: Reading) -> float | None:
    """Return the seconds of the time of day; None without one, or for a time there is not."""
    if match["ch"]:
        hour, minute, second, fraction = match["ch"], match["cq"], match["cr"], match["cf"]
    elif match["p"] is None:
        return None
    else:
        hour, minute, second, fraction = match["p"], match["q"], match["r"], match["f"]
        if second is None:
            if fraction or (reading.pair == "mm:ss" and not match["date"] and not match["half"]):
                hour, minute, second = "0", hour, minute
            else:
                second = "0"
    return join_clock(int(hour), int(minute), int(second), fraction, match["half"], dated=bool(match["date"]))


def join_clock(
    hour: int, minute: int, second: int, fraction: str | None, half: str | None, *, dated: bool
) -> float | None:
    """Return hours, minutes and seconds as seconds, None if there is no such time."""
    if half:
        if not 1 <= hour <= 12:
            return None
        hour = hour % 12 + (12 if half[0] in "pP" else 0)
    # without hours, minutes may count past sixty: a stopwatch
    if second > 60 or (minute > 59 and (hour or dated)) or (dated and hour > 23):
        return None
    part = int(fraction) / 10 ** len(fraction) if fraction else 0.0
    return hour * 3600.0 + minute * 60.0 + second + part
