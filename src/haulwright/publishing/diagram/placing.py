"""Place every label where nothing else is, and test it for overlap before it is drawn."""

from __future__ import annotations

from haulwright.publishing.diagram.boxes import Box, Outline, bar, box_meets, outlines_meet
from haulwright.publishing.diagram.geometry import XY
from haulwright.publishing.diagram.labels import Label, Placed, Setter, block_name, body_name, short_name
from haulwright.publishing.diagram.obstacles import block_outlines, obstacles, strand_outlines
from haulwright.publishing.diagram.plan import Hub, PlacedBlock, Plan, Strand
from haulwright.publishing.diagram.spots import Sheet, Spots, at_arrow, at_block, at_hub, beside
from haulwright.publishing.diagram.type_size import cut
from haulwright.publishing.wording import force

PAD = 4.0


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
        self.taken: list[Outline] = list(obstacles(plan))
        self.strands: list[Outline] = [*strand_outlines(plan), *block_outlines(plan)]
        self.leaders: list[tuple[XY, XY]] = []
        self.placed: list[Placed] = []

    def place(self) -> list[Placed] | None:
        jobs = [(self._body_label(a.body.name), at_arrow(self.sheet, a)) for a in self.plan.arrows]
        jobs += [(self._body_label(h.body.name), at_hub(self.sheet, h)) for h in self._loose_hubs()]
        parts = [(strand, i) for strand in self.plan.strands for i in range(len(strand.line.parts))]
        jobs += [(self._part_label(strand, i), beside(self.sheet, strand, i)) for strand, i in parts]
        if self.plan.size.strip:
            jobs += [(self._block_label(b), at_block(self.sheet, b)) for b in self._named_blocks()]
        return self.placed if all(self._set(label, spots) for label, spots in jobs) else None

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
            if self._free(box, leader):
                self.placed.append(Placed(label, box, stacked, leader, keyed))
                self.taken.append(box.grown(PAD).corners)
                if leader:
                    self.leaders.append(leader)
                return True
        return False

    def _free(self, box: Box, leader: tuple[XY, XY] | None) -> bool:
        if not self.sheet.inner.holds(box) or any(box_meets(box, outline) for outline in self.taken):
            return False
        if any(box_meets(box.grown(2.0), bar(*other, 2.0)) for other in self.leaders):
            return False
        if leader is None:
            return True
        line = bar(*leader, 1.0)
        return not (
            any(box_meets(p.box.grown(2.0), line) for p in self.placed)
            or any(outlines_meet(line, strand) for strand in self.strands)
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
        return self._label(key, body_name(name, body.role), body.load_N, body.stall_N, key in self.over, tag)

    def _block_label(self, block: PlacedBlock) -> Label:
        drawn = self.plan.scheme.blocks[block.name]
        key, words = f"block:{block.name}", block_name(block.name, drawn.body)
        return self._label(key, words, drawn.load_N, drawn.stall_N, key in self.over, self._letter(block))

    def _letter(self, block: PlacedBlock) -> str:
        return "abcdefghijkl"[[b.name for b in self._named_blocks()].index(block.name)]

    def _label(
        self, key: str, name: str, load_N: float, stall_N: float | None, over: bool, tag: str = ""
    ) -> Label:
        room = (0.3 if self.plan.size.width > 500 else 0.42) * self.plan.size.width
        name = "\n".join(cut(row, room, self.plan.size.name, 600) for row in name.split("\n"))
        at_stall = None if stall_N is None else force(stall_N, self.units, unit=False)
        return Label(key, name, force(load_N, self.units, unit=False), at_stall, over, tag)

    def _loose_hubs(self) -> list[Hub]:
        """Bodies whose load no arrow shows: the load."""
        return [hub for hub in self.plan.hubs.values() if hub.body.role == "load"]

    def _named_blocks(self) -> list[PlacedBlock]:
        seen: dict[str, PlacedBlock] = {}
        for block in self.plan.blocks:
            if block.name in self.plan.scheme.blocks:
                seen.setdefault(block.name, block)
        return list(seen.values())
