"""Verbs of a pull: plan it, check its readings, go along it."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from haulwright.progress import Progress, Step, silent, within
from haulwright.publishing.output import Files, output_folder, record_of
from haulwright.workflows.given import Given

if TYPE_CHECKING:
    from haulwright.files.pull import Pull
    from haulwright.planning.found import Planned
    from haulwright.planning.pull_kinds import PullKinds
    from haulwright.planning.pull_result import PullSteps
    from haulwright.planning.readings import ReadingsCheck
    from haulwright.planning.result import Plan
    from haulwright.planning.tackles import Tackles


def make_plan(
    pull: Given,
    *,
    kit: Given | None = None,
    friction: Given | None = None,
    rig: str | None = None,
    progress: Progress = silent,
) -> Plan:
    """Return ranked rigs for a pull, with every item's margin at the expected load and at stall."""
    return plan_pull(pull, kit=kit, friction=friction, rig=rig, progress=progress).plan


def plan_pull(
    pull: Given,
    *,
    kit: Given | None = None,
    friction: Given | None = None,
    rig: str | None = None,
    progress: Progress = silent,
) -> Planned:
    """Return a plan with what stands behind each of its rigs; tackles of the enumeration are looked at too."""
    from haulwright.files.pull import read_pull
    from haulwright.planning.plan import planned

    asked = read_pull(pull, kit=kit, friction=friction, rig=rig)
    progress(Step("tackles the kit could make", 0.0))
    return planned(asked, tackles=offered_tackles(asked), progress=progress)


def offered_tackles(pull: Pull) -> Tackles:
    """Return the tackles the blocks and ropes of a pull's kit could make, those that lead among all there are."""
    from haulwright.mechanics.batch.leading import leading_tackles
    from haulwright.mechanics.batch.reevings import MOST_MOVING, MOST_SHEAVES
    from haulwright.mechanics.tackles import OFF, ON
    from haulwright.planning.found import named_by_a_plan
    from haulwright.planning.tackles import LEADING, gear_for_tackles
    from haulwright.planning.tackles import Tackles as Offered

    if pull.rig is not None and not named_by_a_plan(pull.rig):
        return Offered()
    blocks, ropes, on_load = gear_for_tackles(pull)
    blocks, ropes = min(blocks, MOST_SHEAVES), min(ropes, MOST_MOVING + 1)
    found = [leading_tackles(blocks, ropes, ON if on else OFF) for on in sorted(on_load)]
    paths = tuple(tackle.path for one in found for tackle in one.tackles)
    return Offered(paths, sum(one.looked_at for one in found), LEADING)


def check_readings(
    pull: Given,
    *,
    line: str | float,
    anchor: str | float,
    at: str | None = None,
    rig: str | None = None,
    friction: Given | None = None,
    moving: bool = False,
    zero: str | float | None = None,
    progress: Progress = silent,
) -> ReadingsCheck:
    """Return whether two readings under light tension fit the rig as drawn.

    See :func:`haulwright.planning.readings.check_readings`.
    """
    from haulwright.planning.readings import check_readings as check

    planned = plan_pull(pull, friction=friction, rig=rig, progress=within(progress, 0.0, 0.9))
    return check(planned, line=line, anchor=anchor, at=at, moving=moving, zero=zero)


def readings_exit_code(check: ReadingsCheck) -> int:
    """Return 0 where the rig is as drawn and the line carries no more than planned, else 1."""
    return 0 if check.verdict == "as drawn" and check.against_plan not in ("above", "near stall") else 1


def step_pull(
    pull: Given,
    *,
    kit: Given | None = None,
    friction: Given | None = None,
    rig: str | None = None,
    steps: int = 200,
    progress: Progress = silent,
) -> PullSteps:
    """Return one rig of a pull along its travel: what the winch does at every step, peaks and stop points.

    Parameters
    ----------
    pull, kit, friction
        As :func:`make_plan`.
    rig : str or None
        Name of a rig in the plan, a named rig, or a path in one-line notation; None takes the one the plan chose.
    steps : int
        Of the whole travel.
    progress : callable
        Is told each step of the work in words.
    """
    from haulwright.planning.pull_steps import step_pull as step

    plan = plan_pull(pull, kit=kit, friction=friction, progress=within(progress, 0.0, 0.8))
    progress(Step("the pull, step by step", 0.8))
    if rig is None or rig in plan.settings:
        return step(plan, rig, steps)
    return step(plan_pull(pull, kit=kit, friction=friction, rig=rig), None, steps)


def list_pull_kinds() -> PullKinds:
    """Return every word a pull can be told in: surfaces, depths, kinds of anchor, hazards."""
    from haulwright.planning.pull_kinds import list_pull_kinds as listed

    return listed()


def plan_exit_code(plan: Plan) -> int:
    """Return 0, or 1 where the chosen rig is over or unknown or none is left."""
    return 1 if plan.best is None or plan.best.verdict in ("over", "unknown") else 0


def write_plan(plan: Plan, out: str | Path) -> Files:
    """Write a plan's record as JSON."""
    from haulwright.publishing.writing import write_record

    with output_folder(out) as folder:
        what = "the plan with every item's margin, machine-readable"
        return record_of([write_record(plan, folder / "plan.json", what)])
