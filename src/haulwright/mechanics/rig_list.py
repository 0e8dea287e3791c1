"""Every named rig in one record."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from haulwright.mechanics.statics import solve_rig
from haulwright.mechanics.tackles import NAMES, named_rig
from haulwright.records import Made, Record


@dataclass(frozen=True)
class NamedRigLine:
    """One named rig of the list: name, path from the drum, ideal advantage, contacts."""

    name: str
    path: str
    ideal_advantage: float
    contacts: int


@dataclass(frozen=True, kw_only=True)
class RigList(Record):
    """Every named rig."""

    kind: ClassVar[str] = "rig-list"
    rigs: tuple[NamedRigLine, ...]


def list_rigs() -> RigList:
    """Return every named rig with its path from the drum.

    Examples
    --------
    >>> next((rig.path, rig.ideal_advantage) for rig in list_rigs().rigs if rig.name == "two-part/on-load")
    ('!O.drum > X > O', 2.0)
    """
    lines = []
    for name in NAMES:
        rig = named_rig(name)
        solution = solve_rig(rig, 1.0)
        lines.append(
            NamedRigLine(name, rig.path, round(solution.one_winch.ideal_advantage, 9), len(solution.contacts))
        )
    return RigList(rigs=tuple(lines), made=Made("named rigs, solved without friction", {}))
