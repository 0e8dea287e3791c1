"""The plan of a rig on the ground: the sheet turned, the scale that fits, what is left open chosen, arrows set free."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import replace
from itertools import permutations

from haulwright.errors import RigRefusal
from haulwright.publishing.diagram.boxes import Box
from haulwright.publishing.diagram.crossings import crossings
from haulwright.publishing.diagram.frame import SheetFrame
from haulwright.publishing.diagram.geometry import (
    XY,
    Knot,
    centre_line,
    inside,
    unit_to,
)
from haulwright.publishing.diagram.load_arrows import load_arrows
from haulwright.publishing.diagram.perches import Key
from haulwright.publishing.diagram.plan import Hub, Laid, PlacedBlock, PlacedStrap, Plan, Ruler, Strand
from haulwright.publishing.diagram.scheme import DrawnBody
from haulwright.publishing.diagram.sizes import Size
from haulwright.publishing.diagram.stations import QUARTERS, Choice, Stations
from haulwright.publishing.diagram.survey import Survey
from haulwright.publishing.diagram.type_size import text_px

MOST_PX_PER_M = 80.0
MOST_ORDERS = 144
MOST_SHEETS = 4.0  # a rig dragged farther than this beyond its sheet is not drawn on it
Moved = Callable[[XY], XY]


def make_ground_plan(
    survey: Survey,
    size: Size,
    *,
    roomy: float = 1.0,
    words: tuple[str, ...] = (),
    kept: SheetFrame | None = None,
    bare: bool = False,
    found_before: list[Choice] | None = None,
) -> Plan:
    """Lay a rig out as it lies on the ground.

    Parameters
    ----------
    survey : Survey
    size : Size
    roomy : float
        Factor on the free ground round the rig, raised where figures find no place.
    words : tuple of str
        What is said under the sheet.
    kept : SheetFrame, optional
        Of the same rig drawn before: scale, sheet and everything chosen stay, nothing is searched for.
    bare : bool
        Names alone are shown, no figures.
    found_before : list of Choice, optional
        What another try of the same rig chose: it is taken without a search; empty, and what is chosen here is put in.

    Raises
    ------
    RigRefusal
        ``TOO_COMPLEX`` if the rig does not fit.
    """
    found = _Ground(survey, size, roomy if kept is None else kept.roomy, words)
    return replace(found.plan(found_before) if kept is None else found.plan_in(kept), bare=bare)


class _Ground:
    def __init__(self, survey: Survey, size: Size, roomy: float, words: tuple[str, ...]) -> None:
        self.survey, self.size, self.roomy, self.words = survey, size, roomy, words
        self.quarter = self._quarter()
        big = size.vehicle > 30
        self.left = self._left_edge()
        self.top = 6.0 if size.strip else 1.0
        self.most = 0.6 * size.width if not size.upright else 1.6 * size.width
        base = (96.0, 54.0) if big else (58.0, 66.0) if size.upright else (44.0, 26.0)
        self.pad = (base[0] * roomy, base[1] * roomy)

    def _left_edge(self) -> float:
        """Where the sheet begins: beyond the metres written along it."""
        if not self.survey.true or not self.size.strip:
            return self.size.edge
        farthest = max(abs(x) for at in self.survey.points.values() for x in at)
        widest = text_px(f"−{1.6 * farthest + 12.0:.0f}", self.size.note)
        return widest + (15.0 if self.size.vehicle > 30 else 10.0)

    def _quarter(self) -> int:
        """The quarter turn that lets the pull run from left to right, or down an upright sheet: the load comes back."""
        wanted = (0.0, -1.0) if self.size.upright else (-1.0, 0.0)
        x, y = self.survey.travel[0], -self.survey.travel[1]
        ways = [(a * x + b * y, c * x + d * y) for a, b, c, d in QUARTERS]
        return max(range(4), key=lambda q: (round(ways[q][0] * wanted[0] + ways[q][1] * wanted[1], 6), -q))

    # --- scale and choice -----------------------------------------------------------------------------------------
    def _stations(self, scale: float, choice: Choice) -> Stations:
        return Stations(self.survey, self.size, scale, self.quarter, choice, self.roomy)

    def _fitted(self, choice: Choice) -> Stations:
        """The largest scale at which the rig and the free ground round it fit."""
        room = (
            self.size.width - self.size.edge - self.left - 2.0 * self.pad[0],
            self.most - 2.0 * self.pad[1],
        )
        span = max(math.dist(a, b) for a in self.survey.points.values() for b in self.survey.points.values())
        low, high = 0.0, MOST_PX_PER_M if self.survey.true else 1.2 * self.size.width / span
        for _ in range(18):
            middle = (low + high) / 2.0
            box = self._stations(middle, choice).box()
            fits = box.x1 - box.x0 <= room[0] and box.y1 - box.y0 <= room[1]
            low, high = (middle, high) if fits else (low, middle)
        if self.survey.true and self.survey.least_m > 0.0:
            low = min(low, max(room) / self.survey.least_m)
        if low * span < 4.0 * self.size.trunk:
            raise RigRefusal(
                "TOO_COMPLEX",
                f"The rig does not fit a drawing {self.size.width:g} px wide with its figures. Draw it in the laptop size, or "
                "read the table of forces.",
            )
        return self._stations(low, choice)

    def _chosen(self) -> Stations:
        """Choose the turns and orders that let lines cross least, one after the other until nothing gets better."""
        best = self._fitted(Choice())
        cost = crossings(best)
        for _ in range(3):
            before = cost
            for choice in self._neighbours(best):
                trial = self._stations(best.scale, choice)
                if (worth := crossings(trial)) < cost - 1e-6:
                    best, cost = trial, worth
            if cost >= before - 1e-6:
                break
        return self._fitted(best.choice)

    def _neighbours(self, best: Stations) -> Iterator[Choice]:
        choice = best.choice
        crowds = best.crowded()
        opened = best.open_turns()
        for key in opened:
            yield replace(choice, turns={**choice.turns, key: -_turn_of(best, key)})
        for crowd in crowds:
            for row in list(permutations(crowd))[:MOST_ORDERS]:
                orders = {**choice.orders, frozenset(crowd): tuple(row)}
                yield replace(choice, orders=orders)
                for key in opened:
                    yield replace(choice, orders=orders, turns={**choice.turns, key: -_turn_of(best, key)})

    # --- the sheet ------------------------------------------------------------------------------------------------
    def plan(self, before: list[Choice] | None = None) -> Plan:
        found = self._fitted(before[0]) if before else self._chosen()
        if before is not None and not before:
            before.append(found.choice)
        self._check_apart(found)
        box = found.box()
        wide = self.size.width - self.size.edge - self.left
        high = max(box.y1 - box.y0 + 2.0 * self.pad[1], self.size.least * 0.8)
        sheet = Box(self.left, self.top, self.left + wide, self.top + high)
        shift = (sheet.centre[0] - box.centre[0], sheet.centre[1] - box.centre[1])
        return self._with_arrows(found, sheet, shift)

    def plan_in(self, kept: SheetFrame) -> Plan:
        """The plan on the sheet of one drawn before."""
        self.quarter = kept.quarter
        scale, orders = kept.px_per_m or 1.0, {frozenset(row): row for row in kept.orders}
        found = self._stations(scale, Choice({}, orders))
        opened = set(found.open_turns())  # a bend that opened since turns the way its parts run
        turns = {(line, i): turn for line, i, turn in kept.turns if (line, i) in opened}
        if turns:
            found = self._stations(scale, Choice(turns, orders))
        self._check_apart(found)
        box, sheet = found.box(), kept.sheet
        if box.x1 - box.x0 > MOST_SHEETS * (sheet.x1 - sheet.x0) or box.y1 - box.y0 > MOST_SHEETS * (
            sheet.y1 - sheet.y0
        ):
            raise RigRefusal(
                "TOO_COMPLEX", "The rig lies far beyond the sheet it was drawn on. Draw it anew."
            )
        return self._with_arrows(found, kept.sheet, kept.origin_px)

    def _with_arrows(self, found: Stations, sheet: Box, shift: XY) -> Plan:
        plan = self._drawn(found, sheet, shift)
        return replace(plan, arrows=tuple(load_arrows(self.survey, found, plan)))

    def _check_apart(self, found: Stations) -> None:
        apart, one, other = found.near
        if apart < 1.6 * found.radius:
            raise RigRefusal(
                "TOO_COMPLEX",
                f"{one} and {other} stand too close together to be told apart at this scale. Draw it in the laptop size, or read "
                "the table of forces.",
                (one, other),
            )

    def _drawn(self, found: Stations, sheet: Box, shift: XY) -> Plan:
        def moved(at: XY) -> XY:
            return at[0] + shift[0], at[1] + shift[1]

        strands, hatched = [], []
        for line in self.survey.scheme.lines:
            knots = tuple(Knot(*moved((k.x, k.y)), k.radius, k.turn) for k in found.knots[line.name])
            expected = centre_line(knots, [part.tension_N for part in line.parts])
            stalled = line.parts[0].stall_N is not None
            stall = centre_line(knots, [part.stall_N or 0.0 for part in line.parts]) if stalled else []
            strands.append(Strand(line, knots, tuple(expected), tuple(stall)))
            hatched += [inside(knots[i - 1], k, knots[i + 1]) for i, k in enumerate(knots) if k.turn]
        hubs = {
            name: self._hub(found, body, moved(found.hub[name]))
            for name, body in self.survey.scheme.bodies.items()
        }
        blocks = [self._block(found, key, moved) for key, perch in found.perch.items() if perch.stop.turns]
        straps = [(moved(a), moved(b)) for a, b in found.straps()]
        labelled = []
        for strap in self.survey.straps:
            held = moved(found.perch[strap.line, strap.ends[0].index].centre)
            labelled.append(PlacedStrap(strap, held, moved(found.hub[strap.ends[1].body])))
        return Plan(
            self.size, self.survey.scheme, found.px_per_N, found.vehicle, sheet, hubs, tuple(strands), tuple(blocks),
            tuple(straps), tuple(self._rings(found, moved)), tuple(hatched), (),
            found.trunk, tuple(labelled), self._ruler(found, shift), self.words, ground=True,
            laid=_laid(found, self.roomy, shift),
        )  # fmt: skip

    def _rings(self, found: Stations, moved: Moved) -> Iterator[XY]:
        for perch in found.perch.values():
            if perch.ring:
                yield moved(perch.centre)
        for name, body in self.survey.scheme.bodies.items():
            if body.role == "floating":
                yield moved(found.hub[name])

    def _hub(self, found: Stations, body: DrawnBody, at: XY) -> Hub:
        front = found.front[body.name] or (0.0, 0.0)
        return Hub(body, *at, found.glyph(body), (-front[0], -front[1]))

    def _block(self, found: Stations, key: Key, moved: Moved) -> PlacedBlock:
        perch = found.perch[key]
        eye = unit_to(perch.centre, perch.fast)
        x, y = moved(perch.centre)
        return PlacedBlock(perch.stop.point, perch.stop.body, x, y, eye, found.radius)

    def _ruler(self, found: Stations, shift: XY) -> Ruler | None:
        if not self.survey.true:
            return None
        a, b, c, d = QUARTERS[self.quarter]
        level = ("x", a, -shift[0] / found.scale * a) if a else ("y", -b, shift[0] / found.scale * b)
        upright = ("y", -d, shift[1] / found.scale * d) if d else ("x", c, -shift[1] / found.scale * c)
        return Ruler(found.scale, level, upright)


def _laid(found: Stations, roomy: float, shift: XY) -> Laid:
    turns = tuple((line, i, turn) for (line, i), turn in found.choice.turns.items())
    return Laid(found.scale, found.quarter, roomy, shift, turns, tuple(found.choice.orders.values()))


def _turn_of(found: Stations, key: Key) -> int:
    return next(found.knots[line.name][key[1]].turn for line in found.scheme.lines if line.name == key[0])
