"""Every way to put the blocks and rings of a kit into a rig."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterator
from itertools import islice, permutations

from haulwright.files.kit import TURNING, Item
from haulwright.mechanics.rig import Rig
from haulwright.planning.request import Request

MOST = 120  # house number: so many ways to take blocks and rings are tried for one rig


def kind_of(item: Item) -> Hashable:
    """Return what decides which other pieces a block or ring needs."""
    return (item.kind, item.becket, item.sheaves, item.sheave)


def ways_to_turn(
    rig: Rig, request: Request, signed: Callable[[Item], Hashable] = kind_of
) -> Iterator[dict[str, Item]]:
    """Yield the ways to put the blocks and rings of a kit into a rig, those that come to the same once, 120 at most.

    Parameters
    ----------
    rig : Rig
    request : Request
    signed : callable
        What makes a difference of an item.
    """
    return islice(_ways(rig, request, signed), MOST)


def _ways(rig: Rig, request: Request, signed: Callable[[Item], Hashable]) -> Iterator[dict[str, Item]]:
    blocks = list(dict.fromkeys(rig.contacts_from_drum))
    passes = [rig.contacts_from_drum.count(block) for block in blocks]
    kit = request.pull.kit.items
    items = [i for i in kit if i.kind in TURNING and i.usable and i.id not in request.reserved]
    seen = set()
    for chosen in permutations(items, len(blocks)):
        key = tuple(signed(item) for item in chosen)
        if key not in seen and all(i.sheaves >= n for i, n in zip(chosen, passes, strict=True)):
            seen.add(key)
            yield dict(zip(blocks, chosen, strict=True))
