"""The usable pieces of the kit, each taken once, and one piece in one place of a rig.

Gear that stands the stall load well inside its limit comes first, then what is tight, then gear without a rating, then
gear that is too small. Of blocks and rings alike in that, the one with the least friction is taken; of all else the
strongest. Straps, shackles and the like are dealt out together, so that no place takes what another needs more. So
neither more friction nor a weaker piece can ever better a verdict by another choice.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from haulwright.field.rating import VERDICTS, Limit, utilisation, verdict
from haulwright.files.kit import TURNING, Item, Marked
from haulwright.mechanics.solution import RigSolution
from haulwright.planning.dealing import deal
from haulwright.planning.holding import Hold
from haulwright.planning.lacking import Lacking
from haulwright.planning.limits import item_limit
from haulwright.planning.placing import STRAIGHT, Placing
from haulwright.planning.request import Request

Load = Callable[[RigSolution], float]
_CLASS = 1e6  # apart as far as two verdicts are


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
    mark : Marked or None
        What is marked on a point, mount or anchor, which are no kit items.
    side : callable or None
        The angle a shackle is pulled from its axis, from a solution [rad]; None for in line.
    hold : callable or None
        What is known of an anchor beside a limit, from a solution.
    at : str
        Body of the rig that it is part of or made fast to; empty for a line.
    """

    item: str
    label: str
    role: str
    limit: Limit
    load: Load
    part: str = "line"
    owned: Item | None = None
    body: str = ""
    mark: Marked | None = None
    side: Load | None = None
    hold: Callable[[RigSolution], Hold] | None = None
    at: str = ""

    @property
    def marked(self) -> Marked | None:
        """Return what carries the mark: the kit item, or the point, mount or anchor."""
        return self.owned if self.owned is not None else self.mark


@dataclass(frozen=True)
class Ask:
    """What was asked of the shelf for one place: kinds of item, load at stall, how it sits."""

    kinds: tuple[str, ...]
    load_N: float
    placing: Placing


class Shelf:
    """The usable items of the kit, each taken once.

    Parameters
    ----------
    request : Request
    bridles : bool
        Whether bridles may be used.
    dealt : sequence of Item or None
        Who gets which strap and joint, in the order they are asked for; None only listens: what is asked for is kept in
        ``asks``, and nothing but blocks and rings is taken.
    side_rad : float
        How far from its axis the stuck vehicle is pulled at least [rad].
    """

    def __init__(
        self, request: Request, bridles: bool, dealt: Sequence[Item] | None = None, side_rad: float = 0.0
    ) -> None:
        self.request, self.bridles, self.side_rad = request, bridles, side_rad
        self.asks: list[Ask] = []
        self._limits: dict[tuple[str, Placing], Limit] = {}
        self._dealt = None if dealt is None else list(dealt)
        self.items = [
            item
            for item in request.pull.kit.items
            if item.usable and item.id not in request.reserved and (bridles or item.kind != "bridle")
        ]

    def best(
        self,
        kinds: tuple[str, ...],
        load_N: float,
        lacked: str,
        placing: Placing = STRAIGHT,
        sheaves: int = 1,
    ) -> tuple[Item, Limit]:
        """Take the best item of these kinds, with as many sheaves, for a load at stall, as it would sit in the rig."""
        turning = kinds == TURNING
        if not turning:
            self.asks.append(Ask(kinds, load_N, placing))
            if self._dealt is not None:
                item = self._dealt[len(self.asks) - 1]
                self.items.remove(item)
                return item, self.limit(item, placing)
        of_kind = [item for item in self.items if item.kind in kinds and item.sheaves >= sheaves]
        fitting = [(item, self.limit(item, placing)) for item in of_kind]
        if not fitting:
            raise Lacking(lacked)
        chosen = min(fitting, key=lambda pair: self._order(pair[0], pair[1], load_N))
        if turning:
            self.items.remove(chosen[0])
        return chosen

    def take(self, item: Item) -> tuple[Item, Limit]:
        """Take an item that is chosen already."""
        self.items.remove(item)
        return item, self.limit(item)

    def dealt_out(self) -> Shelf:
        """Return the shelf anew, on which all that was asked for lies ready.

        Raises
        ------
        Lacking
            There are too few.
        """
        fresh = Shelf(self.request, self.bridles, self.deal(), self.side_rad)
        fresh._limits = self._limits
        return fresh

    def deal(self) -> list[Item]:
        """Return who gets which of the items that are left, for all that was asked.

        Raises
        ------
        Lacking
            There are too few.
        """
        pieces = [item for item in self.items if any(item.kind in ask.kinds for ask in self.asks)]
        keys: list[dict[int, tuple[float, ...]]] = [
            {
                n: self._order(item, self.limit(item, ask.placing), ask.load_N)
                for n, item in enumerate(pieces)
                if item.kind in ask.kinds
            }
            for ask in self.asks
        ]
        costs = [
            [
                _cost(ask.load_N, self.limit(item, ask.placing)) if n in row else None
                for n, item in enumerate(pieces)
            ]
            for ask, row in zip(self.asks, keys, strict=True)
        ]
        found = deal(costs, [sorted(row, key=row.__getitem__) for row in keys])
        if found is None:
            raise Lacking(self._short())
        return [pieces[n] for n in found]

    def _short(self) -> str:
        """Return what there is too little of."""
        for kinds in dict.fromkeys(ask.kinds for ask in self.asks):
            asked = sum(set(ask.kinds) <= set(kinds) for ask in self.asks)
            there = sum(item.kind in kinds for item in self.items)
            if there < asked:
                return f"{asked} of: {' or '.join(kinds)}; the kit has {there} to use"
        return "enough straps and joints of the kinds it needs"

    def limit(self, item: Item, placing: Placing = STRAIGHT) -> Limit:
        """Return the limit of an item as it would sit in the rig, wet where the site is."""
        key = (item.id, placing)
        if key not in self._limits:
            pull = self.request.pull
            self._limits[key] = item_limit(item, pull.kit, replace(placing, wet=placing.wet or pull.site.wet))
        return self._limits[key]

    def _order(self, item: Item, limit: Limit, load_N: float) -> tuple[float, ...]:
        strength = limit.limit_N
        class_ = VERDICTS.index(verdict(utilisation(load_N, limit)))
        friction = self.request.friction[item.id].k.value if item.id in self.request.friction else 1.0
        stands = class_ <= VERDICTS.index("tight")
        return (class_, friction if stands else 1.0, -(strength or 0.0))


def _cost(load_N: float, limit: Limit) -> float:
    """Return how badly off a place is: by verdict first, by load ÷ limit within it."""
    used = utilisation(load_N, limit)
    return _CLASS * VERDICTS.index(verdict(used)) + min(used or 0.0, _CLASS / 2.0)
