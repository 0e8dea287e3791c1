"""Hand-worked rigs to the printed digits (rank B and C: closed forms and hand balance, no publisher).

W1 one-rope tackle: load/effort = 1 + 1/k + 1/k^2 (fast-line formula of API RP 9B, 14th ed., 2.3.3, with S = N - 1).
W3 single Spanish burton: load = effort (2/k + 1/k^2). W4: capstan law on part of a turn. W9: triangle of forces.
"""

import math

import pytest

from haulwright.files.rig import read_rig
from haulwright.mechanics.loads import contact_load
from haulwright.mechanics.notation import parse_notation
from haulwright.mechanics.statics import solve_rig

W1 = {
    "rig": "three-part self-recovery",
    "units": {"force": "kN", "length": "m"},
    "sheaves": {"law": "by-wrap", "k": 1.07},
    "order": ["oak", "truck"],
    "anchors": {"oak": {}},
    "load": {"name": "truck", "toward": "oak", "resistance": 26},
    "blocks": {"B1": {"on": "truck"}, "B2": {"on": "oak"}},
    "lines": {"winch line": {"standing": "B2.becket", "through": ["B1", "B2"], "fall": "winch"}},
    "winch": {"on": "truck"},
}


def kn(*newtons):
    return [n / 1000.0 for n in newtons]


def parts(solution, line):
    return kn(*(part.tension_N for part in solution.lines[line].parts))


def test_w1_three_part_with_the_winch_on_the_load():
    s = solve_rig(read_rig(W1))
    assert parts(s, "winch line") == pytest.approx([8.0873, 8.6535, 9.2592], abs=5e-5)
    assert s.advantage == pytest.approx(2.80802, abs=5e-6)
    assert s.travel_ratio == {"winch": pytest.approx(3.0, abs=1e-12)}
    assert kn(s.bodies["oak"].load_N) == pytest.approx([26.0], abs=5e-5)
    assert kn(s.blocks["B1"].pin_N, s.blocks["B2"].pin_N) == pytest.approx([16.7408, 17.9127], abs=5e-5)
    assert kn(s.blocks["B2"].with_becket_N) == pytest.approx([26.0], abs=5e-5)  # 17.9127 + becket 8.0873
    assert kn(*(c.heat_J_per_m for c in s.contacts)) == pytest.approx([0.5661, 1.2115], abs=5e-5)
    assert kn(s.effort_N["winch"] * 3.0) == pytest.approx([27.7776], abs=5e-5)
    assert s.energy_residual <= 1e-9


def test_w2_three_part_hauled_by_a_two_part():
    # main: truck - a - truck - M; jig: a - M - a (drum); k = 1.12
    rig = parse_notation("a.drum > ~M > a ; ~M > !truck > a > truck")
    s = solve_rig(rig, 1.12, load_N=48e3)
    assert s.travel_ratio["winch"] == pytest.approx(6.0)
    assert s.advantage == pytest.approx(5.09188, abs=5e-6)
    assert parts(s, "line 2") == pytest.approx([14.2248, 15.9317, 17.8435], abs=5e-5)
    assert parts(s, "winch line") == pytest.approx([8.4168, 9.4268], abs=5e-5)
    assert kn(s.blocks["a"].pin_N, s.blocks["truck"].pin_N, s.blocks["M"].pin_N) == pytest.approx(
        [30.1565, 33.7752, 17.8435], abs=6e-5
    )
    assert kn(s.bodies["a"].load_N) == pytest.approx([48.0], abs=5e-5)
    heat = {c.at: c.heat_J_per_m / 1000.0 for c in s.contacts}
    assert heat == {
        "a": pytest.approx(1.7070, abs=5e-5),
        "truck": pytest.approx(3.8236, abs=5e-5),
        "M": pytest.approx(3.0300, abs=5e-5),
    }
    assert kn(s.effort_N["winch"] * 6.0) == pytest.approx([56.5606], abs=5e-5)
    assert "M" not in s.bodies  # a floating block is in balance: its load is the pin's, never zero


def test_w3_single_spanish_burton():
    s = solve_rig(parse_notation("beyond.drum > ~M > !load ; ~M > top > load"), 1.06, load_N=21e3)
    assert s.travel_ratio["winch"] == pytest.approx(3.0)
    assert s.advantage == pytest.approx(2.77679, abs=5e-6)
    assert s.advantage == pytest.approx(2.0 / 1.06 + 1.0 / 1.06**2, rel=1e-12)
    assert parts(s, "line 2") == pytest.approx([13.8654, 14.6973], abs=5e-5)
    assert parts(s, "winch line") == pytest.approx([7.1346, 7.5627], abs=5e-5)
    assert kn(s.blocks["top"].pin_N) == pytest.approx([28.5627], abs=5e-5)


@pytest.mark.parametrize("turn", [{"wrap": 75}, {"wrap": "75 deg"}, {"between": "105 deg"}])
def test_w4_redirect_with_a_stated_wrap(turn):
    s = solve_rig(
        read_rig(
            {
                "sheaves": {"law": "by-wrap", "k": 1.08},
                "order": ["tree", "winch truck", "stuck"],
                "anchors": {"tree": {}, "winch truck": {}},
                "load": {"name": "stuck", "toward": "tree", "resistance": "18 kN"},
                "blocks": {"B": {"on": "tree", **turn}},
                "lines": {"winch line": {"standing": "stuck", "through": ["B"], "fall": "winch"}},
                "winch": {"on": "winch truck"},
            }
        )
    )
    assert kn(s.effort_N["winch"]) == pytest.approx([18.5866], abs=5e-5)
    assert s.advantage == pytest.approx(0.96844, abs=5e-6)
    assert kn(s.bodies["tree"].load_N) == pytest.approx([22.2773], abs=6e-5)


def test_w4_again_drawn_with_places():
    angle = math.radians(75.0)
    s = solve_rig(
        read_rig(
            {
                "sheaves": {"law": "by-wrap", "k": 1.08},
                "anchors": {
                    "tree": {"at": ["0 m", "0 m"]},
                    "winch truck": {"at": [f"{-10 * math.cos(angle)} m", f"{10 * math.sin(angle)} m"]},
                },
                "load": {"name": "stuck", "at": ["20 m", "0 m"], "toward": "tree", "resistance": "18 kN"},
                "blocks": {"B": {"on": "tree"}},
                "lines": {"winch line": {"standing": "stuck", "through": ["B"], "fall": "winch"}},
                "winch": {"on": "winch truck"},
            }
        )
    )
    assert kn(s.bodies["tree"].load_N) == pytest.approx([22.2773], abs=6e-5)
    assert [part.length_m for part in s.lines["winch line"].parts] == pytest.approx([20.0, 10.0])
    assert s.bodies["tree"].vector_N[0] > 0.0  # pulled towards the load


def test_w7_letting_back_and_the_holding_band():
    s = solve_rig(read_rig(W1), letting_back=True)
    assert s.letting_back.load_per_effort == pytest.approx(1 + 1.07 + 1.07**2, rel=1e-12)
    assert s.letting_back.load_per_effort == pytest.approx(3.2149, abs=5e-5)
    assert kn(*s.letting_back.tensions_N["winch line"]) == pytest.approx([9.2592, 8.6535, 8.0873], abs=5e-5)
    assert kn(*s.holding_N) == pytest.approx([8.0873, 9.2592], abs=5e-5)


@pytest.mark.parametrize(
    ("wrap", "unequal", "equal"),
    [
        (30, 6.013, 5.176),
        (60, 11.136, 10.0),
        (90, 15.620, 14.142),
        (120, 19.079, 17.321),
        (150, 21.257, 19.319),
        (180, 22.0, 20.0),
    ],
)
def test_w9_block_load_from_the_triangle_of_forces(wrap, unequal, equal):
    assert contact_load(12.0, 10.0, math.radians(wrap)) == pytest.approx(unequal, abs=5e-4)
    assert contact_load(10.0, 10.0, math.radians(wrap)) == pytest.approx(equal, abs=5e-4)


def test_bearing_law_at_its_worked_points():
    # exact balance of moments about the pin; f = 0.02, c = 0.01 and f = 0.05, c = 0.01
    from haulwright.mechanics.sheave import bearing_ratio

    for f, expected in ((0.02, (1.02047, 1.03884, 1.05102)), (0.05, (1.03641, 1.08373, 1.11579))):
        got = [bearing_ratio(f, 0.01, math.radians(w)) for w in (30, 90, 180)]
        assert got == pytest.approx(expected, abs=5e-6)
