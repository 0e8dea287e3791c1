"""Whole columns of regular fields to numbers at once; what is not regular is left to the careful way, field by field.

Both ways give the same numbers to the last bit: a whole number below 2^53 divided by a power of ten up to 10^22 is
the correctly rounded value of its decimal text (W. D. Clinger, "How to read floating point numbers accurately", Proc.
PLDI 1990, from memory), and that is what ``float`` gives as well.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from haulwright.trials.readers._stamp import Reading, date_seconds, match_stamp, zone_seconds

Floats = NDArray[np.float64]
Bytes = NDArray[np.uint8]
Index = NDArray[np.int64]
Mask = NDArray[np.bool_]

STEP = 16384  # rows taken at once: their fields stay in the processor's cache
_MOST_DIGITS = 15
_WIDEST = 18
_POWERS = 10.0 ** np.arange(_WIDEST + 1)
_SPACE, _ZERO, _MINUS, _PLUS = 32, 48, 45, 43
_MOST_TEMPLATES = 6


def trim(buffer: Bytes, start: Index, end: Index) -> tuple[Index, Index]:
    """Take blanks off both ends of fields."""
    last = buffer.size - 1
    for _ in range(8):
        blank = (start < end) & (buffer[np.minimum(start, last)] == _SPACE)
        if not bool(blank.any()):
            break
        start = start + blank
    for _ in range(8):
        blank = (start < end) & (buffer[np.maximum(end - 1, 0)] == _SPACE)
        if not bool(blank.any()):
            break
        end = end - blank
    return start, end


def numbers(buffer: Bytes, start: Index, end: Index, decimal: str) -> tuple[Floats, Mask]:
    """Return the values of plain numbers, and which fields are such: sign, digits, at most one decimal mark.

    Examples
    --------
    >>> text = np.frombuffer(b"-12.50,7,OL,.5", dtype=np.uint8)
    >>> values, plain = numbers(text, np.array([0, 7, 9, 12]), np.array([6, 8, 11, 14]), ".")
    >>> values[plain].tolist(), plain.tolist()
    ([-12.5, 7.0, 0.5], [True, True, False, True])
    """
    start, end = trim(buffer, start, end)
    sign = buffer[np.minimum(start, buffer.size - 1)]
    negative = sign == _MINUS
    first = start + (negative | (sign == _PLUS))
    values, plain = _alike(buffer, first, end, ord(decimal))
    rest = np.flatnonzero(~plain)
    if rest.size:
        values[rest], plain[rest] = _any(buffer, first[rest], end[rest], ord(decimal))
    return np.where(negative, -values, values), plain


def _alike(buffer: Bytes, first: Index, end: Index, mark: int) -> tuple[Floats, Mask]:
    """Read fields whose decimal mark stands as far from the end as that of the first one; others are not plain."""
    length = end - first
    one = bytes(buffer[int(first[0]) : int(end[0])]) if first.size else b""
    after = len(one) - 1 - one.find(mark) if mark in one and len(one) <= _WIDEST else -1
    plain = (length > max(after, 0)) & (length <= _MOST_DIGITS)
    width = int(length[plain].max()) if bool(plain.any()) else 0
    least = int(length[plain].min()) if width else 0
    whole = np.zeros(first.size, dtype=np.int64)
    safe = end if least == int(length.min(initial=0)) else np.where(plain, end, width)
    for place in range(width, 0, -1):
        char = buffer[np.maximum(safe - place, 0)]
        if place > least:
            char = np.where(length >= place, char, np.uint8(_ZERO))
        if place == after + 1:
            plain &= char == mark
            continue
        digit = char - np.uint8(_ZERO)  # wraps round below zero
        plain &= digit < 10
        whole = whole * 10 + digit
    if after >= 0:
        plain &= length > 1  # a mark alone is no number
    return np.where(plain, whole, 0) / _POWERS[max(after, 0)], plain


def _any(buffer: Bytes, first: Index, end: Index, mark: int) -> tuple[Floats, Mask]:
    """Read fields each by its own mark."""
    length = end - first
    plain = (length > 0) & (length <= _WIDEST)
    whole = np.zeros(first.size, dtype=np.int64)
    digits, marks, after = np.zeros_like(whole), np.zeros_like(whole), np.zeros_like(whole)
    width = int(length[plain].max()) if bool(plain.any()) else 0
    for place in range(width, 0, -1):
        inside = (length >= place) & plain
        char = buffer[np.where(inside, end - place, 0)]
        digit = char - np.uint8(_ZERO)
        is_digit = inside & (digit < 10)
        is_mark = inside & (char == mark)
        plain &= ~inside | is_digit | is_mark
        whole = np.where(is_digit, whole * 10 + digit, whole)
        digits += is_digit
        marks += is_mark
        after = np.where(is_mark, place - 1, after)
    plain &= (marks <= 1) & (digits > 0) & (digits <= _MOST_DIGITS)
    return np.where(plain, whole, 0) / _POWERS[np.where(plain, after, 0)], plain


def stamps(buffer: Bytes, start: Index, end: Index, reading: Reading) -> tuple[Floats, Mask]:
    """Return the seconds of stamps written alike, and which fields those are.

    The first stamp that is still open is read with care; every other one that differs from it in the digits of its
    time of day only is read by the places of those digits.
    """
    start, end = trim(buffer, start, end)
    length = end - start
    values = np.full(start.size, np.nan)
    done = np.zeros(start.size, dtype=np.bool_)
    left = np.flatnonzero((length > 0) & (length <= 48))
    for _ in range(_MOST_TEMPLATES):
        if left.size == 0:
            break
        one = int(left[0])
        alike = left[length[left] == length[one]]
        found = _like(buffer, start[alike], bytes(buffer[start[one] : end[one]]), reading)
        if found is None:
            left = left[1:]
            continue
        seconds, good = found
        values[alike[good]] = seconds[good]
        done[alike[good]] = True
        left = left[~done[left]]
        if left.size and left[0] == one:  # no such time of day
            left = left[1:]
    return values, done


def _like(buffer: Bytes, start: Index, template: bytes, reading: Reading) -> tuple[Floats, Mask] | None:
    match = match_stamp(template.decode("ascii", "replace"))
    day = date_seconds(match, reading) if match else None
    if match is None or day is None or not match["p"]:
        return None
    spans = {part: match.span(part) for part in "pqrf" if match[part]}
    free = {at for a, b in spans.values() for at in range(a, b)}
    good = np.ones(start.size, dtype=np.bool_)
    for at, byte in enumerate(template):
        char = buffer[start + at]
        good &= (char - np.uint8(_ZERO) < 10) if at in free else (char == byte)
    part = {name: _digits(buffer, start, span) for name, span in spans.items()}
    hour, minute, second = part["p"], part["q"], part.get("r")
    if second is None:
        as_minutes = "f" in part or (reading.pair == "mm:ss" and not match["date"] and not match["half"])
        zero = np.zeros_like(hour)
        hour, minute, second = (zero, hour, minute) if as_minutes else (hour, minute, zero)
    dated = bool(match["date"])
    if match["half"]:
        good &= (hour >= 1) & (hour <= 12)
        hour = hour % 12 + (12 if match["half"][0] in "pP" else 0)
    good &= (second <= 60) & ((minute <= 59) | ((hour == 0) & (not dated)))
    if dated:
        good &= hour <= 23
    size = spans["f"][1] - spans["f"][0] if "f" in spans else 0
    fraction = part["f"] / 10**size if size else 0.0
    clock = hour * 3600.0 + minute * 60.0 + second + fraction
    return day + clock - zone_seconds(match["zone"]), good


def _digits(buffer: Bytes, start: Index, span: tuple[int, int]) -> Index:
    value = np.zeros(start.size, dtype=np.int64)
    for at in range(*span):
        value = value * 10 + (buffer[start + at].astype(np.int64) - _ZERO)
    return value


def same_text(buffer: Bytes, start: Index, end: Index, text: bytes) -> Mask:
    """Tell which fields are exactly this text."""
    alike: Mask = (end - start) == len(text)
    at = np.where(alike, start, 0)
    for place, byte in enumerate(text):
        alike &= buffer[np.minimum(at + place, buffer.size - 1)] == byte
    return alike
