"""Series and swap checks against gains that were put in; certificates; nothing corrected twice."""

from __future__ import annotations

import math
import random
from pathlib import Path

import pytest
from made_campaign import KGF, Pull, made_campaign, stepped_series

from haulwright.errors import TrialRefusal
from haulwright.files.campaign import read_campaign
from haulwright.trials.campaign import measure_campaign
from haulwright.trials.cells import CellSpec
from haulwright.trials.result import CampaignResult

K = {"puck": 1.08, "hoop": 1.22}


def measured(folder: Path) -> CampaignResult:
    return measure_campaign(read_campaign(folder))


def series_folder(folder: Path, text: str, pulls: list[Pull] | None = None, **more: str) -> Path:
    made_campaign(folder, [Pull("series", "series"), *(pulls or [])], **more)
    (folder / "logs" / "series.csv").write_text(text, encoding="utf-8")
    return folder


def two_parts(gains: tuple[float, float]) -> list[Pull]:
    return [Pull(f"{d}{i}", "two-part", K, d, gains=gains, seed=10 * i + len(d)) for d in K for i in (1, 2)]


def test_a_stepped_series_check_finds_gain_zero_and_levels(tmp_path: Path) -> None:
    # both cells standing in one line: the ratio is 1 by construction, moving or not
    result = measured(series_folder(tmp_path / "c", stepped_series(1.006, 3.0), two_parts((1.0, 1.006))))
    (check,) = result.checks
    assert check.how == "series"
    assert [step.direction for step in check.steps] == ["up", "up", "up", "down", "down"]
    loads = [step.line_N / KGF for step in check.steps]
    assert loads == pytest.approx([300, 700, 1100, 700, 300], rel=0.002)
    assert check.ratio.lo <= 1.006 <= check.ratio.hi
    assert check.ratio.u < 0.001
    assert check.nonlinearity is not None
    assert check.nonlinearity < 0.002
    assert abs(check.hysteresis or 0.0) < 0.002


@pytest.mark.parametrize(("gain", "bend", "lag"), [(1.0, 0.02, 0.0), (1.0, 0.0, 8.0)])
def test_a_bent_or_lagging_cell_is_seen(tmp_path: Path, gain: float, bend: float, lag: float) -> None:
    text = stepped_series(gain, bend=bend, lag_kgf=lag)
    result = measured(series_folder(tmp_path / "c", text, two_parts((1.0, 1.0))))
    (check,) = result.checks
    if lag:
        assert check.hysteresis == pytest.approx(8.0 / 500.0, rel=0.35)  # 8 kgf at 300 and 700 kgf
    else:
        assert (check.nonlinearity or 0.0) > 0.003
    straight = measured(series_folder(tmp_path / "d", stepped_series(), two_parts((1.0, 1.0)))).checks[0]
    assert check.ratio.u > 2.0 * straight.ratio.u


def test_an_injected_bias_of_one_percent_is_found_and_removed(tmp_path: Path) -> None:
    # true advantage 1 + 1/k of a two-part (triangle of forces with parallel parts)
    pulls = two_parts((1.0, 1.01))
    result = measured(series_folder(tmp_path / "c", stepped_series(1.01), pulls))
    truth = {"puck": 1.0 + 1.0 / 1.08, "hoop": 1.0 + 1.0 / 1.22}
    for one in result.configurations[1:]:
        assert one.advantage.value == pytest.approx(truth[one.devices[0]], rel=0.004)
    runs = {run.run: run for run in result.runs}
    assert runs["series"].gain is None
    for pull in pulls:
        run = runs[pull.run]
        assert run.gain is not None
        assert run.gain.value == pytest.approx(1.01, abs=0.001)
        assert run.ratio.value / run.advantage.value == pytest.approx(run.gain.value)
        assert not [t for t in run.budget if t.term.startswith("class")]
        assert any(t.term == "gain of the cells, from series" for t in run.budget)
        assert math.fsum(t.share for t in run.budget) == pytest.approx(1.0)
        assert math.sqrt(math.fsum(t.u**2 for t in run.budget)) == pytest.approx(run.advantage.u, rel=1e-6)
        assert run.advantage.u / run.advantage.value < run.ratio.u / run.ratio.value
        assert run.friction[pull.devices].k.lo < K[pull.devices] < run.friction[pull.devices].k.hi


def test_corrected_intervals_hold_the_truth_and_are_narrower(tmp_path: Path) -> None:
    # cells drawn evenly within their class of 0.5 %, as the class is taken in the budget
    draw = random.Random(7)
    inside, narrower, error, as_read = 0, 0, 0.0, 0.0
    for i in range(14):
        line, anchor = (1.0 + draw.uniform(-0.005, 0.005) for _ in range(2))
        pull = Pull(
            "p",
            "two-part",
            {"puck": 1.0 + draw.uniform(0.05, 0.3)},
            "puck",
            gains=(line, anchor),
            seed=40 + i,
        )
        truth = made_campaign(tmp_path / str(i), [Pull("series", "series"), pull])["p"]
        text = stepped_series(anchor / line, draw.gauss(0.0, 2.0), noise_kgf=1.0)
        (tmp_path / str(i) / "logs" / "series.csv").write_text(text, encoding="utf-8")
        run = measured(tmp_path / str(i)).runs[-1]
        inside += run.advantage.lo < truth < run.advantage.hi
        narrower += run.advantage.half95 / run.advantage.value < 0.8 * run.ratio.half95 / run.ratio.value
        error += (run.advantage.value / truth - 1.0) ** 2
        as_read += (run.ratio.value / truth - 1.0) ** 2
    assert inside >= 12  # of 14 at 95 %, fewer than 12 has a chance of 0.4 %
    assert narrower >= 11
    assert error < 0.5 * as_read


def test_the_fit_is_not_corrected_twice(tmp_path: Path) -> None:
    biased = measured(series_folder(tmp_path / "c", stepped_series(1.01), two_parts((1.0, 1.01))))
    plain = measured(series_folder(tmp_path / "d", stepped_series(1.0), two_parts((1.0, 1.0))))
    for name, k in K.items():
        assert biased.devices[name].k.lo < k < biased.devices[name].k.hi
        # a second correction by 1 % would move k by about 0.02
        assert biased.devices[name].k.value == pytest.approx(plain.devices[name].k.value, abs=0.004)
    assert biased.cells["a"].gain.value == pytest.approx(1.01, abs=0.002)


def test_cells_exchanged_give_the_gain_without_a_series_check(tmp_path: Path) -> None:
    # R1 = A g, R2 = A / g: g = sqrt(R1 / R2) whatever the friction
    pulls = [
        Pull("one", "two-part", K, "puck", gains=(1.0, 1.01), seed=3),
        Pull("two", "two-part", K, "puck", "a", "l", gains=(1.01, 1.0), seed=4),
        Pull("three", "two-part", K, "hoop", gains=(1.0, 1.01), seed=5),
    ]
    truth = made_campaign(tmp_path / "c", pulls)
    result = measured(tmp_path / "c")
    (check,) = result.checks
    assert check.how == "swap"
    ratios = {run.run: run.ratio.value for run in result.runs}
    g = math.sqrt(ratios["two"] / ratios["one"])
    swapped = (check.line_cell, check.anchor_cell) == ("a", "l")
    assert check.ratio.value == pytest.approx(g if swapped else 1.0 / g)
    assert check.ratio.lo <= (1.0 / 1.01 if swapped else 1.01) <= check.ratio.hi
    for run in result.runs:
        assert run.gain is not None
        assert run.advantage.value == pytest.approx(truth[run.run], rel=0.006)
        assert run.advantage.lo < truth[run.run] < run.advantage.hi


def test_cells_beyond_their_classes_are_told(tmp_path: Path) -> None:
    result = measured(series_folder(tmp_path / "c", stepped_series(1.025), two_parts((1.0, 1.025))))
    assert any("more than their classes allow" in n.message for n in result.notices)
    assert result.checks[0].used


def test_a_check_too_far_off_is_told_and_not_used(tmp_path: Path) -> None:
    result = measured(series_folder(tmp_path / "c", stepped_series(1.2), two_parts((1.0, 1.0))))
    assert not result.checks[0].used
    assert all(run.gain is None for run in result.runs)
    assert any("It is not used" in n.message for n in result.notices)


def test_a_certificate_stands_in_place_of_the_class(tmp_path: Path) -> None:
    cells = (
        "cells:\n  l: {capacity: 3 t, certificate: C-1, factor: 1.004, expanded: 0.2 %, calibrated: 2025-01-10, due: DUE}\n"
        "  a: {capacity: 6 t, class: 0.5 %}\n"
    )
    for name, day in (("c", "2026-01-10"), ("d", "2025-05-01")):
        # the line cell reads low by its factor: certificate and log cancel
        pull = Pull("puck1", "two-part", K, "puck", gains=(1.0 / 1.004, 1.0), seed=3)
        truth = made_campaign(tmp_path / name, [pull], cells=cells.replace("DUE", day))
        result = measured(tmp_path / name)
        (run,) = result.runs
        assert run.advantage.value == pytest.approx(truth["puck1"], rel=0.004)
        term = next(t for t in run.budget if t.term == "certificate of the line cell")
        assert term.u / run.advantage.value == pytest.approx(0.001)  # half of the expanded uncertainty, k = 2
        late = any("calibration of l ran out" in n.message for n in result.notices)
        assert late == (name == "d")


def test_an_overdue_certificate_gives_way_to_the_class(tmp_path: Path) -> None:
    cells = (
        "cells:\n  l: {capacity: 3 t, class: 0.5 %, certificate: C-1, expanded: 0.2 %, due: 2025-05-01}\n"
        "  a: {capacity: 6 t, class: 0.5 %}\n"
    )
    made_campaign(tmp_path / "c", [Pull("puck1", "two-part", K, "puck", seed=3)], cells=cells)
    result = measured(tmp_path / "c")
    assert any(t.term == "class of the line cell" for t in result.runs[0].budget)
    assert any("Its class counts there" in n.message for n in result.notices)


@pytest.mark.parametrize(
    "wrong", [{"factor": 2.0}, {"factor": float("nan")}, {"expanded": 0.5}, {"expanded": -0.1}]
)
def test_a_certificate_that_cannot_be_is_refused(wrong: dict[str, float]) -> None:
    with pytest.raises(TrialRefusal) as caught:
        CellSpec("c", **wrong)  # type: ignore[arg-type]
    assert caught.value.code == "CELL"
