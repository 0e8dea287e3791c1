"""A rig as it was drawn, without a number: what is there and where, for a drawing of one that cannot be solved (yet)."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from haulwright.mechanics.rig import LOAD, Rig, Vec


@dataclass(frozen=True)
class OutlineBody:
    """A body: its role, its place [m] (or station), and whether a drum sits on it."""

    role: str
    at: Vec
    winch: bool


@dataclass(frozen=True)
class OutlineStop:
    """One point of a line: its label, its body, the block it turns over (None at an end), and its place [m]."""

    label: str
    body: str
    block: str | None
    at: Vec


@dataclass(frozen=True)
class RigOutline:
    """What is there of a rig, and where.

    Attributes
    ----------
    rig : str
        Name.
    placed : bool
        True where places are metres; otherwise they are stations in order.
    travel : Vec
        Unit vector along which the load should move.
    bodies : mapping name -> OutlineBody
    blocks : mapping name -> body
    lines : mapping name -> tuple of OutlineStop
        From the standing end.
    drums : mapping line -> drum
    straps : tuple of str
        Lines that are straps.
    """

    rig: str
    placed: bool
    travel: Vec
    bodies: Mapping[str, OutlineBody]
    blocks: Mapping[str, str]
    lines: Mapping[str, tuple[OutlineStop, ...]]
    drums: Mapping[str, str]
    straps: tuple[str, ...]

    @property
    def load(self) -> str | None:
        """Name of the load, None where there is none yet."""
        return next((name for name, body in self.bodies.items() if body.role == LOAD), None)


def outline_of(rig: Rig) -> RigOutline:
    """Return a rig without its numbers.

    Parameters
    ----------
    rig : Rig
        It need not be one that works.

    Examples
    --------
    >>> from haulwright.mechanics.tackles import named_rig
    >>> [stop.label for stop in outline_of(named_rig("two-part/on-load")).lines["winch line"]]
    ['O', 'X', 'O']
    """
    drums = {name: line.drum for name, line in rig.lines.items() if line.drum}
    carrying = {rig.lines[name].points[-1].body for name in drums}
    return RigOutline(
        rig=rig.name,
        placed=rig.placed,
        travel=rig.direction,
        bodies={n: OutlineBody(body.role, body.at, n in carrying) for n, body in rig.bodies.items()},
        blocks={name: block.body for name, block in rig.blocks.items()},
        lines={
            name: tuple(
                OutlineStop(
                    point.label, point.body, point.block if i in line.contacts else None, rig.place(point)
                )
                for i, point in enumerate(line.points)
            )
            for name, line in rig.lines.items()
        },
        drums=drums,
        straps=tuple(name for name, line in rig.lines.items() if line.strap),
    )
