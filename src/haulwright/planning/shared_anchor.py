"""One block held by two anchors: a bridle from one to the other, its middle where the block hangs.

While both legs are taut the middle cannot move, so it counts as a fixed body of the rig; what the lines do to it is
split into the two legs. Where a leg hangs slack the block swings over to the other anchor: not a rig of ours.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from haulwright.field.bridle import Leg, legs
from haulwright.files.kit import Item
from haulwright.mechanics.solution import RigSolution
from haulwright.planning.ground import Place

LEAST_SLACK = 0.02  # house number: a flatter bridle multiplies the pull more than twice


@dataclass(frozen=True)
class SharedAnchor:
    """A bridle between two anchors.

    Attributes
    ----------
    name : str
        Of the body where the block hangs.
    anchors : (str, str)
    at : (Place, Place)
        Where the anchors stand.
    place : Place
        Where the block hangs.
    piece : Item
        What the bridle is made of.
    legs_m : (float, float)
        Length of the leg to each anchor [m].
    """

    name: str
    anchors: tuple[str, str]
    at: tuple[Place, Place]
    place: Place
    piece: Item
    legs_m: tuple[float, float]

    def legs(self, vector_N: Sequence[float]) -> tuple[Leg, ...]:
        """Return what each leg carries; one of them may hang slack.

        Parameters
        ----------
        vector_N : sequence of float
            Sum of all lines on the block, level components [N].
        """
        spots = {name: (at.along_m, at.aside_m) for name, at in zip(self.anchors, self.at, strict=True)}
        return legs((vector_N[0], vector_N[1]), (self.place.along_m, self.place.aside_m), spots)

    @property
    def between_rad(self) -> float:
        """Return the angle between the legs [rad]."""
        a, b = (self._towards(anchor) for anchor in self.at)
        return math.acos(max(-1.0, min(1.0, a[0] * b[0] + a[1] * b[1])))

    def _towards(self, anchor: Place) -> tuple[float, float]:
        far = self.place.to(anchor)
        return (anchor.along_m - self.place.along_m) / far, (anchor.aside_m - self.place.aside_m) / far


def bridled(
    names: tuple[str, str], at: tuple[Place, Place], piece: Item, direction: Sequence[float]
) -> SharedAnchor | None:
    """Return two anchors joined by a bridle, the block fixed to it where it hangs on the line of the pull.

    Parameters
    ----------
    names : (str, str)
    at : (Place, Place)
        Where the anchors stand, one on each side of the line of the pull.
    piece : Item
        With its length.
    direction : sequence of float
        Of the pull, from the origin.

    Returns
    -------
    SharedAnchor or None
        None where both stand on one side, since one leg would then hang slack, or where the piece is too short.

    Notes
    -----
    Both legs together are as long as the piece: the block hangs on the ellipse round the two anchors, on the side the pull
    comes from. Its place on the line of the pull is found by bisection.
    """
    length, apart = piece.length or 0.0, at[0].to(at[1])
    (a, p), (b, q) = (_seen(place, direction) for place in at)
    if p * q >= 0.0 or length <= apart * (1.0 + LEAST_SLACK):
        return None
    crossing = a + (b - a) * p / (p - q)  # where the line from one to the other crosses that of the pull

    def around(x: float) -> float:
        return math.hypot(a - x, p) + math.hypot(b - x, q)

    low, high = crossing - length, crossing
    for _ in range(60):
        middle = (low + high) / 2.0
        low, high = (middle, high) if around(middle) > length else (low, middle)
    x = (low + high) / 2.0
    legs_m = (math.hypot(a - x, p), math.hypot(b - x, q))
    place = Place(x * direction[0], x * direction[1])
    return SharedAnchor(f"{names[0]} + {names[1]}", names, at, place, piece, legs_m)


def _seen(place: Place, direction: Sequence[float]) -> tuple[float, float]:
    """Return a place along a direction, and aside of it [m]."""
    dx, dy = direction[0], direction[1]
    return place.along_m * dx + place.aside_m * dy, place.aside_m * dx - place.along_m * dy


def pull_on(shared: Mapping[str, SharedAnchor], solution: RigSolution, anchor: str) -> tuple[float, float]:
    """Return the level pull of all lines, and of the legs of a bridle, on an anchor of the site [N].

    Parameters
    ----------
    shared : mapping body -> SharedAnchor
        Of the rig.
    solution : RigSolution
        On the ground.
    anchor : str
    """
    x, y = 0.0, 0.0
    if anchor in solution.bodies:
        direct = solution.bodies[anchor].vector_N or (0.0, 0.0)
        x, y = direct[0], direct[1]
    for body, one in shared.items():
        for leg in one.legs(solution.bodies[body].vector_N or (0.0, 0.0)):
            if leg.name == anchor:
                x, y = x + leg.vector_N[0], y + leg.vector_N[1]
    return x, y
