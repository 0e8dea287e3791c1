"""Traces for drawing: nothing of a log is lost between its levels of detail, and nothing is made up.

The levels are held against the readings themselves, taken by plain Python from the series the test makes.
"""

import math

import numpy as np
import pytest

from haulwright.errors import TrialRefusal
from haulwright.trials.trace_store import MOST_KEPT, TraceStore
from haulwright.trials.traces import Series, WholeTraces, traces_within


def series(n=20_000, hz=10.0, start=0.0, seed=1):
    rng = np.random.default_rng(seed)
    time = start + np.arange(n) / hz
    return Series(time, 5000.0 + np.cumsum(rng.normal(0.0, 5.0, n)), 1.0 / hz)


def whole(one):
    return WholeTraces({"line": one, "anchor": one}, {"line": one, "anchor": one}, None)


def test_a_bucket_holds_the_least_and_greatest_reading_of_its_time():
    one = series()
    shown = traces_within(whole(one), "a", points=400).channels["line"].aligned
    assert not shown.exact
    assert len(shown.time_s) <= 402
    assert len(shown.low_N) == len(shown.high_N)
    assert min(shown.low_N) == pytest.approx(one.value.min(), abs=0.01)
    assert max(shown.high_N) == pytest.approx(one.value.max(), abs=0.01)
    width = 2.0 * (one.time_s[-1] - one.time_s[0]) / 400
    for middle, low, high in list(zip(shown.time_s, shown.low_N, shown.high_N, strict=True))[5:-5:17]:
        bucket = math.floor(middle / width)
        inside = [v for t, v in zip(one.time_s, one.value, strict=True) if math.floor(t / width) == bucket]
        assert (low, high) == (pytest.approx(min(inside), abs=0.01), pytest.approx(max(inside), abs=0.01))


def test_a_spike_of_one_reading_shows_at_every_level():
    one = series()
    one.value[12_345] = 99_000.0
    for points in (100, 300, 5000):
        assert max(traces_within(whole(one), "a", points=points).channels["line"].aligned.high_N) == 99_000.0


def test_close_up_every_reading_is_there_with_one_beyond_each_end():
    one = series()
    shown = traces_within(whole(one), "a", from_s=100.0, to_s=120.0, points=400).channels["line"].aligned
    inside = (one.time_s >= 99.85) & (one.time_s <= 120.15)
    assert shown.exact
    assert shown.high_N == ()
    assert shown.time_s == pytest.approx(one.time_s[inside].tolist())
    assert shown.low_N == pytest.approx(one.value[inside].tolist(), abs=0.006)


def test_no_trace_crosses_a_silence():
    one = series()
    keep = (one.time_s < 500.0) | (one.time_s > 560.0)
    cut = Series(one.time_s[keep], one.value[keep], one.period_s)
    for points, span in ((300, (None, None)), (5000, (480.0, 580.0))):
        shown = (
            traces_within(whole(cut), "a", from_s=span[0], to_s=span[1], points=points)
            .channels["line"]
            .aligned
        )
        opened = [t for t, low in zip(shown.time_s, shown.low_N, strict=True) if math.isnan(low)]
        assert opened == [pytest.approx(499.9, abs=0.06)]


def test_as_logged_is_given_only_where_it_is_asked_for():
    one = series(2000)
    later = Series(one.time_s + 2.5, one.value + 30.0, one.period_s)
    both = WholeTraces({"line": one}, {"line": later}, None)
    assert traces_within(both, "a").channels["line"].logged is None
    logged = traces_within(both, "a", logged=True).channels["line"].logged
    assert logged.time_s[0] == 2.5
    assert logged.low_N[0] == pytest.approx(one.value[0] + 30.0, abs=0.01)


@pytest.mark.parametrize(
    ("given", "code"),
    [({"points": 20}, "POINTS"), ({"points": 10**6}, "POINTS"), ({"from_s": 50.0, "to_s": 50.0}, "SPAN")],
)
def test_what_cannot_be_shown_is_refused(given, code):
    with pytest.raises(TrialRefusal) as refused:
        traces_within(whole(series(2000)), "a", **given)
    assert refused.value.code == code


def test_kept_traces_are_the_same_and_a_damaged_one_is_made_anew(tmp_path):
    one = series(2000)
    both = {"line": one, "at/oak": one}
    made = WholeTraces(both, both, Series(one.time_s, one.value / 2000.0, 0.1))
    calls = []

    def make():
        calls.append(1)
        return made

    store = TraceStore(tmp_path / "traces")
    first, again = store.kept("k", make), store.kept("k", make)
    assert len(calls) == 1
    assert [*again.aligned] == ["line", "at/oak"]
    assert traces_within(again, "a") == traces_within(first, "a")
    (tmp_path / "traces" / "k.npz").write_bytes(b"PK\x03\x04 no archive")
    store.kept("k", make)
    assert len(calls) == 2
    assert not list(tmp_path.rglob("*.part"))
    for number in range(MOST_KEPT + 5):
        store.kept(f"n{number}", make)
    assert len(list((tmp_path / "traces").iterdir())) == MOST_KEPT


def test_a_folder_that_takes_nothing_only_means_that_it_is_made_again(tmp_path):
    (tmp_path / "file").write_text("no folder")
    one = series(2000)
    store = TraceStore(tmp_path / "file" / "traces")
    assert traces_within(store.kept("k", lambda: whole(one)), "a").channels["line"].n == 2000
