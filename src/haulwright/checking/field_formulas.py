"""Ground, angles, drum, rope and gear numbers through the field modules and the catalogue, in printed units."""

from __future__ import annotations

import math

from haulwright import catalogue
from haulwright.field import (
    derating,
    drum,
    line_angle,
    made_anchor,
    obstacle,
    rating,
    rope_derating,
    wire_rope,
)
from haulwright.field.families import physics
from haulwright.mechanics import rope as rope_mechanics
from haulwright.mechanics.loads import contact_load
from haulwright.mechanics.sheave import capstan_ratio
from haulwright.quantities.units import from_si, parse_slope, to_si

_MILLI = 1e-3


def grade_share(degrees: float) -> float:
    """Return grade resistance over weight."""
    return physics(1.0, math.radians(degrees), 0.0)


def grade_share_of_percent(percent: float) -> float:
    """Return grade resistance over weight of a percent grade."""
    return physics(1.0, parse_slope(percent, default_unit="%"), 0.0)


def percent_of_degrees(degrees: float) -> float:
    """Return the percent grade of a slope."""
    return from_si(parse_slope(degrees, default_unit="deg"), "%", "slope")


def degrees_of_percent(percent: float) -> float:
    """Return the slope in degrees of a percent grade."""
    return from_si(parse_slope(percent, default_unit="%"), "deg", "slope")


def percent_of_rise(rise: float, run: float) -> float:
    """Return the percent grade of rise over run."""
    return from_si(parse_slope(f"{rise!r}:{run!r}"), "%", "slope")


def slope_and_mire(weight: float, degrees: float, rolling: float, mire: float) -> float:
    """Return the resistance by statics, in the unit of the weight."""
    return physics(weight, math.radians(degrees), rolling, mire)


def step_share(radius: float, height: float, pulled_at: str) -> float:
    """Return the pull over the wheel load at a step."""
    return obstacle.step_pull(obstacle.Step(height, radius, 1.0, pulled_at))


def block_factor(degrees: float) -> float:
    """Return block load over line pull, angle between the parts."""
    return line_angle.bend_factor(math.radians(degrees))


def block_load(line: float, degrees: float) -> float:
    """Return the block load of a line."""
    return line_angle.bend_load(line, line, math.radians(degrees))


def block_load_unequal(one: float, other: float, degrees: float) -> float:
    """Return the block load of two unequal parts, angle between them."""
    return line_angle.bend_load(one, other, math.radians(degrees))


def block_load_by_wrap(one: float, other: float, wrap: float) -> float:
    """Return the block load of two unequal parts as the rig solver gives it, by wrap."""
    return contact_load(one, other, math.radians(wrap))


def sling_factor(degrees: float) -> float:
    """Return the leg tension factor, angle from the horizontal."""
    return line_angle.sling_leg_factor(math.radians(degrees), catalogue.row("rules", "sling-least-angle").si)


def sling_leg(share: float, length: float, height: float) -> float:
    """Return the leg tension of a sling leg of this length and height."""
    return share * sling_factor(math.degrees(math.asin(height / length)))


def bridle_share(degrees: float) -> float:
    """Return leg tension over pull of a two-leg bridle."""
    return line_angle.bridle_leg(1.0, math.radians(degrees))


def choker_share(degrees: float) -> float:
    """Return the share of the choker rating."""
    return derating.choker(math.radians(degrees)).share


def side_load_share(degrees: float) -> float:
    """Return the share of a shackle's WLL."""
    return derating.shackle_side_load(math.radians(degrees)).share


def heat_share(celsius: float) -> float:
    """Return the share of a hot shackle's WLL."""
    return derating.shackle_heat(celsius).share


def bend_ratio(tread: float, rope: float) -> float:
    """Return D/d."""
    return tread / rope


def bend_share(ratio: float) -> float:
    """Return the share of wire rope strength at D/d."""
    return derating.wire_bend(ratio, 1.0).share


def bend_loss_percent(ratio: float) -> float:
    """Return the percent of wire rope strength lost at D/d."""
    return 100.0 * (1.0 - bend_share(ratio))


def catalogue_value(table: str, row: str) -> float:
    """Return a number as the catalogue carries it, in its own unit."""
    value = catalogue.row(table, row).value
    return math.nan if value is None else value


def catalogue_point(table: str, row: str, x: float) -> float:
    """Return a point of a table as the catalogue carries it."""
    return dict(catalogue.row(table, row).points)[x]


def design_factor(strength: float, load: float) -> float:
    """Return strength over load."""
    used = rating.utilisation(load, rating.Limit(strength, "MBS"))
    return math.nan if used is None else 1.0 / used


def shackle_wll(body: float) -> float:
    """Return the WLL of a shackle in tonnes-force."""
    return from_si(catalogue.shackle_wll(body), "t", "force")


def shackle_pin(body: float) -> float:
    """Return the pin of a shackle in millimetres."""
    return float(catalogue.row("shackles", f"body-{body:g}").extra["pin_mm"])


def shackle_break(body: float) -> float:
    """Return the minimum break of a shackle in kN."""
    return from_si(catalogue.shackle_wll(body) * catalogue.row("shackles", "break-factor").si, "kN")


def pickets_hold(row: str) -> float:
    """Return the pull a row of pickets stands in lbf."""
    return from_si(made_anchor.pickets(row).likely_N, "lbf")


def deadman_hold(face: float, length: float, depth: float, run: float, trench: float) -> float:
    """Return the holding power of a log in loam in lbf, measures in feet, the line rising one in ``run``."""
    face_m, length_m, depth_m, trench_m = (
        to_si(feet, "ft", "length") for feet in (face, length, depth, trench)
    )
    holds = made_anchor.deadman(face_m, length_m, depth_m, math.atan(1.0 / run), trench_m)
    return from_si(holds.likely_N, "lbf")


def rope_end_share(end: str, core: str) -> float:
    """Return what an end fitting leaves of a wire rope."""
    return rope_derating.wire_end(end, core).share


def sling_wll(colour: str, mode: str) -> float:
    """Return the WLL of a textile sling in tonnes-force."""
    straight = rating.working_limit(catalogue.row("slings", colour).si, "WLL", item=colour)
    used = rating.derated(straight, catalogue.row("slings", f"mode-{mode}").si, mode)
    return math.nan if used.limit_N is None else from_si(used.limit_N, "t", "force")


def wire_factor(construction: str, core: str) -> float:
    """Return K of the breaking-force formula as the field module applies it."""
    return wire_rope.breaking_force(1.0, 1770e6, construction, core) / 1770e6


def wire_area_factor(construction: str, core: str) -> float:
    """Return metallic area over d²."""
    return catalogue.row("wire_rope", f"area-{construction}-{core}").si


def wire_break(mm: float, grade: float) -> float:
    """Return the breaking force in kN of a 6x36 rope with steel core."""
    return from_si(wire_rope.breaking_force(mm * _MILLI, grade * 1e6, "6x36", "steel"), "kN")


def _layer(layer: int, barrel: float, width: float, rope: float, lay: str) -> drum.DrumLayer:
    wound = drum.layers(barrel * _MILLI, width * _MILLI, rope * _MILLI, 500.0, 1.0, lay)
    return wound[layer - 1]


def layer_radius(layer: int, barrel: float, width: float, rope: float, lay: str) -> float:
    """Return the pitch radius of a layer in millimetres."""
    return _layer(layer, barrel, width, rope, lay).radius_m / _MILLI


def layer_length(layer: int, barrel: float, width: float, rope: float, lay: str) -> float:
    """Return the line on a full layer [m]."""
    return _layer(layer, barrel, width, rope, lay).length_m


def layer_cumulative(layer: int, barrel: float, width: float, rope: float, lay: str) -> float:
    """Return the line up to a full layer [m]."""
    return _layer(layer, barrel, width, rope, lay).cumulative_m


def layer_pull(layer: int, barrel: float, width: float, rope: float, lay: str) -> float:
    """Return the line pull over that of layer 1."""
    return _layer(layer, barrel, width, rope, lay).pull_N


def layer_turns(layer: int, barrel: float, width: float, rope: float, lay: str) -> float:
    """Return the turns of a full layer."""
    return float(_layer(layer, barrel, width, rope, lay).turns)


def wound_pull(layer: int, barrel: float, width: float, rope: float, line: float, pull: float) -> float:
    """Return the line pull on a layer of a wound line, in the unit of ``pull``."""
    return drum.layers(barrel * _MILLI, width * _MILLI, rope * _MILLI, line, pull)[layer - 1].pull_N


def wound_length(layer: int, barrel: float, width: float, rope: float, line: float, pull: float) -> float:
    """Return the line that lies on a layer [m]."""
    return drum.layers(barrel * _MILLI, width * _MILLI, rope * _MILLI, line, pull)[layer - 1].length_m


def drum_capacity(barrel: float, width: float, winding: float, rope: float) -> float:
    """Return the line a drum holds in feet, measures in inches."""
    sizes = (to_si(size, "in", "length") for size in (barrel, width, winding, rope))
    return from_si(drum.capacity_by_volume(*sizes), "ft")


def fleet_angle(offset: float, lead: float) -> float:
    """Return the fleet angle in degrees."""
    return math.degrees(drum.fleet_angle(offset, lead))


def capstan(mu: float, turns: int) -> float:
    """Return the tension ratio round a post."""
    return capstan_ratio(mu, 0.0, turns)


def capstan_pull(hold: float, mu: float, turns: float) -> float:
    """Return the pull that starts a line sliding round a post."""
    return hold * capstan_ratio(mu, math.tau * turns)


def _axial_stiffness(mm: float, area_factor: float, modulus: float) -> float:
    return area_factor * (mm * _MILLI) ** 2 * modulus * 1e9


def stretch_percent(tonnes: float, mm: float, area_factor: float, modulus: float) -> float:
    """Return the stretch of wire rope in percent of its length."""
    return 100.0 * rope_mechanics.stretch(
        to_si(tonnes, "t", "force"), 1.0, _axial_stiffness(mm, area_factor, modulus)
    )


def stretch(tension: float, length: float, mm: float, construction: str, modulus: float) -> float:
    """Return the stretch of a wire rope with steel core [m]."""
    stiffness_N = _axial_stiffness(mm, wire_area_factor(construction, "steel"), modulus)
    return rope_mechanics.stretch(tension * 1e3, length, stiffness_N)


def stored_energy(tension: float, length: float, mm: float, construction: str, modulus: float) -> float:
    """Return the energy stored in a wire rope with steel core [J]."""
    stiffness_N = _axial_stiffness(mm, wire_area_factor(construction, "steel"), modulus)
    return rope_mechanics.stored_energy(tension * 1e3, length, stiffness_N)


def recoil(energy: float, mass: float) -> float:
    """Return the upper bound of a fitting's speed [m/s]."""
    return rope_mechanics.recoil_speed_bound(energy, mass)
