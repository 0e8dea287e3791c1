"""What was noted of the runs beside their advantage: an association is said, never taken off as a correction."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from scipy.stats import t as student

from haulwright.files.conditions import Conditions, leading_number
from haulwright.notices import Code, Notice

LEVEL = 0.01  # two-sided; stricter than 5 %, since several columns are looked at
_LEAST_DOF = 3
_ALIKE = 0.8  # above this correlation with the order of the runs the two cannot be told apart (house limit)


@dataclass(frozen=True)
class NotedRun:
    """One run: group it is compared within, number in the day, ln of its advantage, what was noted."""

    group: str
    number: float
    log_advantage: float
    noted: Conditions


@dataclass(frozen=True)
class _Column:
    name: str
    unit: str
    of: Callable[[Conditions], float | None]


def _mean(values: tuple[float, ...]) -> float | None:
    return sum(values) / len(values) if values else None


_NUMBERS = (
    _Column("temperature before", "K", lambda c: _mean(c.temperature_before_C)),
    _Column("air temperature", "K", lambda c: c.air_C),
    _Column("drum layer", "layer", lambda c: None if c.layer is None else float(c.layer)),
    _Column("rope age", "unit of age", lambda c: leading_number(c.rope_age)),
)
_WORDS: Mapping[str, Callable[[Conditions], str]] = {
    "rope state": lambda c: c.rope_state,
    "weather": lambda c: c.weather.lower(),
}


def associations(runs: Sequence[NotedRun]) -> list[Notice]:
    """Return a notice for each condition the advantage goes along with, within one rig and set of devices.

    Parameters
    ----------
    runs : sequence of NotedRun

    Notes
    -----
    Least squares of ln A on the condition, the mean of each rig and set of devices taken off both; said where Student's t
    has p < 0.01 with at least three degrees of freedom. Words are compared where just two stand in the column. It is an
    association: the runs were not drawn by lot for it.
    """
    told = []
    for column in _NUMBERS:
        found = [(run, value) for run in runs if (value := column.of(run.noted)) is not None]
        told += _said(found, f"per {column.unit} of {column.name}", column.name)
    for name, word in _WORDS.items():
        words = sorted({word(run.noted) for run in runs} - {""})
        if len(words) == 2:
            pairs = [(run, float(word(run.noted) == words[1])) for run in runs if word(run.noted)]
            told += _said(pairs, f"with {name} {words[1]} against {words[0]}", name)
    return told


def _said(pairs: Sequence[tuple[NotedRun, float]], words: str, name: str) -> list[Notice]:
    groups: dict[str, list[tuple[float, float, float]]] = {}
    for run, value in pairs:
        groups.setdefault(run.group, []).append((value, run.log_advantage, run.number))
    several = [np.array(group) - np.mean(group, axis=0) for group in groups.values() if len(group) > 1]
    if not several:
        return []
    x, y, number = np.concatenate(several).T
    dof = len(x) - len(several) - 1
    span = float((x**2).sum())
    if dof < _LEAST_DOF or span < 1e-12:
        return []
    slope = float((x * y).sum()) / span
    se = max(float(((y - slope * x) ** 2).sum()) / dof / span, 1e-18) ** 0.5
    if 2.0 * float(student.sf(abs(slope) / se, dof)) >= LEVEL:
        return []
    half = float(student.ppf(0.975, dof)) * se
    spread = float((number**2).sum())
    alike = spread > 0.0 and abs(float((x * number).sum())) > _ALIKE * (span * spread) ** 0.5
    order = " It follows the order of the runs closely, so the two cannot be told apart." if alike else ""
    text = (
        f"The advantage changes by {100.0 * slope:+.2f} ± {100.0 * half:.2f} % {words} ({len(x)} runs). An association, "
        f"not a correction: nothing was taken off.{order}"
    )
    return [Code.ASSOCIATION.notice((name,), text=text)]
