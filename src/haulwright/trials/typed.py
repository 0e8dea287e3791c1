"""A run without a log: two forces typed from the displays. A lower grade, with a budget of its own."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from haulwright.errors import FileRefusal, TrialRefusal
from haulwright.field.published import house
from haulwright.files.conditions import read_reading
from haulwright.notices import Code, Notice
from haulwright.quantities.measured import Measured
from haulwright.records import Made
from haulwright.trials.cells import ASSUMED_CLASS, CellSpec
from haulwright.trials.friction import RigModel
from haulwright.trials.remarks import sanity
from haulwright.trials.result import BudgetTerm, ChannelInfo, TrialResult

TYPED, LOGGED = "typed", "logged"
SWING = house("reading-swing").value  # half-width a reading swings by while hauling, where none is given
_UNKNOWN_CAPACITY = 1.5  # capacity over the reading where it is not told (house rule, as for logs)


@dataclass(frozen=True)
class TypedForce:
    """A force read off a display.

    Attributes
    ----------
    force_N : float
    swing_N : float or None
        Half-width it swung by; None takes 3 % of the reading.
    step_N : float
        Step of the display, or of the last digit that was typed.
    unit : str
    """

    force_N: float
    swing_N: float | None
    step_N: float
    unit: str


def measure_typed(
    forces: Mapping[str, TypedForce],
    *,
    run: str,
    rig_name: str,
    frictionless: float,
    lowest: float,
    devices: tuple[str, ...] = (),
    cells: Mapping[str, CellSpec] | None = None,
    advantage_per_ratio: Callable[[float], float] | None = None,
    path: str = "",
) -> TrialResult:
    """Return a run from two forces typed from the displays.

    Parameters
    ----------
    forces : mapping place -> TypedForce
        ``line`` and ``anchor``; further places are kept as mean forces.
    run, rig_name, frictionless, lowest, devices, cells, advantage_per_ratio, path
        As :func:`haulwright.trials.estimate.measure` takes them.

    Returns
    -------
    TrialResult
        Of grade ``typed``, without phases, steady stretch and traces.

    Notes
    -----
    Relative, for each cell: class ÷ √3 (or half the certificate's U); zero unknown, class × capacity ÷ √3 ÷ reading;
    display step ÷ √12; half-width it swung by ÷ √3. All limits are rectangular, JCGM 100:2008, 4.3.7. The last three
    change from run to run and make the repeatability. Nothing tells whether the rope moved.
    """
    specs = {place: (cells or {}).get(place, CellSpec()) for place in forces}
    errors = {place: _errors(force, specs[place]) for place, force in forces.items()}
    relative = {
        f"{term} of the {place}{' cell' if term in ('class', 'certificate') else ''}": u
        for place in ("line", "anchor")
        for term, u in errors[place].items()
    }
    ratio_value = forces["anchor"].force_N / forces["line"].force_N
    variance = math.fsum(u * u for u in relative.values())
    fixed = math.fsum(u * u for term, u in relative.items() if term.endswith(" cell"))
    ratio = Measured.normal(ratio_value, ratio_value * math.sqrt(variance))
    repeat = Measured.normal(ratio_value, ratio_value * math.sqrt(variance - fixed))
    relation = advantage_per_ratio or (lambda value: value)
    advantage, low, high = (relation(value) for value in (ratio.value, repeat.lo, repeat.hi))
    slope = (relation(ratio_value * 1.0001) - relation(ratio_value * 0.9999)) / (0.0002 * ratio_value)
    total = Measured(advantage, abs(slope) * ratio.u, relation(ratio.lo), relation(ratio.hi))
    return TrialResult(
        run=run,
        rig=rig_name,
        path=path,
        devices=devices,
        frictionless=frictionless,
        channels={
            place: ChannelInfo(specs[place].cell, force.unit, 0.0, 1, 0, Measured.exact(0.0))
            for place, force in forces.items()
        },
        phases=(),
        steady=(),
        mean_N={
            place: Measured.normal(force.force_N, force.force_N * math.hypot(*errors[place].values()))
            for place, force in forces.items()
        },
        ratio=ratio,
        advantage=total,
        u_repeatability=abs(slope) * repeat.u,
        interval95_repeatability=(low, high),
        winch_share=Measured(1.0 / total.value, total.u / total.value**2, 1.0 / total.hi, 1.0 / total.lo),
        budget=tuple(
            BudgetTerm(term, abs(slope) * u * ratio_value, u * u / variance) for term, u in relative.items()
        ),
        quality={"grade": "typed from the displays"},
        grade=TYPED,
        notices=(
            *_notices(run, specs, forces),
            *sanity(total, frictionless, lowest, 1.0),
            Code.NO_PEAKS.notice(),
        ),
        made=Made(
            "ratio of two forces typed from the displays",
            {"forces": dict(forces), "cells": specs},
            ("JCGM 100:2008 (GUM)",),
        ),
    )


def _errors(force: TypedForce, cell: CellSpec) -> dict[str, float]:
    """Return the relative standard uncertainties of one typed force."""
    share = ASSUMED_CLASS if cell.accuracy is None else cell.accuracy
    capacity = cell.capacity_N or _UNKNOWN_CAPACITY * force.force_N
    swing = SWING * force.force_N if force.swing_N is None else force.swing_N
    return {
        cell.error_word: cell.standard_at(force.force_N),
        "zero (not known)": share * capacity / force.force_N / math.sqrt(3.0),
        "display step": force.step_N / force.force_N / math.sqrt(12.0),
        "reading": swing / force.force_N / math.sqrt(3.0),
    }


def _notices(run: str, specs: Mapping[str, CellSpec], forces: Mapping[str, TypedForce]) -> list[Notice]:
    told = [Code.TYPED.notice((run,))]
    for place in ("line", "anchor"):
        if not specs[place].known:
            told.append(Code.CLASS_ASSUMED.notice((place,), what=place, value=f"{100 * ASSUMED_CLASS:g} %"))
        if forces[place].swing_N is None:
            text = f"How far the {place} reading swung is not told: ± {100 * SWING:g} % is taken. Type it as 612 ± 8 kgf."
            told.append(Code.ADVICE.notice((place,), text=text))
    return told


def typed_run(
    texts: Mapping[str, Any],
    model: RigModel,
    devices: Sequence[str],
    cells: Mapping[str, CellSpec] | None,
    advantage_per_ratio: Callable[[float], float] | None,
    run: str,
) -> TrialResult:
    """Return a run from forces typed as text, ``{"line": "612 kgf", "anchor": "1120 ± 10 kgf"}``.

    Raises
    ------
    TrialRefusal
        READINGS: other places than line and anchor, or a text that is no force with its unit.
    """
    if set(texts) != {"line", "anchor"} or not all(isinstance(text, str) for text in texts.values()):
        raise TrialRefusal(
            "READINGS",
            "Typed forces: expected line and anchor, each as 612 kgf or 612 ± 8 kgf.",
            tuple(texts),
        )
    forces = {}
    for place, text in texts.items():
        try:
            one = read_reading("typed", 0, place, text)
        except FileRefusal as refused:
            message = refused.message.partition(": ")[2] or refused.message
            raise TrialRefusal("READINGS", f"{place}: {message}", (place,)) from None
        factor = (cells or {}).get(place, CellSpec()).factor
        swing = None if one.scatter_N is None else factor * one.scatter_N
        forces[place] = TypedForce(factor * one.force_N, swing, one.step_N, one.unit)
    return measure_typed(
        forces,
        run=run or "typed",
        rig_name=model.rig.name,
        frictionless=model.frictionless,
        lowest=model.lowest,
        devices=tuple(devices),
        cells=cells,
        advantage_per_ratio=advantage_per_ratio,
        path=model.rig.path,
    )
