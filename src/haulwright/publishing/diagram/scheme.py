"""What is to be drawn, read from a solved rig: bodies along the pull, lines with their stops, tensions, loads.

Only rigs whose parts run along the pull are drawn this way; any other is refused.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from haulwright.errors import RigRefusal
from haulwright.mechanics.solution import LineSolution, RigSolution

LEAST_WRAP_RAD = math.radians(150.0)
MOST_PARTS = 9


@dataclass(frozen=True)
class DrawnBody:
    """An anchor, the load or a floating block, its station along the pull, and the loads on it [N]."""

    name: str
    role: str
    station: float
    winch: bool
    load_N: float
    stall_N: float | None


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
    """One line from its standing end: ``stops`` has one entry more than ``parts``."""

    name: str
    stops: tuple[Stop, ...]
    parts: tuple[DrawnPart, ...]

    @property
    def hauled(self) -> bool:
        """Tell whether this line goes to the drum."""
        return self.stops[-1].drum


@dataclass(frozen=True)
class DrawnBlock:
    """A block by name with the load on it, its becket's line included [N]."""

    name: str
    body: str
    load_N: float
    stall_N: float | None


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
        return max(part.stall_N or part.tension_N for line in self.lines for part in line.parts)


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
        ``NO_LAYOUT``, ``OTHER_RIG``, ``NOT_PARALLEL`` or ``TOO_COMPLEX``.
    """
    if not solution._layout:
        raise RigRefusal(
            "NO_LAYOUT",
            f"{solution.rig}: the record does not say where its points lie, so it cannot be drawn. Solve it again.",
        )
    _check_drawable(solution)
    for stall in stalls:
        _check_same(solution, stall)
    parts = sum(len(line.parts) for line in solution.lines.values())
    if parts > MOST_PARTS:
        raise RigRefusal(
            "TOO_COMPLEX",
            f"{solution.rig}: {parts} parts; at most {MOST_PARTS} are drawn on one sheet. Read the table of forces.",
        )
    _check_parallel(solution)
    lines = tuple(
        _read_line(solution, stalls, name, line, n)
        for n, (name, line) in enumerate(solution.lines.items(), start=1)
    )
    lines = tuple(sorted(lines, key=lambda line: not line.hauled))
    return Scheme(_bodies(solution, stalls), lines, _blocks(solution, stalls))


def _check_drawable(solution: RigSolution) -> None:
    if solution.mode == "ground" and "floating" in solution._roles.values():
        raise RigRefusal(
            "NOT_PARALLEL",
            f"{solution.rig}: blocks find their place on the ground; this sheet draws rigs whose parts run along the pull. "
            "Read the table of forces and the places.",
        )


def _check_same(solution: RigSolution, stall: RigSolution) -> None:
    for name, line in solution.lines.items():
        other = stall.lines.get(name)
        if other is None or [(p.from_, p.to) for p in other.parts] != [(p.from_, p.to) for p in line.parts]:
            raise RigRefusal(
                "OTHER_RIG",
                f"Line {name}: the stall record is of another rig ({stall.rig}). Give the same rig at stall.",
                (name,),
            )


def _check_parallel(solution: RigSolution) -> None:
    for contact in solution.contacts:
        if contact.wrap_rad < LEAST_WRAP_RAD:
            raise RigRefusal(
                "NOT_PARALLEL",
                f"{contact.at}: the line is turned through {math.degrees(contact.wrap_rad):.0f}°. This sheet draws rigs whose "
                "parts run along the pull (wraps of 150° and more). Read the table of forces.",
                (contact.at,),
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
    hauled = places[last][0] == solution._winch_on and _ends_on_drum(solution, line)
    stops = []
    for i, (point, (body, station)) in enumerate(zip(points, places, strict=True)):
        sides = {_side(station, places[j][1], point) for j in (i - 1, i + 1) if 0 <= j <= last}
        if len(sides) > 1:
            raise RigRefusal(
                "NOT_PARALLEL",
                f"{point}: the line passes straight through here; this sheet draws lines that turn back.",
                (point,),
            )
        stops.append(Stop(name, i, point, body, sides.pop(), 0 < i < last, hauled and i == last))
    several = len(solution.lines) > 1
    parts = tuple(
        DrawnPart(
            name, i, _part_name(i, last, hauled, number if several else 0), part.tension_N,
            _greatest(stall.lines[name].parts[i].tension_N for stall in stalls),
        )
        for i, part in enumerate(line.parts)
    )  # fmt: skip
    return DrawnLine(name, tuple(stops), parts)


def _ends_on_drum(solution: RigSolution, line: LineSolution) -> bool:
    fall = line.parts[-1]
    return fall.to in solution.effort_N or any(
        math.isclose(fall.tension_N, effort, rel_tol=1e-6) for effort in solution.effort_N.values()
    )


def _side(here: float, there: float, point: str) -> int:
    if here == there:
        raise RigRefusal(
            "NOT_PARALLEL",
            f"{point}: a part runs across the pull; this sheet draws parts along it.",
            (point,),
        )
    return 1 if there > here else -1


def _part_name(index: int, count: int, hauled: bool, number: int) -> str:
    if count == 1:
        words = "the line" if hauled and not number else "only part"
    elif index == 0:
        words = "standing part"
    elif index == count - 1:
        words = "fall" if hauled else "other end"
    else:
        words = "middle part" if count == 3 else f"part {index + 1}"
    return f"{words}, line {number}" if number else words


def _bodies(solution: RigSolution, stalls: Sequence[RigSolution]) -> dict[str, DrawnBody]:
    stations = dict(solution._layout.values())
    bodies = {}
    for name, station in stations.items():
        held = solution.bodies.get(name)
        at_stall = _greatest(stall.bodies[name].load_N for stall in stalls if name in stall.bodies)
        winch = name == solution._winch_on
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
            _greatest(load(stall, name) for stall in stalls),
        )
        for name in solution.blocks
    }


def _greatest(forces_N: Iterable[float]) -> float | None:
    return max(forces_N, default=None)
