"""A pull step by step: efforts, all tensions, places and anchor loads along the travel of the load, and why it ends.

Line taken in is what the parts of the drum's line have shortened. Stepping itself is in :mod:`.advance`.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from haulwright.errors import RigRefusal
from haulwright.mechanics import loads
from haulwright.mechanics.advance import LENGTH_M, Walk, apart_m, walk
from haulwright.mechanics.checks import check
from haulwright.mechanics.core import Core, solve_core
from haulwright.mechanics.geometry import add, dot
from haulwright.mechanics.rig import Rig, Vec
from haulwright.mechanics.stepped import drum_pull, takes_in

STEPS = 200
Rows = tuple[tuple[float, ...], ...]


@dataclass(frozen=True)
class Stop:
    """Why a pull ends before its travel: how far the load came [m], and the refusal just beyond, or what meets."""

    travel_m: float
    code: str
    message: str
    where: tuple[str, ...]


@dataclass(frozen=True)
class Travel:
    """A rig along the travel of its load; every tuple runs over the places of ``travel_m``.

    Attributes
    ----------
    rig : str
        Name of the rig.
    travel_m : tuple of float
        How far the load has come along its direction [m], 0 first.
    resistance_N : float
        Resistance of the load, the same all along [N].
    effort_N : mapping drum -> tuple
        Tension at the drum [N].
    line_taken_in_m : mapping drum -> tuple
        Line taken in since the start [m].
    travel_ratio : mapping drum -> tuple
        Metres of line per metre of load travel at that place.
    tensions_N, lengths_m, wraps_rad : mapping line -> tuple of tuples
        At every place those of all parts, or of all contacts, from the standing end.
    places_m : mapping body -> tuple of Vec
        Where the load and the floating blocks are [m].
    anchors_N : mapping body -> tuple of Vec
        Sum of all lines on every anchor [N].
    stop : Stop or None
        Why the pull ends here; None where the whole travel is done.
    """

    rig: str
    travel_m: tuple[float, ...]
    resistance_N: float
    effort_N: Mapping[str, tuple[float, ...]]
    line_taken_in_m: Mapping[str, tuple[float, ...]]
    travel_ratio: Mapping[str, tuple[float, ...]]
    tensions_N: Mapping[str, Rows]
    lengths_m: Mapping[str, Rows]
    wraps_rad: Mapping[str, Rows]
    places_m: Mapping[str, tuple[Vec, ...]]
    anchors_N: Mapping[str, tuple[Vec, ...]]
    stop: Stop | None


def pull_along(
    rig: Rig,
    travel_m: float,
    steps: int = STEPS,
    ratio: float | Mapping[str, float] | None = None,
    *,
    load_N: float | None = None,
    seized: Collection[str] = (),
    least_gap_m: float | None = None,
) -> Travel:
    """Return a rig solved at every step of its load's travel.

    Parameters
    ----------
    rig : Rig
        Drawn with places, on the ground or in line; one winch, a guided load.
    travel_m : float
        How far the load is to move along its direction [m].
    steps : int
        Number of equal steps.
    ratio : float, mapping block -> float, or None
        As :func:`haulwright.mechanics.statics.solve_rig` takes it, without intervals.
    load_N : float or None
        Resistance in place of the rig's own [N].
    seized : collection of str
    least_gap_m : float or None
        The pull ends where the ends of a part that gets shorter are as near as this [m]. None takes that of the rig, or
        else that they meet.

    Returns
    -------
    Travel
        ``stop`` says why it ends early, to 1 mm of travel; the last place is the last one at which the rig still works.

    Raises
    ------
    RigRefusal
        Where the rig does not work as drawn: every code of the refusal table. INPUT for a travel that is no length or
        a rig without places; UNSUPPORTED for several winches, a free load, or lines that share drawn in line.

    Notes
    -----
    Every step starts from the places of the last. Slow and steady, without the jerk of a block that slips.

    References
    ----------
    Balance of forces at each place; the path is checked against virtual work: the line taken in grows by the travel
    ratio.

    Examples
    --------
    >>> from haulwright.files.rig import read_rig
    >>> rig = read_rig({"units": {"force": "kN", "length": "m"}, "anchors": {"oak": {"at": [0, 3]}},
    ...     "load": {"name": "truck", "at": [8, 0], "direction": [-1, 0], "resistance": 20}, "winch": {"on": "oak"},
    ...     "lines": {"winch line": {"standing": "truck", "fall": "winch"}}})
    >>> found = pull_along(rig, 4.0, steps=2)
    >>> [round(effort) for effort in found.effort_N["winch"]]
    [21360, 22361, 25000]
    >>> pull_along(rig, 9.0, steps=3).stop.code
    'BACKWARDS'
    """
    _check_asked(rig, travel_m, steps)
    least = least_gap_m if least_gap_m is not None else rig.wanted.least_gap_m or 0.0
    start = solve_core(rig, ratio, load_N, None, seized)
    if start.sharing_lines and not rig.finds_places:
        raise _unsupported(rig, "lines that share by their stretch")

    def solve(at: Rig) -> Core:
        return solve_core(at, ratio, load_N, None, seized)

    found = walk(start, rig, solve, travel_m, steps, lambda core, then: _check_gaps(rig, core, then, least))
    return _told(found)


def _check_asked(rig: Rig, travel_m: float, steps: int) -> None:
    check(rig)
    if not (math.isfinite(travel_m) and travel_m > 0.0):
        raise RigRefusal("INPUT", f"travel = {travel_m:g} m: give a length above 0.", ("travel",))
    if steps < 1:
        raise RigRefusal("INPUT", f"steps = {steps}: give 1 or more.", ("steps",))
    if rig.several:
        raise _unsupported(rig, "several winches")
    if rig.free_load:
        raise _unsupported(rig, "a free load")
    if not rig.placed:
        raise RigRefusal(
            "INPUT",
            f"{rig.name} is drawn without places, so its lengths are not known: give at: in metres.",
            ("at",),
        )


def _unsupported(rig: Rig, what: str) -> RigRefusal:
    return RigRefusal(
        "UNSUPPORTED", f"{rig.name} has {what}: its pull is not stepped by this version.", (rig.name,)
    )


def _check_gaps(drawn: Rig, core: Core, then: Rig, least_m: float) -> None:
    """Refuse a place at which the ends of a part are too near or have passed each other."""
    for name, line in then.lines.items():
        for i, (a, b) in enumerate(pairwise(line.points)):
            step = add(then.place(b), then.place(a), -1.0)
            apart = apart_m(then, a, b)
            shorter = apart < apart_m(drawn, a, b) - LENGTH_M
            passed = dot(step, core.moving.course_of[name].parts[i]) < 0.0
            if shorter and (apart <= max(least_m, LENGTH_M) or passed):
                gap = f"with {least_m:g} m between them" if least_m else "no gap is left"
                text = f"{a.label} and {b.label} meet, {gap}: set the rig anew."
                raise RigRefusal("TWO_BLOCKED", text, (a.label, b.label))


def _told(found: Walk) -> Travel:
    cores = found.cores
    rig, why = cores[0].moving.rig, found.refused
    lines = tuple(rig.lines)
    return Travel(
        rig=rig.name,
        travel_m=found.travels_m,
        resistance_N=cores[0].resistance_N,
        effort_N={
            drum: tuple(drum_pull(line, core.found[line.name]) for core in cores)
            for drum, line in rig.drums.items()
        },
        line_taken_in_m={
            drum: tuple(
                (found.length_m(line.name, 0) - found.length_m(line.name, i)) / takes_in(line)
                for i in range(len(cores))
            )
            for drum, line in rig.drums.items()
        },
        travel_ratio={
            drum: tuple(1.0 / core.moving.motion.load_speed for core in cores) for drum in rig.drums
        },
        tensions_N={n: tuple(core.found[n] for core in cores) for n in lines},
        lengths_m={n: tuple(_lengths(core, n) for core in cores) for n in lines},
        wraps_rad={n: tuple(core.moving.course_of[n].wraps for core in cores) for n in lines},
        places_m={body: tuple(core.moving.rig.bodies[body].at for core in cores) for body in _moving(rig)},
        anchors_N=_anchors(cores),
        stop=Stop(found.travels_m[-1], why.code, why.message, tuple(why.where)) if why else None,
    )


def _moving(rig: Rig) -> Iterator[str]:
    yield rig.load.name
    for body in rig.floating:
        yield body.name


def _lengths(core: Core, line: str) -> tuple[float, ...]:
    return tuple(x or 0.0 for x in core.moving.course_of[line].lengths_m)


def _anchors(cores: Sequence[Core]) -> dict[str, tuple[Vec, ...]]:
    forces = [loads.body_forces(core.moving.rig, core.moving.course_of, core.found) for core in cores]
    load = cores[0].moving.rig.load.name
    return {name: tuple(each[name] for each in forces) for name in forces[0] if name != load}
