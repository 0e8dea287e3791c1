"""Every planned rig stands in balance: a check of its tensions by places alone, apart from the solver.

Outside the project: the balance of forces on a body and on the whole (any statics text). The tensions of a rig are right
where every floating block is in balance, the load is pulled along its way with the resistance, no part of a line changes
its tension at a block without friction, and by no more than its ratio with it; the directions are taken from the places.
"""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Any

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from haulwright.files.pull import read_pull
from haulwright.mechanics.rig import FLOATING, Rig
from haulwright.mechanics.solution import RigSolution
from haulwright.planning.along import in_line
from haulwright.planning.found import Found, survey

Vector = tuple[float, float]
STALL = 42e3
TRIED = settings(max_examples=40, deadline=None, suppress_health_check=list(HealthCheck), derandomize=True)


def pull_of(anchors: list[dict[str, Any]], way: str, on: str, end: str) -> dict[str, Any]:
    """Return a pull with gear that stands anything, so that only the statics decides."""
    gear: list[dict[str, Any]] = [
        {
            "id": "L",
            "kind": "rope",
            "rating": "900 kN",
            "basis": "WLL",
            "diameter": "11 mm",
            "length": "190 m",
        },
        {"id": "L2", "kind": "rope", "rating": "900 kN", "basis": "WLL", "length": "19 m"},
        {"id": "BR", "kind": "bridle", "rating": "900 kN", "basis": "WLL", "length": "24 m"},
    ]
    for n in range(4):
        gear += [
            {"id": f"B{n}", "kind": "block", "rating": "900 kN", "basis": "WLL", "device": "puck"},
            {"id": f"T{n}", "kind": "strap", "rating": "900 kN", "basis": "WLL"},
        ]
    gear += [{"id": f"S{n}", "kind": "soft shackle", "rating": "900 kN", "basis": "WLL"} for n in range(9)]
    points = [{"name": f"{e} point", "end": e, "rating": "900 kN", "basis": "WLL"} for e in ("front", "rear")]
    return {
        "pull": "balance",
        "vehicle": {"name": "wagon", "mass": "1500 kg", "sunk": "rim", "points": points},
        "ground": {"surface": "road"},
        "site": {"anchors": anchors},
        "winch": {"id": "W", "on": on, "end": end},
        "want": {"travel": "3 m", "least_gap": "1 m", "way": way},
        "friction": {"puck": {"k": 1.1, "u": 0.01, "interval95": [1.08, 1.12], "valid_N": [1.0, 1e6], "source": "invented"}},
        "kit": {
            "items": gear,
            "winches": [
                {
                    "id": "W",
                    "line_pull": f"{STALL} N",
                    "drum": {"barrel": "400 mm", "width": "2 m"},
                    "rope": "L",
                    "mount": {"rating": "900 kN", "basis": "WLL"},
                }
            ],
        },
    }  # fmt: skip


@st.composite
def pulls(draw: st.DrawFn) -> dict[str, Any]:
    """Draw one to three anchors anywhere about, the way out, and where the winch stands."""
    names = ["oak", "elm", "helper"][: draw(st.integers(1, 3))]
    anchors = []
    for name in names:
        x, y = draw(st.integers(7, 22)) * draw(st.sampled_from([1, 1, 1, -1])), draw(st.integers(-7, 7))
        vehicle = (
            {"kind": "vehicle", "mass": "3 t", "surface": "gravel"} if name == "helper" else {"kind": "tree"}
        )
        anchors.append(
            {"name": name, "at": [f"{x} m", f"{y} m"], "limit": "900 kN", "source": "invented", **vehicle}
        )
    on = draw(st.sampled_from(["wagon", "wagon", names[-1]]))
    return pull_of(
        anchors,
        draw(st.sampled_from(["ahead", "back", "either"])),
        on,
        draw(st.sampled_from(["front", "rear"])),
    )


def forces(rig: Rig, solution: RigSolution) -> dict[str, Vector]:
    """Return the sum of the lines on every body, from tensions and places alone."""
    found = dict.fromkeys(rig.bodies, (0.0, 0.0))
    for name, line in rig.lines.items():
        for part, (a, b) in zip(solution.lines[name].parts, pairwise(line.points), strict=True):
            (ax, ay, _), (bx, by, _) = rig.bodies[a.body].at, rig.bodies[b.body].at
            far = math.hypot(bx - ax, by - ay)
            x, y = part.tension_N * (bx - ax) / far, part.tension_N * (by - ay) / far
            found[a.body] = (found[a.body][0] + x, found[a.body][1] + y)
            found[b.body] = (found[b.body][0] - x, found[b.body][1] - y)
    return found


def check_balance(rig: Rig, solution: RigSolution, most: float) -> None:
    """Check one solution at one place; ``most`` is the greatest ratio a block may have."""
    near = {"abs": 1e-5 * (solution.resistance_N + STALL)}
    on = forces(rig, solution)
    load = on[rig.load.name]
    along = load[0] * rig.direction[0] + load[1] * rig.direction[1]
    assert along == pytest.approx(solution.resistance_N, **near)
    for body in rig.floating:
        assert math.hypot(*on[body.name]) == pytest.approx(0.0, **near), f"{body.name} floats out of balance"
    fixed = [name for name, body in rig.bodies.items() if body.role != FLOATING]
    assert [sum(on[name][n] for name in fixed) for n in (0, 1)] == [pytest.approx(0.0, **near)] * 2
    for name in fixed:
        told = solution.bodies[name].vector_N or (0.0, 0.0)
        assert (told[0], told[1]) == (
            pytest.approx(on[name][0], **near),
            pytest.approx(on[name][1], **near),
        ), name
    for line in solution.lines.values():
        for one, other in pairwise(part.tension_N for part in line.parts):
            assert max(one, other) <= min(one, other) * most * (1.0 + 1e-6)
    drum = solution.lines[rig.hauling_line.name].parts[-1]
    assert drum.tension_N == pytest.approx(STALL)


def check_candidate(found: Found) -> None:
    """Check a rig along its travel, then what the plan says of its anchors and its winch."""
    solved, candidate, shared = found.solved, found.candidate, found.setting.request.shared
    most: dict[str, float] = {}
    for place, free, upper in zip(found.setting.along, solved.free, solved.upper, strict=True):
        rig = place.rig
        check_balance(rig, free, 1.0)
        if not rig.floating or in_line(rig):  # elsewhere friction lets a floating block lie a little off
            check_balance(rig, upper, 1.12)
        for solution in (free, upper):
            for name, body in solution.bodies.items():
                legs = shared[name].legs(body.vector_N or (0.0, 0.0)) if name in shared else ()
                for leg in legs:
                    most[leg.name] = max(most.get(leg.name, 0.0), leg.tension_N)
                if not legs:
                    most[name] = max(most.get(name, 0.0), body.load_N)
                x, y = (sum(leg.vector_N[n] for leg in legs) for n in (0, 1))
                assert not legs or math.hypot(x, y) == pytest.approx(body.load_N, rel=1e-6)
    for name, anchor in candidate.anchors.items():
        if found.setting.request.shared:
            continue  # an anchor may hold a leg and a line at once: their sum is tested by hand elsewhere
        assert math.hypot(*anchor.stall_N) == pytest.approx(most[name], rel=1e-6), name
    assert candidate.stall_N == pytest.approx(STALL)
    assert candidate.effort_N.likely >= candidate.effort_N.low


@TRIED
@given(pulls())
def test_every_rig_of_a_site_is_in_balance(pull: dict[str, Any]) -> None:
    found = survey(read_pull(pull)).found
    assume(found)
    for one in found:
        check_candidate(one)


def test_sites_of_every_sort_are_among_those_tried() -> None:
    # so that the property above is not true of nothing: floating blocks, bridles, a way back, a winch that stands apart
    trees = [
        {"name": name, "kind": "tree", "at": [f"{x} m", f"{y} m"], "limit": "900 kN", "source": "invented"}
        for name, x, y in (("oak", 18, 5), ("elm", 19, -4), ("ash", -16, 2))
    ]
    seen = [
        one
        for on, end in (("wagon", "front"), ("wagon", "rear"), ("elm", "front"))
        for one in survey(read_pull(pull_of(trees, "either", on, end))).found
    ]
    for one in seen:
        check_candidate(one)
    assert any(one.setting.rig.floating for one in seen)
    assert any(one.setting.request.shared for one in seen)
    assert any(one.candidate.way == "back" for one in seen)
    assert any(one.candidate.winch_on == "elm" for one in seen)
