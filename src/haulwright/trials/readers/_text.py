"""From bytes to rows: encoding, separator, preamble, header and decimal mark, decided once per file."""

from __future__ import annotations

import codecs
import csv
import hashlib
import re
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from haulwright.errors import TrialRefusal
from haulwright.trials.readers._number import NUMBER, find_decimal

STAMP = re.compile(r"^\d{1,4}[-./:]\d{1,2}[-./:]?\d{0,4}")
_WORD_UNIT = re.compile(r"^[\[(]?[A-Za-z%°]{1,4}[\])]?$")
_CONTROL = re.compile("[\x00-\x08\x0e-\x1f\x7f]")
_LARGEST_BYTES = 2_000_000_000


@dataclass(frozen=True)
class Sheet:
    """One file as rows of text.

    Attributes
    ----------
    path : str
        The path as it is named in messages and records.
    sha256 : str
        Of the raw bytes.
    encoding, separator, decimal : str
        The one decision taken for the file.
    preamble : tuple of str
        Lines before the header.
    header : tuple of str
        Column labels, as many as the body has columns; empty texts where there are none.
    numbers : list of int
        Line number of each row of the body, counted from 1.
    rows : list of list of str
        The body; every row as wide as the header.
    columns : list of tuple of str
        The body, column by column.
    blank : int
        Blank lines after the first row of the body.
    """

    path: str
    sha256: str
    encoding: str
    separator: str
    decimal: str
    preamble: tuple[str, ...]
    header: tuple[str, ...]
    numbers: list[int]
    rows: list[list[str]]
    columns: list[tuple[str, ...]]
    blank: int

    def column(self, index: int) -> tuple[str, ...]:
        """Return one column of the body."""
        return self.columns[index]


def shown_path(path: Path) -> str:
    """Return the path for records: as given if relative, the bare name if absolute."""
    return path.name if path.is_absolute() else path.as_posix()


def read_sheet(path: Path) -> Sheet:
    """Read one file as rows of text.

    Raises
    ------
    TrialRefusal
        If the file is missing, empty, not text, or holds no row with numbers.
    """
    name = shown_path(path)
    raw = _bytes_of(path, name)
    text, encoding = decode(raw, name)
    text = text.rstrip("\x1a\0")  # end-of-file mark and padding of old loggers
    control = _CONTROL.search(text)
    if control:
        line = text.count("\n", 0, control.start()) + 1
        message = f"{name}, line {line}: holds the control character {control[0]!r}: export the log again as CSV text."
        raise TrialRefusal("NOT_TEXT", message, (name,), line)
    lines = text.replace("\r\n", "\n").replace("\r", "\n").split("\n")
    if not any(line.strip() for line in lines):
        raise TrialRefusal(
            "EMPTY", f"{name} is empty: expected a log with a time and a force column.", (name,)
        )
    separator = find_separator(lines)
    numbered = _split(text, lines, separator, name)
    start = _body_start(numbered, name)
    header, preamble = _header(numbered, start)
    width = max(len(fields) for _, fields in numbered[start : start + 200])
    body = [pair for pair in numbered[start:] if any(pair[1])]
    rows = [fields if len(fields) == width else _fit(fields, width) for _, fields in body]
    numbers = [number for number, _ in body]
    blank = len(numbered) - start - len(rows) - _trailing_blank(numbered)
    decimal = find_decimal(rows, name, numbers)
    labels = tuple(_fit(list(header), width))
    digest = hashlib.sha256(raw).hexdigest()
    return Sheet(
        name,
        digest,
        encoding,
        separator,
        decimal,
        preamble,
        labels,
        numbers,
        rows,
        list(zip(*rows, strict=True)),
        blank,
    )


def _bytes_of(path: Path, name: str) -> bytes:
    try:
        if path.stat().st_size > _LARGEST_BYTES:
            raise TrialRefusal(
                "TOO_LARGE", f"{name} is over 2 GB: cut the log to the run before reading it.", (name,)
            )
        return path.read_bytes()
    except FileNotFoundError:
        raise TrialRefusal("NO_FILE", f"{name}: there is no such file. Check the path.", (name,)) from None
    except (OSError, ValueError) as error:  # ValueError: a path that no system takes
        reason = getattr(error, "strerror", None) or "cannot be opened"
        raise TrialRefusal("UNREADABLE", f"{name} cannot be read: {reason}.", (name,)) from None


def decode(raw: bytes, name: str) -> tuple[str, str]:
    """Return text and encoding: byte-order mark, strict UTF-8, UTF-16 by its zero bytes, then by statistics.

    Examples
    --------
    >>> decode("Kraft;4,2".encode("utf-16-le"), "log")
    ('Kraft;4,2', 'utf-16-le')
    """
    for mark, encoding in (
        (codecs.BOM_UTF8, "utf-8-sig"),
        (codecs.BOM_UTF16_LE, "utf-16"),
        (codecs.BOM_UTF16_BE, "utf-16"),
    ):
        if raw.startswith(mark):
            return _strict(raw, encoding, name), encoding
    head = raw[:65536]
    if b"\0" in head:
        encoding = "utf-16-le" if head[1::2].count(0) >= head[0::2].count(0) else "utf-16-be"
        return _strict(raw, encoding, name), encoding
    try:
        return raw.decode("utf-8"), "utf-8"
    except UnicodeDecodeError:
        return _guess(raw, head, name)


def _strict(raw: bytes, encoding: str, name: str) -> str:
    try:
        return raw.decode(encoding)
    except UnicodeDecodeError:
        message = f"{name} looks like {encoding} text but is broken: export the log again as CSV text."
        raise TrialRefusal("NOT_TEXT", message, (name,)) from None


def _guess(raw: bytes, head: bytes, name: str) -> tuple[str, str]:
    from charset_normalizer import from_bytes

    best = from_bytes(head).best()
    if best is None:
        raise TrialRefusal("NOT_TEXT", f"{name} is not a text file: export the log as CSV text.", (name,))
    # cp1250 and cp1252 agree on all a log holds but the superscripts, and a meant cp1250 is rare
    encoding = "cp1252" if best.encoding in ("cp1250", "latin_1", "cp1257", "iso8859_2") else best.encoding
    try:
        return raw.decode(encoding), encoding
    except UnicodeDecodeError:
        return _strict(raw, best.encoding, name), best.encoding


def find_separator(lines: Sequence[str]) -> str:
    """Return tab, semicolon, bar or comma if most lines hold it, else a space.

    Examples
    --------
    >>> find_separator(["Zeit;Seil [kN]", "12:00:01;4,2", "12:00:02;4,3"])
    ';'
    """
    filled = [line for line in lines if line.strip()][:2000]
    body = filled[len(filled) // 10 :]
    for separator in "\t;|":
        if sum(separator in line for line in body) >= 0.7 * len(body):
            return separator
    spaced = re.compile(r"^\s*[-+\d.,:]*\d(?:\s+[-+\d.,:]*\d)+\s*$")
    if sum(bool(spaced.match(line)) for line in body) >= 0.7 * len(body) and not _stamped(body):
        return " "
    return ","


def _stamped(body: Sequence[str]) -> bool:
    """Tell whether the only space is the one between a date and a time, and commas part the columns."""
    return (
        sum(bool(re.match(r"^\s*\d{1,4}[-./]\d{1,2}[-./]\d{1,4} \S+$", line)) for line in body)
        > len(body) / 2
    )


def _split(text: str, lines: Sequence[str], separator: str, name: str) -> list[tuple[int, list[str]]]:
    if separator == " ":
        return [(n, line.split()) for n, line in enumerate(lines, start=1)]
    if '"' not in text:
        if not any(mark in text for mark in " \xa0"):
            return [(n, line.split(separator)) for n, line in enumerate(lines, start=1)]
        return [(n, [f.strip() for f in line.split(separator)]) for n, line in enumerate(lines, start=1)]
    reader = csv.reader(lines, delimiter=separator, skipinitialspace=True)
    try:
        return [(reader.line_num, [f.strip() for f in fields] or [""]) for fields in reader]
    except csv.Error as error:
        line = reader.line_num
        message = f"{name}, line {line}: the columns cannot be told apart ({error})."
        raise TrialRefusal("BROKEN_ROW", message, (name,), line) from None


def looks_like_data(fields: Sequence[str]) -> bool:
    """Tell whether a row holds readings: two fields with a number or a clock stamp in them."""
    return sum(bool(NUMBER.match(f) or STAMP.match(f)) for f in fields) >= 2


def _body_start(numbered: list[tuple[int, list[str]]], name: str) -> int:
    filled = [i for i, (_, fields) in enumerate(numbered) if any(fields)]
    for place, index in enumerate(filled):
        following = filled[place : place + 4]
        hits = sum(looks_like_data(numbered[i][1]) for i in following)
        if looks_like_data(numbered[index][1]) and hits >= 0.75 * len(following):
            return index
    if not filled:
        raise TrialRefusal(
            "EMPTY", f"{name} is empty but for separators: expected rows of time and force.", (name,)
        )
    last = numbered[filled[-1]][0]
    if len(filled) <= 3:
        message = f"{name} holds a header but no readings (last text in line {last}): expected rows of time and force."
        raise TrialRefusal("NO_ROWS", message, (name,), last)
    message = f"{name} has no column of numbers: expected rows of time and force, as 12.3,845 (looked at {len(filled)} lines)."
    raise TrialRefusal("NO_NUMBERS", message, (name,), numbered[filled[0]][0])


def _header(numbered: list[tuple[int, list[str]]], start: int) -> tuple[list[str], tuple[str, ...]]:
    before = [fields for _, fields in numbered[:start] if any(fields)]
    if not before or len(before[-1]) < 2:
        return [], tuple(" ".join(fields).strip() for fields in before)
    header = before.pop()
    units = all(not f or _WORD_UNIT.match(f) for f in header)
    if units and before and len(before[-1]) == len(header):
        header = [f"{a} [{b.strip('[]()')}]" if b else a for a, b in zip(before.pop(), header, strict=True)]
    return header, tuple(" ".join(fields).strip() for fields in before)


def _fit(fields: list[str], width: int) -> list[str]:
    return fields[:width] if len(fields) >= width else fields + [""] * (width - len(fields))


def _trailing_blank(numbered: list[tuple[int, list[str]]]) -> int:
    count = 0
    for _, fields in reversed(numbered):
        if any(fields):
            break
        count += 1
    return count
