"""The words in which a log's format can be told: on the command line, in Python, and in ``campaign.yaml``."""

from __future__ import annotations

from haulwright.quantities.unit_table import G0, POUND_KG

SEPARATORS = {"tab": "\t", "semicolon": ";", "comma": ",", "bar": "|", "space": " "}
DECIMALS = {"point": ".", "comma": ","}
DATE_ORDERS = ("day-first", "month-first", "year-first")
SECONDS_PER = {"s": 1.0, "ms": 1e-3, "us": 1e-6, "min": 60.0, "h": 3600.0, "day": 86400.0}
CLOCKS = (*SECONDS_PER, "mm:ss", "hh:mm")

_LBF = POUND_KG * G0
NEWTONS: dict[str, float] = {
    "n": 1.0,
    "dan": 10.0,
    "kn": 1000.0,
    "kgf": G0,
    "kg": G0,
    "kp": G0,
    "t": 1000.0 * G0,
    "tf": 1000.0 * G0,
    "tonnes": 1000.0 * G0,
    "lbf": _LBF,
    "lb": _LBF,
    "lbs": _LBF,
    "klbf": 1000.0 * _LBF,
    "kip": 1000.0 * _LBF,
}


def newtons_per(token: str) -> float | None:
    """Return the newtons of one unit, None if it is no unit of force.

    Examples
    --------
    >>> newtons_per("kN"), newtons_per("stone")
    (1000.0, None)
    """
    return NEWTONS.get(token.strip().lower())


def by_place(text: str | None) -> dict[str, str]:
    """Return what is given for each place; the key is empty for what holds for all.

    Examples
    --------
    >>> by_place("kgf"), by_place("line=kN, anchor=t"), by_place(None)
    ({'': 'kgf'}, {'line': 'kN', 'anchor': 't'}, {})
    """
    found: dict[str, str] = {}
    for part in text.split(",") if text is not None else ():
        place, _, word = part.rpartition("=")
        found[place.strip()] = word.strip()
    return found


def is_encoding(name: str) -> bool:
    """Tell whether Python knows a text encoding that holds what a log is written in.

    Examples
    --------
    >>> is_encoding("cp1252"), is_encoding("klingon")
    (True, False)
    """
    try:
        return "12.3,845\n".encode(name).decode(name) == "12.3,845\n"
    except (LookupError, ValueError):
        return False
