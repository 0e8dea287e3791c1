"""What is to be drawn, read from a solved rig: bodies along the pull, lines with their stops, tensions, loads.

Only rigs whose parts run along the pull are drawn this way; any other is drawn as it lies on the ground.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from haulwright.errors import RigRefusal
from haulwright.mechanics.solution import LineSolution, RigSolution, Whereabouts

NOTHING_N = 1e-6
MOSTLY_ALONG = math.cos(math.radians(6.0))
LEAST_WRAP_RAD = math.radians(150.0)
MOST_PARTS = 14


@dataclass(frozen=True)
class DrawnBody:
    """An anchor, the load or a floating block, its station along the pull, the loads on it [N], its height if it counts."""

    name: str
    role: str
    station: float
    winch: bool
    load_N: float
    stall_N: float | None
    height_m: float | None = None


@dataclass(frozen=True)
class Stop:
    """One point of a line: the body it lies on, whether the line turns there, and on which side its parts leave.

    ``side`` is +1 where the parts run towards higher stations (the load), −1 towards lower ones.
    """

    line: str
    index: int
    point: str
    body: str
    side: int
    turns: bool = False
    drum: bool = False


@dataclass(frozen=True)
class DrawnPart:
    """One straight part with its name and its tensions [N]."""

    line: str
    index: int
    name: str
    tension_N: float
    stall_N: float | None


@dataclass(frozen=True)
class DrawnLine:
    """One line from its standing end: ``stops`` has one entry more than ``parts``.

    ``runs`` is the way its rope runs when hauling: +1 towards its last stop, −1 back, 0 where it does not run.
    """

    name: str
    stops: tuple[Stop, ...]
    parts: tuple[DrawnPart, ...]
    runs: int = 1

    @property
    def slack(self) -> bool:
        """Tell whether nothing pulls on it, at stall neither."""
        return all(part.tension_N <= NOTHING_N and (part.stall_N or 0.0) <= NOTHING_N for part in self.parts)

    @property
    def hauled(self) -> bool:
        """Tell whether this line goes to the drum."""
        return self.stops[-1].drum


@dataclass(frozen=True)
class DrawnBlock:
    """A block by name with the load on it, its becket's line included [N], and the wraps of its contacts [rad].

    ``words`` are said of it in place of its name and the body it hangs on.
    """

    name: str
    body: str
    load_N: float
    stall_N: float | None
    wraps_rad: tuple[float, ...] = ()
    words: str = ""


@dataclass(frozen=True)
class Scheme:
    """Everything the sheet shows of one rig."""

    bodies: Mapping[str, DrawnBody]
    lines: tuple[DrawnLine, ...]
    blocks: Mapping[str, DrawnBlock]

    @property
    def load(self) -> DrawnBody:
        """The body that is pulled."""
        return next(body for body in self.bodies.values() if body.role == "load")

    @property
    def greatest(self) -> float:
        """The greatest tension of any part, at stall where it is known [N]."""
        tensions = (part.stall_N or part.tension_N for line in self.lines for part in line.parts)
        return max(tensions, default=0.0)


def read_scheme(solution: RigSolution, stalls: Sequence[RigSolution] = ()) -> Scheme:
    """Return what is to be drawn of a solved rig.

    Parameters
    ----------
    solution : RigSolution
        The rig at the expected load.
    stalls : sequence of RigSolution
        The same rig with the winch at stall, once or more (with friction, and without any): the greatest of each
        tension and load is drawn.

    Raises
    ------
    RigRefusal
        ``NO_LAYOUT``, ``OTHER_RIG`` or ``TOO_COMPLEX``.
    """
    if not solution._layout:
        raise RigRefusal(
            "NO_LAYOUT",
            f"{solution.rig}: the record does not say where its points lie, so it cannot be drawn. Solve it again.",
        )
    for stall in stalls:
        check_same(solution, stall)
    check_size(solution)
    lines = tuple(
        _read_line(solution, stalls, name, line, n)
        for n, (name, line) in enumerate(solution.lines.items(), start=1)
    )
    lines = tuple(sorted(lines, key=lambda line: not line.hauled))
    return Scheme(_bodies(solution, stalls), lines, _blocks(solution, stalls))


def runs_along(solution: RigSolution) -> bool:
    """Tell whether all parts run along the pull and turn back at every contact, so that they can lie side by side."""
    if solution.mode == "ground" and "floating" in solution._roles.values():
        return False
    lie = solution._whereabouts
    if lie is not None and (lie.straps or (lie.placed and not _on_one_line(lie))):
        return False
    if any(contact.wrap_rad < LEAST_WRAP_RAD for contact in solution.contacts):
        return False
    for line in solution.lines.values():
        stations = [solution._layout[part.from_][1] for part in line.parts if part.from_ in solution._layout]
        stations += [solution._layout[part.to][1] for part in line.parts[-1:] if part.to in solution._layout]
        steps = [b - a for a, b in pairwise(stations)]
        if not all(steps) or any(a * b > 0.0 for a, b in pairwise(steps)):
            return False
    return True


def _on_one_line(lie: Whereabouts) -> bool:
    """Tell whether no part leaves the line of the pull by more than a tenth of its length."""
    parts = [part for parts in lie.courses.values() for part in parts]
    return all(
        abs(sum(a * b for a, b in zip(part, lie.travel, strict=True))) > MOSTLY_ALONG for part in parts
    )


def check_size(solution: RigSolution) -> None:
    """Refuse a rig with more parts than one sheet holds."""
    parts = sum(len(line.parts) for line in solution.lines.values())
    if parts > MOST_PARTS:
        raise RigRefusal(
            "TOO_COMPLEX",
            f"{solution.rig}: {parts} parts; at most {MOST_PARTS} are drawn on one sheet. Read the table of forces.",
        )


def check_same(solution: RigSolution, stall: RigSolution) -> None:
    """Refuse a stall record of another rig."""
    for name, line in solution.lines.items():
        other = stall.lines.get(name)
        if other is None or [(p.from_, p.to) for p in other.parts] != [(p.from_, p.to) for p in line.parts]:
            raise RigRefusal(
                "OTHER_RIG",
                f"Line {name}: the stall record is of another rig ({stall.rig}). Give the same rig at stall.",
                (name,),
            )


def _where(solution: RigSolution, point: str) -> tuple[str, float]:
    for name in (point, point.removesuffix(".becket")):
        if name in solution._layout:
            return solution._layout[name]
    raise RigRefusal(
        "NO_LAYOUT", f"{point}: the record does not say on which body it lies. Solve the rig again.", (point,)
    )


def _read_line(
    solution: RigSolution, stalls: Sequence[RigSolution], name: str, line: LineSolution, number: int
) -> DrawnLine:
    points = [line.parts[0].from_, *(part.to for part in line.parts)]
    places = [_where(solution, point) for point in points]
    last = len(points) - 1
    hauled = _ends_on_drum(solution, name, line, places[last][0])
    stops = []
    for i, (point, (body, station)) in enumerate(zip(points, places, strict=True)):
        sides = {_side(station, places[j][1]) for j in (i - 1, i + 1) if 0 <= j <= last}
        stops.append(Stop(name, i, point, body, sides.pop(), 0 < i < last, hauled and i == last))
    several = len(solution.lines) > 1
    alone = several and last == 1
    parts = tuple(
        DrawnPart(
            name, i, name if alone else part_name(i, last, hauled, number if several else 0), part.tension_N,
            greatest_of(stall.lines[name].parts[i].tension_N for stall in stalls),
        )
        for i, part in enumerate(line.parts)
    )  # fmt: skip
    return DrawnLine(name, tuple(stops), parts)


def _ends_on_drum(solution: RigSolution, name: str, line: LineSolution, body: str) -> bool:
    if solution._whereabouts is not None and name in solution._whereabouts.drums:
        return True
    fall = line.parts[-1]
    return body == solution._winch_on and (
        fall.to in solution.effort_N
        or any(math.isclose(fall.tension_N, effort, rel_tol=1e-6) for effort in solution.effort_N.values())
    )


def _side(here: float, there: float) -> int:
    return 1 if there > here else -1


def part_name(index: int, count: int, hauled: bool, number: int) -> str:
    """Return the words for a part by its place on its line; ``number`` tells lines apart where there are several."""
    if count == 1:
        words = "the line" if hauled and not number else "only part"
    elif index == 0:
        words = "standing part"
    elif index == count - 1:
        words = "fall" if hauled else "other end"
    else:
        words = "middle part" if count == 3 else f"part {index + 1}"
    return f"{words}, line {number}" if number else words


def drum_bodies(solution: RigSolution) -> set[str]:
    """Return the bodies that carry a winch."""
    lie = solution._whereabouts
    if lie is None:
        return {solution._winch_on}
    return {
        _where(solution, solution.lines[line].parts[-1].to)[0] for line in lie.drums if line in solution.lines
    }


def _bodies(solution: RigSolution, stalls: Sequence[RigSolution]) -> dict[str, DrawnBody]:
    stations = dict(solution._layout.values())
    drums = drum_bodies(solution)
    bodies = {}
    for name, station in stations.items():
        held = solution.bodies.get(name)
        at_stall = greatest_of(stall.bodies[name].load_N for stall in stalls if name in stall.bodies)
        winch = name in drums
        bodies[name] = DrawnBody(
            name, solution._roles[name], station, winch, held.load_N if held else 0.0, at_stall
        )
    return bodies


def _blocks(solution: RigSolution, stalls: Sequence[RigSolution]) -> dict[str, DrawnBlock]:
    def load(record: RigSolution, name: str) -> float:
        block = record.blocks[name]
        return max(block.with_becket_N, block.pin_N)

    return {
        name: DrawnBlock(
            name,
            _where(solution, name)[0],
            load(solution, name),
            greatest_of(load(stall, name) for stall in stalls),
        )
        for name in solution.blocks
    }


def greatest_of(forces_N: Iterable[float]) -> float | None:
    """Return the greatest of several forces, None where there is none."""
    return max(forces_N, default=None)
