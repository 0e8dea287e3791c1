"""The public names: pinned, sorted, and equal to what the command line prints."""

import json

import haulwright as hw
from haulwright.interfaces.cli.main import main

NAMES = [
    "HaulwrightError",
    "Measured",
    "Refusal",
    "__version__",
    "backup_book",
    "check_readings",
    "draw_rig",
    "estimate_resistance",
    "export_book",
    "find_tackles",
    "import_to_book",
    "list_rigs",
    "make_plan",
    "measure_campaign",
    "measure_trial",
    "new_book",
    "predict_campaign",
    "publish_bundle",
    "publish_card",
    "publish_charts",
    "publish_pull",
    "publish_report",
    "publish_workbook",
    "published_check",
    "read_rig",
    "read_trial",
    "recompute_bundle",
    "record_seen",
    "show_book",
    "show_kit",
    "solve_rig",
    "step_pull",
    "write_devices",
    "write_results",
]


def test_the_public_names_are_pinned_and_sorted():
    assert hw.__all__ == NAMES == sorted(NAMES)
    assert dir(hw) == NAMES
    for name in NAMES:
        assert getattr(hw, name) is not None


def test_the_python_record_is_the_printed_record(capsys):
    assert main(["rig", "solve", "stacked two-parts", "--ratio", "1.1", "--load", "30kN", "--json"]) == 0
    printed = json.loads(capsys.readouterr().out)
    assert hw.solve_rig("stacked two-parts", 1.1, load="30 kN").to_dict() == printed


def test_a_rig_is_taken_as_mapping_notation_name_or_rig():
    mapping = {
        "anchors": {"oak": {}},
        "load": {"name": "truck", "resistance": "10 kN"},
        "blocks": {"B": {"on": "oak"}},
        "lines": {"winch line": {"standing": "truck", "through": ["B"], "fall": "winch"}},
        "winch": {"on": "truck"},
    }
    efforts = {
        hw.solve_rig(given, 1.25, load="10 kN").effort_N["winch"]
        for given in (mapping, "!truck.drum > oak > truck", "two-part", hw.read_rig(mapping))
    }
    assert len({round(effort, 6) for effort in efforts}) == 1
