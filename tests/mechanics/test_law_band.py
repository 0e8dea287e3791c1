"""The law in use and the band to other published laws, seized sheaves, intervals of laws in a file.

Sources. Ratios of API RP 9B, 14th ed., Addendum 1 (2020), 2.3.3 (1.04 roller, 1.09 plain) and of block makers' ratio
tables (1.02, 1.045). One-tenth rule: U.S. Army lesson 63H34F01 (2004), supplement b; U.S. Navy Steelworker vol. 2: 1000 lb,
four sheaves, 350 lb; expressed as one ratio for each sheave 1.222 … 1.194 by the closed form of the fast line. Euler–
Eytelwein (capstan) relation, mu 0.1 to 0.3 rope on metal or wood: statics texts. Propagation: JCGM 100:2008 (GUM),
5.1.2 and 5.2.2. Intervals are compared with plain differences of the solver's own answers at the ends.
"""

import math

import pytest
from ground_rigs import CORNER

import haulwright as hw
from haulwright.errors import HaulwrightError, RigRefusal
from haulwright.files.rig_law import read_law
from haulwright.quantities.measured import Z95, Measured

REDIRECT = {
    "units": {"force": "kN", "length": "m"},
    "sheaves": {"law": "by-wrap", "k": 1.08},
    "anchors": {"tree": {}, "helper": {}},
    "load": {"name": "truck", "toward": "tree", "resistance": 18},
    "blocks": {"B": {"on": "tree", "wrap": 75}},
    "lines": {"winch line": {"standing": "truck", "through": ["B"], "fall": "winch"}},
    "winch": {"on": "helper"},
}
TWO_EYES = {
    **REDIRECT,
    "blocks": {"left": {"on": "tree"}, "right": {"on": "post"}},
    "anchors": {"tree": {"at": [0, 0]}, "post": {"at": [0, 2]}, "helper": {"at": [30, 2]}},
    "load": {"name": "truck", "at": [20, 0], "toward": "tree", "resistance": 18},
    "lines": {"winch line": {"standing": "truck", "through": ["left", "right"], "fall": "winch"}},
}


def notices(solution, code):
    return [n.message for n in solution.notices if n.code == code]


def efforts(solution):
    return [case.effort_N["winch"] for case in solution.law_band]


def test_a_slight_redirect_is_given_by_both_laws_with_block_loads():
    s = hw.solve_rig(REDIRECT)
    used, other = s.law_band
    assert used.effort_N == s.effort_N
    assert efforts(s) == pytest.approx([18e3 * 1.08 ** (75 / 180), 18e3 * 1.08])
    assert (used.law, other.law) == ("k 1.08 by wrap", "k 1.08 per contact")
    t1, t2 = 18.0, 18.0 * 1.08
    pin = math.sqrt(t1**2 + t2**2 - 2 * t1 * t2 * math.cos(math.radians(75)))
    assert (other.greatest_block, other.greatest_block_N) == ("B", pytest.approx(pin * 1e3))
    assert other.advantage == pytest.approx(1 / 1.08)
    (told,) = notices(s, "LAW_BAND")
    assert "18.59" in told
    assert "19.44" in told
    assert s.law_source.startswith("Euler–Eytelwein")
    assert "API RP 9B" in other.source


def test_two_eyes_of_ninety_degrees_are_one_turn_by_wrap_and_two_contacts_otherwise():
    s = hw.solve_rig(TWO_EYES)
    assert efforts(s) == pytest.approx([18e3 * 1.08, 18e3 * 1.08**2])


def test_the_two_laws_agree_on_full_turns_and_nothing_is_said():
    s = hw.solve_rig("four-part", 1.09)
    assert s.law_band == ()
    assert not notices(s, "LAW_BAND")
    assert s.law_source.startswith("API RP 9B")


def test_the_band_holds_for_blocks_that_find_their_place():
    s = hw.solve_rig(CORNER)
    swapped = hw.solve_rig(CORNER, 1.08)
    assert efforts(s) == pytest.approx([s.effort_N["winch"], swapped.effort_N["winch"]])
    assert efforts(swapped) == pytest.approx(efforts(s)[::-1])


@pytest.mark.parametrize(("n", "k"), [(1, 1.222), (2, 1.215), (3, 1.209), (4, 1.204), (5, 1.199), (6, 1.194)])
def test_the_one_tenth_rule_as_a_ratio_of_each_sheave(n, k):
    path = "!O.drum > " + " > ".join("XO"[i % 2] for i in range(n + 1))
    lines = {"winch line": {"standing": "O" if n % 2 else "X", "fall": "winch", "through": []}}
    lines["winch line"]["through"] = [f"B{i}" for i in reversed(range(n))]
    rig = {
        "sheaves": {"law": "tenth-rule"},
        "anchors": {"X": {}},
        "load": {"name": "O", "resistance": "1000 lbf"},
        "blocks": {f"B{i}": {"on": "XO"[i % 2]} for i in range(n)},
        "lines": lines,
        "winch": {"on": "O"},
    }
    s = hw.solve_rig(rig)
    assert s.ideal_advantage == pytest.approx(hw.solve_rig(path, 1.0).ideal_advantage) == pytest.approx(n + 1)
    assert s.effort_N["winch"] == pytest.approx((1 + 0.1 * n) * s.resistance_N / (n + 1))
    assert {round(c.ratio, 3) for c in s.contacts} == {k}
    used, roller, plain = s.law_band
    assert f"amounts to k {k:.3f}" in used.law or f"{k:.4g}" in used.law
    for case, ratio in ((roller, 1.04), (plain, 1.09)):
        closed = (ratio ** (n + 1) - 1) / (
            ratio**n * (ratio - 1)
        )  # fast-line formula, printed with the ratios
        assert case.advantage == pytest.approx(closed)
        assert "API" in case.law


@pytest.mark.parametrize(
    ("row", "ratios"),
    [
        ("api-roller", (1.04, 1.02, 1 / 0.98)),
        ("makers-bronze", (1.045, 1.09, 1 / 0.96)),
        ("rescue-pulley-small", ()),
    ],
)
def test_a_published_row_is_held_against_other_families(row, ratios):
    rig = {
        **REDIRECT,
        "sheaves": {"law": "published", "row": row},
        "blocks": {"B": {"on": "tree", "wrap": 180}},
    }
    rig = {**rig, "order": ["tree", "truck", "helper"]}
    s = hw.solve_rig(rig)
    assert efforts(s) == pytest.approx([18e3 * k for k in ratios])


def test_a_published_range_carries_its_interval():
    rig = {**REDIRECT, "sheaves": {"law": "published", "row": "block-rolling"}}
    s = hw.solve_rig(rig)
    assert s.contacts[0].ratio == pytest.approx(1 / 0.965)
    spread = s.uncertainty["effort_N.winch"]
    assert spread.u == pytest.approx(18e3 * (1 / 0.965**2) * (0.98 - 0.95) / math.sqrt(12), rel=0.2)


@pytest.mark.parametrize("base", [REDIRECT, CORNER], ids=["line", "ground"])
@pytest.mark.parametrize(
    "law",
    [
        {"law": "capstan", "mu": 0.05, "turns": 1},
        {"law": "bearing", "f": 0.03, "c": 0.012},
        {"law": "efficiency", "e": 0.95},
    ],
    ids=lambda law: law["law"],
)
def test_every_law_is_usable_for_one_block_in_both_modes(base, law):
    (name,) = base["blocks"]
    rig = {**base, "blocks": {name: {**base["blocks"][name], "sheave": law}}}
    s = hw.solve_rig(rig)
    assert s.contacts[0].ratio == pytest.approx(read_law(law).ratio(s.contacts[0].wrap_rad))
    assert s.law_source


# seized sheaves


def test_a_seized_sheave_is_held_against_the_running_one_and_over_the_published_range():
    s = hw.solve_rig(REDIRECT, seized={"B": 0.25})
    wrap = math.radians(75)
    running = 1.08 ** (75 / 180)
    assert s.seized.blocks == {"B": 0.25}
    assert s.seized.running_effort_N["winch"] == pytest.approx(18e3 * running)
    assert s.seized.rise == pytest.approx(math.exp(0.25 * wrap) / running)
    assert [case.mu for case in s.seized.band] == [0.1, 0.2, 0.3]
    for case in s.seized.band:
        assert case.effort_N["winch"] == pytest.approx(18e3 * math.exp(case.mu * wrap))
    assert hw.solve_rig(REDIRECT).seized is None


def test_a_file_may_say_how_seized_a_block_is():
    s = hw.solve_rig({**REDIRECT, "blocks": {"B": {"on": "tree", "wrap": 75, "seized": 0.15}}})
    assert s.contacts[0].ratio == pytest.approx(math.exp(0.15 * math.radians(75)))
    assert hw.solve_rig({**REDIRECT, "blocks": {"B": {"on": "tree", "seized": True}}}).seized.blocks == {
        "B": 0.2
    }


def test_a_seized_sheave_on_the_ground_and_the_rise_at_a_given_effort():
    s = hw.solve_rig(CORNER, seized=["corner"])
    assert s.seized.rise == pytest.approx(s.effort_N["winch"] / hw.solve_rig(CORNER).effort_N["winch"])
    at_effort = hw.solve_rig(CORNER, seized=["corner"], effort="10 kN")
    assert at_effort.seized.rise == pytest.approx(s.seized.rise)


def test_a_jam_within_the_published_range_is_told():
    """The fall drags back with E while E/k + E/(k x) pull on, x the seized X (worked by hand).

    With k = 1.5 nothing is left from x = 2 on, mu = ln 2 ÷ π = 0.22; with k = x it is k² = k + 1.
    """
    path = "beyond.drum > !O > X > O | order X O beyond"
    s = hw.solve_rig(path, 1.5, seized={"X": 0.1})
    assert [case.effort_N is None for case in s.seized.band] == [False, False, True]
    assert any("jams at mu 0.3" in message for message in notices(s, "OUT_OF_RANGE"))
    with pytest.raises(RigRefusal, match=r"hauls only below ratio 1\.6180"):
        hw.solve_rig(path, 1.7)


# intervals


def ends(rig, *laws):
    """Return the effort at each of these laws."""
    return [hw.solve_rig({**rig, "sheaves": law}).effort_N["winch"] for law in laws]


@pytest.mark.parametrize("base", [REDIRECT, CORNER], ids=["line", "ground"])
@pytest.mark.parametrize(
    ("law", "number", "half"),
    [
        ({"law": "by-wrap", "k": 1.07}, "k", 0.01),
        ({"law": "per-contact", "k": 1.07}, "k", 0.01),
        ({"law": "efficiency", "e": 0.95}, "e", 0.01),
        ({"law": "capstan", "mu": 0.05}, "mu", 0.01),
        ({"law": "bearing", "f": 0.03, "c": 0.01}, "f", 0.005),
        ({"law": "bearing", "f": 0.03, "c": 0.01}, "c", 0.005),
    ],
    ids=lambda x: x["law"] if isinstance(x, dict) else str(x),
)
def test_an_interval_in_the_file_reaches_the_effort(base, law, number, half):
    value = law[number]
    s = hw.solve_rig({**base, "sheaves": {**law, number: f"{value} ± {half}"}})
    low, high = ends(base, {**law, number: value - half}, {**law, number: value + half})
    spread = s.uncertainty["effort_N.winch"]
    assert spread.value == pytest.approx(s.effort_N["winch"])
    assert spread.half95 == pytest.approx(abs(high - low) / 2, rel=0.02)
    assert f"{number} ± {half:.2g}" in s.law
    for path in (
        "advantage",
        "contacts.0.load_N",
        "contacts.0.heat_J_per_m",
        "lines.winch line.parts.1.tension_N",
    ):
        assert s.uncertainty[path].u > 0.0


def test_every_figure_that_friction_moves_has_its_interval():
    s = hw.solve_rig({**CORNER, "sheaves": {"law": "by-wrap", "k": "1.08 ± 0.02"}})
    record = s.to_dict()
    for name, block in record["blocks"].items():
        assert {f"blocks.{name}.{key}" for key in ("pin_N", "with_becket_N", "heat_J_per_m")} <= set(
            s.uncertainty
        )
        assert s.uncertainty[f"blocks.{name}.heat_J_per_m"].value == pytest.approx(block["heat_J_per_m"])
    for name, line in record["lines"].items():
        assert all(f"lines.{name}.parts.{i}.tension_N" in s.uncertainty for i in range(len(line["parts"])))
    assert all(f"bodies.{name}.load_N" in s.uncertainty for name in record["bodies"])


def two_blocks(**how):
    return {
        "sheaves": {"law": "per-contact", "k": 1.1},
        "anchors": {"X": {}},
        "load": {"name": "O", "resistance": "10 kN"},
        "blocks": {"B1": {"on": "O", **how}, "B2": {"on": "X", **how}},
        "lines": {"winch line": {"standing": "X", "through": ["B1", "B2"], "fall": "winch"}},
        "winch": {"on": "O"},
    }


def test_one_device_at_two_blocks_has_one_error():
    """E = R / (1 + 1/a + 1/(a b)): one error adds its two slopes, two errors add their squares (GUM 5.1.2, 5.2.2)."""
    k, u = 1.1, 0.02
    law = {"sheave": {"law": "per-contact", "k": f"{k} ± {Z95 * u}"}}
    shared = 1e4 / (1 + 1 / k + 1 / k**2) ** 2
    by_near, by_far = shared * (1 / k**2 + 1 / k**3), shared / k**3
    alone = hw.solve_rig(two_blocks(**law)).uncertainty["effort_N.winch"].u
    together = hw.solve_rig(two_blocks(**law, device="puck-A")).uncertainty["effort_N.winch"].u
    assert alone == pytest.approx(u * math.hypot(by_near, by_far), rel=1e-3)
    assert together == pytest.approx(u * (by_near + by_far), rel=1e-3)
    # the rig's own law is one figure, so one error
    whole = {**two_blocks(), "sheaves": {"law": "per-contact", "k": f"{k} ± {Z95 * u}"}}
    assert hw.solve_rig(whole).uncertainty["effort_N.winch"].u == pytest.approx(together, rel=1e-6)


def test_a_ratio_may_be_given_by_device():
    rig = two_blocks(device="puck-A")
    k = Measured.normal(1.15, 0.01)
    by_device, by_block = hw.solve_rig(rig, {"puck-A": k}), hw.solve_rig(rig, {"B1": k, "B2": k})
    assert by_device.uncertainty == by_block.uncertainty
    named = hw.solve_rig("three-part", {"puck-A": 1.1}, devices={"X": "puck-A", "O": "puck-A"})
    assert named.advantage == pytest.approx(hw.solve_rig("three-part", 1.1).advantage)
    with pytest.raises(RigRefusal, match="There is no block"):
        hw.solve_rig("three-part", devices={"Y": "puck-A"})


def test_at_stall_a_law_stands_at_the_upper_end_of_its_friction():
    from haulwright.files.rig import read_rig
    from haulwright.mechanics.stall import with_and_without_friction

    rig = two_blocks()
    for law, upper in (
        ({"law": "efficiency", "e": "0.9 ± 0.05"}, 0.85),
        ({"law": "efficiency", "e": 0.9}, 0.9),
    ):
        bare, most = with_and_without_friction(read_rig({**rig, "sheaves": law}), None, effort_N=1000.0)
        assert bare.contacts[0].ratio == 1.0
        assert most.contacts[0].ratio == pytest.approx(1 / upper)


@pytest.mark.parametrize(
    ("law", "words"),
    [
        ({"law": "by-wrap", "k": "1.07 ± x"}, "expected a number"),
        ({"law": "by-wrap", "k": "1.07 ± -0.1"}, "expected a number"),
        ({"law": "by-wrap", "k": "0.9 ± 0.01"}, "cannot give back"),
        ({"law": "published", "row": "api-rolle"}, "Did you mean api-roller"),
        ({"law": "published", "row": "api-roller", "k": 2}, "takes row"),
        ({"law": "published", "row": "tenth-rule"}, "no published row"),
    ],
)
def test_a_wrong_interval_or_row_is_refused(law, words):
    with pytest.raises(HaulwrightError, match=words):
        hw.solve_rig({**REDIRECT, "sheaves": law})
