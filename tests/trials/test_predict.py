"""Rigs predicted from a campaign: with the load, with angles, for many pulls and for one; what is refused or warned of."""

from __future__ import annotations

import math
import shutil
from pathlib import Path

import numpy as np
import pytest
from made_campaign import Pull, made_campaign
from test_load_dependence import LOADS, QUIET, runs_at

from haulwright import workflows
from haulwright.errors import TrialRefusal
from haulwright.files.campaign import CampaignFolder, read_campaign
from haulwright.files.rig import read_rig
from haulwright.mechanics.rig import Rig
from haulwright.mechanics.tackles import named_rig
from haulwright.trials.campaign import measure_campaign
from haulwright.trials.combine import Pooled
from haulwright.trials.fit import fit_friction
from haulwright.trials.predict import Prediction, predict_rig
from haulwright.trials.result import CampaignResult

EXAMPLE = workflows.examples() / "campaign"
A, B = math.log(0.25), 0.3  # ln(k - 1) = a - b ln(T / 10 kN)


def true_advantage(load_N: float) -> float:
    """Return 1 + 1/k of a two-part at a load, k that of its line force: by bisection on the line force."""
    low, high = 0.4 * load_N, load_N
    for _ in range(80):
        line = 0.5 * (low + high)
        k = 1.0 + math.exp(A - B * math.log(line / 1e4))
        low, high = (line, high) if line * (1.0 + 1.0 / k) < load_N else (low, line)
    return load_N / line


# what the fit predicts


@pytest.mark.parametrize("load_N", [9e3, 16e3, 28e3])
def test_a_prediction_uses_the_load_where_the_runs_carry_it(load_N: float) -> None:
    held = 0
    for seed in range(12):
        fit = fit_friction(runs_at(LOADS, A, B, seed), QUIET)
        found = fit.predict(named_rig("two-part"), ["ring"], load_N=load_N, one_pull=False)
        held += found.lo <= true_advantage(load_N) <= found.hi
        assert found.value == pytest.approx(true_advantage(load_N), rel=2e-3)
    assert held >= 10


def test_the_load_moves_a_prediction_as_far_as_it_moves_the_truth() -> None:
    fit = fit_friction(runs_at(LOADS, A, B, 3), QUIET)
    low, high = (fit.predict(named_rig("two-part"), ["ring"], load_N=load).value for load in (9e3, 28e3))
    truth = true_advantage(28e3) - true_advantage(9e3)
    assert truth > 0.03  # freer under load
    assert high - low == pytest.approx(truth, rel=0.15)


def test_without_a_load_each_device_stands_where_its_k_is_stated() -> None:
    fit = fit_friction(runs_at(LOADS, A, B, 3), QUIET)
    found = fit.predict(named_rig("two-part"), ["ring"])
    assert found.value == pytest.approx(1.0 + 1.0 / fit.devices["ring"].k.value, rel=1e-9)
    at = fit.devices["ring"].at_N
    assert at is not None
    same = fit.predict(named_rig("two-part"), ["ring"], load_N=at * found.value)
    assert same.value == pytest.approx(found.value, rel=1e-9)


def test_without_a_load_dependence_the_load_changes_nothing() -> None:
    fit = fit_friction(runs_at([9e3] * 4, A, 0.0, 1), QUIET)
    assert fit.exponents == ()
    rig = named_rig("three-part/on-load")
    assert fit.predict(rig, ["ring", "ring"], load_N=50e3) == fit.predict(rig, ["ring", "ring"])


def test_the_interval_at_a_load_holds_the_covariance_of_k_and_its_change() -> None:
    # law of propagation (JCGM 102:2011, 6.2), by hand: ln A = ln(1 + 1/k), k - 1 = (k0 - 1) (T/T0)^-b
    fit = fit_friction(runs_at(LOADS, A, B, 5), QUIET)
    load_N = 24e3
    found = fit.predict(named_rig("two-part"), ["ring"], load_N=load_N, one_pull=False)
    (log_k0,), (b,), at = fit.log_k, fit.powers, fit.devices["ring"].at_N
    assert at is not None

    def log_advantage(log_k: float, power: float) -> float:
        line = load_N / 1.8
        for _ in range(200):
            line = load_N / (1.0 + 1.0 / (1.0 + math.expm1(log_k) * (line / at) ** -power))
        return math.log(load_N / line)

    step = 1e-6
    gradient = np.array(
        [
            (log_advantage(log_k0 + step, b) - log_advantage(log_k0 - step, b)) / (2 * step),
            (log_advantage(log_k0, b + step) - log_advantage(log_k0, b - step)) / (2 * step),
        ]
    )
    by_hand = math.sqrt(gradient @ np.array(fit.covariance) @ gradient)
    assert found.u / found.value == pytest.approx(by_hand, rel=1e-3)
    alone = fit.predict(named_rig("two-part"), ["ring"], one_pull=False)
    assert found.u / found.value > 1.02 * alone.u / alone.value  # further from where k is known best


def test_one_pull_adds_the_scatter_between_set_ups_and_nothing_else() -> None:
    fit = fit_friction(runs_at([9e3] * 4, A, 0.0, 1), Pooled(0.004**2, 8))
    rig = named_rig("two-part")
    many, one = (fit.predict(rig, ["ring"], one_pull=which) for which in (False, True))
    assert one.value == many.value
    extra = (one.u / one.value) ** 2 - (many.u / many.value) ** 2
    assert extra == pytest.approx(fit.between_run_sd**2, rel=1e-9)


# what a campaign predicts


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> CampaignFolder:
    return read_campaign(copied(tmp_path_factory.mktemp("predict") / "campaign"))


@pytest.fixture(scope="module")
def result(folder: CampaignFolder) -> CampaignResult:
    return measure_campaign(folder)


def copied(into: Path, runs: list[str] | None = None) -> Path:
    """Copy the shipped campaign, with a device more that is in no run, and only some of its runs if named."""
    shutil.copytree(EXAMPLE, into, ignore=shutil.ignore_patterns("results"))
    spec, sheet = into / "campaign.yaml", into / "runs.csv"
    text = spec.read_text(encoding="utf-8")
    spec.write_text(text.replace("\ndevices:\n", "\ndevices:\n  spare-C: {kind: ring}\n"), encoding="utf-8")
    if runs is not None:
        head, *rows = sheet.read_text(encoding="utf-8").splitlines(keepends=True)
        sheet.write_text("".join([head, *(r for r in rows if r.split(",")[0] in runs)]), encoding="utf-8")
        (into / "decisions.yaml").unlink(missing_ok=True)
    return into


def predict(
    folder: CampaignFolder, result: CampaignResult, rig: str | Rig, *devices: str, load_N: float | None = None
) -> Prediction:
    return predict_rig(
        folder, result, named_rig(rig) if isinstance(rig, str) else rig, devices, load_N=load_N
    )


def test_a_named_rig_by_the_series_of_its_efficiencies(
    folder: CampaignFolder, result: CampaignResult
) -> None:
    # geometric series of the textbooks: a line over n sheaves of efficiency e, 1 + e + e² + …
    found = predict(folder, result, "three-part", "hoop-B", "hoop-B", load_N=20e3)
    e = result.devices["hoop-B"].efficiency.value
    assert found.advantage.value == pytest.approx(1 + e + e * e, rel=1e-9)
    assert found.frictionless == 3.0
    assert found.advantage_one_pull.half95 > found.advantage.half95
    assert found.winch_share.value == pytest.approx(1 / found.advantage.value)
    assert found.winch_share.lo == pytest.approx(1 / found.advantage.hi)
    assert found.effort_N is not None
    assert found.effort_N.value == pytest.approx(20e3 / found.advantage.value)
    assert found.effort_N.hi == pytest.approx(20e3 / found.advantage_one_pull.lo)
    assert found.left_out == result.left_out != ()
    assert found.scatter == result.scatter


def test_what_was_tested_stands_beside_and_else_not(folder: CampaignFolder, result: CampaignResult) -> None:
    known = predict(folder, result, "two-part", "puck-A").tested
    assert known is not None
    assert known.runs == ("two-a1", "two-a2")
    assert predict(folder, result, "four-part", *["puck-A"] * 3).tested is None


def test_an_angle_between_the_parts(folder: CampaignFolder, result: CampaignResult) -> None:
    # capstan law (Euler): the ring's k of another wrap is k^(wrap / 180°); one corner keeps 1 / that
    rig = read_rig(workflows.examples() / "rigs" / "corner-by-the-oak.yaml")
    found = predict(folder, result, rig, "hoop-B")
    (wrap,) = {contact.wrap_rad for contact in workflows.solve_rig(rig, 1.2).contacts}
    k = result.devices["hoop-B"].k.value
    assert found.advantage.value == pytest.approx(k ** (-wrap / math.pi), rel=1e-9)
    assert any("tested at 180°" in n.message and n.level == "warning" for n in found.notices)
    assert not any(
        "tested at 180°" in n.message for n in predict(folder, result, "two-part", "hoop-B").notices
    )


def test_a_load_outside_what_was_measured_is_warned_of(
    folder: CampaignFolder, result: CampaignResult
) -> None:
    low, high = predict(folder, result, "two-part", "hoop-B").valid_load_N or (0.0, 0.0)
    assert 0.0 < low < high
    for load_N, inside in (
        (0.99 * low, False),
        (1.01 * low, True),
        (0.99 * high, True),
        (1.01 * high, False),
    ):
        found = predict(folder, result, "two-part", "hoop-B", load_N=load_N)
        assert found.friction["hoop-B"].inside is inside
        warned = [n for n in found.notices if n.code == "OUT_OF_RANGE" and "it was tested at" in n.message]
        assert bool(warned) is not inside
        valid, haul = found.friction["hoop-B"].valid_N, found.friction["hoop-B"].haul_N
        assert valid == result.devices["hoop-B"].valid_N
        assert haul is not None
        assert haul[1] == pytest.approx(load_N / found.advantage.value)  # the line force is its haul side


def test_no_change_with_the_load_is_said(folder: CampaignFolder, result: CampaignResult) -> None:
    assert all(one.load_exponent is None for one in result.devices.values())
    found = predict(folder, result, "two-part", "hoop-B", load_N=15e3)
    assert any("No change of k with the load was seen" in n.message for n in found.notices)


def test_cautions_always_stand(folder: CampaignFolder, result: CampaignResult) -> None:
    codes = {n.code for n in predict(folder, result, "two-part", "hoop-B").notices if n.level == "caution"}
    assert codes >= {"ESTIMATE", "FRICTION_NO_EXCUSE", "NO_STANDING", "TESTED_ONLY", "DEFER"}


@pytest.mark.parametrize(
    ("rig", "devices", "load_N", "code", "says"),
    [
        ("two-part", ["puk-A"], None, "UNKNOWN_DEVICE", "puk-A is no device of meadow (invented): did you mean puck-A?"),
        ("two-part", ["spare-C"], None, "NOT_MEASURED", "spare-C: no run"),
        ("three-part", ["puck-A"], None, "DEVICES", "2 blocks"),
        ("two-part", [], None, "DEVICES", "name a device for each block, from the drum (X)"),
        ("single line", [], None, "DEVICES", "no block"),
        ("two-part", ["puck-A"], 0.0, "NUMBER", "above 0"),
        ("two-part", ["puck-A"], math.nan, "NUMBER", "above 0"),
    ],
)  # fmt: skip
def test_what_cannot_be_predicted_is_refused_by_name(
    folder: CampaignFolder,
    result: CampaignResult,
    rig: str,
    devices: list[str],
    load_N: float | None,
    code: str,
    says: str,
) -> None:
    with pytest.raises(TrialRefusal) as caught:
        predict(folder, result, rig, *devices, load_N=load_N)
    assert caught.value.code == code
    assert says in caught.value.message


def test_a_device_the_runs_do_not_tell_apart_is_refused_by_name(tmp_path: Path) -> None:
    folder = read_campaign(copied(tmp_path / "c", ["series", "four-ab"]))
    result = measure_campaign(folder)
    for name in ("puck-A", "hoop-B"):
        with pytest.raises(TrialRefusal) as caught:
            predict(folder, result, "two-part", name)
        assert caught.value.code == "NOT_IDENTIFIED"
        assert caught.value.message.startswith(f"{name}: the runs of meadow (invented) do not tell")


def test_a_further_cell_is_no_reading_of_the_advantage_left_out(tmp_path: Path) -> None:
    """The standing part reads e, the anchor 1 + e: a mean of the two would be the advantage of nothing."""
    k = {"puck": 1.10, "hoop": 1.25}
    place = "standing part"
    more = {f"{place}_log": "puck1.csv", f"{place}_column": "third_kgf", f"{place}_cell": "a"}
    pulls = [
        Pull("puck1", "two-part", k, "puck", extra=lambda t, force: force / 1.10, more=more),
        Pull("hoop1", "two-part", k, "hoop", seed=2),
        Pull("both", "three-part", k, "puck;hoop", seed=3),
    ]
    made_campaign(tmp_path / "c", pulls, columns=tuple(more))
    result = measure_campaign(read_campaign(tmp_path / "c"))
    (one,) = (one for one in result.left_out if one.devices == ("puck",))
    (run,) = (run for run in result.runs if run.run == "puck1")
    assert set(run.readings) == {place}
    assert one.measured == pytest.approx(run.advantage.value, rel=1e-9)
    assert one.predicted.value == pytest.approx(1.0 + 1.0 / 1.10, rel=0.02)
