"""What lowers the resistance: each saving is the difference of two estimates."""

from __future__ import annotations

import pytest

from haulwright.field.obstacle import Step, step_pull
from haulwright.field.resistance import Ground, StuckVehicle, estimate
from haulwright.field.savings import savings


def test_savings_are_differences_of_the_chosen_rule() -> None:
    case = StuckVehicle(3000.0, load_kg=500.0, wheels="half locked", sunk="wheel")
    ground, step = Ground("bog"), Step(0.1, 0.4, 8e3)
    found = {saving.what: saving.saved_N for saving in savings(case, ground, step)}
    weight = case.weight_N
    assert found["free the wheels"] == pytest.approx(0.333 * weight)
    assert found["dig it free"] == pytest.approx(weight)
    assert found["dig it free to the rim"] == pytest.approx(0.25 * weight)
    assert found["take the step away"] == pytest.approx(step_pull(step))
    now = estimate("now", case, ground, step=step)
    likely = next(rule.likely_N for rule in now.rules if rule.name == now.chosen)
    assert found["take off the load"] == pytest.approx((likely - step_pull(step)) * 500 / 3500)


def test_the_greatest_comes_first_and_nothing_is_made_up() -> None:
    found = savings(StuckVehicle(3000.0, sunk="fender"), Ground("sand"))
    assert [saving.saved_N for saving in found] == sorted((saving.saved_N for saving in found), reverse=True)
    assert all(saving.saved_N > 0 for saving in found)
    assert savings(StuckVehicle(3000.0), Ground("grass")) == ()
