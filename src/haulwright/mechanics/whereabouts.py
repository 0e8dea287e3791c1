"""Where a solved rig lies, for its record."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from haulwright.mechanics.geometry import Course
from haulwright.mechanics.rig import Rig

Place = tuple[float, float, float]
ALONG = 1e-3  # of a force: a part of it across the travel below this is none


@dataclass(frozen=True)
class Whereabouts:
    """Where everything of a rig lies, for drawings only.

    Attributes
    ----------
    placed : bool
        True where places are metres; otherwise they are stations in order.
    bodies : mapping body -> Place
        Place of each body [m].
    points : mapping line -> tuple of Place
        Place of each point of a line, from the standing end [m].
    courses : mapping line -> tuple of Place
        Unit vector of each part, with stated wraps kept.
    turned : mapping line -> tuple of str or None
        For each point of a line the block it lies on, or None.
    straps : tuple of str
        Lines that are straps or legs.
    drums : mapping line -> drum
    travel : Place
        Unit vector along which the load should move.
    """

    placed: bool
    bodies: Mapping[str, Place]
    points: Mapping[str, tuple[Place, ...]]
    courses: Mapping[str, tuple[Place, ...]]
    turned: Mapping[str, tuple[str | None, ...]]
    straps: tuple[str, ...]
    drums: Mapping[str, str]
    travel: Place

    def along(self, force_N: tuple[float, ...]) -> bool:
        """Tell whether a force lies along the travel, but for a thousandth of it."""
        (a, b, c), (x, y, z) = self.travel, force_N
        across = math.hypot(b * z - c * y, c * x - a * z, a * y - b * x)
        return across < ALONG * math.hypot(x, y, z)


def whereabouts(rig: Rig, course_of: Mapping[str, Course]) -> Whereabouts:
    """Return where a rig lies whose free blocks are at their places."""
    return Whereabouts(
        placed=rig.placed,
        bodies={name: body.at for name, body in rig.bodies.items()},
        points={name: tuple(rig.place(point) for point in line.points) for name, line in rig.lines.items()},
        courses={name: course_of[name].parts for name in rig.lines},
        turned={name: tuple(point.block for point in line.points) for name, line in rig.lines.items()},
        straps=tuple(name for name, line in rig.lines.items() if line.strap),
        drums={name: line.drum for name, line in rig.lines.items() if line.drum},
        travel=rig.direction,
    )
