"""Words of loggers: what stands for nothing, for too much, for time and for force."""

from __future__ import annotations

import re

BLANK = frozenset(
    ("", "na", "n/a", "n.a.", "nan", "null", "none", "nil", "-", "--", "---", "----", "?", "–", "—")
)
_OVERLOAD = re.compile(
    r"^(o\.?l\.?|ovl|ovr|ofl|over.*|ueberlast|überlast|überlauf|surcharge|sat(urated)?|[-+]?inf(inity)?|[-+]*#+|\++|[<>].*|err(or)?)$",
    re.IGNORECASE,
)
TIME_WORD = re.compile(r"(^|[\s_.(\[])(t|s|sec|when|stamp|date|utc|datum|heure|elapsed)\b|time|zeit", re.I)
FORCE_WORD = re.compile(r"force|load|kraft|last|line|winch|seil|anch?or|anker|pull|tension|zug|cell", re.I)
COUNTER_WORD = re.compile(r"^(#|no\.?|nr\.?|n|index|idx|row|count|sample|id)$", re.I)


def is_blank(text: str) -> bool:
    """Tell whether a field says that there is no reading."""
    return text.lower() in BLANK


def is_overload(text: str) -> bool:
    """Tell whether a field says that the cell was past its range.

    Examples
    --------
    >>> is_overload("O.L."), is_overload("OVER"), is_overload("12.5"), is_overload("line")
    (True, True, False, False)
    """
    return bool(_OVERLOAD.match(text))
