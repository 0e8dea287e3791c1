"""The machine-readable contract: keys and forms of every record, on the shipped examples.

``{…}`` in the contract is ``{"value", "u", "interval95"}`` and nothing else is; every other number is plain, forces in
newtons, shares as fractions.
"""

import hashlib
import json
import math
import shutil
from pathlib import Path

import pytest

import haulwright as hw
from haulwright.interfaces.cli.main import main
from haulwright.version import __version__

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"
PULL = EXAMPLES / "pulls" / "rutted-clearing.yaml"
LOGS = EXAMPLES / "campaign" / "logs"
MEASURED = {"value", "u", "interval95"}
VERDICTS = {"inside", "tight", "over", "unknown"}


@pytest.fixture
def ask(capsys):
    """Return exit code and record of a command with --json."""

    def run(*words):
        code = main([*map(str, words), "--json"])
        out = capsys.readouterr()
        assert out.err == ""
        assert len(out.out.splitlines()) == 1
        record = json.loads(out.out)
        frame(record)
        return code, record

    return run


def frame(record):
    """Check what every record has."""
    assert record["haulwright"] == __version__
    assert record["kind"]
    for notice in record["notices"]:
        assert set(notice) == {"code", "level", "message", "where"}
        assert notice["level"] in ("caution", "warning", "info")
        assert notice["message"]
    json.dumps(record, allow_nan=False)


def measured(form):
    """Check the form of a number with its uncertainty."""
    assert set(form) == MEASURED
    low, high = form["interval95"]
    assert low <= form["value"] <= high
    assert form["u"] >= 0.0


def forms(node, path=()):
    """Yield the path of every {…} below, list places written as *."""
    if isinstance(node, dict):
        if set(node) == MEASURED:
            yield ".".join(path)
            return
        for key, value in node.items():
            if key not in ("uncertainty", "notices", "made"):
                yield from forms(value, (*path, key))
    elif isinstance(node, list):
        for value in node:
            yield from forms(value, (*path, "*"))


def at(node, path):
    """Return what stands at a path of the uncertainty mapping; a name may hold dots."""
    if not path:
        return node
    if isinstance(node, list):
        head, _, rest = path.partition(".")
        return at(node[int(head)], rest)
    key = max((k for k in node if path == k or path.startswith(f"{k}.")), key=len)
    return at(node[key], path[len(key) + 1 :])


RIG_KEYS = {
    "rig",
    "sentence",
    "mode",
    "law",
    "ideal_advantage",
    "advantage",
    "rig_efficiency",
    "winch_share",
    "resistance_N",
    "effort_N",
    "travel_ratio",
    "lines",
    "contacts",
    "bodies",
    "blocks",
    "side_pull_N",
    "positions_m",
    "letting_back",
    "holding_N",
    "stretch",
    "take_up_m",
    "line_m",
    "two_blocked_m",
    "clearance",
    "law_source",
    "law_band",
    "seized",
    "energy_residual",
    "uncertainty",
}


def check_bodies(bodies):
    for body in bodies.values():
        assert set(body) == {"load_N", "vector_N", "level_N", "up_N", "height_m"}
        if body["vector_N"]:
            assert math.hypot(body["level_N"], body["up_N"]) == pytest.approx(body["load_N"])


def check_rig_solution(record):
    assert record["kind"] == "rig-solution"
    assert set(record) >= RIG_KEYS
    assert not list(forms(record))
    assert record["mode"] in ("line", "ground")
    assert 0.0 < record["rig_efficiency"] <= 1.0
    if len(record["effort_N"]) == 1:
        assert record["winch_share"] == pytest.approx(1.0 / record["advantage"])
        assert record["rig_efficiency"] == pytest.approx(record["advantage"] / record["ideal_advantage"])
    else:
        assert [record[key] for key in ("advantage", "ideal_advantage", "winch_share")] == [None] * 3
    assert set(record["effort_N"]) == set(record["travel_ratio"])
    assert record["energy_residual"] < 1e-9
    for line in record["lines"].values():
        for part in line["parts"]:
            assert set(part) == {"from", "to", "tension_N", "length_m"}
    for contact in record["contacts"]:
        assert set(contact) == {
            "line",
            "index",
            "at",
            "wrap_rad",
            "ratio",
            "load_N",
            "direction",
            "rim_speed_ratio",
            "heat_J_per_m",
        }
        assert contact["direction"] in ("towards-fall", "away", "still")
    check_bodies(record["bodies"])
    for block in record["blocks"].values():
        assert set(block) == {
            "pin_N",
            "with_becket_N",
            "wrap_rad",
            "wraps_rad",
            "between_rad",
            "vector_N",
            "rim_speed_ratio",
            "heat_J_per_m",
            "heat_J",
            "heat_W",
            "rise_K",
        }
        assert block["wrap_rad"] == (block["wraps_rad"] or [0.0])[0]
    for case in record["law_band"]:
        assert set(case) == {
            "law",
            "source",
            "effort_N",
            "advantage",
            "greatest_block_N",
            "greatest_block",
        }
    if record["law_band"]:
        assert record["law_band"][0]["effort_N"] == record["effort_N"]
    if record["clearance"]:
        assert set(record["clearance"]) == {"wanted_m", "gaps", "setup_m", "limit", "resets", "line"}
        for gap in record["clearance"]["gaps"]:
            assert set(gap) == {"from", "to", "start_m", "least_m", "meets_m", "least_from"}
        for line in record["clearance"]["line"].values():
            assert set(line) == {"parts_m", "sheaves_m", "kept_m", "tail_m", "have_m", "room_m"}
    for path, form in record["uncertainty"].items():
        measured(form)
        assert at(record, path) == pytest.approx(form["value"])


@pytest.mark.parametrize("rig", sorted(path.name for path in (EXAMPLES / "rigs").glob("*.yaml")))
def test_rig_solution_of_the_shipped_rigs(ask, rig):
    code, record = ask("rig", "solve", EXAMPLES / "rigs" / rig, "--letting-back")
    assert code == 0
    check_rig_solution(record)
    placed = "at: [" in (EXAMPLES / "rigs" / rig).read_text("utf-8")
    assert (record["positions_m"] is not None) == placed
    vectors = [body["vector_N"] for body in record["bodies"].values()]
    lengths = [part["length_m"] for line in record["lines"].values() for part in line["parts"]]
    assert all((value is not None) == placed for value in (*vectors, *lengths))
    low, high = record["holding_N"]
    assert low <= next(iter(record["effort_N"].values())) <= high * (1 + 1e-12)


def test_rig_solution_carries_intervals_beside_plain_numbers(ask):
    _, record = ask("rig", "solve", "three-part", "--ratio", "1.10±0.02", "--load", "20kN")
    check_rig_solution(record)
    assert {"advantage", "rig_efficiency", "winch_share", "effort_N.winch"} <= set(record["uncertainty"])


def test_parts_run_from_the_standing_part_to_the_fall(ask):
    _, record = ask("rig", "solve", "three-part", "--ratio", "1.1", "--load", "20kN")
    pulls = [part["tension_N"] for part in record["lines"]["winch line"]["parts"]]
    assert pulls == sorted(pulls)  # hauling: each contact adds
    assert pulls[-1] == pytest.approx(record["effort_N"]["winch"])
    assert pulls[1] / pulls[0] == pytest.approx(1.1)
    assert [contact["index"] for contact in record["contacts"]] == [1, 2]


def test_options_of_rig_solve(ask):
    _, plain = ask("rig", "solve", "two-part", "--load", "20kN", "--ratio", "1.2")
    _, named = ask("rig", "solve", "two-part", "--load", "20kN", "--ratio", "X=1.2")
    assert named["advantage"] == plain["advantage"] == pytest.approx(1 + 1 / 1.2)
    assert plain["letting_back"] is None
    _, effort = ask("rig", "solve", "two-part", "--effort", "10kN", "--ratio", "1.2")
    assert effort["resistance_N"] == pytest.approx(10e3 * plain["advantage"])
    _, seized = ask("rig", "solve", "two-part", "--seized", "X", "--load", "20kN", "--ratio", "1.2")
    assert seized["advantage"] < plain["advantage"]
    _, back = ask("rig", "solve", "two-part", "--letting-back", "--load", "20kN", "--ratio", "1.2")
    assert back["letting_back"]["effort_N"] == pytest.approx(20e3 / (1 + 1.2))


def test_no_resistance_is_told(ask):
    _, record = ask("rig", "solve", "two-part", "--ratio", "1.2")
    assert record["resistance_N"] == 1000.0
    assert "UNIT_LOAD" in [notice["code"] for notice in record["notices"]]


def test_expected_forces_never_stand_without_stall_or_caution(ask):
    _, record = ask("rig", "solve", "two-part", "--ratio", "1.2", "--load", "20kN")
    cautions = {notice["code"] for notice in record["notices"] if notice["level"] == "caution"}
    assert {"ESTIMATE", "FRICTION_NO_EXCUSE", "NO_STANDING", "DEFER"} <= cautions
    _, record = ask("rig", "solve", "two-part", "--ratio", "1.2", "--load", "20kN", "--stall", "42kN")
    (stall,) = (notice for notice in record["notices"] if notice["code"] == "STALL")
    assert "84.0" in stall["message"]  # twice the stall at the anchor, without friction
    _, record = ask("rig", "solve", "two-part", "--ratio", "1.2", "--load", "20kN", "--stall", "5kN")
    assert any("will not move" in notice["message"] for notice in record["notices"])


NAMED = {
    "series/on-load": 1, "single line/on-load": 1, "redirect/off-load": 1, "two-part/on-load": 2, "two-part/off-load": 2,
    "three-part/on-load": 3, "four-part/on-load": 4, "five-part/on-load": 5, "six-part/on-load": 6,
    "stacked two-parts/off-load": 4, "stacked two-parts/on-load": 4, "spanish burton/off-load": 3, "three-on-two/on-load": 6,
    "one long rope, 3 passes/on-load": 4, "one long rope, 4 passes/on-load": 5, "one long rope, 5 passes/on-load": 6,
}  # fmt: skip
PATHS = {
    "redirect/off-load": "X2.drum > X > !O",
    "two-part/on-load": "!O.drum > X > O",
    "two-part/off-load": "X.drum > !O > X",
    "stacked two-parts/off-load": "X.drum > ~M > X ; ~M > !O > X",
    "stacked two-parts/on-load": "!O.drum > ~M > O ; ~M > X > O",
    "spanish burton/off-load": "beyond.drum > ~M > !O ; ~M > X > O",
}


def test_named_rigs(ask):
    _, record = ask("rig", "list")
    assert record["kind"] == "rig-list"
    ideals = {rig["name"]: rig["ideal_advantage"] for rig in record["rigs"]}
    paths = {rig["name"]: rig["path"] for rig in record["rigs"]}
    assert {name: ideals[name] for name in NAMED} == NAMED
    assert {name: paths[name] for name in PATHS} == PATHS
    for name, path in paths.items():
        assert hw.solve_rig(path, 1.0).ideal_advantage == pytest.approx(ideals[name])
    assert hw.solve_rig("burton", 1.0).path == paths["stacked two-parts/on-load"]


CHANNEL = {"cell", "unit_read", "rate_Hz", "n", "gaps", "clock_offset_s"}


def test_log(ask):
    code, record = ask("trial", "read", LOGS / "meadow-two-a2_line.csv", LOGS / "meadow-two-a2_anchor.csv")
    assert (code, record["kind"]) == (0, "log")
    assert set(record) >= {"files", "format", "channels", "rows", "phases"}
    assert [set(file) for file in record["files"]] == [{"path", "sha256"}] * 2
    assert {"used", "blank", "overload", "unparsable", "duplicate", "backwards", "spike"} <= set(
        record["rows"]
    )
    assert set(record["channels"]) == {"line", "anchor"}
    assert all(set(channel) >= CHANNEL for channel in record["channels"].values())
    assert all(set(phase) == {"name", "start_s", "end_s"} for phase in record["phases"])


TRIAL_KEYS = {
    "run",
    "rig",
    "devices",
    "channels",
    "phases",
    "steady",
    "mean_N",
    "ratio",
    "advantage",
    "u_repeatability",
    "interval95_repeatability",
    "winch_share",
    "friction",
    "budget",
    "quality",
}
TRIAL_FORMS = {
    "channels.line.clock_offset_s", "channels.anchor.clock_offset_s", "channels.line.zero_N", "channels.anchor.zero_N",
    "mean_N.line", "mean_N.anchor", "ratio", "advantage", "winch_share", "friction.puck-A.k", "friction.puck-A.efficiency",
}  # fmt: skip


def test_trial_result(ask):
    code, record = ask(
        "trial", "measure", LOGS / "meadow-two-a1.csv", "--rig", "two-part", "--device", "puck-A",
        "--cell-class", "0.5%", "--cell", "line:of=reading,capacity=3t",
    )  # fmt: skip
    assert (code, record["kind"]) == (0, "trial-result")
    assert set(record) >= TRIAL_KEYS
    assert set(forms(record)) == TRIAL_FORMS
    for path in TRIAL_FORMS:
        measured(at(record, path))
    assert record["devices"] == ["puck-A"]
    assert all(set(channel) >= CHANNEL for channel in record["channels"].values())
    assert all(set(term) == {"term", "u", "share"} for term in record["budget"])
    assert sum(term["share"] for term in record["budget"]) == pytest.approx(1.0)
    (steady,) = record["steady"]
    assert set(steady) == {"start_s", "end_s", "chosen_by", "why"}
    ratio = record["mean_N"]["anchor"]["value"] / record["mean_N"]["line"]["value"]
    assert ratio == pytest.approx(record["ratio"]["value"], rel=1e-3)
    k, e = (record["friction"]["puck-A"][key]["value"] for key in ("k", "efficiency"))
    assert k * e == pytest.approx(1.0)
    assert record["u_repeatability"] < record["advantage"]["u"]


def test_clock_offset_is_this_channels_stamp_minus_the_lines(ask, tmp_path):
    """The anchor's stamps of the same instants are made three seconds larger: the offset grows by three."""
    offsets = []
    for shift in (0.0, 3.0):
        path = tmp_path / f"shift-{shift:g}.csv"
        rows = []
        for i in range(400):
            pull = (
                0.0 if i < 40 or i > 360 else 8000.0 + 600.0 * math.sin(i / 7.0) + 200.0 * math.sin(i / 2.3)
            )
            rows += [f"{i:.1f},line,{pull:.0f},N", f"{i + shift:.1f},anchor,{1.9 * pull:.0f},N"]
        path.write_text(
            "time_s,sensor,force,unit\n" + "\n".join(sorted(rows, key=lambda r: float(r.split(",")[0]))),
            encoding="utf-8",
        )
        _, record = ask("trial", "measure", path, "--rig", "two-part")
        assert record["channels"]["line"]["clock_offset_s"]["value"] == 0.0
        offsets.append(record["channels"]["anchor"]["clock_offset_s"]["value"])
    assert offsets[1] - offsets[0] == pytest.approx(3.0, abs=0.2)


def test_two_unknown_devices_in_one_run_give_no_friction(ask):
    _, record = ask(
        "trial", "measure", LOGS / "meadow-three-ab.csv", "--rig", "three-part", "--device", "puck-A", "--device", "hoop-B"
    )  # fmt: skip
    assert record["friction"] == {}
    assert "NOT_IDENTIFIED" in [notice["code"] for notice in record["notices"]]


def test_campaign_result(ask, tmp_path):
    code, record = ask("campaign", "measure", EXAMPLES / "campaign", "--out", tmp_path)
    assert (code, record["kind"]) == (0, "campaign-result")
    assert set(record) >= {"runs", "configurations", "devices", "comparisons", "cells"}
    assert set(record["scatter"]) == {"seen", "upper95", "repeats", "used"}
    assert record["scatter"]["seen"] <= record["scatter"]["upper95"]
    for one in record["left_out"]:
        assert set(one) == {"rig", "devices", "predicted", "measured", "inside"}
        measured(one["predicted"])
    assert all(
        run["kind"] == "trial-result" and set(run) >= TRIAL_KEYS for run in record["runs"] if "kind" in run
    )
    assert all(set(run) >= TRIAL_KEYS for run in record["runs"])
    for one in record["configurations"]:
        assert set(one) >= {"rig", "devices", "n", "advantage", "winch_share", "between_run_sd"}
        measured(one["advantage"])
        measured(one["winch_share"])
    for device in record["devices"].values():
        measured(device["k"])
        measured(device["efficiency"])
        low, high = device["valid_N"]
        assert 0.0 < low < high
    for one in record["comparisons"]:
        assert set(one) >= {"a", "b", "ratio", "verdict", "runs_needed", "evidence"}
        measured(one["ratio"])
        assert one["verdict"] in ("different", "equivalent", "small_but_real", "undecided")
    for cell in record["cells"].values():
        measured(cell["gain"])
        measured(cell["zero_N"])
    written = json.loads((tmp_path / "campaign.json").read_text(encoding="utf-8"))
    assert written == record
    rows = hw.make_plan(PULL, friction=tmp_path / "devices.toml").friction_source
    assert "meadow" in " ".join(rows.values())  # the campaign's file is taken by a plan


def test_further_channels_of_a_run_sheet_are_read(tmp_path):

    folder = tmp_path / "campaign"
    shutil.copytree(EXAMPLES / "campaign", folder)
    header, *rows = (folder / "runs.csv").read_text(encoding="utf-8").splitlines()
    joint = (folder / "logs" / "meadow-two-b2.csv").read_text(encoding="utf-8").splitlines()
    three = [joint[0] + ",rear_kgf", *(f"{row},{row.split(',')[2]}" for row in joint[1:])]
    (folder / "logs" / "meadow-two-b2.csv").write_text("\n".join(three) + "\n", encoding="utf-8")
    rows = [
        row + (",meadow-two-b2.csv,rear,anchor-6t" if row.startswith("two-b2,") else ",,,") for row in rows
    ]
    (folder / "runs.csv").write_text(
        "\n".join([f"{header},rear_log,rear_column,rear_cell", *rows]) + "\n", encoding="utf-8"
    )
    (run,) = (run for run in hw.measure_campaign(folder).runs if run.run == "two-b2")
    assert set(run.channels) == {"line", "anchor", "rear"}


def test_what_is_noted_and_checked_of_a_campaign(ask, tmp_path):
    folder = tmp_path / "campaign"
    shutil.copytree(EXAMPLES / "campaign", folder, ignore=shutil.ignore_patterns("results"))
    head, *rows = (folder / "runs.csv").read_text(encoding="utf-8").splitlines()
    told = [row + (",9 m,15,31,dry" if row.startswith("two-a1") else ",,,,") for row in rows]
    columns = "travel,temperature_before_C,temperature_after_C,rope_state"
    (folder / "runs.csv").write_text("\n".join([f"{head},{columns}", *told]) + "\n", encoding="utf-8")
    code, record = ask("campaign", "measure", folder, "--jobs", "1")
    assert code == 0
    run = next(one for one in record["runs"] if one["run"] == "two-a1")
    assert set(run) >= {"grade", "gain", "readings", "conditions", "heat"}
    assert run["conditions"] == {
        "temperature_before_C": [15.0],
        "temperature_after_C": [31.0],
        "rope_state": "dry",
        "travel_m": 9.0,
    }
    (heat,) = run["heat"].values()
    assert set(heat) == {
        "device", "heat_J_per_m", "heat_J", "heat_W", "rise_bound_K", "before_C", "after_C", "u_share",
    }  # fmt: skip
    assert heat["heat_J"] == pytest.approx(9.0 * heat["heat_J_per_m"])
    measured(run["gain"])
    (check,) = record["checks"]
    assert set(check) == {
        "how", "runs", "session", "line_cell", "anchor_cell", "ratio", "steps", "nonlinearity", "hysteresis", "used",
    }  # fmt: skip
    measured(check["ratio"])
    assert all(set(step) == {"line_N", "ratio", "direction"} for step in check["steps"])


PREDICTION_FORMS = {
    "advantage", "advantage_one_pull", "winch_share", "winch_share_one_pull", "effort_N",
    "friction.puck-A.k", "friction.puck-A.efficiency", "friction.hoop-B.k", "friction.hoop-B.efficiency",
    "left_out.*.predicted",
}  # fmt: skip


def test_prediction(ask, tmp_path):
    folder = tmp_path / "campaign"
    shutil.copytree(EXAMPLES / "campaign", folder, ignore=shutil.ignore_patterns("results"))
    words = ("campaign", "predict", folder, "--rig", "stacked two-parts", "--load", "20kN", "--jobs", "1")
    code, record = ask(*words, "--device", "hoop-B", "--device", "puck-A")
    assert (code, record["kind"]) == (0, "prediction")
    assert set(record) == {
        "haulwright", "kind", "notices", "made", "campaign", "rig", "path", "sentence", "devices", "load_N", "frictionless",
        "advantage", "advantage_one_pull", "winch_share", "winch_share_one_pull", "effort_N", "friction", "valid_load_N",
        "tested", "scatter", "left_out",
    }  # fmt: skip
    assert set(forms(record)) == PREDICTION_FORMS
    for path in PREDICTION_FORMS - {"left_out.*.predicted"}:
        measured(at(record, path))
    assert record["devices"] == ["hoop-B", "puck-A"]
    assert record["tested"] is None  # only the other way round was pulled
    for name, one in record["friction"].items():
        assert set(one) == {"k", "efficiency", "load_exponent", "haul_N", "valid_N", "inside"}, name
    same = hw.predict_campaign(folder, "stacked two-parts", ["hoop-B", "puck-A"], load="20 kN")
    assert json.loads(json.dumps(same.to_dict())) == record
    _, plain = ask(*words[:5], "--device", "hoop-B", "--device", "puck-A", "--jobs", "1")
    assert (plain["load_N"], plain["effort_N"], plain["friction"]["hoop-B"]["inside"]) == (None, None, None)
    assert plain["advantage"]["value"] == pytest.approx(record["advantage"]["value"])


def test_forces_typed_from_the_displays(ask, capsys):
    words = ("--typed", "line=612kgf", "anchor=1120 ± 10 kgf", "--rig", "two-part", "--device", "puck")
    code, record = ask("trial", "measure", *words)
    assert (code, record["kind"], record["grade"]) == (0, "trial-result", "typed")
    assert set(record) >= TRIAL_KEYS
    assert record["advantage"]["value"] == pytest.approx(1120 / 612)
    assert {"TYPED", "CLASS_ASSUMED"} <= {notice["code"] for notice in record["notices"]}
    for wrong in (("--typed", "line"), (), ("--typed", "line=612kgf", "line=613kgf")):
        assert main(["trial", "measure", *wrong, "--rig", "two-part", "--json"]) == 2
        assert json.loads(capsys.readouterr().out)["error"]["code"] == "USAGE"


def test_resistance(ask):
    code, record = ask("resistance", PULL)
    assert (code, record["kind"]) == (0, "resistance")
    assert set(record) >= {"rules", "chosen"}
    assert record["chosen"] in [rule["name"] for rule in record["rules"]]
    for rule in record["rules"]:
        assert set(rule) >= {"name", "low_N", "likely_N", "high_N", "source", "drivers"}
        assert rule["low_N"] <= rule["likely_N"] <= rule["high_N"]
        assert sum(driver["force_N"] for driver in rule["drivers"]) == pytest.approx(rule["likely_N"])
    assert "ESTIMATE" in [notice["code"] for notice in record["notices"]]


ITEM = {"item", "load_N", "limit_N", "basis", "utilisation", "verdict"}


def check_items(items):
    for item in items:
        assert set(item) >= ITEM
        assert set(item["load_N"]) == {"likely", "high", "stall"}
        assert item["verdict"] in VERDICTS
        assert (item["limit_N"] is None) == (item["verdict"] == "unknown")
        if item["utilisation"] is not None:
            expected = (
                "over" if item["utilisation"] > 1.0 else "tight" if item["utilisation"] > 0.8 else "inside"
            )
            assert item["verdict"] == expected
        if item["basis"].startswith("MBS"):
            assert "÷" in item["basis"]  # a breaking strength is a limit only once its factor is taken off


KIT_ITEM_KEYS = {
    "item", "name", "kind", "marked_N", "basis", "factor", "limit_N", "deratings", "condition", "bought", "inspected",
    "due", "overdue", "uses", "good_for", "worst", "utilisation", "verdict", "note", "unknown", "to_do",
}  # fmt: skip


@pytest.mark.parametrize("words", [["show"], ["check"], ["check", "--pull", PULL]])
def test_kit(ask, words):
    verb, *options = words
    code, record = ask("kit", verb, EXAMPLES / "kit.yaml", "--day", "2026-06-01", *options)
    assert record["kind"] == "kit"
    assert code == (
        1 if words == ["check"] else 0
    )  # its lost tag is unknown; the pull's chosen rig does without it
    assert record["day"] == "2026-06-01"
    for item in record["items"]:
        assert set(item) == KIT_ITEM_KEYS
        for use in item["uses"]:
            assert use["verdict"] in VERDICTS
            assert (use["limit_N"] is None) == (use["verdict"] == "unknown")
            assert use["guidance"] is None or use["guidance"]["verdict"] in ("meets", "below", "unknown")
            if use["utilisation"] is not None:
                assert use["utilisation"] == pytest.approx(use["load_N"] / use["limit_N"])
        if not item["uses"]:
            assert item["verdict"] is None
    by_name = {item["item"]: item for item in record["items"]}
    assert by_name["T-04"]["verdict"] == "unknown"
    assert by_name["S-09"]["verdict"] is None  # in quarantine
    assert record["set_aside"] == ["bow shackle 19 mm"]
    used = [use for item in record["items"] for use in item["uses"] if use["pull"] is not None]
    assert bool(used) == ("--pull" in options)


def test_published_check(ask):
    code, record = ask("check")
    assert (code, record["kind"]) == (0, "published-check")
    for row in record["rows"]:
        assert set(row) >= {"source", "item", "printed", "computed", "tolerance", "ok"}
    assert all(row["ok"] is not False for row in record["rows"])


PLAN_KEYS = {
    "pull",
    "resistance_N",
    "candidates",
    "rejected",
    "chosen",
    "zone",
    "checklist",
    "brief",
    "uncertainty",
}
CANDIDATE_KEYS = {
    "rig",
    "path",
    "rank",
    "why",
    "verdict",
    "effort_N",
    "stall_N",
    "line_needed_m",
    "line_have_m",
    "travel_m",
    "setups",
    "time_s",
    "charge_Ah",
    "items",
    "notices",
}
RANK = ("over", "unknown", "tight", "inside")


@pytest.mark.parametrize("pull", ["rutted-clearing", "helper-ahead"])
def test_plan(ask, pull):
    code, record = ask("plan", "make", EXAMPLES / "pulls" / f"{pull}.yaml")
    assert record["kind"] == "plan"
    assert set(record) >= PLAN_KEYS
    assert set(record["resistance_N"]) >= {"low", "likely", "high", "breakout", "rules"}
    for candidate in record["candidates"]:
        assert set(candidate) >= CANDIDATE_KEYS
        assert set(candidate["effort_N"]) == {"low", "likely", "high"}
        check_items(candidate["items"])
        worst = min((item["verdict"] for item in candidate["items"]), key=RANK.index)
        assert candidate["verdict"] == worst
        assert "STALL" in [notice["code"] for notice in candidate["notices"]]
        for item in candidate["items"]:
            assert item["load_N"]["likely"] <= item["load_N"]["high"] * (1 + 1e-9)
    assert [candidate["rank"] for candidate in record["candidates"]] == list(
        range(1, len(record["candidates"]) + 1)
    )
    assert all(set(one) == {"rig", "lacked", "count"} for one in record["rejected"])
    chosen = next(one for one in record["candidates"] if one["rig"] == record["chosen"])
    assert code == (1 if chosen["verdict"] in ("over", "unknown") else 0)
    for path, form in record["uncertainty"].items():
        measured(form)
        found = at(record, path)
        assert (found["value"] if isinstance(found, dict) else found) == pytest.approx(form["value"])
    cautions = {notice["code"] for notice in record["notices"] if notice["level"] == "caution"}
    assert {"ESTIMATE", "DEFER", "FRICTION_NO_EXCUSE", "NO_STANDING", "STALL"} <= cautions


def test_exit_1_where_the_one_rig_asked_for_is_over(ask, tmp_path):
    code, record = ask("plan", "make", PULL, "--rig", "three-part")
    assert record["candidates"][0]["verdict"] == "over"
    assert code == 1


def test_files_name_their_hash(ask, tmp_path):

    code, record = ask("publish", "card", PULL, "--out", tmp_path)
    assert (code, record["kind"]) == (0, "files")
    for file in record["files"]:
        assert set(file) >= {"path", "sha256"}
        assert hashlib.sha256(Path(file["path"]).read_bytes()).hexdigest() == file["sha256"]


@pytest.mark.parametrize(("size", "ending"), [("laptop", ""), ("phone", "-phone")])
def test_the_drawing_of_a_pull_names_its_files_and_is_the_same_again(ask, tmp_path, size, ending):
    runs = []
    for folder in ("first", "second"):
        code, record = ask("publish", "chart", PULL, "--out", tmp_path / folder, "--size", size)
        assert (code, record["kind"]) == (0, "files")
        names = [Path(file["path"]).name for file in record["files"]]
        assert names == [
            f"{what}{ending}{kind}"
            for what in ("pull-plan", "pull-steps", "drum-layers", "parts")
            for kind in (".svg", ".png")
        ]
        for file in record["files"]:
            assert hashlib.sha256(Path(file["path"]).read_bytes()).hexdigest() == file["sha256"]
        runs.append([file["sha256"] for file in record["files"]])
    assert runs[0] == runs[1]


def test_the_drawing_of_a_rig_that_is_over_exits_1(ask, tmp_path):
    code, record = ask("publish", "chart", PULL, "--rig", "three-part", "--out", tmp_path)
    assert (code, record["kind"], len(record["files"])) == (1, "files", 8)
    other = "two-part/on-load, boulder"  # a rig of the plan by its name, with the zone of that rig
    assert ask("publish", "chart", PULL, "--rig", other, "--out", tmp_path)[1]["kind"] == "files"
    assert "boulder" in (tmp_path / "pull-plan.svg").read_text(encoding="utf-8")


def test_a_refusal_has_a_line(ask, tmp_path):
    path = tmp_path / "rig.yaml"
    path.write_text("rig: x\nanchors: {oak: {}}\nlaod: {name: truck}\n", encoding="utf-8")
    code, record = ask("rig", "solve", path)
    assert code == 2
    assert record["error"]["code"] == "UNKNOWN_KEY"
    assert record["error"]["line"] == 3
    assert "did you mean load" in record["error"]["message"]
    with pytest.raises(hw.Refusal) as caught:
        hw.solve_rig(path)
    assert caught.value.to_dict() == record


# The grammar of rig files, with the figures of three rigs worked by hand beside it.

THREE = {
    "units": {"force": "kN", "length": "m"},
    "sheaves": {"law": "by-wrap", "k": 1.07},
    "order": ["oak", "truck"],
    "anchors": {"oak": {}},
    "load": {"name": "truck", "toward": "oak", "resistance": 26},
    "blocks": {"B1": {"on": "truck"}, "B2": {"on": "oak"}},
    "lines": {"winch line": {"standing": "B2.becket", "through": ["B1", "B2"], "fall": "winch"}},
    "winch": {"on": "truck"},
}


def test_becket_and_units_block():
    """One part at T, then T·k, then T·k²: the load is their sum, 26 kN."""
    standing = 26e3 / (1 + 1.07 + 1.07**2)
    solution = hw.solve_rig(THREE)
    assert solution.effort_N["winch"] == pytest.approx(standing * 1.07**2)
    assert solution.blocks["B2"].with_becket_N == pytest.approx(standing * (1 + 1.07 + 1.07**2))
    assert solution.bodies["oak"].load_N == pytest.approx(26e3)


def test_to_beside_and_a_floating_block():
    rig = {
        **THREE,
        "sheaves": {"law": "by-wrap", "k": 1.06},
        "order": ["oak", "M1", "truck"],
        "anchors": {"oak": {}, "helper": {"beside": "oak"}},
        "load": {"name": "truck", "toward": "oak", "resistance": 34},
        "blocks": {"B1": {"on": "truck"}, "M1": {"floating": True}},
        "lines": {
            "long rope": {"standing": "oak", "through": ["B1"], "to": "M1"},
            "winch line": {"standing": "helper", "through": ["M1"], "fall": "winch"},
        },
        "winch": {"on": "helper"},
    }
    solution = hw.solve_rig(rig)
    assert solution.advantage == pytest.approx((1 + 1 / 1.06) ** 2)
    standing, hauling = (part.tension_N for part in solution.lines["long rope"].parts)
    assert hauling / standing == pytest.approx(1.06)
    assert standing + hauling == pytest.approx(34e3)
    assert {name: body.load_N for name, body in solution.bodies.items()} == pytest.approx(
        {"oak": standing, "helper": hauling, "truck": 34e3}
    )


TWO = {
    "anchors": {"oak": {}},
    "load": {"name": "truck", "resistance": "20 kN"},
    "blocks": {"B": {"on": "oak"}},
    "lines": {"winch line": {"standing": "truck", "through": ["B"], "fall": "winch"}},
    "winch": {"on": "truck"},
}


@pytest.mark.parametrize(
    ("law", "k"),
    [
        ({"law": "per-contact", "k": 1.1}, 1.1),
        ({"law": "by-wrap", "k": 1.1}, 1.1),
        ({"law": "efficiency", "e": 0.9}, 1 / 0.9),
        ({"law": "capstan", "mu": 0.1}, math.exp(0.1 * math.pi)),
        ({"law": "capstan", "mu": 0.1, "turns": 1}, math.exp(0.1 * 3 * math.pi)),
    ],
    ids=lambda value: str(value.get("law")) if isinstance(value, dict) else "",
)
def test_laws(law, k):
    assert hw.solve_rig({**TWO, "sheaves": law}).advantage == pytest.approx(1 + 1 / k)
    assert hw.solve_rig({**TWO, "blocks": {"B": {"on": "oak", "sheave": law}}}).advantage == pytest.approx(
        1 + 1 / k
    )


@pytest.mark.parametrize(
    "law", [{"law": "bearing", "f": 0.03, "c": 0.012}, {"law": "tenth-rule"}], ids=lambda v: v["law"]
)
def test_laws_with_parts_of_their_own(law):
    assert 1.7 < hw.solve_rig({**TWO, "sheaves": law}).advantage < 2.0


@pytest.mark.parametrize(
    "turn", [{"wrap": 120}, {"wrap": "120 deg"}, {"between": 60}, {"between": "60 deg"}], ids=str
)
def test_wrap_and_between_say_the_same(turn):
    solution = hw.solve_rig(
        {**TWO, "sheaves": {"law": "by-wrap", "k": 1.1}, "blocks": {"B": {"on": "oak", **turn}}}
    )
    (contact,) = solution.contacts
    assert contact.wrap_rad == pytest.approx(2 * math.pi / 3)
    assert contact.ratio == pytest.approx(1.1 ** (2 / 3))
    assert solution.advantage == pytest.approx(math.cos(math.radians(30)) * (1 + 1.1 ** (-2 / 3)))


def test_eyes_direction_and_seized():
    rig = {
        "units": {"length": "m", "force": "kN"},
        "anchors": {"oak": {"at": [0, 0]}},
        "load": {
            "name": "truck", "at": [10, 0], "direction": [-1, 0], "resistance": 20,
            "eyes": {"left": [0, 1], "right": [0, -1]},
        },
        "blocks": {"B": {"on": "oak"}},
        "lines": {"winch line": {"standing": "truck.left", "through": ["B"], "fall": "winch"}},
        "winch": {"on": "truck.right"},
    }  # fmt: skip
    solution = hw.solve_rig(rig)
    assert solution.advantage == pytest.approx(2 * 10 / math.hypot(10, 1))
    assert [part.length_m for part in solution.lines["winch line"].parts] == pytest.approx(
        [math.hypot(10, 1)] * 2
    )
    assert solution.side_pull_N == pytest.approx(0.0, abs=1e-6)
    seized = hw.solve_rig(
        {**TWO, "sheaves": {"law": "by-wrap", "k": 1.1}, "blocks": {"B": {"on": "oak", "seized": True}}}
    )
    assert seized.advantage < 1.6


@pytest.mark.parametrize(
    "change",
    [{"lines": {name: {"standing": "truck", "fall": "winch"} for name in ("a", "b")}, "blocks": {}}],
    ids=["two lines on one drum"],
)
def test_what_this_version_does_not_solve_is_refused_by_name(change):
    with pytest.raises(hw.Refusal) as caught:
        hw.solve_rig({**TWO, **change})
    assert caught.value.code == "UNSUPPORTED"


PULL_STEPS_KEYS = {
    "pull",
    "rig",
    "way",
    "winch",
    "winch_on",
    "resistance_N",
    "breakout_N",
    "stall_N",
    "wanted_m",
    "travel_m",
    "setups",
    "steps",
    "stops",
    "peaks",
    "blocks",
    "fleet",
    "work",
    "parts",
    "parts_words",
    "motor",
}


def test_pull_steps(ask):
    code, record = ask("plan", "pull", PULL, "--steps", "30")
    assert (code, record["kind"]) == (0, "pull-steps")
    assert set(record) >= PULL_STEPS_KEYS
    assert len(record["steps"]) == 31
    assert record["steps"][-1]["travel_m"] == pytest.approx(record["travel_m"])
    _, plan = ask("plan", "make", PULL)
    chosen = next(one for one in plan["candidates"] if one["rig"] == plan["chosen"])
    assert record["rig"] == plan["chosen"]
    assert record["steps"][0]["effort_N"]["likely"] == pytest.approx(chosen["effort_N"]["likely"])
    assert record["work"]["charge_Ah"]["likely"] == pytest.approx(chosen["charge_Ah"])


READINGS_KEYS = {
    "pull", "rig", "place", "moving", "line_N", "anchor_N", "ratio", "verdict", "explanations", "words", "pull_to_N",
    "against_plan", "notices",
}  # fmt: skip


@pytest.mark.parametrize(
    ("anchor", "verdict", "exit_code"), [("3.8 kN", "as drawn", 0), ("2 kN", "suspect", 1)]
)
def test_readings_check(ask, anchor, verdict, exit_code):
    code, record = ask("plan", "check", PULL, "--line", "2 kN", "--anchor", anchor)
    assert (code, record["kind"], record["verdict"]) == (exit_code, "readings-check", verdict)
    assert set(record) >= READINGS_KEYS
    assert record["ratio"]["interval95"][0] < record["ratio"]["value"] < record["ratio"]["interval95"][1]
    assert record["explanations"][0]["what"] == "as drawn"
