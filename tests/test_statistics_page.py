"""The statistics page says what its experiments find, and names the constants the code uses."""

import html
import importlib
import re
import sys
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

ROOT = Path(__file__).resolve().parents[1]
DOCS = ROOT / "docs"
sys.path.insert(0, str(DOCS))  # where the page's own script runs

import make_statistics  # noqa: E402
from statistics_page.readings import rejected  # noqa: E402

from haulwright.trials.condition import SPIKE_SHARE, spike_mask  # noqa: E402
from haulwright.trials.simulate import RunPlan, simulate_run  # noqa: E402

PAGE = make_statistics.PAGE.read_text(encoding="utf-8")
BLOCKS = dict(make_statistics.blocks(PAGE))
PICTURE = re.compile(r'<img src="([^"]+)" width="(\d+)" alt="([^"]+)">', re.DOTALL)
QUICKEST = ("ratio", "covariance", "spikes")  # the others take longer


@pytest.mark.parametrize("name", QUICKEST)
def test_the_page_quotes_what_the_experiment_finds(name):
    found = make_statistics.find(name)
    assert re.findall(r"\d+\.\d+", found.text), "an experiment without a number"
    assert BLOCKS[name] == make_statistics.block(found), f"run python docs/make_statistics.py {name}"


def test_every_experiment_has_its_block_and_every_block_its_numbers():
    assert sorted(BLOCKS) == sorted(make_statistics.sections())
    for name, text in BLOCKS.items():
        measured = text.partition("**Measured.**")[2]
        assert re.search(r"\d", measured), name


def test_every_section_has_a_formula_its_place_in_the_code_and_a_source():
    sections = {part.partition("\n")[0]: part for part in re.split(r"^## ", PAGE, flags=re.MULTILINE)[1:]}
    measured = {title: part for title, part in sections.items() if "<!-- measured " in part}
    assert len(measured) == len(BLOCKS)
    for title, part in measured.items():
        for needed in ("```math", "**Here:**", "**Source:**"):
            assert needed in part, f"{title}: no {needed}"


def test_every_picture_is_shown_exists_is_small_and_has_words_for_it():
    shown = {Path(src).name: (DOCS / src, html.unescape(alt)) for src, _, alt in PICTURE.findall(PAGE)}
    files = {path.name for path in make_statistics.PICTURES.iterdir()}
    assert set(shown) == files == {f"{name}.png" for name in BLOCKS}
    for path, alt in shown.values():
        assert len(alt.split()) > 15, f"{path.name}: {alt}"
        with Image.open(path) as image:
            assert image.width == 2 * make_statistics.WIDTH
    assert sum(path.stat().st_size for path, _ in shown.values()) < 1_200_000


def test_constants_of_the_page_are_those_of_the_code():
    named = re.findall(r"`([a-z_.]+)\.(_?[A-Z][A-Z0-9_]+)` = ([\d.]+)", PAGE)
    assert len(named) > 25
    for module, name, shown in named:
        value = getattr(importlib.import_module(f"haulwright.trials.{module}"), name)
        assert float(shown.rstrip(".")) == pytest.approx(float(value), abs=0), f"{module}.{name}"


def test_functions_of_the_page_exist():
    spans = re.findall(r"\*\*Here:\*\*(.*?)\*\*Source:\*\*", PAGE, re.DOTALL)
    names = [name for span in spans for name in re.findall(r"`([a-z_]+(?:\.\w+)*)`", span)]
    assert len(names) > 30
    for name in names:
        parts, item = name.split("."), None
        for cut in range(len(parts), 0, -1):
            try:
                item = importlib.import_module(f"haulwright.trials.{'.'.join(parts[:cut])}")
            except ModuleNotFoundError:
                continue
            for attribute in parts[cut:]:
                item = getattr(item, attribute)
            break
        assert item is not None, name


def test_the_spike_experiment_has_the_rule_of_the_code_among_its_limits():
    run = simulate_run(RunPlan(spikes=4, stick_slip=0.14), seed=5)
    force = run.log.channels["line"].force_N
    assert spike_mask(force).any()
    assert np.array_equal(rejected(force, SPIKE_SHARE), spike_mask(force))
    assert rejected(force, 0.05).sum() > spike_mask(force).sum()
