"""Verbs of a pull as it is seen: its sheet, its drawings."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from haulwright.errors import PlanRefusal, Refusal
from haulwright.progress import Progress, silent
from haulwright.publishing.output import Files, output_folder, record_of
from haulwright.records import Made
from haulwright.workflows.given import Given
from haulwright.workflows.plans import plan_pull
from haulwright.workflows.rigs import solve_at_stall, solve_rig

if TYPE_CHECKING:
    from haulwright.mechanics.solution import RigSolution
    from haulwright.planning.found import Planned
    from haulwright.publishing.diagram.pull_page import PlanSheet
    from haulwright.publishing.diagram.pull_words import DrawnPull


def publish_pull(
    pull: Given | Planned,
    out: str | Path,
    *,
    kit: Given | None = None,
    friction: Given | None = None,
    rig: str | None = None,
    units: str = "kN",
    light: str = "paper",
    size: str = "laptop",
    charts: Sequence[str] | None = None,
) -> Files:
    """Write the sheet of a planned pull, the chart of it along its travel, and those of its winch.

    Parameters
    ----------
    pull, kit, friction, rig
        As :func:`plan_rig`; or what it returned.
    out : path
    units, light, size : str
        ``size`` is ``laptop``, ``phone`` or ``video`` (16:9, the charts of the winch alone), ``light`` is ``paper``,
        ``sun``, ``night`` or ``print``.
    charts : sequence of str, optional
        ``pull-plan``, ``pull-steps``, ``drum-layers``, ``parts``; all there is something for, unless told.

    Raises
    ------
    PlanRefusal
        NO_RIG where no rig can be used here.
    UsageRefusal
        CHART, SIZE, LIGHT or UNITS.
    """
    from haulwright.planning.pull_steps import step_pull as step
    from haulwright.publishing.chart_files import write_pull_charts
    from haulwright.workflows.pocket import winch_of

    if isinstance(pull, str | Path | Mapping):
        pull = plan_rig(pull, kit=kit, friction=friction, rig=rig)
    drawn, steps = _drawn_pull(pull), step(pull)
    with output_folder(out) as folder:
        return record_of(
            write_pull_charts(
                drawn, steps, winch_of(pull), folder, units=units, charts=charts, light=light, size=size
            )
        )


def plan_sheet(
    pull: Given,
    *,
    kit: Given | None = None,
    friction: Given | None = None,
    rig: str | None = None,
    units: str = "kN",
    steps: int = 60,
    progress: Progress = silent,
) -> PlanSheet:
    """Return a plan with its drawings and the chosen rig along its travel, for a page.

    Parameters
    ----------
    pull, kit, friction
        As :func:`make_plan`.
    rig : str or None
        The rig to choose: one of the plan by its name, or one rig to check; None takes the first.
    units : str
        Of the figures in the drawings.
    steps : int
        Of the travel.

    Returns
    -------
    PlanSheet
        Also where no rig can be used here: then only what is said of the pull.
    """
    from haulwright.planning.pull_steps import step_pull as step
    from haulwright.planning.told import choose
    from haulwright.publishing.diagram.pull_page import PlanSheet, glyphs, page_words, pull_drawings

    found = plan_pull(pull, kit=kit, friction=friction, progress=progress)
    if rig is not None and rig in found.settings:
        found = choose(found, rig)
    elif rig is not None:
        found = plan_pull(pull, kit=kit, friction=friction, rig=rig, progress=progress)
    undrawn = unstepped = ""
    drawings, walked = glyphs(found.plan), None
    words: tuple[tuple[str, ...], ...] = ((), (), ())
    try:
        drawn = _drawn_pull(found)
        words = page_words(drawn, units)
        drawings += pull_drawings(drawn, drawn.candidate.title, units)
    except Refusal as refused:
        undrawn = refused.message
    try:
        walked = step(found, None, steps)
    except Refusal as refused:
        unstepped = refused.message
    return PlanSheet(
        plan=found.plan, drawings=drawings, undrawn=undrawn, steps=walked, unstepped=unstepped,
        lead=words[0], zone_words=words[1], cautions=words[2], notices=found.plan.notices,
        made=Made("a plan with its drawings", {"rig": rig, "units": units, "steps": steps}),
    )  # fmt: skip


def plan_rig(
    pull: Given, *, kit: Given | None = None, friction: Given | None = None, rig: str | None = None
) -> Planned:
    """Return a plan whose chosen rig is the one asked for, with the zone, checklist and brief of that rig.

    Parameters
    ----------
    pull, kit, friction
        As :func:`make_plan`.
    rig : str or None
        As :func:`step_pull`: a rig of the plan by its name, or one rig to check; None takes the chosen one.

    Raises
    ------
    PlanRefusal
        NO_RIG where no rig can be used here.
    """
    from haulwright.planning.told import choose

    found = plan_pull(pull, kit=kit, friction=friction)
    if rig is not None and rig not in found.settings:
        found = plan_pull(pull, kit=kit, friction=friction, rig=rig)
    elif rig is not None:
        found = choose(found, rig)
    if found.plan.best is None:
        lacked = "; ".join(f"{r.rig} lacks {r.lacked}" for r in found.plan.rejected)
        raise PlanRefusal(
            "NO_RIG",
            f"{found.plan.pull}: no rig is chosen, so there is none to draw. {lacked}",
            (found.plan.pull,),
        )
    return found


def _drawn_pull(found: Planned) -> DrawnPull:
    """Return the chosen rig solved where the pull begins, at the likely resistance of its way and at stall."""
    from haulwright.planning.drawing import ratios_of
    from haulwright.publishing.diagram.legs import BridleLeg
    from haulwright.publishing.diagram.pull_words import DrawnPull

    plan, setting = found.plan, found.chosen
    chosen = plan.best
    if chosen is None or setting is None or chosen.ground_rig is None:
        raise PlanRefusal("NO_RIG", f"{plan.pull}: no rig is chosen, so there is none to draw.", (plan.pull,))
    ratios = ratios_of(plan, chosen)
    likely = chosen.resistance_N or plan.resistance_N
    expected = solve_rig(chosen.ground_rig, ratios, load=likely.likely)
    stalls = solve_at_stall(chosen.ground_rig, ratios, chosen.stall_N)
    bridles = {}
    for body in chosen.bridles:
        shared = setting.request.shared[body]
        first, *others = ([leg.vector_N for leg in shared.legs(_level(r, body))] for r in (expected, *stalls))
        most = [max(vectors, key=lambda v: math.hypot(*v)) for vectors in zip(*others, strict=True)]
        bridles[body] = tuple(
            BridleLeg(name, (at.along_m, at.aside_m), pull, stall)
            for name, at, pull, stall in zip(shared.anchors, shared.at, first, most, strict=True)
        )
    return DrawnPull(plan, chosen, expected, stalls, bridles)


def _level(solution: RigSolution, body: str) -> tuple[float, float]:
    x, y, *_ = solution.bodies[body].vector_N or (0.0, 0.0)
    return x, y
