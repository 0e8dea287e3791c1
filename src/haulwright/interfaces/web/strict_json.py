"""JSON as the standard has it: a key once, no NaN, not nested without end."""

from __future__ import annotations

import json
from typing import Any

from haulwright.errors import UsageRefusal

DEEPEST = 64


def read_json(data: bytes | str, what: str = "body") -> Any:
    """Return the value of a JSON text.

    Raises
    ------
    UsageRefusal
        BODY: not readable, a key given twice, a number that is none, or nested deeper than any question is.

    Examples
    --------
    >>> read_json('{"load": "30 kN"}')
    {'load': '30 kN'}
    >>> read_json('{"a": 1, "a": 2}')
    Traceback (most recent call last):
    haulwright.errors.UsageRefusal: body: not readable as JSON: the key 'a' is given twice.
    """
    try:
        text = data if isinstance(data, str) else data.decode("utf-8")
        found = json.loads(text, object_pairs_hook=_once, parse_constant=_no_number)
        deep = _depth(found) > DEEPEST
    except RecursionError:
        deep = True
    except UnicodeDecodeError:
        raise UsageRefusal("BODY", f"{what}: not UTF-8 text.", (what,)) from None
    except ValueError as err:
        raise UsageRefusal(
            "BODY", f"{what}: not readable as JSON: {err}.".replace("..", "."), (what,)
        ) from None
    if deep:
        raise UsageRefusal("BODY", f"{what}: nested deeper than {DEEPEST} levels.", (what,))
    return found


def _once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found = dict(pairs)
    if len(found) < len(pairs):
        names = [name for name, _ in pairs]
        twice = next(name for name in names if names.count(name) > 1)
        raise ValueError(f"the key {twice!r} is given twice")
    return found


def _no_number(word: str) -> float:
    raise ValueError(f"{word} is no number")


def _depth(value: Any) -> int:
    level, depth = [value], 0
    while level:
        depth += 1
        level = [
            inner
            for one in level
            if isinstance(one, dict | list)
            for inner in (one.values() if isinstance(one, dict) else one)
        ]
    return depth
