"""What the pages say behind each number is what the documentation, the catalogue and the solver say."""

import importlib.util
import json
import math
import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

import haulwright as hw
from haulwright import catalogue
from haulwright.field.drum import layers
from haulwright.field.rating import working_limit
from haulwright.mechanics.rope import stored_energy, stretch
from haulwright.planning.likely import DRAWS
from haulwright.trials.cells import ASSUMED_CLASS

ROOT = Path(__file__).resolve().parents[2]
# said of what is no citation
PLAIN = {
    "definition",
    "geometry of the rig",
    "your own entry",
    "textbook statics",
    "house number of this program",
    "method of this program, tried on simulated runs of known truth",
    "each rule’s own source stands in its row",
}


@pytest.fixture(scope="module")
def told():
    spec = importlib.util.spec_from_file_location("build_for_help", ROOT / "frontend" / "build.py")
    builder = importlib.util.module_from_spec(spec)
    sys.modules[spec.name] = builder
    spec.loader.exec_module(builder)
    node = builder.find_node()
    if node is None or not (ROOT / "frontend" / "node_modules" / "vite").is_dir():
        words = "no Node, or no packages of the pages: their help is not compared"
        if os.environ.get("HAULWRIGHT_BROWSER") == "required":
            pytest.fail(words)
        pytest.skip(words)
    command = [str(node.node), str(Path(__file__).with_name("words.mjs")), str(ROOT / "frontend")]
    return json.loads(
        subprocess.run(command, check=True, capture_output=True, text=True, encoding="utf-8").stdout
    )


def plain(text):
    return re.sub(r"\s+", " ", text.replace("’", "'"))


@pytest.fixture(scope="module")
def documented():
    """Everything that is written of methods and sources, without the pages themselves."""
    places = [*(ROOT / "docs").glob("*.md"), *(ROOT / "src").rglob("*.md"), *(ROOT / "src").rglob("*.toml")]
    places += [path for path in (ROOT / "src" / "haulwright").rglob("*.py") if "interfaces" not in path.parts]
    return plain("\n".join(path.read_text(encoding="utf-8") for path in places))


WANTED = {
    "advantage", "winchShare", "efficiency", "k", "interval", "stall", "resistance", "utilisation", "margin", "zone",
    "heat", "charge", "travel", "stretch", "clockOffset", "limit", "breakout", "load", "steady", "zero", "budget",
}  # fmt: skip


def test_every_number_of_the_pages_has_its_formula_source_and_caution(told):
    assert set(told) >= WANTED
    for name, one in told.items():
        assert all(one[key] for key in ("title", "what", "formula", "sources", "cautions")), name
        assert all(words.endswith(".") for words in (one["what"], *one["cautions"])), name


def test_a_source_is_one_that_the_documentation_or_the_catalogue_cites(told, documented):
    cited = {source for one in told.values() for source in one["sources"]} - PLAIN
    assert len(cited) > 10
    assert [source for source in cited if plain(source) not in documented] == []


@pytest.mark.parametrize(
    ("topic", "row", "words"),
    [
        ("margin", "tight-share", "up to {0:.0%}"),
        ("margin", "tight-share", "over {0:.2f} × limit"),
        ("resistance", "resistance-range", "±{0:.0%}"),
        ("limit", "mbs-factor", "design factor, {0:g} where none is known"),
        ("zone", "in-line-angle", "up to {0:g}°"),
    ],
)
def test_a_house_number_is_that_of_the_catalogue(told, topic, row, words):
    value = catalogue.row("rules", row).value
    said = told[topic]["what"] + told[topic]["formula"]
    assert words.format(value).replace("0%", "0 %") in said.replace("0%", "0 %")


def test_other_numbers_are_those_of_the_code(told):
    assert f"{DRAWS:,} drawn conditions" in told["likely"]["what"]
    assert f"{100 * ASSUMED_CLASS:g} % of reading" in told["budget"]["cautions"][0]
    assert "MBS ÷ design factor" in told["limit"]["formula"]
    assert working_limit(80e3, "MBS", factor=2.0).limit_N == 40e3


# the formulas as they are written, worked by hand, against the solver


@pytest.mark.parametrize("k", [1.05, 1.2])
def test_the_formulas_of_a_rig_are_what_the_solver_does(told, k):
    """(kᴺ − 1) ÷ (kˢ (k − 1)): fast-line factors of API RP 9B; a two-part 1 + 1 ÷ k."""
    assert "(kᴺ − 1) ÷ (kˢ (k − 1)); a two-part 1 + 1 ÷ k" in told["advantage"]["formula"]
    two, three = (hw.solve_rig(name, k, load="20 kN") for name in ("two-part/on-load", "three-part/on-load"))
    assert two.advantage == pytest.approx(1 + 1 / k)
    assert three.advantage == pytest.approx((k**3 - 1) / (k**2 * (k - 1)))
    assert told["winchShare"]["formula"].endswith("1 ÷ advantage")
    assert three.winch_share == pytest.approx(1 / three.advantage)
    assert three.rig_efficiency == pytest.approx(three.advantage / three.ideal_advantage)
    contact, (slack, tight) = two.contacts[0], [part.tension_N for part in two.lines["winch line"].parts]
    assert tight / slack == pytest.approx(k)
    assert "√(t₁² + t₂² − 2 t₁ t₂ cos wrap)" in told["load"]["formula"]
    assert contact.load_N == pytest.approx(
        math.sqrt(slack**2 + tight**2 - 2 * slack * tight * math.cos(contact.wrap_rad))
    )
    assert "(haul-side − other-side tension) × line over the block" in told["heat"]["formula"]
    assert contact.heat_J_per_m == pytest.approx((tight - slack) * contact.rim_speed_ratio)
    assert "ideal advantage × travel" in told["travel"]["formula"]
    assert two.travel_ratio["winch"] == pytest.approx(two.ideal_advantage)


def test_the_formulas_of_line_and_drum_are_what_the_code_does(told):
    """Hooke's law; textbook statics of a drum."""
    assert "stretch = T L ÷ EA; energy = T² L ÷ (2 EA)" in told["stretch"]["formula"]
    assert stretch(40e3, 30.0, 4.6e6) == pytest.approx(40e3 * 30 / 4.6e6)
    assert stored_energy(40e3, 30.0, 4.6e6) == pytest.approx(40e3**2 * 30 / (2 * 4.6e6))
    assert "layer 1 × D₁ ÷ Dᵢ" in told["stall"]["formula"]
    first, second = layers(0.102, 0.224, 0.0127, 30.0, 75e3)[:2]
    assert second.pull_N == pytest.approx(first.pull_N * first.radius_m / second.radius_m)
