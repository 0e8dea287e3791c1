"""The manual chains beside the solver for one rig, with the difference and why."""

from __future__ import annotations

from collections.abc import Mapping

from haulwright.mechanics.rig import ANCHOR, Rig
from haulwright.planning.ground import bare
from haulwright.planning.manual_chain import (
    CHAIN_SOURCES,
    COUNT_SOURCE,
    PER_SHEAVE,
    advantage_by_count,
    chain,
    held_by,
    raised,
    tensions_by_count,
)
from haulwright.planning.result import Candidate
from haulwright.planning.sibling_result import Beside, ManualStep, Siblings
from haulwright.planning.solved import Solved

_SAME = 0.005  # house number: a smaller part of the difference is not worth a word


def siblings(candidate: Candidate, solved: Solved) -> Siblings:
    """Return the manual chains of a rig beside what the solver finds.

    Parameters
    ----------
    candidate : Candidate
    solved : Solved

    Notes
    -----
    The solver's numbers are those with friction as expected, at the place of the travel where the effort is greatest.
    """
    rig, resistance = solved.setting.rig, solved.resistance
    capacity = candidate.winch_limit_N or solved.setting.request.pull.winch.line_pull
    high = raised(resistance.high, capacity) if resistance.high > 0.0 else ()
    known = tensions_by_count(rig)
    counted = 0.0 if known is None else advantage_by_count(rig, known)
    if known is None or counted <= 0.0 or resistance.likely <= 0.0:
        why = ("Its parts do not count out by hand: no fall line and no dead line beside the solver's.",)
        return Siblings(capacity, None, None, None, {}, high, why, CHAIN_SOURCES)
    ours = chain(resistance.likely, counted, len(rig.contacts_from_drum), capacity)
    fall = _beside(ours.fall_line_N, candidate.effort_N.likely)
    advantage = _beside(counted, candidate.ideal_advantage)
    dead = _dead_lines(rig, known, ours.fall_line_N, solved)
    return Siblings(
        capacity_N=capacity,
        this_rig=ours,
        fall_line_N=fall,
        advantage=advantage,
        dead_lines_N=dead,
        raised=high,
        why=_why(ours, advantage, dead, candidate),
        sources=(*CHAIN_SOURCES, COUNT_SOURCE),
    )


def _beside(manual: float, solver: float) -> Beside:
    return Beside(manual, solver, manual / solver - 1.0)


def _dead_lines(
    rig: Rig, known: Mapping[str, float], fall_line_N: float, solved: Solved
) -> dict[str, Beside]:
    """Return what holds the tackle at each body that is made fast, by hand and by the solver."""
    there = bare(solved.core)
    scale = solved.resistance.likely / there.resistance_N
    found = {}
    for name, body in rig.bodies.items():
        if body.role != ANCHOR:  # the load is what is pulled, and what floats is held by nothing
            continue
        parts = held_by(rig, known, name)
        load_N = there.bodies[name].load_N * scale
        if parts and load_N > 0.0:
            found[name] = _beside(parts * fall_line_N, load_N)
    return found


def _why(
    ours: ManualStep, advantage: Beside, dead: Mapping[str, Beside], candidate: Candidate
) -> tuple[str, ...]:
    """Return what makes the two differ, each with its share of the effort."""
    said = []
    by_hand, by_solver = PER_SHEAVE * ours.sheaves, candidate.ideal_advantage / candidate.advantage - 1.0
    if abs(by_hand - by_solver) > _SAME:
        sheaves = "its one sheave" if ours.sheaves == 1 else f"each of {ours.sheaves} sheaves"
        said.append(
            f"Friction: by hand {100 * by_hand:.0f} % on the effort, a tenth of the load for {sheaves}; "
            f"the solver {100 * by_solver:.0f} %, from the friction of these blocks, part by part."
        )
    if abs(advantage.difference) > _SAME:
        said.append(
            f"Angles: by hand every part pulls whole, {advantage.manual:.3g} to 1; as the lines lie on the ground it is "
            f"{advantage.solver:.3g} to 1 before friction."
        )
    if ours.sheaves and any(abs(one.difference) > _SAME for one in dead.values()):
        said.append(
            "Dead lines: by hand the fall line times the parts held, as plain numbers; the solver lets friction take its "
            "share from part to part and adds the parts as they point."
        )
    return tuple(said)
