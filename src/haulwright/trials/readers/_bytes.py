"""From a file to UTF-8 text: hashed, decoded, guarded, never written to."""

from __future__ import annotations

import codecs
import hashlib
import re
from dataclasses import dataclass
from pathlib import Path

from haulwright.errors import TrialRefusal

LARGEST_BYTES = 2_000_000_000
_CONTROLS = bytes([*range(9), *range(14, 32), 127])
_STEP = 1 << 20
_MARKS = (
    (codecs.BOM_UTF8, "utf-8-sig"),
    (codecs.BOM_UTF32_LE, "utf-32"),
    (codecs.BOM_UTF32_BE, "utf-32"),
    (codecs.BOM_UTF16_LE, "utf-16"),
    (codecs.BOM_UTF16_BE, "utf-16"),
)


@dataclass(frozen=True)
class Source:
    """One file as it lies on the disk.

    Attributes
    ----------
    name : str
        The path as messages and records name it.
    sha256 : str
        Of the raw bytes.
    raw : bytes
        The raw bytes.
    """

    name: str
    sha256: str
    raw: bytes


def shown_path(path: Path) -> str:
    """Return the path for records: as given if relative, the bare name if absolute."""
    return path.name if path.is_absolute() else path.as_posix()


def load(path: Path) -> Source:
    """Read and hash a file.

    Raises
    ------
    TrialRefusal
        NO_FILE, UNREADABLE, TOO_LARGE or EMPTY.
    """
    name = shown_path(path)
    try:
        if path.stat().st_size > LARGEST_BYTES:
            raise TrialRefusal(
                "TOO_LARGE", f"{name} is over 2 GB: cut the log to the run before reading it.", (name,)
            )
        if not path.is_file():
            raise TrialRefusal("UNREADABLE", f"{name} cannot be read: it is no plain file.", (name,))
        raw = path.read_bytes()
    except FileNotFoundError:
        raise TrialRefusal("NO_FILE", f"{name}: there is no such file. Check the path.", (name,)) from None
    except (OSError, ValueError) as error:  # ValueError: a path that no system takes
        if isinstance(error, TrialRefusal):
            raise
        reason = getattr(error, "strerror", None) or "cannot be opened"
        raise TrialRefusal("UNREADABLE", f"{name} cannot be read: {reason}.", (name,)) from None
    padding = b" \t\r\n\0\x1a"
    if not raw[:4096].strip(padding) and not raw.strip(padding):
        raise TrialRefusal(
            "EMPTY", f"{name} is empty: expected a log with a time and a force column.", (name,)
        )
    return Source(name, hashlib.sha256(raw).hexdigest(), raw)


def to_utf8(source: Source, encoding: str | None) -> tuple[bytes, str]:
    """Return the text as UTF-8 with line ends made one, and the encoding it was read in.

    Raises
    ------
    TrialRefusal
        NOT_TEXT.
    """
    data, found = _decoded(source.raw, source.name, encoding)
    if b"\r" in data:
        data = data.replace(b"\r\n", b"\n").replace(b"\r", b"\n")
    data = data.rstrip(b"\x1a\0")  # end-of-file mark and padding of old loggers
    _refuse_controls(data, source.name)
    return data, found


def _decoded(raw: bytes, name: str, wanted: str | None) -> tuple[bytes, str]:
    if wanted is not None:
        return _strict(raw, wanted, name), wanted
    for mark, encoding in _MARKS:
        if raw.startswith(mark):
            return _strict(raw, encoding, name), encoding
    _refuse_other(raw, name)
    head = raw[:65536]
    if b"\0" in head.rstrip(b"\0"):
        encoding = "utf-16-le" if head[1::2].count(0) >= head[0::2].count(0) else "utf-16-be"
        return _strict(raw, encoding, name), encoding
    if raw.isascii() or _is_utf8(raw):
        return raw, "utf-8"
    return _guess(raw, name)


_OTHERS = (
    (b"\x89PNG\r\n", "a picture"),
    (b"\xff\xd8\xff", "a picture"),
    (b"GIF8", "a picture"),
    (b"%PDF-", "a PDF"),
    (b"\xd0\xcf\x11\xe0", "a workbook of the old kind (.xls)"),
    (b"Rar!", "an archive"),
    (b"7z\xbc\xaf", "an archive"),
    (b"\x1f\x8b", "a packed file"),
)


def _refuse_other(raw: bytes, name: str) -> None:
    """Refuse what its own first bytes call no text at all, by its kind."""
    for head, what in _OTHERS:
        if raw.startswith(head):
            message = f"{name} is {what}, no log: export the log as CSV text or as a workbook (.xlsx)."
            raise TrialRefusal("NOT_TEXT", message, (name,))


def _is_utf8(raw: bytes) -> bool:
    decoder = codecs.getincrementaldecoder("utf-8")()
    try:
        for at in range(0, len(raw), _STEP):
            decoder.decode(raw[at : at + _STEP])
        decoder.decode(b"", final=True)
    except UnicodeDecodeError:
        return False
    return True


def _strict(raw: bytes, encoding: str, name: str) -> bytes:
    """Decode piece by piece, so that a large file never lies in memory as wide characters."""
    decoder = codecs.getincrementaldecoder(encoding)()
    pieces = []
    try:
        for at in range(0, len(raw), _STEP):
            pieces.append(decoder.decode(raw[at : at + _STEP]).encode())
        pieces.append(decoder.decode(b"", final=True).encode())
    except UnicodeError:
        message = f"{name} looks like {encoding} text but is broken: export the log again as CSV text."
        raise TrialRefusal("NOT_TEXT", message, (name,)) from None
    return b"".join(pieces)


def _guess(raw: bytes, name: str) -> tuple[bytes, str]:
    from charset_normalizer import from_bytes

    # only the lines that are not plain ASCII tell anything
    telling = [line for line in re.split(rb"[\r\n]+", raw[: 1 << 20]) if not line.isascii()]
    best = from_bytes(b"\n".join(telling)[:65536]).best() if telling else None
    if telling and best is None:
        raise TrialRefusal("NOT_TEXT", f"{name} is not a text file: export the log as CSV text.", (name,))
    found = best.encoding if best is not None else "cp1252"
    # cp1250 and cp1252 agree on all a log holds but the superscripts, and a meant cp1250 is rare
    encoding = "cp1252" if found in ("cp1250", "latin_1", "cp1257", "iso8859_2") else found
    try:
        return _strict(raw, encoding, name), encoding
    except TrialRefusal:
        return _strict(raw, found, name), found


def _refuse_controls(data: bytes, name: str) -> None:
    for at in range(0, len(data), _STEP):
        piece = data[at : at + _STEP]
        if len(piece.translate(None, _CONTROLS)) == len(piece):
            continue
        place = at + next(i for i, byte in enumerate(piece) if byte in _CONTROLS)
        line = data.count(b"\n", 0, place) + 1
        message = f"{name}, line {line}: holds the control character {chr(data[place])!r}: export the log again as CSV text."
        raise TrialRefusal("NOT_TEXT", message, (name,), line)
