"""Worked problems: answered by the solver, held against the handbook's tackle formula; students see no answer."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

import haulwright as hw
from haulwright import workflows
from haulwright.workflows.teaching import ASKS, RIGS

SHEETS = [workflows.make_problems(seed=seed, count=40) for seed in (1, 2, 3)]
PROBLEMS = [one for sheet in SHEETS for one in sheet.problems]


def numbers(text: str) -> list[float]:
    return [float(one) for one in re.findall(r"\d+(?:\.\d+)?", text.replace("\u2009", ""))]


def of_kind(asks: str) -> list[workflows.ProblemSheet]:
    return [one for one in PROBLEMS if one.asks == asks]


def test_the_same_seed_draws_the_same_and_all_kinds_and_rigs_come() -> None:
    assert workflows.make_problems(seed=1, count=40).problems == SHEETS[0].problems
    assert SHEETS[0].problems != SHEETS[1].problems
    assert {one.asks for one in PROBLEMS} == set(ASKS)
    assert {one.rig for one in PROBLEMS} == set(RIGS)


PARTS = {"redirect": 1, "two-part": 2, "three-part": 3, "four-part": 4}


@pytest.mark.parametrize("one", of_kind("friction"), ids=lambda one: f"{one.number}-{one.rig}")
def test_winch_pull_by_the_series_of_tensions(one: workflows.ProblemSheet) -> None:
    """Tensions of one rope over blocks of ratio k are 1, k, k², …: the tackle formula of any mechanics handbook."""
    load, k = numbers(one.given[0])[0], numbers(one.given[1])[0]
    name = one.rig.partition("/")[0]
    if name == "stacked two-parts":  # two two-parts, one behind the other
        share = (k / (1.0 + k)) ** 2
    elif name == "redirect":
        share = k
    else:
        n = PARTS[name]
        share = k ** (n - 1) / sum(k**i for i in range(n))
    pull, advantage, ideal, percent = numbers(one.answer)
    assert pull == pytest.approx(load * share, abs=0.006)
    assert advantage == pytest.approx(1.0 / share, abs=0.0006)
    assert percent == pytest.approx(100.0 * share, abs=0.06)
    assert ideal == (4 if name == "stacked two-parts" else PARTS[name])


@pytest.mark.parametrize("one", of_kind("anchors"), ids=lambda one: f"{one.number}-{one.rig}")
def test_anchors_at_stall_bear_what_statics_asks(one: workflows.ProblemSheet) -> None:
    """All parts that end at the anchor pull on it; without friction each part of one rope pulls as hard as the winch."""
    stall = numbers(one.given[0])[0]
    told = dict(re.findall(r"(X2?) ([\d.]+)", one.answer))
    name, place = one.rig.split("/")
    on_anchor = {"two-part": 2, "three-part": 3, "four-part": 4, "stacked two-parts": 4}
    if name == "redirect":
        # the fall pulls with the stall, the part to the load with stall / k at least and the stall at most
        assert float(told["X"]) == pytest.approx(2.0 * stall, abs=0.006)
        assert float(told["X2"]) == pytest.approx(stall, abs=0.006)
    else:
        assert place in ("on-load", "off-load")
        assert float(told["X"]) == pytest.approx(on_anchor[name] * stall, abs=0.006)


@pytest.mark.parametrize("one", of_kind("fault"), ids=lambda one: f"{one.number}-{one.rig}")
def test_one_piece_is_over_and_it_is_the_one_named(one: workflows.ProblemSheet) -> None:
    over = [line for line in one.working if line.endswith("over.")]
    assert len(over) == 1
    assert one.answer.removeprefix("The ").startswith(over[0].partition(":")[0])
    bears, may = numbers(over[0].partition(":")[2].replace("at stall", ""))[:2]
    assert bears > may


def test_students_see_no_answer(tmp_path: Path) -> None:
    files = workflows.publish_problems(SHEETS[0], tmp_path).files
    students, instructor = (Path(one.path).read_text(encoding="utf-8") for one in files)
    assert students.count('class="room"') == len(SHEETS[0].problems)
    for one in SHEETS[0].problems:
        assert one.question in students
        assert one.answer not in students
        assert one.answer in instructor
    assert "Nobody in line with any part" in students
    again = workflows.publish_problems(workflows.make_problems(seed=1, count=40), tmp_path / "again").files
    assert [one.sha256 for one in again] == [one.sha256 for one in files]


@pytest.mark.parametrize("count", [0, -1, 41])
def test_too_many_or_none_are_refused(count: int) -> None:
    with pytest.raises(hw.Refusal) as caught:
        workflows.make_problems(count=count)
    assert caught.value.code == "COUNT"
