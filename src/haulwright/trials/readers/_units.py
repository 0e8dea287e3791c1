"""Units of force as loggers write them: in a header, in a column of their own, or behind each value."""

from __future__ import annotations

import re

from haulwright.files.log_words import NEWTONS, newtons_per

_NAMES = {
    "n": "N",
    "dan": "daN",
    "kn": "kN",
    "kg": "kgf",
    "kp": "kgf",
    "t": "tf",
    "tonnes": "tf",
    "lb": "lbf",
    "lbs": "lbf",
}
_OTHER = frozenset(
    (
        "s",
        "ms",
        "min",
        "h",
        "hz",
        "v",
        "mv",
        "a",
        "ma",
        "w",
        "m",
        "mm",
        "cm",
        "km",
        "deg",
        "c",
        "f",
        "rpm",
        "db",
        "bar",
        "psi",
    )
)
_TIME = {
    "ms": 0.001,
    "msec": 0.001,
    "s": 1.0,
    "sec": 1.0,
    "seconds": 1.0,
    "min": 60.0,
    "minutes": 60.0,
    "us": 1e-6,
}
_TIME.update(
    {"second": 1.0, "millis": 0.001, "milliseconds": 0.001, "µs": 1e-6, "h": 3600.0, "hours": 3600.0}
)
_BEHIND = re.compile(r"^(.{0,40}\d)\s*([A-Za-z]{1,6})$")
_BRACKET = re.compile(r"[\[(]\s*([^\])]+?)\s*[\])]")


def unit_name(token: str) -> str:
    """Return the unit's own name for a spelling of it; kg of force is kgf.

    Examples
    --------
    >>> unit_name("kg"), unit_name("LBS"), unit_name("KN")
    ('kgf', 'lbf', 'kN')
    """
    low = token.strip().lower()
    return _NAMES.get(low, low)


def split_unit(text: str) -> tuple[str, float] | None:
    """Return the text before a unit of force behind a value, and the newtons of the unit; None without one.

    Examples
    --------
    >>> split_unit("12,5 kN"), split_unit("12.5")
    (('12,5', 1000.0), None)
    """
    match = _BEHIND.match(text)
    newtons = newtons_per(match[2]) if match else None
    return (match[1], newtons) if match and newtons else None


def _tokens(label: str) -> list[str]:
    """Return what may be a unit in a label: in brackets, or its last word if it has several."""
    found = [match.strip().lower() for match in _BRACKET.findall(label)]
    words = [w for w in re.split(r"[\s_,/;:]+", _BRACKET.sub(" ", label)) if w]
    if len(words) > 1:
        found.append(words[-1].lower())
    return found


def unit_in_label(label: str) -> str | None:
    """Return the unit of force a column label states, None if none.

    Examples
    --------
    >>> unit_in_label("Windenseil [kN]"), unit_in_label("line_kgf"), unit_in_label("F_kN"), unit_in_label("t")
    ('kn', 'kgf', 'kn', None)
    """
    return next((token for token in _tokens(label) if token in NEWTONS), None)


def other_unit(label: str) -> bool:
    """Tell whether a label states a unit that is not one of force."""
    return any(token in _OTHER or token[:1] in "%°" for token in _tokens(label))


def seconds_per(label: str) -> float | None:
    """Return the seconds of the unit of time in a label, None if it states none."""
    return next((_TIME[token] for token in _tokens(label) if token in _TIME), None)


def bare_label(label: str) -> str:
    """Return a label without its unit.

    Examples
    --------
    >>> bare_label("Windenseil [kN]"), bare_label("line_kgf")
    ('Windenseil', 'line')
    """
    text = _BRACKET.sub(" ", label).strip()
    match = re.match(r"^(.*?)[\s_,/;:]+(\w+)$", text)
    if match and match[2].lower() in NEWTONS:
        text = match[1]
    return re.sub(r"\s+", " ", text.replace("_", " ")).strip()
