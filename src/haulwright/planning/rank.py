"""The order of the rigs, and the reason of each place as a sentence."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from haulwright.field.rating import VERDICTS
from haulwright.planning.result import Candidate, ItemCheck
from haulwright.planning.titles import within


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
        fault = _first(candidate) or candidate.verdict in ("over", "unknown")
        return found if fault else f"Best margin here. {found}"
    if candidate.verdict != best.verdict:
        return f"{candidate.verdict.capitalize()}, where {within(best.title)} is {best.verdict}. {found}"
    if round(_share(candidate), 4) > round(_share(best), 4):
        return f"Less margin than {within(best.title)} ({100.0 * _share(best):.0f} % there). {found}"
    return f"No more margin than {within(best.title)}, with more unrated items, gear, set-ups, time or line. {found}"


def _finding(candidate: Candidate) -> str:
    """Return what limits the rig, and what is not known of it."""
    words = [_margin(worst_item(candidate)), _unknown(candidate)]
    if candidate.verdict == "unknown":
        words.reverse()
    return " ".join(word for word in (*_first(candidate), *words) if word)


def _first(candidate: Candidate) -> list[str]:
    """Return what must be said before any margin: an anchor that slides, a tree that is none; what is over leads."""
    said = sorted((item for item in candidate.items if item.first), key=lambda item: item.verdict != "over")
    return list(dict.fromkeys(item.first for item in said))


def _margin(item: ItemCheck | None) -> str:
    if item is None or item.utilisation is None or (item.first and item.verdict == "over"):
        return ""
    if math.isinf(item.utilisation):
        return f"{item.item} ({item.role}) is not to be used so."
    share = f"{100.0 * item.utilisation:.0f} %"
    if item.role == "winch":
        return f"The winch needs {share} of its line pull at the high resistance."
    return f"{item.item} ({item.role}) carries {share} of its limit at stall."


def _unknown(candidate: Candidate) -> str:
    unrated = dict.fromkeys(_name(item) for item in candidate.items if item.verdict == "unknown")
    return f"No rating: {', '.join(unrated)}." if unrated else ""


def _name(item: ItemCheck) -> str:
    return item.item if item.marked_N is None else f"{item.item} (marked, but not whether WLL or MBS)"
