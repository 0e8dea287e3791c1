"""Where nobody may stand, on the ground: the lines, what lies in line with them, the inside of every bend.

A distance rule says how far; it never makes the places in line with a part, or inside a bend, safe.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from haulwright.field.inputs import positive
from haulwright.field.published import house

Spot = tuple[float, float]
_LEAST_m = 1e-6  # ends of a part nearer than this have no direction between them
_ROUND = 36  # directions in which a place to stand is looked for


@dataclass(frozen=True)
class Part:
    """A straight run of line, from above.

    Attributes
    ----------
    name : str
        What it is called: ``wagon to oak``.
    ends_m : (Spot, Spot)
        Where it begins and ends [m].
    """

    name: str
    ends_m: tuple[Spot, Spot]


@dataclass(frozen=True)
class Bend:
    """A line turning round something.

    Attributes
    ----------
    at : str
        What it turns round.
    corner_m : Spot
        Where that is [m].
    arms_m : (Spot, Spot)
        Where the two parts go to [m].
    """

    at: str
    corner_m: Spot
    arms_m: tuple[Spot, Spot]

    @property
    def turns(self) -> bool:
        """Return whether its parts lie apart, so that there is an inside."""
        return 1e-3 < self._between < math.pi - 1e-3

    @property
    def _between(self) -> float:
        a, b = (_bearing(self.corner_m, arm) for arm in self.arms_m)
        return abs(_turn(b - a))

    def holds(self, spot: Spot) -> bool:
        """Return whether a place lies inside the bend, however far from its corner."""
        if not self.turns or math.dist(spot, self.corner_m) < _LEAST_m:
            return False
        a, b = (_bearing(self.corner_m, arm) for arm in self.arms_m)
        seen = _bearing(self.corner_m, spot)
        return abs(_turn(seen - a)) <= self._between and abs(_turn(seen - b)) <= self._between


@dataclass(frozen=True)
class NoStanding:
    """The ground where nobody may stand.

    Attributes
    ----------
    radius_m : float
        The largest distance rule [m], from every part of every line.
    parts : tuple of Part
    bends : tuple of Bend
    in_line_rad : float
        A place counts as in line with a part up to this angle from its direction, seen from either end [rad].
    """

    radius_m: float
    parts: tuple[Part, ...]
    bends: tuple[Bend, ...]
    in_line_rad: float

    def why_not(self, spot: Spot) -> tuple[str, ...]:
        """Return why nobody may stand at a place; empty where no rule forbids it.

        Parameters
        ----------
        spot : (float, float)
            Place seen from above [m].

        Examples
        --------
        >>> zone = no_standing(10.0, [Part("wagon to oak", ((0.0, 0.0), (10.0, 0.0)))], [])
        >>> zone.why_not((0.0, 12.0)), zone.why_not((40.0, 1.0))
        ((), ('in line with wagon to oak',))
        """
        found = [f"in line with {part.name}" for part in self.parts if self._in_line(part, spot)]
        found += [f"inside the bend at {bend.at}" for bend in self.bends if bend.holds(spot)]
        near = min(self.parts, key=lambda part: _distance(part, spot), default=None)
        if near is not None and (away := _distance(near, spot)) < self.radius_m - _LEAST_m:
            found.append(f"{away:.1f} m from {near.name}, nearer than {self.radius_m:.1f} m")
        return tuple(dict.fromkeys(found))

    def _in_line(self, part: Part, spot: Spot) -> bool:
        a, b = part.ends_m
        if math.dist(a, b) < _LEAST_m:
            return False
        for near, far in ((a, b), (b, a)):
            if math.dist(near, spot) < _LEAST_m:
                return True
            beyond = _turn(_bearing(near, spot) - _bearing(far, near))
            if abs(beyond) <= self.in_line_rad:
                return True
        return False

    def clear_spots(self) -> tuple[Spot, ...]:
        """Return the nearest places that no rule forbids, at most one on either side of the longest part [m]."""
        parts = [part for part in self.parts if math.dist(*part.ends_m) > _LEAST_m]
        if not parts:
            return ()
        longest = max(parts, key=lambda part: math.dist(*part.ends_m))
        middle = _middle(longest)
        along = _bearing(*longest.ends_m)
        best: dict[int, tuple[float, Spot]] = {}
        for turn in range(_ROUND):
            bearing = along + math.pi / 2.0 + 2.0 * math.pi * turn / _ROUND
            side = 1 if math.sin(bearing - along) > 0.0 else -1
            found = self._first_clear(middle, bearing)
            if found is not None and (side not in best or found[0] < best[side][0] - _LEAST_m):
                best[side] = found
        return tuple(spot for _, (_, spot) in sorted(best.items(), reverse=True))

    def _first_clear(self, middle: Spot, bearing: float) -> tuple[float, Spot] | None:
        away = self.radius_m
        while away <= 3.0 * self.radius_m:
            spot = (middle[0] + away * math.cos(bearing), middle[1] + away * math.sin(bearing))
            if not self.why_not(spot):
                return away, spot
            away += max(self.radius_m / 50.0, 0.5)
        return None


def no_standing(radius_m: float, parts: Sequence[Part], bends: Sequence[Bend]) -> NoStanding:
    """Return the ground where nobody may stand.

    Parameters
    ----------
    radius_m : float
        The largest distance rule [m], from :func:`haulwright.field.zone.stand_clear`.
    parts : sequence of Part
        Every part of every line, straps and bridles too.
    bends : sequence of Bend

    Returns
    -------
    NoStanding

    Raises
    ------
    QuantityRefusal
        ``NOT_POSITIVE`` for the radius.

    Notes
    -----
    Seen from above. The inside of a bend is the wedge between its two parts, without an end: what a corner that fails
    lets fly goes that way. How wide "in line" is taken is a house number.

    References
    ----------
    In line and inside the bend: accident reports, Workplace Health and Safety Queensland, 2018; the wedge and the angle
    of "in line": common practice, no source.

    Examples
    --------
    >>> corner = [Bend("oak", (10.0, 0.0), ((0.0, 0.0), (10.0, -12.0)))]
    >>> parts = [Part("wagon to oak", ((0.0, 0.0), (10.0, 0.0))), Part("oak to helper", ((10.0, 0.0), (10.0, -12.0)))]
    >>> no_standing(5.0, parts, corner).why_not((-20.0, -30.0))
    ('inside the bend at oak',)
    """
    positive(radius_m, "radius of the zone [m]")
    return NoStanding(radius_m, tuple(parts), tuple(bends), house("in-line-angle").value)


def _bearing(start: Spot, end: Spot) -> float:
    return math.atan2(end[1] - start[1], end[0] - start[0])


def _turn(angle: float) -> float:
    """Return an angle as a turn from -pi to pi."""
    return math.remainder(angle, 2.0 * math.pi)


def _middle(part: Part) -> Spot:
    (ax, ay), (bx, by) = part.ends_m
    return ((ax + bx) / 2.0, (ay + by) / 2.0)


def _distance(part: Part, spot: Spot) -> float:
    (ax, ay), (bx, by) = part.ends_m
    dx, dy = bx - ax, by - ay
    length = dx * dx + dy * dy
    share = 0.0 if length < _LEAST_m**2 else ((spot[0] - ax) * dx + (spot[1] - ay) * dy) / length
    share = min(1.0, max(0.0, share))
    return math.hypot(spot[0] - ax - share * dx, spot[1] - ay - share * dy)
