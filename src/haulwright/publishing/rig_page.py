"""A rig as a page shows it: one record with its solution, its loads beside their limits, and its drawing."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from typing import Any, ClassVar

from haulwright.errors import Refusal, RigRefusal
from haulwright.mechanics.outline import RigOutline
from haulwright.mechanics.solution import RigSolution
from haulwright.planning.loads.result import LoadRow
from haulwright.publishing.diagram.frame import SheetFrame
from haulwright.publishing.diagram.labels import body_name
from haulwright.publishing.diagram.on_sheet import PlaceOnSheet
from haulwright.publishing.diagram.rig_sheet import DrawnSheet, draw_outline, draw_sheet
from haulwright.publishing.diagram.scheme import Scheme
from haulwright.quantities.measured import Measured
from haulwright.records import Made, Record


@dataclass(frozen=True)
class RefusalTold:
    """A refusal inside a record: the rig cannot work, or cannot be drawn."""

    code: str
    message: str
    where: tuple[str, ...]


@dataclass(frozen=True)
class WithoutFriction:
    """The same rig without friction: advantage [-], tension at each drum [N]."""

    advantage: float | None
    effort_N: dict[str, float]


@dataclass(frozen=True)
class RigAnswer:
    """What the rig comes to, each with its interval where friction has one.

    Attributes
    ----------
    advantage, winch_share : Measured or None
        None for several winches.
    lost : float or None
        Share of the ideal advantage that friction takes.
    stall_N : float or None
        Line pull at stall that stands beside [N].
    """

    advantage: Measured | None
    winch_share: Measured | None
    lost: float | None
    stall_N: float | None


@dataclass(frozen=True, kw_only=True)
class RigSheet(Record):
    """A rig as a page shows it.

    Attributes
    ----------
    rig : str
        Name.
    notation : str or None
        In one line; None where that cannot be said.
    mapping : mapping or None
        What a rig file would hold, after something was moved; None where nothing was.
    solution : RigSolution or None
        None where the rig was refused.
    refused : RefusalTold or None
        Why there are no numbers, and at which bodies, blocks or lines.
    answer : RigAnswer or None
    without_friction : WithoutFriction or None
    loads : tuple of LoadRow
        What every piece carries, expected and at stall, against its limit.
    drawing, unrolled : str or None
        SVG for a page with the tokens; None where it cannot be drawn, or was not asked for.
    not_drawn : RefusalTold or None
        Why not: the numbers stand all the same. With places the drawing is there without figures, to be moved on.
    frame : SheetFrame or None
        Handed back, it keeps scale and place.
    places : tuple of PlaceOnSheet
    """

    kind: ClassVar[str] = "rig-sheet"
    rig: str
    notation: str | None
    mapping: Any | None
    solution: RigSolution | None
    refused: RefusalTold | None
    answer: RigAnswer | None
    without_friction: WithoutFriction | None
    loads: tuple[LoadRow, ...]
    drawing: str | None
    unrolled: str | None
    not_drawn: RefusalTold | None
    frame: SheetFrame | None
    places: tuple[PlaceOnSheet, ...]


@dataclass(frozen=True)
class SheetChoices:
    """How a sheet is drawn: unit of force, ``laptop`` or ``phone``, width [px], the frame before, the frictionless ghost.

    With ``draw`` False it is not drawn: the numbers alone, for a page on which something is being dragged.
    """

    units: str = "kN"
    size: str = "laptop"
    width: float | None = None
    frame: SheetFrame | None = None
    ghost: bool = False
    draw: bool = True


def told(refusal: Refusal) -> RefusalTold:
    """Return a refusal as a record holds it."""
    return RefusalTold(refusal.code, refusal.message.removeprefix("rig: "), refusal.where)


def solved_sheet(
    solution: RigSolution,
    loads: Sequence[LoadRow],
    choices: SheetChoices,
    *,
    at_stall: Sequence[RigSolution] = (),
    ideal: RigSolution | None = None,
    outline: RigOutline | None = None,
    notation: str | None = None,
    mapping: Any | None = None,
) -> RigSheet:
    """Return the sheet of a solved rig; where it cannot be drawn, its numbers and why.

    Parameters
    ----------
    solution : RigSolution
    loads : sequence of LoadRow
    choices : SheetChoices
    at_stall : sequence of RigSolution
    ideal : RigSolution, optional
        The same without friction.
    outline : RigOutline, optional
    notation, mapping
        As the record holds them.
    """
    drawn, not_drawn = None, None
    try:
        drawn = draw_sheet(
            solution, at_stall, ideal=ideal if choices.ghost else None, outline=outline, units=choices.units,
            size=choices.size, width=choices.width, kept=choices.frame, over=_over(loads),
        ) if choices.draw else None  # fmt: skip
    except RigRefusal as refusal:
        not_drawn = told(refusal)
        drawn = _without_figures(outline, choices)
    return RigSheet(
        rig=solution.rig, notation=notation, mapping=mapping, solution=solution, refused=None,
        answer=_answer(solution, at_stall),
        without_friction=None if ideal is None else WithoutFriction(ideal.advantage, dict(ideal.effort_N)),
        loads=_named(loads, None if drawn is None else drawn.scheme),
        notices=solution.notices, made=Made("solved, held against its limits, drawn", {}),
        **_drawn(drawn, not_drawn),
    )  # fmt: skip


def _without_figures(outline: RigOutline | None, choices: SheetChoices) -> DrawnSheet | None:
    """The rig without a figure where its figures find no place, so that it can be moved until they do."""
    if outline is None or not outline.placed:
        return None
    bodies = replace(
        outline, blocks={}, lines={}, drums={}, straps=()
    )  # where even its lines crowd each other
    for one in (outline, bodies):
        with suppress(RigRefusal):
            return draw_outline(
                one,
                size=choices.size,
                width=choices.width,
                kept=choices.frame,
                why="its figures find no place",
            )
    return None


def refused_sheet(
    refusal: Refusal,
    outline: RigOutline | None,
    choices: SheetChoices,
    *,
    name: str = "rig",
    notation: str | None = None,
    mapping: Any | None = None,
) -> RigSheet:
    """Return the sheet of a rig without numbers: what is there, dashed, and why it was refused.

    Parameters
    ----------
    refusal : Refusal
    outline : RigOutline or None
        What is there; None where it cannot be read so far.
    choices : SheetChoices
    name : str
    notation, mapping
        As the record holds them.
    """
    drawn, not_drawn = None, None
    if outline is not None and choices.draw:
        try:
            drawn = draw_outline(
                outline,
                size=choices.size,
                width=choices.width,
                refused=_named_in(refusal, outline),
                kept=choices.frame,
            )
        except RigRefusal as err:
            not_drawn = told(err)
    return RigSheet(
        rig=outline.rig if outline is not None else name, notation=notation, mapping=mapping, solution=None,
        refused=told(refusal), answer=None, without_friction=None, loads=(),
        made=Made("read and refused: drawn without numbers", {}), **_drawn(drawn, not_drawn),
    )  # fmt: skip


def _named_in(refusal: Refusal, outline: RigOutline) -> tuple[str, ...]:
    """What is ringed: the things named, for a winch the line that falls to it; nothing before a line is led."""
    drums = tuple(line for line, drum in outline.drums.items() if drum in refusal.where)
    return (*refusal.where, *drums) if outline.lines else ()


def _drawn(drawn: DrawnSheet | None, not_drawn: RefusalTold | None) -> dict[str, Any]:
    return {
        "drawing": None if drawn is None else drawn.drawing,
        "unrolled": drawn.unrolled or None if drawn is not None else None,
        "frame": None if drawn is None else drawn.frame,
        "places": () if drawn is None else drawn.places,
        "not_drawn": not_drawn,
    }


def _answer(solution: RigSolution, at_stall: Sequence[RigSolution]) -> RigAnswer:
    def measured(path: str, value: float | None) -> Measured | None:
        return None if value is None else solution.uncertainty.get(path, Measured(value, 0.0, value, value))

    lost = None if solution.rig_efficiency is None else round(1.0 - solution.rig_efficiency, 12) + 0.0
    stall = max((pull for one in at_stall[:1] for pull in one.effort_N.values()), default=None)
    return RigAnswer(
        measured("advantage", solution.advantage), measured("winch_share", solution.winch_share), lost, stall
    )


def _over(loads: Sequence[LoadRow]) -> list[str]:
    """What is over its limit at stall, as a drawing marks it."""
    found = []
    for row in loads:
        if row.verdict_stall == "over":
            found.append(f"line:{row.of.split(':')[1]}" if row.of.startswith("part:") else row.of)
    return found


def _named(loads: Sequence[LoadRow], scheme: Scheme | None) -> tuple[LoadRow, ...]:
    """The rows with the names that stand in the drawing."""
    if scheme is None:
        return tuple(loads)
    parts = {f"part:{part.line}:{part.index}": part.name for line in scheme.lines for part in line.parts}
    bodies = {f"body:{name}": body_name(name, body.role) for name, body in scheme.bodies.items()}
    names = parts | bodies
    return tuple(replace(row, name=names.get(row.of, row.name)) for row in loads)
