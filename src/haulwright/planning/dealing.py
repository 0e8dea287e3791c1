"""Dealing the pieces of a kit out to the places of a rig so that the worst-off place is as well off as can be."""

from __future__ import annotations

from collections.abc import Sequence

Costs = Sequence[Sequence[float | None]]  # by place and piece; None where the piece does not go there


def deal(costs: Costs, order: Sequence[Sequence[int]]) -> list[int] | None:
    """Return which piece each place gets; None where there are too few.

    Parameters
    ----------
    costs : sequence of sequence of (float or None)
        How badly off each place is with each piece.
    order : sequence of sequence of int
        Pieces in the order each place would like them, what does not go there left out.

    Returns
    -------
    list of int or None

    Notes
    -----
    The greatest cost is made as small as it can be (a bottleneck assignment: the least threshold at which the pieces
    within it still reach every place, by augmenting paths). Then the places choose in turn, those that are badly off
    with their own best piece first; no one takes a piece another then needs to stay within that threshold.

    References
    ----------
    R. Burkard, M. Dell'Amico, S. Martello, Assignment Problems, 2009, 6.2 (from memory).

    Examples
    --------
    >>> deal([[1.0, 2.0], [1.0, None]], [[0, 1], [0]])  # the first place leaves its favourite to the second
    [1, 0]
    """
    least = _bottleneck(costs)
    if least is None:
        return None
    allowed = [[p for p in row if (costs[n][p] or 0.0) <= least] for n, row in enumerate(order)]
    turn = sorted(range(len(costs)), key=lambda n: -min(costs[n][p] or 0.0 for p in allowed[n]))
    for n in turn:
        for piece in allowed[n]:
            tried = [[piece] if m == n else [p for p in row if p != piece] for m, row in enumerate(allowed)]
            if reaches_all(tried):
                allowed = tried
                break
    return [row[0] for row in allowed]


def _bottleneck(costs: Costs) -> float | None:
    """Return the least greatest cost at which every place has a piece of its own."""
    levels = sorted({cost for row in costs for cost in row if cost is not None})
    low, high = 0, len(levels)
    while low < high:
        middle = (low + high) // 2
        within = [
            [p for p, cost in enumerate(row) if cost is not None and cost <= levels[middle]] for row in costs
        ]
        low, high = (low, middle) if reaches_all(within) else (middle + 1, high)
    return levels[low] if low < len(levels) else None if costs else 0.0


def reaches_all(allowed: Sequence[Sequence[int]]) -> bool:
    """Return whether every place can have a piece of its own among those allowed to it.

    Examples
    --------
    >>> reaches_all([[0, 1], [0]]), reaches_all([[0], [0]])
    (True, False)
    """
    holder: dict[int, int] = {}

    def find(place: int, seen: set[int]) -> bool:
        for piece in allowed[place]:
            if piece not in seen:
                seen.add(piece)
                if piece not in holder or find(holder[piece], seen):
                    holder[piece] = place
                    return True
        return False

    return all(find(place, set()) for place in range(len(allowed)))
