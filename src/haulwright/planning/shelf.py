"""The usable pieces of the kit, each taken once, and one piece in one place of a rig.

Gear that is known to stand the stall load comes first, then gear without a rating, then gear that is too small. Of
blocks and rings that stand it, the one with the least friction is taken; of all else the strongest.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from haulwright.field.rating import Limit
from haulwright.files.kit import Item
from haulwright.mechanics.solution import RigSolution
from haulwright.planning.layout import Lacking
from haulwright.planning.limits import item_limit
from haulwright.planning.request import Request

Load = Callable[[RigSolution], float]


@dataclass(frozen=True)
class Use:
    """One piece in one place of the rig.

    Attributes
    ----------
    item : str
        Id of the kit item, or name of the anchor or point.
    label, role : str
        Words for the piece and for where it sits.
    limit : Limit
        Its working limit.
    load : callable
        The force it sees, from a solution [N].
    part : str
        ``turning`` or ``anchoring`` for gear at a block or between block and anchor, else ``line``.
    owned : Item or None
        The kit item.
    body : str
        The anchor a strap goes round; empty for everything else.
    """

    item: str
    label: str
    role: str
    limit: Limit
    load: Load
    part: str = "line"
    owned: Item | None = None
    body: str = ""


class Shelf:
    """The usable items of the kit, each taken once."""

    def __init__(self, request: Request, bridles: bool) -> None:
        self.request = request
        self.items = [
            item for item in request.pull.kit.items if item.usable and (bridles or item.kind != "bridle")
        ]

    def best(self, kinds: tuple[str, ...], load_N: float, lacked: str) -> tuple[Item, Limit]:
        """Take the best item of these kinds for a load at stall."""
        fitting = [
            (item, item_limit(item, self.request.pull.kit)) for item in self.items if item.kind in kinds
        ]
        if not fitting:
            raise Lacking(lacked)
        chosen = min(fitting, key=lambda pair: self._order(pair[0], pair[1], load_N))
        self.items.remove(chosen[0])
        return chosen

    def _order(self, item: Item, limit: Limit, load_N: float) -> tuple[float, ...]:
        strength = limit.limit_N
        class_ = 1.0 if strength is None else 0.0 if strength >= load_N else 2.0
        friction = self.request.friction[item.id].k.value if item.id in self.request.friction else 1.0
        return (class_, friction if class_ == 0.0 else 1.0, -(strength or 0.0))
