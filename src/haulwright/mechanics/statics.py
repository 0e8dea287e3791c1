"""Solve a rig: motion first, then tension, then loads, all in one frozen record."""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping
from dataclasses import replace

from haulwright.errors import RigRefusal
from haulwright.mechanics import loads, tension
from haulwright.mechanics.core import Core, solve_core
from haulwright.mechanics.geometry import dot
from haulwright.mechanics.intervals import spread_of
from haulwright.mechanics.rig import Rig, similar_names
from haulwright.mechanics.sentence import sentence
from haulwright.mechanics.solution import LettingBack, LineSolution, PartSolution, RigSolution
from haulwright.mechanics.stretch import stretch_lines
from haulwright.notices import Code, Notice
from haulwright.quantities.measured import Measured
from haulwright.quantities.units import show
from haulwright.records import Made

METHOD = "motion, then tension, then loads (virtual work; one unknown per line)"
GROUND_METHOD = (
    "places and tensions together (Newton's method), then motion along the balanced path, then loads"
)
STRAIGHT_RAD = math.radians(5.0)
SIDE_SHARE = 0.01  # a side pull under this share of the resistance is not worth a warning

Ratio = float | Measured | Mapping[str, "float | Measured"]


def solve_rig(
    rig: Rig,
    ratio: Ratio | None = None,
    *,
    load_N: float | None = None,
    effort_N: float | None = None,
    letting_back: bool = False,
    seized: Collection[str] = (),
    devices: Mapping[str, str] | None = None,
) -> RigSolution:
    """Return every tension, load, travel and heat of a rig hauled slowly and steadily.

    Parameters
    ----------
    rig : Rig
        From :func:`haulwright.mechanics.notation.parse_notation`, a named rig or a rig file.
    ratio : float, Measured, mapping block -> either, or None
        Per-contact tension ratio(s) in place of the rig's own law. A Measured carries its interval through.
    load_N, effort_N : float or None
        Resistance of the load, or tension at the drum, in place of the rig's own resistance [N]; not both.
    letting_back : bool
        Also answer for letting back under the same load.
    seized : collection of str
        Blocks whose sheave does not turn (capstan law, mu 0.2): a what-if.
    devices : mapping block -> device name, or None
        Blocks with the same device share its error; without it each block is a device of its own.

    Returns
    -------
    RigSolution

    Raises
    ------
    RigRefusal
        Every code of the refusal table: no number is returned for a rig that cannot work.

    Notes
    -----
    Point sheaves, weightless lines, slow steady haul. Lines count as inextensible for motion and tension; their stretch
    follows from the tensions, to first order. Energy closes to 1e-9 or the record is not returned.

    References
    ----------
    Balance of forces and virtual work; one-rope tackles reduce to the fast-line formula of API RP 9B, 14th ed., 2.3.3.

    Examples
    --------
    >>> from haulwright.mechanics.tackles import named_rig
    >>> round(solve_rig(named_rig("three-part/on-load"), 1.07).advantage, 5)
    2.80802
    """
    if load_N is not None and effort_N is not None:
        raise RigRefusal(
            "INPUT",
            "Both a load and an effort are given; the one follows from the other. Give one.",
            ("load", "effort"),
        )
    values = _values(ratio)
    core = solve_core(rig, values, load_N, effort_N, seized)
    solution = _record(core, letting_back)
    measured = _measured(rig, ratio)
    if measured:
        spread = spread_of(
            rig,
            values,
            measured,
            devices or {},
            core.resistance_N if effort_N is None else None,
            effort_N,
            seized,
        )
        solution = replace(solution, uncertainty=spread)
    inputs = {
        "rig": rig.path or rig.name,
        "ratio": values,
        "load_N": load_N,
        "effort_N": effort_N,
        "seized": sorted(seized),
    }
    return replace(solution, made=Made(GROUND_METHOD if rig.finds_places else METHOD, inputs))


def _values(ratio: Ratio | None) -> float | dict[str, float] | None:
    if isinstance(ratio, Mapping):
        return {name: k.value if isinstance(k, Measured) else float(k) for name, k in ratio.items()}
    return ratio.value if isinstance(ratio, Measured) else ratio


def _measured(rig: Rig, ratio: Ratio | None) -> dict[str, Measured]:
    if isinstance(ratio, Measured):
        return dict.fromkeys(rig.blocks, ratio)
    if isinstance(ratio, Mapping):
        return {name: k for name, k in ratio.items() if isinstance(k, Measured)}
    return {}


def _record(core: Core, letting_back: bool) -> RigSolution:
    rig, motion = core.moving.rig, core.moving.motion
    effort = tension.effort_of(rig, core.found)
    forces = loads.body_forces(rig, core.moving.course_of, core.found)
    back = _letting_back(core)
    contact_records = loads.contacts(core.moving, core.ratios, core.found)
    residual = tension.energy_residual(core.moving, core.found, core.resistance_N)
    if residual > 1e-9:
        raise RigRefusal(
            "ENERGY",
            f"Work in and out differ by {residual:.1e} of the work in: the result is not given.",
            (rig.name,),
        )
    ideal = core.ideal_advantage
    drum = rig.hauling_line.drum or ""
    side = loads.side_pull(rig, forces[rig.load.name])
    stretched = stretch_lines(core)
    solution = RigSolution(
        rig=rig.name,
        path=rig.path,
        sentence=sentence(rig),
        mode=rig.mode,
        law=core.law,
        ideal_advantage=ideal,
        advantage=core.resistance_N / effort,
        rig_efficiency=core.resistance_N / effort / ideal,
        winch_share=effort / core.resistance_N,
        resistance_N=core.resistance_N,
        effort_N={drum: effort},
        travel_ratio={drum: 1.0 / motion.load_speed},
        lines={n: _line(core, n) for n in rig.lines},
        contacts=contact_records,
        bodies=loads.body_solutions(rig, forces),
        blocks=loads.block_solutions(core.moving, core.found),
        side_pull_N=side,
        positions_m={n: rig.bodies[b.body].at for n, b in rig.blocks.items()} if rig.placed else None,
        letting_back=back if letting_back else None,
        holding_N=(back.effort_N or 0.0, effort) if back else None,
        stretch=stretched.lines,
        take_up_m=stretched.take_up_m,
        line_m=stretched.line_m,
        energy_residual=residual,
        _layout=_layout(rig),
        _roles={name: body.role for name, body in rig.bodies.items()},
        _winch_on=rig.winch_on,
    )
    told = (*stretched.notices, *_notices(core, solution, back, letting_back))
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
    effort = tension.effort_of(core.moving.rig, found)
    return LettingBack(effort, core.resistance_N / effort, dict(found))


def _layout(rig: Rig) -> dict[str, tuple[str, float]]:
    points = {point.label: point for line in rig.lines.values() for point in line.points}
    ahead = {name: -dot(rig.place(point), rig.direction) for name, point in points.items()}
    return {name: (point.body, ahead[name]) for name, point in points.items()}


def _ratings(core: Core, solution: RigSolution) -> list[Notice]:
    """Hold each marked block against its load; the load at winch stall is for the caller who knows the stall."""
    if not core.load_given:
        return []
    found = []
    for name, block in core.moving.rig.blocks.items():
        if block.wll_N is None or name not in solution.blocks:
            continue
        load, limit = solution.blocks[name].with_becket_N, block.wll_N
        if load > limit:
            text = f"{name} carries {show(load, 'kN')}, over its WLL of {show(limit, 'kN')}: not with this block."
            found.append(Code.OUT_OF_RANGE.notice((name,), text=text))
        else:
            text = f"{name} carries {show(load, 'kN')} of its WLL of {show(limit, 'kN')} here; what counts is winch stall."
            found.append(Code.UNCHECKED.notice((name,), text=text))
    return found


def _bands(core: Core) -> list[Notice]:
    """Tell both ends of where a block may rest that hardly runs along its own line."""
    found = []
    for band in core.ground.bands if core.ground else ():
        axes = 3 if any(at[2] for at in band.at_m) else 2
        efforts = dict.fromkeys(show(share * core.resistance_N, "kN") for share in sorted(band.effort))
        ends = " and ".join(f"({', '.join(f'{x:.2f}' for x in at[:axes])}) m" for at in band.at_m)
        told = {
            "what": band.block,
            "line": band.line,
            "ends": ends,
            "efforts": " to ".join(efforts),
            "most": show(band.greatest * core.resistance_N, "kN"),
        }
        found.append(Code.STICKS.notice((band.block,), **told))
    return found


def _notices(
    core: Core, solution: RigSolution, back: LettingBack | None, letting_back: bool
) -> tuple[Notice, ...]:
    rig = core.moving.rig
    found = []
    if not core.law_given:
        turned = rig.contacts_from_drum
        open_blocks = tuple(
            name for name in solution.blocks if name in turned and rig.blocks[name].law is None
        )
        found.append(Code.NO_FRICTION.notice(open_blocks, what=", ".join(open_blocks)))
    if not core.load_given:
        found.append(Code.UNIT_LOAD.notice())
    found += [
        Code.SIMILAR_NAMES.notice(pair, a=pair[0], b=pair[1]) for pair in similar_names(list(rig.bodies))
    ]
    for contact in solution.contacts:
        if contact.wrap_rad < STRAIGHT_RAD:
            found.append(Code.STRAIGHT_THROUGH.notice((contact.at,), what=contact.at))
        if contact.direction == "still" and contact.ratio > 1.0:
            band = f"{1.0 / contact.ratio:.3f} to {contact.ratio:.3f}"
            found.append(Code.STILL_SHEAVE.notice((contact.at,), what=contact.at, band=band))
    found += _ratings(core, solution)
    if rig.unused:
        what = ", ".join(rig.unused)
        found.append(Code.UNCHECKED.notice(rig.unused, text=f"Read but not used by this version: {what}."))
    found += _bands(core)
    if back is None:
        text = "Letting back: no balanced position is found, so neither its effort nor the holding band is given."
        found.append(Code.UNCHECKED.notice((rig.name,), text=text))
    elif letting_back and back.holds_itself:
        found.append(Code.SELF_HOLDING.notice())
    if solution.side_pull_N > SIDE_SHARE * solution.resistance_N:
        share = 100.0 * solution.side_pull_N / solution.resistance_N
        found.append(Code.SIDE_PULL.notice((rig.load.name,), force=f"{share:.0f} % of its resistance"))
    return (
        *found,
        Code.ESTIMATE.notice(),
        Code.FRICTION_NO_EXCUSE.notice(),
        Code.NO_STANDING.notice(),
        Code.DEFER.notice(),
    )
