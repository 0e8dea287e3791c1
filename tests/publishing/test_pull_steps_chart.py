"""The chart of a pull along its travel: values of the record, stop points named, nothing over anything else."""

from __future__ import annotations

import itertools
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest
from matplotlib.collections import PolyCollection
from matplotlib.colors import to_rgba
from test_charts import outside, overlaps, words

from haulwright import workflows
from haulwright.errors import UsageRefusal
from haulwright.planning.pull_result import PullSteps, StopPoint
from haulwright.planning.result import Range
from haulwright.publishing import look
from haulwright.publishing.charts import pull_steps_chart
from haulwright.publishing.wording import force
from haulwright.quantities.units import from_si

PULLS = sorted((Path(__file__).parents[2] / "examples" / "pulls").glob("*.yaml"))
NAMES = [path.stem for path in PULLS]


@cache
def steps(name: str) -> PullSteps:
    return workflows.step_pull(next(path for path in PULLS if path.stem == name))


def too_weak(record: PullSteps) -> PullSteps:
    """The record with a high resistance that the winch cannot pull from half way on."""
    later = [
        replace(s, effort_N=Range(s.effort_N.low, s.effort_N.likely, 1.2 * (s.line_pull_N or 0.0)))
        if s.travel_m > 0.5 * record.travel_m
        else s
        for s in record.steps
    ]
    stop = StopPoint(
        "too weak", 0.5 * record.travel_m, "From here the winch is too weak.", 30_000.0, 25_000.0
    )
    return replace(record, steps=tuple(later), stops=(*record.stops, stop))


@pytest.mark.parametrize(("name", "width"), list(itertools.product(NAMES, (360.0, 700.0, 1008.0))))
def test_no_text_overlaps_or_is_clipped(name: str, width: float) -> None:
    for units in ("kN", "lbf"):
        chart = pull_steps_chart(steps(name), units=units, width_px=width)
        assert overlaps(chart) == []
        assert outside(chart) == []


@pytest.mark.parametrize("name", NAMES)
def test_the_curves_are_the_record(name: str) -> None:
    record = steps(name)
    chart = pull_steps_chart(record, units="lbf")
    pulls = chart.figure.axes[0]
    drawn = [[float(v) for v in line.get_ydata()] for line in pulls.lines]
    for values in (
        [s.effort_N.likely for s in record.steps],
        [s.effort_N.low for s in record.steps],
        [s.effort_N.high for s in record.steps],
        [s.line_pull_N for s in record.steps],
    ):
        wanted = [from_si(v, "lbf", "force") for v in values if v is not None]
        assert any(line == pytest.approx(wanted) for line in drawn if len(line) == len(wanted))
    at = {round(float(line.get_xdata()[0]), 6) for line in pulls.lines if len(line.get_xdata()) == 2}
    assert {round(stop.travel_m, 6) for stop in record.stops} <= at


@pytest.mark.parametrize(("name", "width"), list(itertools.product(NAMES, (360.0, 1008.0))))
def test_every_curve_is_named(name: str, width: float) -> None:
    said = " ".join(words(pull_steps_chart(steps(name), width_px=width)))
    for curve in ("needed, low", "needed, likely", "needed, high", "the winch has"):
        assert curve in said


@pytest.mark.parametrize("name", NAMES)
def test_stop_points_peaks_and_cautions_are_in_words(name: str) -> None:
    record = steps(name)
    said = " ".join(words(pull_steps_chart(record, units="kgf"))).replace("\u00a0", " ")
    for n, stop in enumerate(record.stops, start=1):
        assert f"{n} at {stop.travel_m:.1f} m: {stop.message}" in said
    worst = max((p for p in record.peaks if p.utilisation is not None), key=lambda p: p.utilisation or 0.0)
    assert f"{(worst.utilisation or 0.0) * 100.0:.0f} % of its" in said
    assert force(record.stall_N, "kgf").replace("\u00a0", " ") in said
    assert "Nobody in line" in said
    assert "licensed people" in said


def test_what_is_not_known_is_said_and_not_drawn() -> None:
    record = steps("helper-ahead")
    assert all(s.current_A.likely is None for s in record.steps)
    said = words(pull_steps_chart(record))
    assert "Current, A" not in said
    assert any("no maker's table" in text for text in said)


def test_the_accent_shows_only_where_the_winch_is_too_weak() -> None:
    def accents(record: PullSteps) -> int:
        axes = pull_steps_chart(record).figure.axes[0]
        fills = [c for c in axes.collections if isinstance(c, PolyCollection)]
        return sum(to_rgba(look.PAPER.over) in map(tuple, c.get_edgecolor()) for c in fills)

    record = steps("clay-ramp")
    assert accents(record) == 0
    assert accents(too_weak(record)) == 1
    assert any(
        "winch too weak" in text or "too weak" in text for text in words(pull_steps_chart(too_weak(record)))
    )


def test_the_same_record_gives_the_same_bytes_and_says_what_it_shows() -> None:
    first, second = (pull_steps_chart(steps("clay-ramp"), light=look.NIGHT) for _ in range(2))
    assert first.svg() == second.svg()
    assert first.png() == second.png()
    assert 'role="img" aria-label="Up the clay ramp, along its way' in first.svg()


def test_a_pull_without_steps_is_refused() -> None:
    with pytest.raises(UsageRefusal, match="no steps"):
        pull_steps_chart(replace(steps("clay-ramp"), steps=()))
