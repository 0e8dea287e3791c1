"""Rejected rigs told together where they lack the same."""

from __future__ import annotations

from collections.abc import Sequence

from haulwright.planning.result import Rejected

FEW = 2  # this many rigs of one family are told one by one


def merged(rejected: Sequence[Rejected]) -> tuple[Rejected, ...]:
    """Return the rejected rigs, one row where a family of rigs lacks the same at every anchor.

    Parameters
    ----------
    rejected : sequence of Rejected

    Returns
    -------
    tuple of Rejected
        ``count`` says how many rigs a row stands for. Where a family lacks the same kind of thing in different measure at
        more than two places, the row tells the first of them.

    Examples
    --------
    >>> lacks = [Rejected(f"four-part, {anchor}", "blocks", "four-part") for anchor in ("oak", "rock")]
    >>> [(one.rig, one.count) for one in merged(lacks)]
    [('four-part', 2)]
    """
    alike: dict[tuple[str, str], list[Rejected]] = {}
    for one in rejected:
        family = one._named or one.rig
        if one._kind == "blocks":  # led round or to two anchors it asks for no fewer
            family = family.partition(", parts to")[0].partition(", led round")[0]
        alike.setdefault((family, one._kind), []).append(one)
    order = sorted(alike, key=lambda key: key[1] == "place")  # what has no place here is told last
    return tuple(row for key in order for row in _rows(key[0], alike[key]))


def _rows(family: str, group: list[Rejected]) -> list[Rejected]:
    first = group[0]
    if first._kind == "blocks" or len({one.lacked for one in group}) == 1:
        return [Rejected(family, first.lacked, count=len(group))] if len(group) > 1 else group
    if len(group) <= FEW:
        return group
    lacked = f"{first.lacked} ({first.rig}; {len(group) - 1} more like it)"
    return [Rejected(family, lacked, count=len(group))]
