"""Lengths, length rates and balance of rigs against a multibody engine (rank B, a general physics library).

Lines are spatial tendons there: the engine measures lengths and rates itself, and integrates Newton's second law, so that
a rig in balance must not accelerate. Motion and tensions without friction follow from its rates alone.
"""

import random
from dataclasses import replace

import numpy as np
import pytest
from ground_rigs import CORNER, RUNNING, STACKED, TWO_LEGS, changed, random_ground_rig, vee
from multibody import Multibody

from haulwright.errors import RigRefusal
from haulwright.files.rig import read_rig
from haulwright.mechanics.friction import resolve_laws
from haulwright.mechanics.geometry import courses, wrap_between
from haulwright.mechanics.ground import solve_ground
from haulwright.mechanics.ground.equations import assemble, frictionless
from haulwright.mechanics.ground.net import net_of
from haulwright.mechanics.motion import freedoms, length_rates
from haulwright.mechanics.statics import solve_rig
from haulwright.mechanics.tackles import NAMES, named_rig

CLOSE = {"rel": 0.0, "abs": 1e-9}
EXACT = {"rtol": 0.0, "atol": 1e-9}
IN_SPACE = changed(
    CORNER,
    rig="two corners on a slope",
    anchors={"oak": {"at": [0, 0, 1.2]}, "elm": {"at": [1, 9, 2]}, "helper": {"at": [12, 14, -1]}},
    load={"name": "truck", "at": [16, -2, -0.5], "direction": [-1, 0, 0.1], "resistance": 20},
    blocks={"A": {"strap": {"to": "oak", "length": 2.0}}, "B": {"strap": {"to": "elm", "length": 1.5}}},
    lines={"winch line": {"standing": "truck", "through": ["A", "B"], "fall": "winch"}},
)
GROUND = {rig["rig"]: rig for rig in (CORNER, TWO_LEGS, RUNNING, STACKED, vee(30), IN_SPACE)}


def in_space(name):
    """A named rig whose bodies stand anywhere in space, with lines made fast at eyes off their places."""
    rng, rig = random.Random(name), named_rig(name)

    def near(at, by):
        return tuple(x + rng.uniform(-by, by) for x in at)

    eyes = {"eye": near((0.0, 0.0, 0.0), 0.5)}
    bodies = {
        n: replace(b, at=near((9.0 * b.at[0], 0.0, 0.0), 3.0), eyes=eyes) for n, b in rig.bodies.items()
    }
    lines = {
        n: replace(
            line,
            points=tuple(replace(p, eye="eye" if i % 2 else None) for i, p in enumerate(line.points)),
        )
        for n, line in rig.lines.items()
    }
    d = np.array([-1.0, rng.uniform(-0.3, 0.3), rng.uniform(-0.3, 0.3)])
    direction = tuple(float(x) for x in d / np.linalg.norm(d))
    return replace(rig, bodies=bodies, lines=lines, direction=direction, placed=True)


RIGS = {name: named_rig(name) for name in NAMES} | {f"{name} in space": in_space(name) for name in NAMES}


@pytest.mark.parametrize("name", RIGS)
def test_rates_of_every_part_and_line_are_those_of_the_tendons(name):
    rig = RIGS[name]
    engine, course_of = Multibody(rig), courses(rig)
    whole = engine.line_rates()
    for r, (line_name, line) in enumerate(rig.lines.items()):
        mine = np.array(length_rates(rig, course_of[line_name], line, freedoms(rig)))
        np.testing.assert_allclose(mine, engine.part_rates(line_name), **EXACT)
        np.testing.assert_allclose(mine.sum(axis=0), whole[r], **EXACT)
        if rig.placed:
            assert course_of[line_name].lengths_m == pytest.approx(engine.part_lengths(line_name), **CLOSE)


@pytest.mark.parametrize("name", RIGS)
def test_motion_and_ideal_tensions_follow_from_the_tendons(name):
    rig = RIGS[name]
    s = solve_rig(rig, 1.0, load_N=1000.0)
    engine = Multibody(rig)
    rates = engine.line_rates()
    drum = np.array([float(line.drum is not None) for line in rig.lines.values()])
    v = np.linalg.lstsq(rates, -drum, rcond=None)[0]
    assert rates @ v == pytest.approx(-drum, **CLOSE)
    assert s.travel_ratio["winch"] == pytest.approx(1.0 / v[0], rel=1e-9)
    flows = {n: -np.cumsum(engine.part_rates(n) @ v) for n in rig.lines}
    mine = {(c.line, c.index): (c.direction, c.rim_speed_ratio) for c in s.contacts}
    for (line, i), (direction, speed) in mine.items():
        flow = flows[line][i - 1]
        assert speed == pytest.approx(abs(flow / v[0]), **CLOSE)
        assert direction == ("still" if abs(flow) < 1e-9 else "towards-fall" if flow > 0 else "away")
    ideal = np.linalg.lstsq(rates.T, 1000.0 * engine.against(), rcond=None)[0]
    assert [line.parts[0].tension_N for line in s.lines.values()] == pytest.approx(list(ideal), rel=1e-9)


@pytest.mark.parametrize("k", [1.0, 1.15])
@pytest.mark.parametrize("name", RIGS)
def test_a_tackle_in_balance_does_not_accelerate(name, k):
    rig = RIGS[name]
    s = solve_rig(rig, k, load_N=1000.0)
    tensions = {n: [part.tension_N for part in line.parts] for n, line in s.lines.items()}
    engine = Multibody(rig)
    assert np.abs(engine.acceleration(tensions, 1000.0)).max() <= 1e-9 * 1000.0
    assert np.abs(engine.acceleration(tensions, 1001.0)).max() > 0.5  # and it would, with another load


# on the ground


@pytest.mark.parametrize("given", GROUND.values(), ids=GROUND)
def test_lengths_and_rates_on_the_ground_are_those_of_the_tendons(given):
    rig = read_rig(given)
    s = solve_rig(rig)
    engine = Multibody(rig, free=True, placed=s.positions_m)
    for name, line in s.lines.items():
        assert [p.length_m for p in line.parts] == pytest.approx(engine.part_lengths(name), **CLOSE)
        stated = rig.lines[name].length_m
        if stated is not None and not rig.lines[name].drum:
            assert engine.length(engine.lines[name]) == pytest.approx(stated, **CLOSE)
    net = net_of(solve_ground(rig, resolve_laws(rig)).rig)
    equations = assemble(net, net.start, [1.0] * len(net.lines), frictionless(net))
    first = len(equations.jacobian) - len(net.fixed)
    (by_travel,) = equations.by_travel
    for line, row, travel in zip(net.fixed, equations.jacobian[first:], by_travel[first:], strict=True):
        theirs = np.array(engine.rate(engine.lines[line.name]))
        by_block = theirs[1:].reshape(-1, 3)[:, : net.axes].ravel()
        assert row[: net.coordinates] == pytest.approx(by_block, **CLOSE)
        assert travel == pytest.approx(theirs[0], **CLOSE)


def engine_tensions(engine, s, rig, laws):
    """All part tensions by least squares on the engine's rates and the laws at the engine's own places, and the misfit."""
    offsets = np.cumsum([0, *(len(parts) for parts in engine.parts.values())])
    rates = np.vstack([engine.part_rates(name) for name in rig.lines])
    rows, rhs = [*rates.T], list(engine.against())
    way = {(c.line, c.index): {"towards-fall": 1, "away": -1, "still": 0}[c.direction] for c in s.contacts}
    for r, (name, line) in enumerate(rig.lines.items()):
        at = [engine.data.site(f"s{r}.{i}").xpos for i in range(len(line.points))]
        for i in line.contacts:
            before, after = (at[i] - at[i - 1], at[i + 1] - at[i])
            wrap = wrap_between(*(tuple(x / np.linalg.norm(x)) for x in (before, after)))
            law = laws[line.points[i].block]
            row = np.zeros(offsets[-1])
            row[offsets[r] + i], row[offsets[r] + i - 1] = 1.0, -(law.ratio(wrap) ** way[name, i])
            rows.append(row)
            rhs.append(0.0)
    matrix, wanted = np.array(rows), np.array(rhs)
    t = np.linalg.lstsq(matrix, wanted, rcond=None)[0]
    return t, np.abs(matrix @ t - wanted).max()


def check_against_the_engine(given):
    rig = read_rig(given)
    s = solve_rig(rig)
    engine = Multibody(rig, free=True, placed=s.positions_m)
    tensions = {n: [part.tension_N for part in line.parts] for n, line in s.lines.items()}
    assert np.abs(engine.acceleration(tensions, s.resistance_N)).max() <= 1e-8 * s.resistance_N
    theirs, misfit = engine_tensions(engine, s, rig, resolve_laws(rig))
    assert misfit <= 1e-9  # more equations than unknowns: they fit only at the balanced place
    mine = [t / s.resistance_N for parts in tensions.values() for t in parts]
    assert mine == pytest.approx(list(theirs), rel=1e-7, abs=1e-9)


@pytest.mark.parametrize("given", GROUND.values(), ids=GROUND)
def test_a_rig_on_the_ground_is_in_balance_in_the_engine(given):
    check_against_the_engine(given)


def test_random_rigs_on_the_ground_are_in_balance_in_the_engine():
    rng = random.Random(77)
    met = {2: 0, 3: 0}
    while min(met.values()) < 25:
        given = random_ground_rig(rng)
        try:
            check_against_the_engine(given)
        except RigRefusal:
            continue
        met[len(given["load"]["at"])] += 1


def random_free_load(rng):
    """A load that nothing guides, hauled by as many winches as it has freedoms, some over a corner that finds its place."""
    space = rng.random() < 0.5
    north = {"at": [rng.uniform(-20, -10), rng.uniform(5, 12)]}
    south = {"at": [rng.uniform(-20, -10), rng.uniform(-12, -5)]}
    above = {"at": [rng.uniform(-16, -8), rng.uniform(-2, 2), rng.uniform(4, 9)]}
    anchors = {"north": north, "south": south, "oak": {"at": [rng.uniform(-3, 0), 9.0]}}
    lines = {
        "one": {"standing": "truck", "through": ["corner"], "fall": "one"},
        "two": {"standing": "truck.left", "fall": "two"},
    }
    winches = {"one": {"on": "north"}, "two": {"on": "south"}}
    if space:
        anchors["mast"] = above
        lines["three"] = {"standing": "truck", "fall": "three"}
        winches["three"] = {"on": "mast"}
    force = (
        [rng.uniform(10, 20), rng.uniform(-2, 2), -5.0]
        if space
        else [rng.uniform(10, 20), rng.uniform(-2, 2)]
    )
    return {
        "rig": "free load",
        "mode": "ground",
        "units": {"force": "kN", "length": "m"},
        "sheaves": {"law": "by-wrap", "k": rng.uniform(1.0, 1.3)},
        "anchors": anchors,
        "load": {
            "name": "truck",
            "at": [0, 0],
            "direction": [-1, 0],
            "free": True,
            "force": force,
            "eyes": {"left": [0.5, -0.7]},
        },
        "blocks": {"corner": {"strap": {"to": "oak", "length": rng.uniform(0.5, 2)}, "near": [-3, 7]}},
        "lines": lines,
        "winches": winches,
    }


def test_random_loads_that_nothing_guides_are_in_balance_in_the_engine():
    rng = random.Random(79)
    met = {2: 0, 3: 0}
    while min(met.values()) < 10:
        given = random_free_load(rng)
        try:
            check_against_the_engine(given)
        except RigRefusal:
            continue
        met[len(given["load"]["force"])] += 1


@pytest.mark.parametrize("given", GROUND.values(), ids=GROUND)
def test_ideal_travel_on_the_ground_follows_from_the_tendons(given):
    # without friction the drum's work is the load's: travel ratio = 1 / share of the winch line in the balance
    given = changed(given, sheaves={"law": "frictionless"})
    rig = read_rig(given)
    s = solve_rig(rig)
    engine = Multibody(rig, free=True, placed=s.positions_m)
    rates = engine.line_rates()
    shares, *_ = np.linalg.lstsq(rates.T, engine.against(), rcond=None)
    assert rates.T @ shares == pytest.approx(engine.against(), **CLOSE)
    effort = shares[list(rig.lines).index(rig.hauling_line.name)]
    assert s.travel_ratio["winch"] == pytest.approx(1.0 / effort, rel=1e-9)
    assert s.ideal_advantage == pytest.approx(1.0 / effort, rel=1e-9)


def test_a_block_off_its_balance_accelerates_towards_it():
    rig = read_rig(CORNER)
    s = solve_rig(rig)
    tensions = {n: [part.tension_N for part in line.parts] for n, line in s.lines.items()}
    x, y, z = s.positions_m["corner"]
    aside = Multibody(rig, free=True, placed={"corner": (x - 0.02, y + 0.02, z)})
    _, *pull = aside.acceleration(tensions, s.resistance_N)
    assert pull[0] > 10.0
    assert pull[1] < -10.0
