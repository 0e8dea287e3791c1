"""Workbooks: one sheet of an XLSX file as text; formula cells stay formulas, nothing in it is ever evaluated."""

from __future__ import annotations

import io
import warnings
import zipfile
from collections.abc import Iterator
from datetime import date, datetime, time, timedelta
from typing import Any

from haulwright.errors import TrialRefusal
from haulwright.trials.readers._bytes import Source
from haulwright.trials.readers._fields import CELLS, looks_like_data
from haulwright.trials.readers.choices import Choices

_MOST_COLUMNS = 64
_MOST_PARTS = 2000
_MOST_EMPTY = 5000
_SHEET_BYTES = 2_000_000_000
_RATIO = 60  # a sheet of readings packs to a tenth; what packs smaller than this is made to burst
_TEXT_BYTES = 50_000_000
_SPARE = 4_000_000
_BREAKS = str.maketrans(dict.fromkeys((*range(32), 127), " "))


def is_workbook(raw: bytes) -> bool:
    """Tell whether bytes are a zipped package, as a workbook is."""
    return raw[:4] == b"PK\x03\x04"


def sheet_text(source: Source, choices: Choices) -> tuple[bytes, str]:
    """Return the rows of one sheet as text, cells parted by a unit separator, and the sheet's name.

    Raises
    ------
    TrialRefusal
        WORKBOOK if it cannot be opened or would burst, SHEET if it is not clear which sheet is meant.
    """
    _guard(source)
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            return _read(source, choices)
    except TrialRefusal:
        raise
    except Exception as error:  # a damaged package fails anywhere in the library
        message = f"{source.name} cannot be opened as a workbook ({type(error).__name__}): save it again, or as CSV."
        raise TrialRefusal("WORKBOOK", message, (source.name,)) from None


def _guard(source: Source) -> None:
    """Refuse packages that unpack to far more than they are, or that declare entities."""
    try:
        with zipfile.ZipFile(io.BytesIO(source.raw)) as package:
            parts = package.infolist()
            names = {part.filename for part in parts}
            if "xl/workbook.xml" not in names:
                _refuse(source, "it is a zipped file, but no workbook (XLSX)")
            if len(parts) > _MOST_PARTS or len(names) != len(parts):
                _refuse(source, "its parts are too many or doubled")
            for part in parts:
                _guard_part(source, package, part)
    except TrialRefusal:
        raise
    except Exception:  # a damaged package fails anywhere in the library
        _refuse(source, "its package is broken")


def _guard_part(source: Source, package: zipfile.ZipFile, part: zipfile.ZipInfo) -> None:
    unpacked, sheet = part.file_size, part.filename.startswith("xl/worksheets/")
    limit = max(_SPARE, _RATIO * part.compress_size) if sheet else max(_SPARE, 3 * len(source.raw))
    if unpacked > min(limit, _SHEET_BYTES):
        _refuse(source, f"{part.filename} unpacks to {unpacked / 1e6:.0f} MB")
    if part.flag_bits & 1:
        _refuse(source, "it is locked with a password")
    if part.filename.endswith((".xml", ".rels")):
        with package.open(part) as stream:
            if b"<!" in stream.read(4096).replace(b"<!--", b""):
                _refuse(source, f"{part.filename} declares a document type")


def _refuse(source: Source, why: str) -> None:
    raise TrialRefusal(
        "WORKBOOK", f"{source.name} is refused: {why}. Save it again, or as CSV.", (source.name,)
    )


def _read(source: Source, choices: Choices) -> tuple[bytes, str]:
    from openpyxl import load_workbook

    book = load_workbook(io.BytesIO(source.raw), read_only=True, data_only=False, keep_links=False)
    try:
        sheets = {sheet.title: sheet for sheet in book.worksheets}
        if choices.sheet is not None:
            name = _named(list(sheets), choices.sheet, source)
            return _text(sheets[name], source), name
        texts = {}
        for name, sheet in sheets.items():
            text = _text(sheet, source)
            if _readings(text) >= 3:
                texts[name] = text
        if len(texts) == 1:
            name, text = next(iter(texts.items()))
            return text, name
        if texts:
            shown = "; ".join(f"{name}: {_first(text)}" for name, text in texts.items())
            message = (
                f"{source.name} holds {len(texts)} sheets with readings. {shown}. State which (--sheet NAME)."
            )
            raise TrialRefusal("SHEET", message, (source.name, *texts))
        names = ", ".join(sheets) or "none"
        raise TrialRefusal(
            "NO_ROWS", f"{source.name} holds no sheet with readings (sheets: {names}).", (source.name,)
        )
    finally:
        book.close()


def _named(names: list[str], wanted: str, source: Source) -> str:
    for name in names:
        if name.lower() == wanted.strip().lower():
            return name
    if wanted.strip().isdecimal() and 1 <= int(wanted) <= len(names):
        return names[int(wanted) - 1]
    message = f"{source.name}: no sheet {wanted!r}; there are {', '.join(names)}."
    raise TrialRefusal("SHEET", message, (source.name, wanted))


def _text(sheet: Any, source: Source) -> bytes:
    sheet.reset_dimensions()  # what the file says of its own size is not trusted
    text = io.BytesIO()
    separator = CELLS
    empty = 0
    for row in _rows(sheet):
        empty = 0 if any(row) else empty + 1
        if empty > _MOST_EMPTY:
            _refuse(source, f"sheet {sheet.title} has over {_MOST_EMPTY} empty rows together")
        text.write(separator.join(row).rstrip(separator).encode("utf-8", "replace"))
        text.write(b"\n")
        if text.tell() > _TEXT_BYTES + 4 * len(source.raw):
            _refuse(source, f"sheet {sheet.title} holds more text than a log")
    return _squared(text.getvalue().rstrip(b"\n") + b"\n")


def _squared(text: bytes) -> bytes:
    """Give every row as many cells as most rows with readings have: a workbook leaves empty ones out."""
    mark = CELLS.encode()
    lines = text.split(b"\n")
    widest = max((line.count(mark) for line in lines[:5000]), default=0)
    return b"\n".join(line + mark * (widest - line.count(mark)) if line else line for line in lines)


def _rows(sheet: Any) -> Iterator[list[str]]:
    for row in sheet.iter_rows(max_col=_MOST_COLUMNS, values_only=True):
        yield [_cell(value) for value in row]


def _cell(value: Any) -> str:
    if value is None:
        return ""
    if isinstance(value, float):
        return (
            repr(value)
            if value != int(value) or abs(value) > 1e15
            else str(int(value))
            if value - value == 0.0
            else ""
        )
    if isinstance(value, datetime):
        return value.isoformat(sep=" ", timespec="microseconds")
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, time):
        return value.isoformat(timespec="microseconds")
    if isinstance(value, timedelta):
        return repr(value.total_seconds())
    if isinstance(value, str | int):
        return str(value).translate(_BREAKS).strip()[:2000]
    return "=" + type(value).__name__  # formulas over several cells are objects of their own


def _readings(text: bytes) -> int:
    """Return how many of the first rows hold two readings."""
    rows = text[:200_000].decode("utf-8", "replace").split("\n")[:500]
    return sum(looks_like_data(row.split(CELLS)) for row in rows)


def _first(text: bytes) -> str:
    rows = [row.split(CELLS) for row in text[:200_000].decode("utf-8", "replace").split("\n")[:500]]
    return " | ".join(next(row for row in rows if looks_like_data(row)))[:80]
