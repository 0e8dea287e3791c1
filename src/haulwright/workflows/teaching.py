"""Worked problems for a class, drawn from the named rigs and answered by the solver."""

from __future__ import annotations

import random
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from haulwright.errors import UsageRefusal
from haulwright.publishing.output import Files, output_folder, record_of
from haulwright.quantities.numerals import print_number
from haulwright.quantities.units import from_si

if TYPE_CHECKING:
    from haulwright.mechanics.rig import Rig
    from haulwright.mechanics.solution import RigSolution
    from haulwright.publishing.problem_record import Problem, ProblemSheet

RIGS = (
    "redirect/off-load", "two-part/on-load", "two-part/off-load", "three-part/on-load", "three-part/off-load",
    "four-part/on-load", "four-part/off-load", "stacked two-parts/off-load",
)  # fmt: skip
ASKS = ("advantage", "friction", "anchors", "fault")
MOST = 40
_KN = 1000.0


def make_problems(*, seed: int = 1, count: int = 8, rigs: tuple[str, ...] = RIGS) -> ProblemSheet:
    """Return worked problems: the four kinds in turn, each on a rig drawn by the seed.

    Parameters
    ----------
    seed : int
        The same seed draws the same problems.
    count : int
        How many, 1 to 40.
    rigs : tuple of str
        Named rigs to draw from.

    Raises
    ------
    UsageRefusal
        COUNT.
    RigRefusal
        For a rig that is none.

    Examples
    --------
    >>> sheet = make_problems(seed=1, count=4)
    >>> [one.asks for one in sheet.problems]
    ['advantage', 'friction', 'anchors', 'fault']
    """
    from haulwright.mechanics.tackles import named_rig
    from haulwright.publishing.problem_record import ProblemSheet
    from haulwright.records import Made

    if not 1 <= count <= MOST:
        raise UsageRefusal("COUNT", f"count = {count}: give 1 to {MOST}.", ("count",))
    draw = random.Random(seed)
    makers: dict[str, Callable[[int, Rig, random.Random], Problem]] = {
        "advantage": _advantage, "friction": _friction, "anchors": _anchors, "fault": _fault,
    }  # fmt: skip
    problems = tuple(
        makers[ASKS[n % len(ASKS)]](n + 1, named_rig(draw.choice(rigs)), draw) for n in range(count)
    )
    return ProblemSheet(
        seed=seed, problems=problems, made=Made("named rigs, solved with the numbers given", {"seed": seed})
    )


def publish_problems(sheet: ProblemSheet, out: str | Path) -> Files:
    """Write a sheet twice as a page to print: for students, and with answers for the instructor."""
    from haulwright.publishing.writing import write_problems

    with output_folder(out) as folder:
        return record_of(write_problems(sheet, folder))


def _solved(
    rig: Rig, k: float, *, load_kN: float | None = None, effort_kN: float | None = None
) -> RigSolution:
    from haulwright.mechanics.statics import solve_rig

    return solve_rig(
        rig,
        k,
        load_N=None if load_kN is None else load_kN * _KN,
        effort_N=None if effort_kN is None else effort_kN * _KN,
    )


def _said(force_N: float) -> str:
    return f"{print_number(from_si(force_N, 'kN', 'force'), 2)}\u00a0kN"


def _parts(solution: RigSolution) -> tuple[str, ...]:
    return tuple(
        f"{line}, part {n}, {part.from_} to {part.to}: {_said(part.tension_N)}"
        for line, one in solution.lines.items()
        for n, part in enumerate(one.parts, 1)
    )


def _effort(solution: RigSolution) -> float:
    return next(iter(solution.effort_N.values()))


def _problem(
    number: int,
    asks: str,
    rig: Rig,
    sentence: str,
    given: tuple[str, ...],
    question: str,
    answer: str,
    working: tuple[str, ...],
) -> Problem:
    from haulwright.publishing.problem_record import Problem

    return Problem(number, asks, rig.name, sentence, given, question, answer, working)


def _advantage(number: int, rig: Rig, draw: random.Random) -> Problem:
    load = draw.randrange(10, 41)
    found = _solved(rig, 1.0, load_kN=load)
    ideal = found.one_winch.ideal_advantage
    return _problem(
        number, "advantage", rig, found.sentence, (f"The load resists with {load} kN.", "Friction is left out."),
        "What is the advantage, and how hard does the winch pull? How far does the line come in while the load moves 1 m?",
        f"Advantage {ideal:g}; the winch pulls {_said(_effort(found))}; {ideal:g} m of line come in.",
        (*_parts(found), f"{load} kN ÷ {_said(_effort(found))} = {ideal:g}; what force gains, travel pays."),
    )  # fmt: skip


def _friction(number: int, rig: Rig, draw: random.Random) -> Problem:
    load, k = draw.randrange(10, 41), draw.choice((1.05, 1.08, 1.10, 1.15, 1.20, 1.25))
    found = _solved(rig, k, load_kN=load)
    effort, advantage = _effort(found), found.one_winch.advantage
    return _problem(
        number, "friction", rig, found.sentence,
        (f"The load resists with {load} kN.", f"In every block the haul side carries {k:g} times the other side."),
        "How hard does the winch pull, what is the actual advantage, and what share of the load does the winch feel?",
        f"{_said(effort)}; advantage {advantage:.3f} of {found.one_winch.ideal_advantage:g}; winch share "
        f"{100.0 / advantage:.1f} %.",
        (*_parts(found), f"{load} kN ÷ {_said(effort)} = {advantage:.3f}."),
    )  # fmt: skip


def _worst(rig: Rig, k: float, stall: float) -> dict[str, float]:
    """Return what each anchor bears at most at stall, with and without friction [N]."""
    with_k, without = _solved(rig, k, effort_kN=stall), _solved(rig, 1.0, effort_kN=stall)
    load = rig.load.name
    return {
        name: max(one.load_N, without.bodies[name].load_N)
        for name, one in with_k.bodies.items()
        if name != load
    }


def _anchors(number: int, rig: Rig, draw: random.Random) -> Problem:
    stall, k = draw.randrange(30, 56), draw.choice((1.08, 1.15, 1.25))
    worst = _worst(rig, k, stall)
    frictionless = _solved(rig, 1.0, effort_kN=stall)
    told = ", ".join(f"{name} {_said(force)}" for name, force in worst.items())
    return _problem(
        number, "anchors", rig, frictionless.sentence,
        (f"The winch stalls at {stall} kN.", f"In every block the ratio of both sides lies between 1 and {k:g}."),
        "The vehicle is jammed and the winch stalls. What must each anchor and its straps bear at most?",
        f"At most {told}.",
        (
            "Without friction, at stall:", *_parts(frictionless),
            f"With {k:g} in every block the same pull of the winch reaches the anchor as "
            + ", ".join(f"{n} {_said(b.load_N)}" for n, b in _solved(rig, k, effort_kN=stall).bodies.items() if n in worst)
            + ": friction never excuses smaller gear, the greater counts.",
        ),
    )  # fmt: skip


def _fault(number: int, rig: Rig, draw: random.Random) -> Problem:
    stall, k = draw.randrange(30, 56), 1.15
    anchor, force = max(_worst(rig, k, stall).items(), key=lambda one: one[1])
    bears = {f"strap on {anchor}": force, f"shackle on {anchor}": force, "winch line": stall * _KN}
    weak = draw.choice(tuple(bears))
    limits = {
        name: draw.uniform(0.62, 0.9) * load if name == weak else draw.uniform(1.3, 1.7) * load
        for name, load in bears.items()
    }
    sentence = _solved(rig, 1.0, effort_kN=stall).sentence
    given = (
        f"The winch stalls at {stall} kN.",
        *(f"{name[:1].upper()}{name[1:]}: WLL {_said(limit)}." for name, limit in limits.items()),
    )
    return _problem(
        number, "fault", rig, sentence, given, "One piece does not stand the stall. Which one, and what must it bear?",
        f"The {weak}: it bears {_said(bears[weak])} and may bear {_said(limits[weak])}.",
        tuple(
            f"{name}: bears {_said(load)} at stall, may bear {_said(limits[name])}: {'over' if load > limits[name] else 'inside'}."
            for name, load in bears.items()
        ),
    )  # fmt: skip
