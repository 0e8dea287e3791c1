"""A solved rig written down: motion, tensions and loads in one record."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from haulwright.errors import RigRefusal
from haulwright.mechanics import loads, tension
from haulwright.mechanics.core import Core
from haulwright.mechanics.geometry import dot
from haulwright.mechanics.lengths import per_10_mm
from haulwright.mechanics.remarks import notices_of
from haulwright.mechanics.rig import Rig
from haulwright.mechanics.sentence import sentence
from haulwright.mechanics.shares import shares_of
from haulwright.mechanics.solution import LettingBack, LineSolution, PartSolution, RigSolution
from haulwright.mechanics.stretch import stretch_lines
from haulwright.mechanics.whereabouts import whereabouts
from haulwright.mechanics.winch_speeds import travel_ratios
from haulwright.mechanics.winch_stated import hauling


def record_of(core: Core, letting_back: bool, *, holding: bool = True) -> RigSolution:
    """Return the record of a solved rig, without what takes solving it again.

    Parameters
    ----------
    core : Core
    letting_back : bool
        Whether the record tells of letting back.
    holding : bool
        Whether it tells between which efforts the rig stands still; without, nothing is solved for letting back.

    Raises
    ------
    RigRefusal
        ENERGY where work in and out differ.
    """
    rig, motion = core.moving.rig, core.moving.motion
    efforts = tension.efforts_of(rig, core.found)
    effort = None if rig.several else tension.effort_of(rig, core.found)
    forces = loads.body_forces(rig, core.moving.course_of, core.found)
    back = _letting_back(core) if holding or letting_back else None
    contact_records = loads.contacts(core.moving, core.ratios, core.found)
    residual = tension.energy_residual(core.moving, core.found, core.resistance_N)
    if residual > 1e-9:
        raise RigRefusal(
            "ENERGY",
            f"Work in and out differ by {residual:.1e} of the work in: the result is not given.",
            (rig.name,),
        )
    balanced = rig.free_load and not core.moving.held
    side = 0.0 if balanced else loads.side_pull(rig, forces[rig.load.name])
    stretched, shared = stretch_lines(core), shares_of(core)
    solution = RigSolution(
        rig=rig.name,
        path=rig.path,
        sentence=sentence(rig),
        mode=rig.mode,
        law=core.law,
        ideal_advantage=core.ideal_advantage,
        advantage=None if effort is None else core.resistance_N / effort,
        rig_efficiency=core.efficiency,
        winch_share=None if effort is None else effort / core.resistance_N,
        resistance_N=core.resistance_N,
        effort_N=efforts,
        travel_ratio=travel_ratios(rig, motion),
        lines={n: _line(core, n) for n in rig.lines},
        contacts=contact_records,
        bodies=loads.body_solutions(rig, forces),
        blocks=loads.block_solutions(core.moving, core.found),
        side_pull_N=side,
        positions_m={n: rig.bodies[b.body].at for n, b in rig.blocks.items()} if rig.placed else None,
        letting_back=back if letting_back else None,
        holding_N=_holding(rig, efforts, back),
        stretch=stretched.lines,
        take_up_m=stretched.take_up_m,
        shares=shared.shares,
        slack=shared.slack,
        per_10_mm=per_10_mm(core),
        line_m=stretched.line_m,
        energy_residual=residual,
        _layout=_layout(rig),
        _roles={name: body.role for name, body in rig.bodies.items()},
        _winch_on="" if rig.several else rig.winch_on,
        _whereabouts=whereabouts(rig, core.moving.course_of),
    )
    told = (*shared.notices, *stretched.notices, *notices_of(core, solution, back, letting_back))
    return replace(solution, notices=told)


def _line(core: Core, name: str) -> LineSolution:
    line, course = core.moving.rig.lines[name], core.moving.course_of[name]
    return LineSolution(
        tuple(
            PartSolution(line.points[i].label, line.points[i + 1].label, t, course.lengths_m[i])
            for i, t in enumerate(core.found[name])
        )
    )


def _letting_back(core: Core) -> LettingBack | None:
    """Return the answer for letting back, None where no place is found so that nothing can be said."""
    try:
        found = core.letting_back()
    except RigRefusal:
        return None
    if found is None:
        return LettingBack(None, None, {}, holds_itself=True)
    rig, solved = core.moving.rig, hauling(core.moving.rig)
    efforts = tension.efforts_of(rig, found)
    if core.moving.held or len(solved) > 1:
        return LettingBack(None, None, dict(found), efforts_N=efforts)
    effort = efforts[solved[0]]
    per_effort = None if rig.several else core.resistance_N / effort
    return LettingBack(effort, per_effort, dict(found), efforts_N=efforts)


def _holding(rig: Rig, efforts: Mapping[str, float], back: LettingBack | None) -> tuple[float, float] | None:
    """Return the band of efforts that hold the load, where one winch's pull is solved."""
    solved = hauling(rig)
    if back is None or (back.effort_N is None and not back.holds_itself) or len(solved) > 1:
        return None
    return back.effort_N or 0.0, efforts[solved[0]]


def _layout(rig: Rig) -> dict[str, tuple[str, float]]:
    points = {point.label: point for line in rig.lines.values() for point in line.points}
    ahead = {name: -dot(rig.place(point), rig.direction) for name, point in points.items()}
    return {name: (point.body, ahead[name]) for name, point in points.items()}
