"""Spelling of printed papers: British unless American is asked for (common practice, no source).

Only whole words of the house are respelled. What a user named stays: words in quotes and paths of one-line notation.
Drawings and charts use words that are spelled alike everywhere.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from contextvars import ContextVar
from typing import Any

from haulwright.errors import UsageRefusal

REGIONS = ("AU", "UK", "US")
_US = {
    "tyre": "tire", "tyres": "tires",
    "metre": "meter", "metres": "meters", "kilometre": "kilometer", "kilometres": "kilometers",
    "centimetre": "centimeter", "centimetres": "centimeters", "millimetre": "millimeter", "millimetres": "millimeters",
    "centre": "center", "centres": "centers", "centred": "centered",
    "colour": "color", "colours": "colors", "coloured": "colored",
    "fibre": "fiber", "fibres": "fibers",
    "labelled": "labeled", "cancelled": "canceled", "travelled": "traveled", "levelled": "leveled",
    "neighbour": "neighbor", "neighbours": "neighbors", "neighbouring": "neighboring",
    "favourable": "favorable", "aluminium": "aluminum", "licence": "license",
    "catalogue": "catalog", "catalogues": "catalogs",
    "tonne": "metric ton", "tonnes": "metric tons",
    "galvanised": "galvanized", "organised": "organized", "recognised": "recognized",
}  # fmt: skip
_WORD = re.compile(rf"(?<![\w./-])(?:{'|'.join(sorted(_US, key=len, reverse=True))})(?![\w/]|\.\w|-\w)", re.I)
_KEPT = re.compile(
    r"((?:(?<=^)|(?<=[\s(]))'[^'\n]+'(?=$|[\s.,;:)])|\"[^\"\n]*\"|“[^”\n]*”|`[^`\n]*`|!?[\w.@~]+(?: > [\w.@~]+)+)"
)
_SEALED = re.compile(r"(<(?:style|script)\b.*?</(?:style|script)>|<[^>]*>)", re.S | re.I)
_region: ContextVar[str] = ContextVar("whose spelling papers have", default="AU")


@contextmanager
def spelling(region: str) -> Iterator[None]:
    """Spell papers as a region does, meanwhile.

    Raises
    ------
    UsageRefusal
        WORDS: not one of :data:`REGIONS`.
    """
    before = _region.set(checked(region))
    try:
        yield
    finally:
        _region.reset(before)


def spell_for(region: str) -> None:
    """Spell papers as a region does from now on in this context; see :func:`spelling`."""
    _region.set(checked(region))


def checked(region: str, where: str = "words") -> str:
    """Return a region that is known, or refuse it; ``where`` is what it was given by."""
    if region not in REGIONS:
        raise UsageRefusal("WORDS", f"{where} = {region[:40]!r}: give {', '.join(REGIONS)}.", (where,))
    return region


def spelled(text: str) -> str:
    """Return a text in the spelling of the region.

    Examples
    --------
    >>> with spelling("US"):
    ...     spelled("Metres of fibre rope beside 'the grey tyre'.")
    "Meters of fiber rope beside 'the grey tyre'."
    """
    if _region.get() != "US":
        return text
    return "".join(piece if n % 2 else _WORD.sub(_other, piece) for n, piece in enumerate(_KEPT.split(text)))


def spelled_all(value: Any) -> Any:
    """Return nested words, as a page is given them, in the spelling of the region; keys stay."""
    if isinstance(value, str):
        return spelled(value)
    if isinstance(value, Mapping):
        return {key: spelled_all(one) for key, one in value.items()}
    if isinstance(value, Sequence):
        return [spelled_all(one) for one in value]
    return value


def spelled_page(html: str) -> str:
    """Return a page with its text in the spelling of the region; tags, styles and scripts stay."""
    return "".join(piece if n % 2 else spelled(piece) for n, piece in enumerate(_SEALED.split(html)))


def _other(found: re.Match[str]) -> str:
    ours = found[0]
    theirs = _US[ours.lower()]
    if len(ours) > 1 and ours.isupper():
        return theirs.upper()
    return theirs[0].upper() + theirs[1:] if ours[0].isupper() else theirs
