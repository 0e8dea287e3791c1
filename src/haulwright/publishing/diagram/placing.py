"""Place every label where nothing else is, and test it for overlap before it is drawn."""

from __future__ import annotations

import math

from haulwright.publishing.diagram.boxes import Box, Outline, bar, box_meets, outlines_meet
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
from haulwright.publishing.diagram.spots import Sheet, Spots, at_arrow, at_block, at_hub, beside, beside_strap
from haulwright.publishing.diagram.type_size import cut
from haulwright.publishing.wording import force

PAD = 4.0
RETRIES = 8


def place_labels(
    plan: Plan, units: str, over: frozenset[str] = frozenset(), *, keyed: str = "none"
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
    """
    return _Placer(plan, units, over, keyed).place()


class _Placer:
    def __init__(self, plan: Plan, units: str, over: frozenset[str], keyed: str) -> None:
        self.plan, self.units, self.over, self.keyed = plan, units, over, keyed
        self.sheet = Sheet(plan, Setter(plan.size), plan.sheet.grown(-5.0))
        self.fixed: list[Outline] = list(obstacles(plan))
        self.taken: list[Outline] = list(self.fixed)
        self.strands: list[Outline] = [*strand_outlines(plan), *block_outlines(plan)]
        self.homes = {f"body:{a.body.name}": a.middle for a in plan.arrows} if plan.ground else {}
        self.leaders: list[tuple[XY, XY]] = []
        self.placed: list[Placed] = []

    def place(self) -> list[Placed] | None:
        jobs = [(self._body_label(a.body.name), at_arrow(self.sheet, a)) for a in self.plan.arrows]
        jobs += [(self._body_label(h.body.name), at_hub(self.sheet, h)) for h in self._loose_hubs()]
        parts = [(strand, i) for strand in self.plan.strands for i in range(len(strand.line.parts))]
        of_parts = [(self._part_label(strand, i), beside(self.sheet, strand, i)) for strand, i in parts]
        of_straps = [(self._strap_label(s), beside_strap(self.sheet, s)) for s in self.plan.labelled]
        named = self._named_blocks() if self.plan.size.strip else []
        of_blocks = [(self._block_label(b), at_block(self.sheet, b)) for b in named]
        # on the ground parts are long and give way to what has one place only
        jobs += [*of_blocks, *of_straps, *of_parts] if self.plan.ground else [*of_parts, *of_blocks]
        for _ in range(RETRIES if self.plan.ground else 1):
            lost = next((job for job in jobs if not self._set(*job)), None)
            if lost is None:
                return self.placed
            jobs.remove(lost)
            jobs.insert(0, lost)  # what found no place goes first
            self._clear()
        return None

    def _clear(self) -> None:
        self.taken, self.leaders, self.placed = list(self.fixed), [], []

    def _set(self, label: Label, spots: Spots) -> bool:
        """Place one label, whole or as a row of the key; a body keeps its figures beside it where there is room."""
        tries = [] if self.keyed == "all" and not label.key.startswith("body") else [(label, False)]
        if self.keyed != "none":
            tries.append((label.tagged(), True))
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
        for box, leader in spots(shown, stacked):
            crossed = self.fixed if self.plan.ground and not label.key.startswith("body") else self.strands
            if self._free(box, leader, crossed) and (leader or self._at_home(label.key, box)):
                self.placed.append(Placed(label, box, stacked, leader, keyed))
                self.taken.append(box.grown(PAD).corners)
                if leader:
                    self.leaders.append(leader)
                return True
        return False

    def _at_home(self, key: str, box: Box) -> bool:
        """Tell whether no strand lies between a figure without a leader and the arrow it belongs to."""
        home = self.homes.get(key)
        if home is None:
            return True
        near = (min(max(home[0], box.x0), box.x1), min(max(home[1], box.y0), box.y1))
        line = bar(home, near, 1.0)
        return not any(outlines_meet(line, strand) for strand in self.strands)

    def _free(self, box: Box, leader: tuple[XY, XY] | None, crossed: list[Outline]) -> bool:
        if not self.sheet.inner.holds(box) or any(box_meets(box, outline) for outline in self.taken):
            return False
        if any(box_meets(box.grown(2.0), bar(*other, 2.0)) for other in self.leaders):
            return False
        if leader is None:
            return True
        line = bar(*leader, 1.0)
        return not (
            any(box_meets(p.box.grown(2.0), line) for p in self.placed)
            or any(outlines_meet(line, other) for other in crossed)
        )

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
        slack = load_N <= NOTHING_N
        none = stall_N is None or (slack and stall_N <= NOTHING_N)
        at_stall = None if stall_N is None or none else force(stall_N, self.units, unit=False)
        expected = "slack" if slack and key.startswith("part") else force(load_N, self.units, unit=False)
        return Label(key, name, expected, at_stall, over, tag)

    def _loose_hubs(self) -> list[Hub]:
        """Bodies whose load no arrow shows: the load."""
        return [hub for hub in self.plan.hubs.values() if hub.body.role == "load"]

    def _named_blocks(self) -> list[PlacedBlock]:
        seen: dict[str, PlacedBlock] = {}
        for block in self.plan.blocks:
            if block.name in self.plan.scheme.blocks:
                seen.setdefault(block.name, block)
        return list(seen.values())
