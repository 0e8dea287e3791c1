"""The pocket card in a real browser: it reckons what the solver does, on a phone, from a file alone."""

from __future__ import annotations

import math
import random
from pathlib import Path
from typing import Any

import pytest
from tests.app.conftest import AXE, SIZES, SMALL

import haulwright as hw
from haulwright import workflows
from haulwright.field import rating
from haulwright.field.rating import Limit
from haulwright.field.resistance import estimate
from haulwright.field.stuck import Ground, StuckVehicle
from haulwright.mechanics.statics import solve_rig
from haulwright.mechanics.tackles import named_rig
from haulwright.publishing.pocket.script import as_javascript
from haulwright.quantities.units import parse_force, show

ROOT = Path(__file__).parents[2]
PULL = ROOT / "examples" / "pulls" / "rutted-clearing.yaml"
DRAWS = 200
CLOSE = {"rel": 1e-9, "abs": 1e-9}


@pytest.fixture(scope="module")
def card() -> workflows.PocketCard:
    return workflows.pocket_card(PULL, day="2026-02-01")


@pytest.fixture(scope="module")
def file(card: workflows.PocketCard, tmp_path_factory: pytest.TempPathFactory) -> Path:
    out = tmp_path_factory.mktemp("pocket")
    return Path(workflows.publish_pocket_card(card, out).files[0].path)


@pytest.fixture
def page(chromium: Any, file: Path, request: pytest.FixtureRequest) -> Any:
    """The card opened from its file, without a network; errors and requests fail the test."""
    context = chromium.new_context(**SIZES[getattr(request, "param", "phone")])
    context.set_offline(True)
    opened, faults = context.new_page(), []
    opened.on("pageerror", lambda problem: faults.append(f"uncaught: {problem}"))
    opened.on("console", lambda one: faults.append(one.text) if one.type == "error" else None)
    opened.on(
        "request", lambda one: None if one.url.startswith(("file:", "data:")) else faults.append(one.url)
    )
    opened.goto(file.as_uri())
    yield opened
    context.close()
    assert faults == []


def test_every_rig_is_reckoned_as_the_solver_does(page: Any, card: workflows.PocketCard) -> None:
    draw = random.Random(7)
    for n, rig in enumerate(card.rigs):
        solved, asked = named_rig(rig.name), []
        for _ in range(DRAWS):
            k = {name: draw.uniform(1.0, 1.6) for name in dict.fromkeys(rig.contacts)}
            asked.append((k, draw.uniform(100.0, 200_000.0)))
        reckoned = page.evaluate(
            """([n, asked]) => asked.map(([k, R]) => pocket.run(n, k, R))""",
            [n, [([k[at] for at in rig.contacts], R) for k, R in asked]],
        )
        for (k, R), tensions in zip(asked, reckoned, strict=True):
            if any(one is None or math.isnan(one) for one in tensions):
                with pytest.raises(hw.Refusal, match=r"can only pull|jam"):
                    solve_rig(solved, k, load_N=R)
                continue
            found = solve_rig(solved, k or 1.0, load_N=R)
            assert tensions[rig.fall] == pytest.approx(found.effort_N[next(iter(found.effort_N))], **CLOSE)
            for at, parts in rig.blocks:
                assert sum(tensions[p] for p in parts) == pytest.approx(
                    found.blocks[at].with_becket_N, **CLOSE
                )
            for at, parts in rig.anchors:
                assert sum(tensions[p] for p in parts) == pytest.approx(found.bodies[at].load_N, **CLOSE)


def test_resistance_is_that_of_the_rule(page: Any, card: workflows.PocketCard) -> None:
    draw = random.Random(8)
    for surface in card.surfaces:
        for name, depth in zip(("none", "rim", "wheel"), card.depths, strict=True):
            mass, slope = draw.uniform(800.0, 9000.0), math.radians(draw.uniform(0.0, 35.0))
            low, likely, high = page.evaluate(
                "([m, s, a, b]) => pocket.resistance(m, s, a, b)",
                [
                    mass,
                    slope,
                    ["", surface.low, surface.likely, surface.high],
                    ["", depth.low, depth.likely, depth.high],
                ],
            )
            by_rule = estimate("", StuckVehicle(mass, sunk=name), Ground(surface.name, slope, "up")).rules
            rule = next(one for one in by_rule if one.name == "fractions and mire")
            assert (low, likely, high) == pytest.approx((rule.low_N, rule.likely_N, rule.high_N), rel=1e-9)


def test_verdicts_and_figures_are_those_of_every_other_page(page: Any) -> None:
    draw = random.Random(9)
    for _ in range(DRAWS):
        load, limit = draw.uniform(1.0, 1e5), draw.choice([None, draw.uniform(1.0, 1e5)])
        said = page.evaluate("([a, b]) => pocket.verdict(a, b)", [load, limit])
        used = rating.utilisation(load, Limit(limit, "WLL"))
        assert said == rating.verdict(used)
        for unit in ("kN", "kgf", "lbf", "t"):
            assert (
                page.evaluate("([a, b]) => pocket.shown(a, b)", [load, unit])
                == show(load, unit).split("\u00a0")[0]
            )


@pytest.mark.parametrize("text", ["26", "3.2", "3,2", "1200 kgf", "1,2 t", "2700 lbf", "900 kg", "1500 N"])
def test_a_force_is_read_as_everywhere(page: Any, text: str) -> None:
    read = page.evaluate("text => pocket.force(text, 'kN')", text)
    assert read["value"] == pytest.approx(
        parse_force(text if text[-1].isalpha() else f"{text} kN"), rel=1e-12
    )


@pytest.mark.parametrize("text", ["", "3,200", "1,234 kN", "-4", "0", "four", "5 stone", "1e400", "5 kN 3"])
def test_what_is_no_force_is_refused_and_no_number_stays(page: Any, text: str) -> None:
    assert "refused" in page.evaluate("text => pocket.force(text, 'kN')", text)
    page.select_option("#by", "force")
    page.fill("#likely", "26")
    page.locator("#answer").wait_for(state="visible")
    page.fill("#likely", text)
    assert page.locator("#answer").is_hidden()
    assert page.get_by_role("alert").inner_text().strip()
    assert page.locator("#likely").get_attribute("aria-invalid") == "true"


def test_a_force_has_the_range_that_was_told_and_no_other(page: Any) -> None:
    page.select_option("#by", "force")
    page.fill("#likely", "20")
    page.fill("#high", "30 kN")
    assert "for a resistance of 20.0 to 30.0 kN, likely 20.0 kN" in page.locator("#effortRange").inner_text()
    page.fill("#high", "15")
    assert page.locator("#answer").is_hidden()
    assert "At most is less than likely" in page.get_by_role("alert").inner_text()


@pytest.mark.parametrize("page", ["phone", "laptop"], indirect=True)
def test_from_the_vehicle_to_the_verdict_on_one_page(page: Any, card: workflows.PocketCard) -> None:
    page.fill("#mass", "3080 kg")
    page.fill("#slope", "4")
    assert page.locator("#answer").is_hidden()
    assert "Choose the ground" in page.get_by_role("alert").inner_text()
    page.select_option("#surface", label="gravel")
    assert "how deep it is sunk" in page.get_by_role("alert").inner_text()
    page.select_option("#depth", label="to the rim")
    plan = hw.make_plan(PULL)
    chosen = next(one for one in plan.candidates if one.rig == plan.chosen)  # two parts on the same block
    page.select_option("#rig", label="two-part/on-load")
    assert page.locator("#likelyPull").inner_text() == show(chosen.effort_N.likely, "kN").split("\u00a0")[0]
    assert page.locator("#stallPull").inner_text() == "42.0"
    assert "over" in page.locator("#pieces").inner_text()
    share = plan.measured(chosen, "winch_share")
    assert f"planning percentage {math.ceil(100.0 * share.hi)} %" in page.locator("#share").inner_text()
    assert "unknown" in page.locator("#pieces tr", has_text="T-04").inner_text()
    page.select_option("#unit", "kgf")
    assert page.locator("#stallPull").inner_text().replace("\u2009", "") == str(round(42_000 / 9.80665))
    page.evaluate(AXE.read_text(encoding="utf-8"))
    for light in ("paper", "sun", "night"):
        page.select_option("#light", light)
        found = page.evaluate(
            "axe.run(document, {runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice']})"
        )
        assert [f"{one['id']}: {one['nodes'][0]['html'][:160]}" for one in found["violations"]] == []
    assert page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth") <= 0
    if page.viewport_size["width"] < 500:
        assert page.evaluate(SMALL) == []
    page.reload()
    assert page.locator("#mass").input_value() == "3080 kg"  # what was typed is kept


def test_a_line_that_would_have_to_push_gives_no_number(chromium: Any) -> None:
    source = (
        "def tensions(k, R, out):\n    g0_1 = k[0]\n    x0 = 2.0 - g0_1\n"
        "    multiply(R, x0, out[0])\n    multiply(R, x0 * g0_1, out[1])\n    return minimum(x0, 1.0)\n"
    )
    page = chromium.new_page()
    try:
        taut, slack = page.evaluate(
            f"() => {{ const TAUT = -1e-9, run = {as_javascript(source)}; return [run([1.5], 10), run([3], 10)]; }}"
        )
    finally:
        page.close()
    assert taut == [5.0, 7.5]
    assert all(math.isnan(one) for one in slack)
