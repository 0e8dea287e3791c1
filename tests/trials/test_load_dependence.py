"""Load dependence of k: found where the runs carry it, not invented where they do not, and carried into plans."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from made_results import made

from haulwright.files.rig import read_rig
from haulwright.mechanics.tackles import named_rig
from haulwright.quantities.measured import Measured
from haulwright.trials.combine import Pooled
from haulwright.trials.fit import FitRun, fit_friction
from haulwright.trials.friction import invert, rig_model
from haulwright.trials.load_dependence import carries_exponent, over_range
from haulwright.workflows import examples

QUIET = Pooled(0.0005**2, 30)


def runs_at(loads: list[float], a: float, b: float, seed: int, noise: float = 0.001) -> list[FitRun]:
    """Make two-part runs with ln(k - 1) = a - b ln(T / 10 kN), T the line force; 1 + 1/k is the textbook's advantage."""
    rng = np.random.default_rng(seed)
    model = rig_model(named_rig("two-part"), ["ring"])
    found = []
    for i, load in enumerate(loads):
        k = 1.0 + math.exp(a - b * math.log(load / 1e4))
        value = (1.0 + 1.0 / k) * math.exp(noise * rng.standard_normal())
        result = made(f"r{i}", "two-part", ["ring"], value, u_repeat=noise, u_class=0.0005)
        force = {"line": Measured.normal(load, 10.0), "anchor": Measured.normal(load * value, 10.0)}
        found.append(FitRun(replace(result, mean_N=force), model))
    return found


LOADS = [4e3, 4e3, 8e3, 8e3, 16e3, 16e3]


def test_exponent_is_recovered_with_its_interval() -> None:
    held = 0
    for seed in range(12):
        device = fit_friction(runs_at(LOADS, math.log(0.25), 0.3, seed), QUIET).devices["ring"]
        assert device.load_exponent is not None
        assert device.at_N == pytest.approx(8e3, rel=1e-6)  # geometric mean of the loads
        held += device.load_exponent.lo <= 0.3 <= device.load_exponent.hi
        at = 1.0 + math.exp(math.log(0.25) - 0.3 * math.log(0.8))
        assert device.k.value == pytest.approx(at, abs=0.006)
    assert held >= 10


def test_no_exponent_is_invented() -> None:
    found = [
        fit_friction(runs_at(LOADS, math.log(0.25), 0.0, seed), QUIET).devices["ring"] for seed in range(20)
    ]
    assert sum(one.load_exponent is not None for one in found) <= 4  # two standard errors: nominally 1 in 20


@pytest.mark.parametrize("loads", [[4e3, 4.1e3, 8e3, 8.1e3], [8e3, 10e3, 12e3, 15e3], [9e3] * 4])
def test_too_few_loads_carry_none(loads: list[float]) -> None:
    assert not carries_exponent(loads)
    device = fit_friction(runs_at(loads, math.log(0.25), 0.3, 1), QUIET).devices["ring"]
    assert device.load_exponent is None
    assert device.at_N is None
    assert over_range(device) == device.k


def test_a_plan_gets_an_interval_that_holds_over_the_range() -> None:
    device = fit_friction(runs_at(LOADS, math.log(0.25), 0.3, 2), QUIET).devices["ring"]
    k = over_range(device)
    assert k.lo < 1.0 + 0.25 * 1.6**-0.3 < 1.0 + 0.25 * 0.4**-0.3 < k.hi
    assert k.value == device.k.value


def test_a_sliding_device_follows_the_wrap() -> None:
    # capstan law (Euler): the k of another wrap is k^(wrap / 180 degrees); a sheave that rolls has one k at any wrap
    rig = read_rig(examples() / "rigs" / "corner-by-the-oak.yaml")
    sliding, rolling = rig_model(rig, ["ring"], by_wrap=["ring"]), rig_model(rig, ["ring"])
    (contact,) = sliding.solution({"ring": 0.0}).contacts
    share = contact.wrap_rad / math.pi
    assert 0.1 < share < 0.9
    log_k = math.log(1.3)
    assert sliding.log_advantage({"ring": log_k}) == pytest.approx(
        rolling.log_advantage({"ring": log_k * share}), rel=1e-9
    )
    advantage = Measured.normal(math.exp(sliding.log_advantage({"ring": log_k})), 0.002)
    found, other = invert(advantage, sliding), invert(advantage, rolling)
    assert found is not None
    assert other is not None
    assert found.value == pytest.approx(1.3, rel=1e-7)
    assert other.value == pytest.approx(1.3**share, rel=1e-7)
