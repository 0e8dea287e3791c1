"""Random rigs on the ground against the shortest winch line: where blocks hang, and why a rig is refused.

Without friction blocks sit where the winch line is shortest with all other lengths kept (least potential, rank C). Lengths
and their slopes are those of a multibody engine's tendons, the minimum is found by scipy's SLSQP: neither shares a line with
the solver. A rig is refused as slack where a line is longer than its path there, or carries nothing.
"""

import random

import numpy as np
import pytest
from ground_rigs import CORNER, changed, random_ground_rig
from multibody import Multibody
from scipy.optimize import minimize

from haulwright.errors import RigRefusal
from haulwright.files.rig import read_rig
from haulwright.mechanics.statics import solve_rig


def shortest(rig):
    """Places of the free blocks where the winch line is shortest: SLSQP on lengths and rates that the engine measures."""
    engine = Multibody(rig, free=True)
    start = engine.data.qpos.copy()
    blocks = engine.columns[1:]

    def at(x):
        engine.data.qpos[:] = start
        engine.data.qpos[blocks] = x
        engine.fresh()

    def length(x, line):
        at(x)
        return engine.length(engine.lines[line.name])

    def slope(x, line):
        at(x)
        return np.array(engine.rate(engine.lines[line.name])[1:])

    held = [
        {
            "type": "ineq",
            "fun": lambda x, line=line: line.length_m - length(x, line),
            "jac": lambda x, line=line: -slope(x, line),
        }
        for line in rig.lines.values()
        if not line.drum
    ]
    found = minimize(
        length,
        np.zeros(len(blocks)),
        args=(rig.hauling_line,),
        jac=slope,
        method="SLSQP",
        constraints=held,
        options={"ftol": 1e-16, "maxiter": 1000},
    )
    moved = found.x.reshape(-1, 3)
    return {
        body.name: np.array(body.at) + by for body, by in zip(rig.floating, moved, strict=True)
    }, found.fun


def random_larger_rig(rng):
    """One to three blocks on straps, bridles, running bridles or each other, and a winch line over some of them."""
    space = rng.random() < 0.4

    def at(x0, x1, y0, y1):
        flat = [round(rng.uniform(x0, x1), 3), round(rng.uniform(y0, y1), 3)]
        return [*flat, round(rng.uniform(-1, 2), 3)] if space else flat

    anchors = {
        "oak": {"at": at(-1, 1, -1, 1)},
        "elm": {"at": at(-1, 1, 3, 7)},
        "ash": {"at": at(4, 9, 8, 12)},
    }
    trees, names = list(anchors), "ABC"[: rng.randint(1, 3)]
    blocks, lines = {}, {}
    for i, name in enumerate(names):
        kind = rng.choice(["strap", "legs", "from another", "running"])
        if kind == "legs":
            blocks[name] = {"strap": [{"to": to, "length": rng.uniform(4, 9)} for to in rng.sample(trees, 2)]}
        elif kind == "running":
            one, other = rng.sample(trees, 2)
            blocks[name] = {"floating": True, "near": at(2, 5, 1, 5)}
            lines[f"bridle {name}"] = {
                "standing": one,
                "through": [name],
                "to": other,
                "length": rng.uniform(9, 15),
            }
        else:
            to = names[i - 1] if kind == "from another" and i else rng.choice(trees)
            blocks[name] = {"strap": {"to": to, "length": rng.uniform(0.5, 3)}}
    path = rng.sample(names, rng.randint(1, len(names)))
    if rng.random() < 0.3:  # a line that turns on the load too
        blocks["R"] = {"on": "truck"}
        path.insert(1, "R")
    lines["winch line"] = {"standing": rng.choice(["oak", "truck"]), "through": path, "fall": "winch"}
    load = {
        "name": "truck",
        "at": at(10, 22, -4, 8),
        "direction": [-1, *at(-0.2, 0.2, -0.1, 0.1)[: 1 + space]],
    }
    return {
        **CORNER,
        "rig": "larger",
        "sheaves": {"law": "frictionless"},
        "anchors": {**anchors, "helper": {"at": at(-5, 20, -12, 12)}},
        "load": {**load, "resistance": 20},
        "blocks": blocks,
        "lines": lines,
    }


def test_larger_random_rigs_have_the_shortest_winch_line_or_are_refused_for_what_it_shows():
    rng = random.Random(2031)
    solved = refused = 0
    while min(solved, refused) < 12:
        rig = read_rig(random_larger_rig(rng))
        try:
            s = solve_rig(rig)
        except RigRefusal as refusal:
            if refusal.code in ("SLACK", "NO_EQUILIBRIUM"):
                refused += 1
                check_refusal(rig, refusal)
            continue
        solved += 1
        places, least = shortest(rig)
        assert sum(p.length_m for p in s.lines["winch line"].parts) == pytest.approx(least, abs=1e-9)
        for name, at in places.items():
            assert s.positions_m[name] == pytest.approx(tuple(at), abs=1e-6)


def two_corners(oak, elm, helper, truck, direction, straps, law):
    return changed(
        CORNER,
        sheaves=law,
        anchors={"oak": {"at": oak}, "elm": {"at": elm}, "helper": {"at": helper}},
        load={"name": "truck", "at": truck, "direction": direction, "resistance": 20},
        blocks={
            "A": {"strap": {"to": "oak", "length": straps[0]}},
            "B": {"strap": {"to": "elm", "length": straps[1]}},
        },
        lines={"winch line": {"standing": "truck", "through": ["A", "B"], "fall": "winch"}},
    )


def test_two_blocks_that_hang_close_together_are_told_apart():
    # 9 cm of line between them, 30 m in all: a search that goes straight downhill ends where the two coincide
    places = ([0.025, 0.863], [0.106, 4.543], [8.002, -9.306], [17.404, -2.069], [-1, -0.095])
    rig = read_rig(two_corners(*places, (1.6565, 2.6196), {"law": "frictionless"}))
    s = solve_rig(rig)
    found, least = shortest(rig)
    for name, at in found.items():
        assert s.positions_m[name] == pytest.approx(tuple(at), abs=1e-6)
    parts = [part.length_m for part in s.lines["winch line"].parts]
    assert sum(parts) == pytest.approx(least, abs=1e-9)
    assert parts[1] == pytest.approx(0.0913, abs=5e-4)


def test_a_strap_that_little_friction_slackens_is_named_and_not_the_sheaves():
    places = (
        [-0.156, 0.186, -0.217],
        [-0.461, 5.266, 0.547],
        [1.663, 9.174, 1.427],
        [17.191, 4.706, 0.629],
        [-1, -0.037, 0.069],
    )
    rig = two_corners(*places, (2.0783, 1.8832), {"law": "capstan", "mu": 0.0893})
    bare = solve_rig(read_rig(changed(rig, sheaves={"law": "frictionless"})))
    assert 0.0 < bare.lines["strap B–elm"].parts[0].tension_N < 1e-2 * bare.resistance_N
    with pytest.raises(RigRefusal, match=r"strap B–elm hangs slack \(taut only below ratio 1\.0") as caught:
        solve_rig(read_rig(rig))
    assert caught.value.code == "SLACK"


def pulled(rig, places):
    """Tension of every line for a pull of 1 at the drum, and how much longer each is than its path, at given places."""
    engine = Multibody(rig, free=True, placed=places)
    rates = engine.line_rates()
    hauled = list(rig.lines).index(rig.hauling_line.name)
    held = [r for r in range(len(rates)) if r != hauled]
    tension = np.linalg.lstsq(rates[held][:, 1:].T, -rates[hauled, 1:], rcond=None)[0]
    names = [name for name in rig.lines if name != rig.hauling_line.name]
    spare = {name: rig.lines[name].length_m - engine.length(engine.lines[name]) for name in names}
    least = min(min(engine.part_lengths(name)) for name in rig.lines)
    return dict(zip(names, tension, strict=True)), spare, least


def check_refusal(rig, refusal):
    """Hold a refusal against the shortest winch line; return what it was for."""
    tension, spare, least = pulled(rig, shortest(rig)[0])
    if refusal.code == "SLACK":
        assert all(spare[name] > 1e-4 or tension[name] < 1e-3 for name in refusal.where)
        return "slack"
    assert refusal.code == "NO_EQUILIBRIUM"
    if "too short" in refusal.message:
        assert min(spare.values()) < -1e-3
        return "torn"
    assert least < 2e-2
    return "meet"


def test_random_rigs_are_refused_for_what_the_shortest_winch_line_shows():
    rng = random.Random(2030)
    met = {"slack": 0, "torn": 0, "meet": 0}
    for _ in range(350):
        rig = read_rig(changed(random_ground_rig(rng), sheaves={"law": "frictionless"}))
        try:
            solve_rig(rig)
        except RigRefusal as refusal:
            met[check_refusal(rig, refusal)] += 1
    assert met["slack"] > 60
    assert met["torn"] > 0
    assert met["meet"] > 2


def test_random_blocks_sit_where_the_winch_line_is_shortest():
    rng = random.Random(78)
    met = {2: 0, 3: 0}
    worst = 0.0
    while min(met.values()) < 40:
        rig = read_rig(changed(random_ground_rig(rng), sheaves={"law": "frictionless"}))
        try:
            s = solve_rig(rig)
        except RigRefusal:
            continue
        places, least = shortest(rig)
        for name, at in places.items():
            worst = max(worst, float(np.abs(at - s.positions_m[name]).max()))
        assert sum(p.length_m for p in s.lines["winch line"].parts) == pytest.approx(least, abs=1e-9)
        met[3 if rig.load.at[2] else 2] += 1
    assert worst <= 1e-6


@pytest.mark.parametrize("order", [("ring", "corner"), ("corner", "ring")])
def test_a_block_on_a_strap_from_another_starts_where_that_one_does(order):
    straps = {"ring": {"to": "oak", "length": 1.2}, "corner": {"to": "ring", "length": 0.8}}
    given = changed(
        CORNER, sheaves={"law": "frictionless"}, blocks={name: {"strap": straps[name]} for name in order}
    )
    s = solve_rig(read_rig(given))
    places, _ = shortest(read_rig(given))
    for name, at in places.items():
        assert s.positions_m[name] == pytest.approx(tuple(at), abs=1e-6)
    # the two straps in line are one of 2 m
    assert s.positions_m["corner"] == pytest.approx((1.640356, 1.144216, 0.0), abs=1e-6)
