"""Place every label where nothing else is, and test it for overlap before it is drawn."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from itertools import islice
from types import MappingProxyType
from typing import Final

from haulwright.publishing.diagram.boxes import Box, Obstacles, Shape, bar
from haulwright.publishing.diagram.geometry import XY
from haulwright.publishing.diagram.labels import (
    Label,
    Placed,
    Setter,
    block_name,
    block_words,
    body_name,
    short_name,
    with_height,
)
from haulwright.publishing.diagram.obstacles import block_outlines, obstacles, strand_outlines
from haulwright.publishing.diagram.plan import Hub, PlacedBlock, PlacedStrap, Plan, Strand
from haulwright.publishing.diagram.scheme import NOTHING_N, DrawnBlock
from haulwright.publishing.diagram.spots import (
    Sheet,
    Spot,
    Spots,
    at_arrow,
    at_block,
    at_hub,
    beside,
    beside_strap,
)
from haulwright.publishing.diagram.type_size import cut
from haulwright.publishing.wording import force

# the number of a place, the place, its leader, and the leader as a shape
Open = tuple[int, Box, "tuple[XY, XY] | None", "Shape | None"]
Spotted = tuple[bool, int]  # whether as a row of the key, and the number of the place
NOWHERE: Final[Mapping[str, Spotted]] = MappingProxyType({})
PAD = 4.0
RETRIES = 8


def place_labels(
    plan: Plan,
    units: str,
    over: frozenset[str] = frozenset(),
    *,
    keyed: str = "none",
    before: Mapping[str, Spotted] = NOWHERE,
) -> list[Placed] | None:
    """Return every label in its place, or None where one finds no room.

    Parameters
    ----------
    plan : Plan
    units : str
    over : frozenset of str
        ``body:NAME``, ``block:NAME``, ``line:NAME`` of what is over its limit at stall.
    keyed : str
        ``none``; ``some``: what finds no room carries a number or a letter, its figures are a row of the key below
        the sheet; ``all``: every part and block does.
    before : mapping key -> (keyed, number)
        Where each label stood on the drawing before: it is put there again where that is still free.
    """
    return _Placer(plan, units, over, keyed, before).place()


class Kept:
    """What an iterator yields, kept for the next time it is gone through; no further than it was asked for."""

    def __init__(self, source: Iterator[Open]) -> None:
        self.source, self.kept = source, list[Open]()

    def __iter__(self) -> Iterator[Open]:
        """Yield what is kept, then what comes."""
        yield from self.kept
        for one in self.source:
            self.kept.append(one)
            yield one


class _Placer:
    def __init__(
        self, plan: Plan, units: str, over: frozenset[str], keyed: str, before: Mapping[str, Spotted]
    ) -> None:
        self.plan, self.units, self.over, self.keyed, self.before = plan, units, over, keyed, before
        self.sheet = Sheet(plan, Setter(plan.size), plan.sheet.grown(-5.0))
        self.fixed = Obstacles(Shape(one) for one in obstacles(plan))
        self.taken: list[Shape] = []
        self.open: dict[tuple[str, bool], Kept] = {}
        self.strands = Obstacles(Shape(one) for one in (*strand_outlines(plan), *block_outlines(plan)))
        self.crossed = Obstacles(self.fixed.shapes if plan.ground else self.strands.shapes)
        self.homes = {f"body:{a.body.name}": a.middle for a in plan.arrows} if plan.ground else {}
        self.leaders: list[Shape] = []
        self.placed: list[Placed] = []

    def place(self) -> list[Placed] | None:
        jobs = self._jobs()
        for _ in range(RETRIES if self.plan.ground else 1):
            lost = next((job for job in jobs if not self._set(*job)), None)
            if lost is None:
                return self.placed
            jobs.remove(lost)
            jobs.insert(0, lost)  # what found no place goes first
            self._clear()
        return None

    def _jobs(self) -> list[tuple[Label, Spots]]:
        """Every label with its places, in the order in which they are placed."""
        jobs = [(self._body_label(a.body.name), at_arrow(self.sheet, a)) for a in self.plan.arrows]
        jobs += [(self._body_label(h.body.name), at_hub(self.sheet, h)) for h in self._loose_hubs()]
        if self.plan.bare:
            return jobs + [(self._block_label(b), at_block(self.sheet, b)) for b in self._named_blocks()]
        parts = [(strand, i) for strand in self.plan.strands for i in range(len(strand.line.parts))]
        of_parts = [(self._part_label(strand, i), beside(self.sheet, strand, i)) for strand, i in parts]
        of_straps = [(self._strap_label(s), beside_strap(self.sheet, s)) for s in self.plan.labelled]
        named = self._named_blocks() if self.plan.size.strip else []
        of_blocks = [(self._block_label(b), at_block(self.sheet, b)) for b in named]
        # on the ground parts are long and give way to what has one place only
        return jobs + ([*of_blocks, *of_straps, *of_parts] if self.plan.ground else [*of_parts, *of_blocks])

    def _clear(self) -> None:
        self.taken, self.leaders, self.placed = [], [], []

    def _set(self, label: Label, spots: Spots) -> bool:
        """Place one label, whole or as a row of the key; a body keeps its figures beside it where there is room."""
        tries = [] if self.keyed == "all" and not label.key.startswith("body") else [(label, False)]
        if self.keyed != "none":
            was_keyed = self.before.get(label.key, (False, -1))[0]  # and stays so, while the rig is dragged
            tries.insert(0 if was_keyed else len(tries), (label.tagged(), True))
        done = any(self._try(label, shown, keyed, spots) for shown, keyed in tries)
        return done or (self.keyed == "all" and self._on_block(label))

    def _on_block(self, label: Label) -> bool:
        """At last a block carries its letter in place of its pin."""
        for block in self._named_blocks():
            if label.key == f"block:{block.name}":
                high = self.plan.size.figure * 0.45
                box = Box(block.x - high, block.y - high, block.x + high, block.y + high)
                self.placed.append(Placed(label, box, self.plan.size.upright, keyed=True))
                return True
        return False

    def _try(self, label: Label, shown: Label, keyed: bool, spots: Spots) -> bool:
        stacked = self.plan.size.upright
        which = (label.key, keyed)
        if which not in self.open:
            self.open[which] = Kept(self._left_open(label.key, enumerate(spots(shown, stacked))))
        for number, box, leader, line in self._first_before(label, shown, keyed, spots):
            if self._free(box, line):
                self.placed.append(Placed(label, box, stacked, leader, keyed, number))
                self.taken.append(Shape(box.grown(PAD).corners))
                if leader:
                    self.leaders.append(Shape(bar(*leader, 2.0)))
                return True
        return False

    def _first_before(self, label: Label, shown: Label, keyed: bool, spots: Spots) -> Iterator[Open]:
        """The place where the label stood before, if that is left open; then all of them in their order."""
        was_keyed, number = self.before.get(label.key, (False, -1))
        if number >= 0 and was_keyed == keyed:
            same = islice(enumerate(spots(shown, self.plan.size.upright)), number, number + 1)
            yield from self._left_open(label.key, same)
        yield from self.open[label.key, keyed]

    def _left_open(self, key: str, spots: Iterator[tuple[int, Spot]]) -> Iterator[Open]:
        """The places that nothing drawn takes; labels placed before may still."""
        crossed = self.strands if key.startswith("body") else self.crossed
        for number, (box, leader) in spots:
            if not self.sheet.inner.holds(box) or self.fixed.meet_box(box):
                continue
            if leader is None:
                if self._at_home(key, box):
                    yield number, box, None, None
                continue
            line = Shape(bar(*leader, 1.0))
            if not crossed.meet(line):
                yield number, box, leader, line

    def _at_home(self, key: str, box: Box) -> bool:
        """Tell whether no strand lies between a figure without a leader and the arrow it belongs to."""
        home = self.homes.get(key)
        if home is None:
            return True
        near = (min(max(home[0], box.x0), box.x1), min(max(home[1], box.y0), box.y1))
        line = Shape(bar(home, near, 1.0))
        return not self.strands.meet(line)

    def _free(self, box: Box, line: Shape | None) -> bool:
        """Tell whether no label placed before takes a place, nor its leader."""
        if any(shape.meets_box(box) for shape in self.taken):
            return False
        wider = box.grown(2.0)
        if any(shape.meets_box(wider) for shape in self.leaders):
            return False
        return line is None or not any(line.meets_box(p.box.grown(2.0)) for p in self.placed)

    def _part_label(self, strand: Strand, i: int) -> Label:
        part = strand.line.parts[i]
        over = f"line:{part.line}" in self.over and part.stall_N == max(
            p.stall_N or 0.0 for p in strand.line.parts
        )
        name = short_name(part.name) if self.plan.size.upright else part.name
        count = sum(len(s.line.parts) for s in self.plan.strands[: self.plan.strands.index(strand)])
        tag = str(count + len(strand.line.parts) - i)
        return self._label(f"part:{part.line}:{i}", name, part.tension_N, part.stall_N, over, tag)

    def _body_label(self, name: str) -> Label:
        body = self.plan.scheme.bodies[name]
        tag = "ABCDEFGHIJKL"[list(self.plan.scheme.bodies).index(name)]
        key = f"body:{name}"
        words = with_height(body_name(name, body.role), body.height_m)
        return self._label(key, words, body.load_N, body.stall_N, key in self.over, tag)

    def _strap_label(self, placed: PlacedStrap) -> Label:
        strap = placed.strap
        key, before = f"line:{strap.line}", sum(len(s.line.parts) for s in self.plan.strands)
        tag = str(before + 1 + self.plan.labelled.index(placed))
        return self._label(
            f"part:{strap.line}:0", strap.name, strap.tension_N, strap.stall_N, key in self.over, tag
        )

    def _block_label(self, block: PlacedBlock) -> Label:
        drawn = self.plan.scheme.blocks[block.name]
        key, words = f"block:{block.name}", self._block_words(drawn)
        return self._label(key, words, drawn.load_N, drawn.stall_N, key in self.over, self._letter(block))

    def _block_words(self, drawn: DrawnBlock) -> str:
        """Name of a block, its height where heights count, and the angles its lines are turned through."""
        if not self.plan.ground:
            return block_name(drawn.name, drawn.body)
        body = self.plan.scheme.bodies[drawn.body]
        name = drawn.words or block_words(drawn.name, drawn.body, floating=body.role == "floating")
        turned = " and ".join(f"{math.degrees(wrap):.0f}°" for wrap in drawn.wraps_rad)
        join = "\n" if self.plan.size.upright else ", "
        return with_height(name, body.height_m) + (f"{join}wrap {turned}" if turned else "")

    def _letter(self, block: PlacedBlock) -> str:
        return "abcdefghijkl"[[b.name for b in self._named_blocks()].index(block.name)]

    def _label(
        self, key: str, name: str, load_N: float, stall_N: float | None, over: bool, tag: str = ""
    ) -> Label:
        room = (0.3 if self.plan.size.width > 500 else 0.42) * self.plan.size.width
        name = "\n".join(cut(row, room, self.plan.size.name, 600) for row in name.split("\n"))
        idle = key.startswith("body") and stall_N is None and load_N <= NOTHING_N
        if self.plan.bare or (idle and self.plan.ground):
            return Label(key, name, "", None, tag=tag)
        slack = load_N <= NOTHING_N
        none = stall_N is None or (slack and stall_N <= NOTHING_N)
        at_stall = None if stall_N is None or none else force(stall_N, self.units, unit=False)
        expected = "slack" if slack and key.startswith("part") else force(load_N, self.units, unit=False)
        return Label(key, name, expected, at_stall, over, tag)

    def _loose_hubs(self) -> list[Hub]:
        """Bodies whose load no arrow shows: the load, and what no line leads to."""
        shown = {arrow.body.name for arrow in self.plan.arrows}
        met = {block.name for block in self.plan.blocks}
        if not self.plan.bare:
            met |= {stop.body for strand in self.plan.strands for stop in strand.line.stops}
        return [
            hub
            for name, hub in self.plan.hubs.items()
            if hub.body.role == "load"
            or (self.plan.ground and hub.body.role == "anchor" and name not in shown)
            or (self.plan.ground and hub.body.role == "floating" and name not in met)
        ]

    def _named_blocks(self) -> list[PlacedBlock]:
        seen: dict[str, PlacedBlock] = {}
        for block in self.plan.blocks:
            if block.name in self.plan.scheme.blocks:
                seen.setdefault(block.name, block)
        return list(seen.values())
