"""Readings given as arrays go through the same chain as the same readings in a file."""

from pathlib import Path

import pytest

import haulwright as hw
from haulwright.trials.readers import read_log
from haulwright.workflows import examples

LOG = examples() / "campaign" / "logs" / "meadow-two-b2.csv"


def readings():
    log = read_log([Path(LOG)])
    return {
        place: {
            "time_s": channel.time_s.tolist(),
            "force": (channel.force_N / 9.80665).tolist(),
            "unit": "kgf",
        }
        for place, channel in log.channels.items()
    }


def test_the_same_readings_give_the_same_advantage():
    from_file = hw.measure_trial(LOG, rig="two-part", devices=["hoop-B"])
    from_arrays = hw.measure_trial(readings(), rig="two-part", devices=["hoop-B"], run="typed")
    assert from_arrays.advantage.value == pytest.approx(from_file.advantage.value, rel=1e-9)
    assert from_arrays.friction["hoop-B"].k.value == pytest.approx(
        from_file.friction["hoop-B"].k.value, rel=1e-9
    )


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (lambda r: r.pop("anchor"), "anchor are missing"),
        (lambda r: r["line"].pop("unit"), "give time_s, force, unit"),
        (lambda r: r["line"]["time_s"].pop(), "as many of each"),
        (lambda r: r["line"]["time_s"].reverse(), "must rise"),
        (lambda r: r["line"].update(force=["a"] * len(r["line"]["time_s"])), "list of numbers"),
        (lambda r: r["line"].update(unit="stone"), "stone"),
    ],
)
def test_wrong_readings_are_refused(change, words):
    given = readings()
    change(given)
    with pytest.raises(hw.Refusal, match=words):
        hw.measure_trial(given, rig="two-part")
