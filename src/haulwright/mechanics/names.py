"""Names a rig gives: the nearest to one that is not in it, and pairs so alike that one may be a slip."""

from __future__ import annotations

import difflib
from functools import lru_cache
from itertools import combinations


def nearest(name: str, known: list[str]) -> str:
    """Return `` Did you mean …?`` for a misspelt name, or the list of what there is.

    Examples
    --------
    >>> nearest("oka", ["oak", "truck"])
    ' Did you mean oak?'
    """
    match = difflib.get_close_matches(name, known, n=1, cutoff=0.5)
    return f" Did you mean {match[0]}?" if match else f" There is: {', '.join(known) or 'nothing'}."


def similar_names(names: list[str]) -> list[tuple[str, str]]:
    """Return pairs of names so alike that one may be a slip; names that differ by a number are meant.

    Examples
    --------
    >>> similar_names(["truck", "truk", "oak", "oak 2"])
    [('truck', 'truk')]
    """
    letters = {name: "".join(c for c in name.lower() if c.isalpha()) for name in names}
    return [
        (a, b)
        for a, b in combinations(names, 2)
        if letters[a] != letters[b]
        and min(len(letters[a]), len(letters[b])) >= 3
        and _alike(letters[a], letters[b])
    ]


@lru_cache(maxsize=4096)
def _alike(a: str, b: str) -> bool:
    return difflib.SequenceMatcher(None, a, b).ratio() > 0.8
