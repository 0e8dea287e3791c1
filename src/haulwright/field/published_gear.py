"""The catalogue as gear, anchors and zone read it: which row stands for which word."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from haulwright import catalogue
from haulwright.field.inputs import one_of
from haulwright.field.published import Number, number_of
from haulwright.quantities.units import to_si

_STEPS = {
    "shackle side load": ("shackles", "side-load"),
    "shackle heat": ("shackles", "temperature"),
    "choker angle": ("slings", "choker-angle"),
    "wire bend": ("wire_rope", "bend-strength"),
}
_SOILS = {"loam": None, "hardpan": "deadman-hardpan", "fine wet": "deadman-fine-wet"}
_SHAPES = {"log": "deadman-log-slenderness", "timber": "deadman-timber-slenderness"}
_STAND_CLEAR = {
    "stand-clear-strap": ("strap", "line"),
    "stand-clear-paid-out": ("paid-out",),
    "stand-clear-line": ("line",),
    "stand-clear-distance": ("spread",),
    "stand-clear-least": (),
}


@dataclass(frozen=True)
class Steps:
    """A printed step table: pairs of bound and share, by rising bound (angles in degrees), and its citation."""

    steps: tuple[tuple[float, float], ...]
    source: str


@dataclass(frozen=True)
class DeadmanTable:
    """Holding pressure [Pa] by depth [m] and by run of the line over one of rise, in loam."""

    pressure_Pa: Mapping[float, Mapping[float, float]]  # run -> depth -> pressure
    source: str


@dataclass(frozen=True)
class DistanceRule:
    """A stand-clear rule: ``factor`` times the greatest of the lengths ``of``, or a fixed distance when ``of`` is empty."""

    name: str
    factor: float
    of: tuple[str, ...]
    source: str


def steps(name: str) -> Steps:
    """Return a printed step table of the catalogue.

    Parameters
    ----------
    name : {"shackle side load", "shackle heat", "choker angle", "wire bend"}
        Which.

    Returns
    -------
    Steps

    Examples
    --------
    >>> steps("shackle side load").steps
    ((0.0, 1.0), (45.0, 0.7), (90.0, 0.5))
    """
    row = catalogue.row(*_STEPS[name])
    return Steps(tuple(sorted(row.points)), row.source.cite())


def sling_modes() -> dict[str, Number]:
    """Return the sling mode factors by mode (``straight``, ``basket``, ``choke`` …).

    Examples
    --------
    >>> sling_modes()["choke"].value
    0.8
    """
    rows = catalogue.load("slings").values()
    return {row.id.removeprefix("mode-"): number_of(row) for row in rows if row.family == "mode"}


def bow_spread() -> Number:
    """Return the greatest angle between two legs in a shackle's bow at full WLL [rad].

    Examples
    --------
    >>> round(bow_spread().value, 3)
    2.094
    """
    return number_of(catalogue.row("shackles", "bow-spread"))


def shackle_sizes(grade: str) -> dict[float, Number]:
    """Return the printed WLL of shackles [N] by body diameter [m]; empty for a grade no table is carried for.

    Examples
    --------
    >>> round(shackle_sizes("6")[0.019].value / 9806.65, 2), shackle_sizes("8")
    (4.75, {})
    """
    rows = [row for row in catalogue.load("shackles").values() if row.family == f"grade-{grade}"]
    return {float(row.extra["body_mm"]) / 1000.0: number_of(row) for row in rows}


def shackle_break_factor() -> Number:
    """Return the least breaking force over WLL of the shackles in the table.

    Examples
    --------
    >>> shackle_break_factor().value
    6.0
    """
    return number_of(catalogue.row("shackles", "break-factor"))


def sling_colours() -> dict[str, Number]:
    """Return the straight WLL that EN 1492 gives each colour of textile sling [N]: to compare, never to rely on.

    Examples
    --------
    >>> round(sling_colours()["violet"].value)
    9807
    """
    return {row.id: number_of(row) for row in catalogue.load("slings").values() if row.family == "colour"}


def deadman_table() -> DeadmanTable:
    """Return the published holding pressures of a deadman in loam.

    Examples
    --------
    >>> round(deadman_table().pressure_Pa[2.0][to_si(5, "ft", "length")])
    172369
    """
    table = {}
    source = ""
    for row in catalogue.load("anchors").values():
        if row.quantity == "bearing-pressure":
            run = float(str(row.extra["slope"]).partition(":")[2])
            table[run] = {to_si(depth, row.x_unit, "length"): pressure for depth, pressure in row.points_si}
            source = row.source.cite()
    return DeadmanTable(table, source)


def deadman_soil(soil: str) -> float:
    """Return the factor on the loam table for a soil.

    Examples
    --------
    >>> deadman_soil("fine wet")
    0.5
    """
    id_ = _SOILS[one_of(soil, _SOILS, "soil", "SOIL")]
    return 1.0 if id_ is None else catalogue.row("anchors", id_).si


def deadman_longest(shape: str) -> float:
    """Return the greatest length of a deadman in its own thicknesses.

    Examples
    --------
    >>> deadman_longest("log")
    5.0
    """
    return catalogue.row("anchors", _SHAPES[one_of(shape, _SHAPES, "shape of the deadman", "SHAPE")]).si


def pickets_table() -> dict[str, Number]:
    """Return the holding force of picket rows [N] by their pattern.

    Examples
    --------
    >>> round(pickets_table()["3-2-1"].value)
    17793
    """
    rows = [row for row in catalogue.load("anchors").values() if "pattern" in row.extra]
    return {str(row.extra["pattern"]): number_of(row) for row in rows}


def distance_rules() -> tuple[DistanceRule, ...]:
    """Return every published stand-clear rule.

    Examples
    --------
    >>> [rule.of for rule in distance_rules()][-1]
    ()
    """
    rows = [row for row in catalogue.load("rules").values() if row.id.startswith("stand-clear-")]
    return tuple(DistanceRule(row.name, row.si, _STAND_CLEAR[row.id], row.source.cite()) for row in rows)
