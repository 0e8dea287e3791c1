"""The order of the rigs, and the reason of each place as a sentence."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from haulwright.field.rating import VERDICTS
from haulwright.planning.result import Candidate, ItemCheck, Rejected


def rank(candidates: Sequence[Candidate]) -> tuple[Candidate, ...]:
    """Return the candidates best first, each with its rank and the reason of it.

    Parameters
    ----------
    candidates : sequence of Candidate

    Returns
    -------
    tuple of Candidate

    Notes
    -----
    Order: verdict (inside, tight, unknown, over); then the worst utilisation among the winch at the high resistance and
    every rated item at stall; then unrated items, pieces of gear, set-ups, time and line.
    """
    ordered = sorted(candidates, key=_key)
    return tuple(replace(one, rank=n, why=_why(one, ordered[0])) for n, one in enumerate(ordered, start=1))


def merged(rejected: Sequence[Rejected]) -> tuple[Rejected, ...]:
    """Return the rejected rigs, one row where a rig lacks the same at every anchor.

    Examples
    --------
    >>> lacks = [Rejected(f"four-part, {anchor}", "blocks", _named="four-part") for anchor in ("oak", "rock")]
    >>> [one.rig for one in merged(lacks)]
    ['four-part']
    """
    lacks: dict[str, list[Rejected]] = {}
    for one in rejected:
        lacks.setdefault(one._named or one.rig, []).append(one)
    rows: list[Rejected] = []
    for base, group in lacks.items():
        same = len(group) > 1 and len({one.lacked for one in group}) == 1
        rows += [Rejected(base, group[0].lacked)] if same else group
    return tuple(rows)


def worst_item(candidate: Candidate) -> ItemCheck | None:
    """Return the rated item with the greatest utilisation, None if none is rated."""
    rated = [item for item in candidate.items if item.utilisation is not None]
    return max(rated, key=lambda item: item.utilisation or 0.0, default=None)


def _share(candidate: Candidate) -> float:
    item = worst_item(candidate)
    return math.inf if item is None or item.utilisation is None else item.utilisation


def _unrated(candidate: Candidate) -> int:
    return sum(item.verdict == "unknown" for item in candidate.items)


def _key(candidate: Candidate) -> tuple[float, ...]:
    return (
        VERDICTS.index(candidate.verdict),
        round(_share(candidate), 4),
        _unrated(candidate),
        len(candidate.items),
        candidate.setups or 1,
        math.inf if candidate.time_s is None else candidate.time_s,
        math.inf if candidate.line_needed_m is None else candidate.line_needed_m,
    )


def _why(candidate: Candidate, best: Candidate) -> str:
    found = _finding(candidate)
    if candidate is best:
        return f"Best margin here. {found}"
    if candidate.verdict != best.verdict:
        return f"{candidate.verdict.capitalize()}, where {best.rig} is {best.verdict}. {found}"
    if round(_share(candidate), 4) > round(_share(best), 4):
        return f"Less margin than {best.rig} ({100.0 * _share(best):.0f} % there). {found}"
    return f"No more margin than {best.rig}, with more unrated items, gear, set-ups, time or line. {found}"


def _finding(candidate: Candidate) -> str:
    """Return what limits the rig, and what is not known of it."""
    item = worst_item(candidate)
    words = []
    if item is not None and item.utilisation is not None:
        share = f"{100.0 * item.utilisation:.0f} %"
        if item.role == "winch":
            words.append(f"The winch needs {share} of its line pull at the high resistance.")
        else:
            words.append(f"{item.item} ({item.role}) carries {share} of its limit at stall.")
    unrated = [item.item for item in candidate.items if item.verdict == "unknown"]
    if unrated:
        words.append(f"No rating: {', '.join(dict.fromkeys(unrated))}.")
    return " ".join(words)
