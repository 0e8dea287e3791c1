"""The same rig without friction over the rig as it is: its strands as dashed edges."""

from __future__ import annotations

from haulwright.errors import RigRefusal
from haulwright.mechanics.solution import RigSolution
from haulwright.publishing.diagram.frame import SheetFrame
from haulwright.publishing.diagram.geometry import Knot, centre_line, ribbon
from haulwright.publishing.diagram.ground_plan import make_ground_plan
from haulwright.publishing.diagram.plan import Plan
from haulwright.publishing.diagram.survey import read_survey
from haulwright.publishing.diagram.svg import tag
from haulwright.publishing.look import DASH_FRICTIONLESS, STRAND_MIN_PX, Light


def draw_ghost(plan: Plan, ideal: RigSolution, frame: SheetFrame, light: Light) -> str:
    """Return the strands of a rig without friction, at the weights and on the sheet of the rig as it is.

    Parameters
    ----------
    plan : Plan
        Of the rig as it is.
    ideal : RigSolution
        The same rig without friction; its free blocks may lie elsewhere.
    frame : SheetFrame
        Of the plan.
    light : Light
    """
    knots = _knots(plan, ideal, frame)
    out = []
    for strand in plan.strands:
        name = strand.line.name
        tensions = [part.tension_N for part in ideal.lines[name].parts]
        edge = ribbon(centre_line(knots[name], tensions), plan.px_per_N, STRAND_MIN_PX)
        out.append(tag("path", d=edge, fill="none", stroke=light.paper, stroke_width=3.6))
        out.append(
            tag(
                "path", d=edge, fill="none", stroke=light.ink, stroke_width=1.4,
                stroke_dasharray=" ".join(f"{step:g}" for step in DASH_FRICTIONLESS),
            )
        )  # fmt: skip
    return f'<g class="frictionless">{"".join(out)}</g>'


def _knots(plan: Plan, ideal: RigSolution, frame: SheetFrame) -> dict[str, tuple[Knot, ...]]:
    """Where the lines run without friction: elsewhere only where blocks are free on the ground."""
    if plan.ground and "floating" in ideal._roles.values():
        try:
            other = make_ground_plan(read_survey(ideal), plan.size, kept=frame)
        except RigRefusal:  # the free blocks stand too close to be drawn: the weights are still told
            other = plan
        return {strand.line.name: strand.knots for strand in other.strands}
    return {strand.line.name: strand.knots for strand in plan.strands}
