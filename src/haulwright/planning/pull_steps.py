"""A pull step by step: one rig of a plan along its travel, with what the winch does, its peaks and its stop points."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from haulwright.errors import PlanRefusal
from haulwright.mechanics.loads import block_solutions
from haulwright.mechanics.rig import FLOATING, LOAD
from haulwright.planning.candidates import Setting
from haulwright.planning.found import Planned
from haulwright.planning.pull_peaks import fleet_of, peaks_of, warmth_of
from haulwright.planning.pull_result import Both, PullStep, PullSteps
from haulwright.planning.pull_stops import stops_of, timed_stops
from haulwright.planning.pull_walk import Station, walk_pull
from haulwright.planning.pull_winch import Drum, Running, ampere_hours, drum_of, run
from haulwright.planning.pull_work import notices_of, parts_of, work_of
from haulwright.planning.result import Candidate, ItemLoad, Plan, Range
from haulwright.planning.winch import battery_of, motor_of
from haulwright.records import Made

STEPS = 200
MOST_STEPS = 5000


def step_pull(planned: Planned, rig: str | None = None, steps: int = STEPS) -> PullSteps:
    """Return the chosen rig of a plan, or another one of it, along its travel.

    Parameters
    ----------
    planned : Planned
    rig : str or None
        Its name in the plan; None takes the chosen one.
    steps : int
        Of the whole travel, 1 to 5000.

    Returns
    -------
    PullSteps

    Raises
    ------
    PlanRefusal
        ``INPUT`` for the steps, ``NO_RIG`` where no rig can be used here.

    Notes
    -----
    The resistance is taken the same all along the way. Slow and steady, without jerks and without the way the vehicle
    settles when it starts.
    """
    if not 1 <= steps <= MOST_STEPS:
        raise PlanRefusal("INPUT", f"steps = {steps}: give 1 to {MOST_STEPS}.", ("steps",))
    plan = planned.plan
    name = rig or plan.chosen
    candidate = next((one for one in plan.candidates if one.rig == name), None)
    if candidate is None:
        lacks = "; ".join(f"{one.rig} lacks {one.lacked}" for one in plan.rejected)
        raise PlanRefusal("NO_RIG", f"There is no rig to step: none can be used here. {lacks}", ("rig",))
    return step_setting(planned.settings[candidate.rig], candidate, plan, steps)


def step_setting(setting: Setting, candidate: Candidate, plan: Plan, steps: int = STEPS) -> PullSteps:
    """Return one rig of a plan along its travel.

    Parameters
    ----------
    setting : Setting
    candidate : Candidate
        The same rig in the plan.
    plan : Plan
    steps : int

    Raises
    ------
    RigRefusal
        Where it does not work at the start.
    """
    pull = setting.request.pull
    resistance = plan.ways[setting.request.way]
    walked = walk_pull(setting, steps)
    stations, wound, motor = walked.stations, drum_of(setting), motor_of(pull.winch)
    likely, high = (
        run(stations, efforts, motor.table, wound) if motor and wound else None
        for efforts in (
            [resistance.likely * one.share for one in stations],
            [resistance.high * one.share_upper for one in stations],
        )
    )
    force = Range(resistance.low, resistance.likely, resistance.high)
    made = tuple(
        _step(setting, station, force, wound, (likely, high), n) for n, station in enumerate(stations)
    )
    battery = battery_of(pull.winch)
    stops = stops_of(made, stations, wound, pull.want.least_gap, walked.refused)
    if likely is not None:
        stops += timed_stops(made, likely, pull.winch, battery)
    work = work_of(made, likely, high, pull.winch, battery)
    parts, words = parts_of(setting, motor, wound, force.likely)
    stops.sort(key=lambda stop: stop.travel_m)
    fleet = fleet_of(setting, stations, force)
    return PullSteps(
        pull=plan.pull,
        rig=candidate.rig,
        way=setting.request.way,
        winch=pull.winch.id,
        winch_on=pull.winch_on,
        resistance_N=force,
        breakout_N=resistance.breakout,
        stall_N=setting.stall_N,
        wanted_m=pull.want.travel,
        travel_m=made[-1].travel_m,
        setups=setting.layout.setups,
        steps=made,
        stops=tuple(stops),
        peaks=peaks_of(setting, candidate, walked.looks, made, force),
        blocks=warmth_of(setting, walked.looks, force),
        fleet=fleet,
        work=work,
        parts=parts,
        parts_words=words,
        motor=motor.fit if motor else None,
        notices=notices_of(setting, plan, stops, work, fleet, motor),
        made=Made(
            "the rig solved at every step of its travel, with friction as expected, at its upper end and without",
            {
                "rig": candidate.rig,
                "steps": steps,
                "travel_m": pull.want.travel,
                "ratios": dict(candidate.ratios),
            },
            tuple(dict.fromkeys((*(plan.made.sources if plan.made else ()), fleet.source))),
        ),
    )


def _step(
    setting: Setting,
    station: Station,
    force: Range,
    wound: Drum | None,
    runs: Sequence[Running | None],
    n: int,
) -> PullStep:
    layer = wound.layer(station.out_m) if wound else None
    core, winch = station.core, setting.request.pull.winch
    rig = core.moving.rig
    volts = winch.battery.voltage_V if winch.battery else None
    speeds = _both(runs, lambda one: one.speeds_m_s[n])
    charges = _both(runs, lambda one: one.charges_C[n])
    return PullStep(
        travel_m=station.travel_m,
        setup=station.setup,
        line_out_m=station.out_m,
        layer=layer.number if layer else None,
        effort_N=Range(
            force.low * station.share, force.likely * station.share, force.high * station.share_upper
        ),
        line_pull_N=layer.pull_N if layer else None,
        stall_N=layer.pull_N * winch.stall_factor if layer else None,
        travel_ratio=station.ratio,
        fairlead_rad=station.fairlead_rad,
        side_pull_N=ItemLoad(
            force.likely * station.side_share, force.high * station.side_share, station.side_stall_N
        ),
        between_rad={
            name: block.between_rad for name, block in block_solutions(core.moving, core.found).items()
        },
        places_m={
            body.name: (body.at[0], body.at[1])
            for body in rig.bodies.values()
            if body.role in (LOAD, FLOATING)
        },
        line_speed_m_s=speeds,
        load_speed_m_s=Both(
            *(None if v is None else v / station.ratio for v in (speeds.likely, speeds.high))
        ),
        current_A=_both(runs, lambda one: one.currents_A[n]),
        time_s=_both(runs, lambda one: one.times_s[n]),
        charge_Ah=Both(ampere_hours(charges.likely), ampere_hours(charges.high)),
        battery_J=Both(
            *(None if q is None or volts is None else q * volts for q in (charges.likely, charges.high))
        ),
        load_J=Both(force.likely * station.travel_m, force.high * station.travel_m),
    )


def _both(runs: Sequence[Running | None], of: Callable[[Running], float | None]) -> Both:
    return Both(*(None if one is None else of(one) for one in runs))
