"""How a rig was asked to be solved, for whoever solves it again in another way."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass

from haulwright.mechanics.rig import Rig


@dataclass(frozen=True)
class Asked:
    """A rig, ratios in place of its laws, forces [N], blocks that are seized.

    Attributes
    ----------
    rig : Rig
    values : float, mapping block -> float, or None
    load_N, effort_N : float or None
    seized : collection of str, or mapping block -> mu
    """

    rig: Rig
    values: float | Mapping[str, float] | None = None
    load_N: float | None = None
    effort_N: float | None = None
    seized: Collection[str] = ()
