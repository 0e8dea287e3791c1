"""What a whole pull takes: time with rests, charge, energy, the battery; the same with fewer parts; what must be said."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from haulwright.field.battery import Battery, BatteryBalance, balance, time_until
from haulwright.field.by_parts import PartsRow, by_parts, in_words
from haulwright.field.duty import rests
from haulwright.field.motor_model import MotorCurve
from haulwright.files.kit import Winch
from haulwright.notices import Code, Notice
from haulwright.planning.candidates import Setting
from haulwright.planning.pull_result import Both, Fleet, PullStep, PullWork, StopPoint
from haulwright.planning.pull_winch import Drum, Running, Stint
from haulwright.planning.result import Plan
from haulwright.planning.winch import overfull
from haulwright.quantities.units import spoken


def work_of(
    steps: Sequence[PullStep],
    likely: Running | None,
    high: Running | None,
    winch: Winch,
    battery: Battery | None,
) -> PullWork:
    """Return what the whole pull takes at the likely and at the high resistance."""
    last = steps[-1]
    with_rests = Both()
    if winch.duty is not None:
        totals = (
            None if time is None else rests(time, winch.duty.run, winch.duty.rest).total_s
            for time in (last.time_s.likely, last.time_s.high)
        )
        with_rests = Both(*totals)
    most = Both(*(_greatest(one) for one in (likely, high)))
    held: BatteryBalance | None = None
    if battery is not None and likely is not None and likely.whole:
        held = balance(battery, _flow(likely.stints, winch))
    lasts = time_until(battery, most.likely) if battery is not None and most.likely is not None else None
    return PullWork(
        time_s=last.time_s,
        with_rests_s=with_rests,
        charge_Ah=last.charge_Ah,
        battery_J=last.battery_J,
        load_J=last.load_J,
        efficiency=Both(
            _share(last.load_J.likely, last.battery_J.likely), _share(last.load_J.high, last.battery_J.high)
        ),
        greatest_current_A=most,
        battery=held,
        lasts_s=lasts,
    )


def _share(load_J: float | None, battery_J: float | None) -> float | None:
    return load_J / battery_J if load_J is not None and battery_J else None


def _greatest(running: Running | None) -> float | None:
    if running is None or not running.whole:
        return None
    return max((stint.current_A for made in running.stints for stint in made), default=None)


def _flow(stints: Sequence[Sequence[Stint]], winch: Winch) -> Iterator[tuple[float, float]]:
    """Return current and time of the motor in order, with the rests of its duty."""
    due = winch.duty.run if winch.duty else math.inf
    clock = 0.0
    for made in stints:
        for stint in made:
            if winch.duty and clock >= due:
                yield 0.0, winch.duty.rest
                due += winch.duty.run
            yield stint.current_A, stint.time_s
            clock += stint.time_s


def parts_of(
    setting: Setting, motor: MotorCurve | None, wound: Drum | None, load_N: float
) -> tuple[tuple[PartsRow, ...], str]:
    """Return this winch and load with one, two and three parts of line, and how they compare in words.

    Notes
    -----
    Parallel parts between the vehicle and the farthest anchor of the rig, with the mean friction of the rig's blocks, or
    of the kit's where it has none; the resistance is the likely one.
    """
    if motor is None or wound is None:
        return (), ""
    rig = setting.layout.starts[0].rig
    at = rig.load.at
    away_m = max(math.dist(at, body.at) for body in rig.bodies.values() if body.name in setting.rig.bodies)
    travel_m = min(setting.request.pull.want.travel, away_m)
    ks = [k.value for k in setting.ratios.values()]
    ks = ks or [friction.k.value for friction in setting.request.friction.values()]
    k = max(sum(ks) / len(ks), 1.0) if ks else 1.0
    winch = setting.request.pull.winch
    volts = winch.battery.voltage_V if winch.battery else None
    rows = by_parts(load_N, travel_m, away_m, k, motor.table, wound.wound, setting.request.wraps, volts)
    return rows, in_words(rows)


def notices_of(
    setting: Setting,
    plan: Plan,
    stops: Sequence[StopPoint],
    work: PullWork,
    fleet: Fleet,
    motor: MotorCurve | None,
) -> tuple[Notice, ...]:
    """Return what must be read with a pull by steps, the most pressing first."""
    pull = setting.request.pull
    found: list[Notice] = [notice for notice in plan.notices if notice.code == Code.STOP_PROFESSIONAL.name]
    full = overfull(pull.winch, setting.request.line)
    if full:
        found.append(Code.DRUM_FULL.notice((pull.winch.id,), text=full))
    for stop in stops:
        if stop.what == "too weak":
            text = f"At {stop.travel_m:.1f} m: {stop.message}"
            found.append(Code.OUT_OF_RANGE.notice((pull.winch.id,), text=text))
    found += _of_motor(pull.winch, motor)
    found += _of_battery(pull.winch, work)
    if fleet.greatest_rad > fleet.limit_rad:
        text = (
            f"The line leaves the winch up to {math.degrees(fleet.greatest_rad):.0f}° from straight ahead; wire rope winds "
            f"evenly up to {math.degrees(fleet.limit_rad):.0f}° ({fleet.source}). It will pile up on one side of the drum: stop "
            "and lay it anew before it climbs the flange. Layers are reckoned for even winding."
        )
        found.append(Code.OUT_OF_RANGE.notice((pull.winch.id,), text=text))
    found.append(Code.STALL.notice((pull.winch.id,), stall=spoken(setting.stall_N)))
    found += [Code.ESTIMATE.notice(), Code.FRICTION_NO_EXCUSE.notice(), Code.NO_STANDING.notice()]
    found.append(Code.DEFER.notice())
    if pull.invented:
        found.append(Code.INVENTED.notice())
    return tuple(dict.fromkeys(found))


def _of_motor(winch: Winch, motor: MotorCurve | None) -> Iterator[Notice]:
    if motor is None:
        text = (
            f"{winch.label} has no maker's table: speed, current, time and charge are not known. Copy line pull, speed and "
            "current from its plate or sheet into the kit."
        )
        yield Code.UNCHECKED.notice((winch.id,), text=text)
    elif motor.fit is not None:
        yield Code.ADVICE.notice((winch.id,), text=_fit_words(motor))
    if winch.duty is None:
        text = (
            f"How long {winch.label} may run is not known: makers give minutes at rated pull, then a rest. Until you have that "
            "figure, run it briefly, rest it often, and stop at any smell or smoke (common practice, no source)."
        )
        yield Code.UNCHECKED.notice((winch.id,), text=text)


def _fit_words(motor: MotorCurve) -> str:
    fit = motor.fit
    if fit is None:
        return ""
    residuals = {"speed": fit.speed_residual, "current": fit.current_residual}
    off = [f"{100 * share:.0f} % in {what}" for what, share in residuals.items() if share is not None]
    missed = (
        f"it misses the maker's rows by up to {' and '.join(off)}"
        if off
        else "two rows leave nothing to check it with"
    )
    return (
        f"Between the maker's rows speed and current follow the model of a {fit.motor} motor, from "
        f"{spoken(fit.low_N)} to {spoken(fit.high_N)} on layer 1; {missed}."
    )


def _of_battery(winch: Winch, work: PullWork) -> Iterator[Notice]:
    told, held = winch.battery, work.battery
    if held is None or told is None:
        return
    if held.charge_end is None:
        text = "What is left in the battery is not known: give its capacity and its state of charge."
        yield Code.UNCHECKED.notice((winch.id,), text=text)
    elif held.charge_least is not None and held.charge_least[0] <= (told.least_charge or 0.0):
        left = 100 * max(held.charge_least[0], 0.0)
        text = (
            f"At worst the battery falls to {left:.0f} % of its charge on the way; at these currents it gives less than its marked "
            "capacity, so expect less. Keep the engine running and stop to charge."
        )
        yield Code.OUT_OF_RANGE.notice((winch.id,), text=text)
    if told.alternator_A is None:
        text = "The alternator's current is not told: all charge is taken from the battery."
        yield Code.ADVICE.notice((winch.id,), text=text)
