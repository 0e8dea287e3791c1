"""Records of the manual chains beside the solver."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True)
class ManualStep:
    """One pass of the manual chain.

    Attributes
    ----------
    advantage, sheaves : float, int
    resistance_N, tackle_resistance_N, total_N : float
        Load resistance, one tenth of it for each sheave, and both together.
    fall_line_N : float
        Total ÷ advantage.
    inside : bool
        Whether the winch pulls that.
    """

    advantage: float
    sheaves: int
    resistance_N: float
    tackle_resistance_N: float
    total_N: float
    fall_line_N: float
    inside: bool


@dataclass(frozen=True)
class Beside:
    """A number by hand and the solver's; difference: by hand ÷ solver - 1."""

    manual: float
    solver: float
    difference: float


@dataclass(frozen=True)
class Siblings:
    """The manual chains beside the solver, for the chosen rig.

    Attributes
    ----------
    capacity_N : float
        What the winch pulls: on the last layer, or rated where the drum is not described.
    this_rig : ManualStep or None
        At the likely resistance, by the parts and sheaves of this rig; None where parts do not count out.
    fall_line_N, advantage : Beside or None
        Fall line at the likely resistance; advantage by counting parts beside the solver's without friction.
    dead_lines_N : mapping body -> Beside
        What holds the tackle at each anchor, at the likely resistance.
    raised : tuple of ManualStep
        At the high resistance: the advantage raised until the fall line is inside the winch.
    why : tuple of str
        Why they differ.
    sources : tuple of str
    """

    capacity_N: float
    this_rig: ManualStep | None
    fall_line_N: Beside | None
    advantage: Beside | None
    dead_lines_N: Mapping[str, Beside]
    raised: tuple[ManualStep, ...]
    why: tuple[str, ...]
    sources: tuple[str, ...]
