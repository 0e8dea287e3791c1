"""The share of likely conditions, held against an independent draw on arrays, closed forms and the rig solved anew."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from scipy.stats import norm, truncnorm

from haulwright.files.pull import read_pull
from haulwright.planning.candidates import Setting
from haulwright.planning.found import Planned
from haulwright.planning.likely import DRAWS, SEED, with_likely
from haulwright.planning.likely_inputs import inputs_of
from haulwright.planning.plan import planned
from haulwright.planning.resistance import summary
from haulwright.planning.result import Candidate
from haulwright.quantities.proportion import proportion
from haulwright.workflows import examples

Z95 = norm.ppf(0.95)


def one(pull: dict[str, Any], rig: str, draws: int = DRAWS) -> tuple[Candidate, Setting]:
    found: Planned = planned(pull, rig=rig, draws=draws)
    assert found.chosen is not None
    return found.plan.candidates[0], found.chosen


def in_line(pull: dict[str, Any]) -> dict[str, Any]:
    pull["site"]["within"] = "0 m"
    return pull


def weak(pull: dict[str, Any], kN: float) -> dict[str, Any]:
    pull["kit"]["winches"][0]["line_pull"] = f"{kN} kN"
    return pull


def test_share_against_draws_on_arrays(pull: dict[str, Any]) -> None:
    # An own Monte Carlo with other draws: two-part in line, effort = R ÷ (1 + 1/k)
    likely = one(in_line(pull), "two-part")[0].effort_N.likely
    candidate, setting = one(weak(pull, 1.1 * likely / 1e3), "two-part")
    r = summary(setting.request.resistance)
    rng = np.random.default_rng(7)
    z = rng.standard_normal(400_000)
    above, below = math.log(r.high / r.likely) / Z95, math.log(r.likely / r.low) / Z95
    load = r.likely * np.exp(np.where(z > 0.0, above, below) * z)
    k = truncnorm.rvs((1.0 - 1.07) / 0.01, np.inf, loc=1.07, scale=0.01, size=z.size, random_state=rng)
    truth = float(np.mean(load / (1.0 + 1.0 / k) <= candidate.items[0].limit_N))
    share = candidate.inside_share
    assert share is not None
    assert 0.6 < truth < 0.9
    assert abs(share.value - truth) < 4.0 * math.sqrt(truth * (1.0 - truth) / DRAWS)
    assert share == proportion(round(share.value * DRAWS), DRAWS)


def test_low_and_high_are_the_stated_quantiles(pull: dict[str, Any]) -> None:
    _, setting = one(pull, "two-part", draws=0)
    r = summary(setting.request.resistance)
    drawn = inputs_of(setting, r)[0]
    assert [drawn.at(share) for share in (0.05, 0.5, 0.95)] == pytest.approx([r.low, r.likely, r.high])


def test_friction_is_a_normal_cut_off_at_one(pull: dict[str, Any]) -> None:
    pull["friction"]["puck-A"] = {
        "k": 1.02,
        "u": 0.02,
        "interval95": [1.0, 1.06],
        "valid_N": [1e3, 60e3],
        "source": "own trial",
    }
    pull["friction"]["puck-B"] = pull["friction"]["puck-A"]
    _, setting = one(pull, "two-part", draws=0)
    drawn = next(x for x in inputs_of(setting, summary(setting.request.resistance)) if x.kind == "friction")
    expected = truncnorm(-1.0, np.inf, loc=1.02, scale=0.02)
    shares = (0.001, 0.3, 0.7, 0.999)
    assert [drawn.at(share) for share in shares] == pytest.approx(list(expected.ppf(shares)), abs=1e-9)


@pytest.mark.parametrize("aside", ["0 m", "1 m", "3 m"])
@pytest.mark.parametrize("rig", ["single line", "two-part", "three-part"])
def test_second_order_holds_against_the_rig_solved_anew(pull: dict[str, Any], rig: str, aside: str) -> None:
    pull["site"]["anchors"][0]["aside"] = aside
    found = one(pull, rig)[0].likely
    assert found is not None
    assert found.checked == 4
    assert found.off_by < 0.002


def test_two_ropes_and_bridles_are_solved_too() -> None:
    pull = read_pull(examples() / "pulls" / "between-two-larches.yaml")
    found = planned(pull, draws=0)
    several = [c for c in found.plan.candidates if ";" in c.path][:2]
    assert several
    for candidate in several:
        setting = found.settings[candidate.rig]
        again = with_likely(candidate, setting, summary(setting.request.resistance), 200)
        assert again.likely is not None, again.likely_note
        assert again.likely.off_by < 0.01


def test_blocks_of_one_device_share_their_error(pull: dict[str, Any]) -> None:
    # Three-part, spread of the friction only: with one device the two ratios go up together
    def spread(pull: dict[str, Any]) -> dict[str, float]:
        in_line(pull)
        return {driver.what: driver.share for driver in one(pull, "three-part")[0].drivers}

    two = spread(pull)
    for item in pull["kit"]["items"][1:3]:
        item["device"] = "puck-A"
    shared = spread(pull)["friction of puck-A"]
    # closed form, first order: effort ∝ 1/(1 + 1/a + 1/(a b)); slopes in a and b add up before they are squared
    a = 1.07
    by_a, by_b = 1 / a**2 + 1 / a**3, 1 / a**3
    parts = two["friction of puck-A"] + two["friction of puck-B"]
    ratio = (by_a + by_b) ** 2 / (by_a**2 + by_b**2)
    assert shared / (1.0 - shared) == pytest.approx(ratio * parts / (1.0 - parts), rel=0.02)


def test_drivers_are_ranked_and_add_up(pull: dict[str, Any]) -> None:
    wide = {"k": 1.5, "u": 0.3, "interval95": [1.0, 2.1], "valid_N": [1e3, 60e3], "source": "a guess"}
    pull["friction"] = {"puck-A": wide, "puck-B": wide}
    pull["vehicle"]["points"][0]["rating"] = (
        "500 kN"  # the least margin is the winch's, which friction counts for
    )
    drivers = one(pull, "three-part")[0].drivers
    shares = [driver.share for driver in drivers]
    assert sum(shares) == pytest.approx(1.0)
    assert shares == sorted(shares, reverse=True)
    assert drivers[0].what == "resistance"
    assert drivers[1].what.startswith("friction of")
    assert drivers[1].share > 0.1


def test_stall_is_told_beside_it_and_never_hidden(pull: dict[str, Any]) -> None:
    strong = one(pull, "two-part")[0]
    assert strong.likely is not None
    assert strong.likely.at_stall.value == 1.0
    pull["kit"]["items"] = [i for i in pull["kit"]["items"] if i["kind"] not in ("shackle", "soft shackle")]
    pull["kit"]["items"] += [
        {"id": f"S-{n}", "kind": "shackle", "rating": "40 kN", "basis": "WLL"} for n in range(3)
    ]
    under = one(pull, "two-part")[0]
    assert under.verdict == "over"
    assert under.likely is not None
    assert under.likely.at_stall.value == 0.0  # twice 42 kN on 40 kN
    assert under.inside_share is not None
    assert under.inside_share.value > 0.9


def test_a_range_of_the_stall_factor_is_drawn_at_stall_only(pull: dict[str, Any]) -> None:
    winch = pull["kit"]["winches"][0]
    winch["mount"] = {"rating": "45 kN", "basis": "WLL"}  # 42 kN × factor: over beyond 45/42
    plain = one(in_line(pull), "two-part")[0]
    winch["stall_factor_high"] = 1.4
    ranged = one(pull, "two-part")[0]
    assert ranged.verdict == plain.verdict
    assert ranged.inside_share == plain.inside_share
    assert plain.likely is not None
    assert plain.likely.at_stall.value == 1.0
    truth = (45.0 / 42.0 - 1.0) / 0.4
    assert ranged.likely is not None
    assert abs(ranged.likely.at_stall.value - truth) < 4.0 * math.sqrt(truth * (1.0 - truth) / DRAWS)


def test_line_that_may_not_reach_counts_against_it(pull: dict[str, Any]) -> None:
    pull["site"]["within"] = "1 m"
    first = one(pull, "two-part")[0]
    assert first.inside_share is not None
    assert first.inside_share.value == 1.0
    kept = (first.line_needed_m or 0.0) - 20.0
    pull["kit"]["items"][0]["length"] = f"{20.0 + kept} m"  # just long enough: two parts of 10 m
    short = one(pull, "two-part")[0]
    # the oak stands evenly within 1 m of where it is thought to: half of the draws farther off
    assert short.inside_share is not None
    assert short.inside_share.value == pytest.approx(0.5, abs=0.06)


def test_same_numbers_every_time_and_for_every_rig(pull: dict[str, Any]) -> None:
    a, b = one(pull, "two-part")[0], one(pull, "two-part")[0]
    assert (a.inside_share, a.drivers, a.likely) == (b.inside_share, b.drivers, b.likely)
    assert a.likely is not None
    assert (a.likely.draws, a.likely.seed) == (DRAWS, SEED)


def test_without_a_described_drum_there_is_no_number_but_a_reason(pull: dict[str, Any]) -> None:
    del pull["kit"]["winches"][0]["drum"]
    candidate = one(pull, "two-part")[0]
    assert candidate.inside_share is None
    assert candidate.likely is None
    assert candidate.drivers == ()
    assert "drum" in candidate.likely_note


def test_what_has_no_rating_is_said_not_to_be_in_it(pull: dict[str, Any]) -> None:
    del pull["site"]["anchors"][0]["limit"], pull["site"]["anchors"][0]["source"]
    candidate = one(pull, "two-part")[0]
    assert candidate.verdict == "unknown"
    assert candidate.likely is not None
    assert "what has no rating: oak" in candidate.likely.left_out


def test_only_the_first_rigs_are_looked_at(pull: dict[str, Any]) -> None:
    more = {"kind": "tree", "distance": "11 m", "limit": "150 kN", "source": "proof pull"}
    pull["site"]["anchors"].append({"name": "elm", "aside": "1 m", **more})
    found = planned(pull).plan.candidates
    assert len(found) > 3
    assert [c.likely is not None for c in found] == [n < 3 for n in range(len(found))]
    assert [c.siblings is not None for c in found] == [n == 0 for n in range(len(found))]
