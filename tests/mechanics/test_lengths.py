"""What 10 mm of a strap change, from one linear solve, against the same rig solved anew with the strap 1 mm longer and
shorter (central differences of the solver, whose places are checked elsewhere against a shortest-line search)."""

import pytest
from ground_rigs import CORNER, TWO_LEGS

import haulwright as hw

STEP_M = 1e-3


def changed(rig, block, i, by_m):
    straps = rig["blocks"][block]["strap"]
    straps = [dict(one) for one in (straps if isinstance(straps, list) else [straps])]
    straps[i]["length"] += by_m
    return {**rig, "blocks": {**rig["blocks"], block: {**rig["blocks"][block], "strap": straps}}}


@pytest.mark.parametrize(
    ("rig", "block", "i", "strap"),
    [
        (CORNER, "corner", 0, "strap corner–oak"),
        (TWO_LEGS, "link", 0, "strap link–left"),
        (TWO_LEGS, "link", 1, "strap link–right"),
    ],
)
def test_changes_agree_with_the_rig_solved_anew(rig, block, i, strap):
    told = hw.solve_rig(rig).per_10_mm[strap]
    more, less = (hw.solve_rig(changed(rig, block, i, x)) for x in (STEP_M, -STEP_M))
    per = 10e-3 / (2.0 * STEP_M)
    effort = per * abs(more.effort_N["winch"] - less.effort_N["winch"])
    parts = [[p.tension_N for line in s.lines.values() for p in line.parts] for s in (more, less)]
    greatest = per * max(abs(a - b) for a, b in zip(*parts, strict=True))
    moves = (
        per
        * sum((a - b) ** 2 for a, b in zip(*(s.positions_m[block] for s in (more, less)), strict=True)) ** 0.5
    )
    assert told["effort_N"] == pytest.approx(effort, rel=1e-4)
    assert told["greatest_N"] == pytest.approx(greatest, rel=1e-4)
    assert told["moves_m"] == pytest.approx(moves, rel=1e-4)


def test_not_given_in_line_without_a_load_or_where_lines_share():
    assert hw.solve_rig("four-part", 1.1, load="10 kN").per_10_mm is None
    no_load = {**CORNER, "load": {k: v for k, v in CORNER["load"].items() if k != "resistance"}}
    assert hw.solve_rig(no_load).per_10_mm is None
    shared = {**TWO_LEGS, "blocks": {"link": {**TWO_LEGS["blocks"]["link"]}}}
    legs = [{**leg, "EA": 1000} for leg in shared["blocks"]["link"]["strap"]]
    legs.append({"to": "left", "length": legs[0]["length"], "EA": 1000})
    shared["blocks"]["link"]["strap"] = legs
    found = hw.solve_rig(shared)
    assert found.shares
    assert found.per_10_mm is None


def test_the_text_tells_it_where_it_matters(tmp_path):
    from typer.testing import CliRunner

    from haulwright.interfaces.cli.main import app

    flat = tmp_path / "flat.yaml"
    flat.write_text(
        "mode: ground\nunits: {force: kN, length: m}\n"
        "anchors: {oak: {at: [0, 0]}, elm: {at: [0, 8]}, helper: {at: [20, 4]}}\n"
        "load: {name: wagon, at: [16, 5], direction: [-1, 0], resistance: 20}\n"
        "blocks: {link: {strap: [{to: oak, length: 4.1}, {to: elm, length: 4.1}], near: [0.9, 4]}}\n"
        "lines: {winch line: {standing: wagon, through: [link], fall: winch}}\nwinch: {on: helper}\n",
        encoding="utf-8",
    )
    told = CliRunner().invoke(app, ["rig", "solve", str(flat)]).output
    assert "10 mm        of strap link–" in told
    assert "oak is pulled" in told
