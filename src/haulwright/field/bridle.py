"""A bridle to two or more fixed anchors: what each leg carries as a vector, and which leg hangs slack."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from haulwright.errors import PlanRefusal

Vector = tuple[float, float]
_SLACK = 1e-9


@dataclass(frozen=True)
class Leg:
    """One leg of a bridle.

    Attributes
    ----------
    name : str
        What it is made fast to.
    tension_N : float
        0 where it hangs slack [N].
    vector_N : (float, float)
        Pull on its anchor, level components [N].
    slack : bool
    """

    name: str
    tension_N: float
    vector_N: Vector
    slack: bool


def legs(load_N: Vector, joint_m: Vector, anchors_m: Mapping[str, Vector]) -> tuple[Leg, ...]:
    """Return what each of two legs carries where the joint is held by both.

    Parameters
    ----------
    load_N : (float, float)
        Pull on the joint, level components [N].
    joint_m : (float, float)
        Where the legs meet under load [m].
    anchors_m : mapping name -> (float, float)
        The two anchors [m].

    Returns
    -------
    tuple of Leg
        In the order given. Where the pull does not lie between the legs, one of them hangs slack and the other carries
        all of it, whatever its direction: the joint moves over until it lies in line.

    Raises
    ------
    PlanRefusal
        ``BRIDLE`` for other than two anchors or an anchor where the joint is; ``BRIDLE_FLAT`` where the legs lie in
        one line.

    Notes
    -----
    ``T1 e1 + T2 e2 + F = 0`` with e the directions from the joint to the anchors; a negative T is a slack leg.

    References
    ----------
    Statics of a joint.

    Examples
    --------
    >>> [round(leg.tension_N) for leg in legs((-1000.0, 0.0), (0.0, 0.0), {"oak": (3.0, 3.0), "elm": (3.0, -3.0)})]
    [707, 707]
    >>> [leg.name for leg in legs((-10.0, 50.0), (0.0, 0.0), {"oak": (3.0, 3.0), "elm": (3.0, -3.0)}) if leg.slack]
    ['oak']
    """
    if len(anchors_m) != 2:
        raise PlanRefusal("BRIDLE", f"A bridle here has two legs; {len(anchors_m)} anchors are given.")
    (one, other), (e1, e2) = anchors_m, _directions(joint_m, anchors_m)
    across = e1[0] * e2[1] - e1[1] * e2[0]
    if abs(across) < _SLACK:
        raise PlanRefusal(
            "BRIDLE_FLAT", f"The legs to {one} and {other} lie in one straight line: move the joint."
        )
    first = (-load_N[0] * e2[1] + load_N[1] * e2[0]) / across
    second = (-e1[0] * load_N[1] + e1[1] * load_N[0]) / across
    whole = math.hypot(*load_N)
    least = -_SLACK * whole
    if first < least or second < least:
        first, second = (whole, 0.0) if second < first else (0.0, whole)
        e1 = e2 = (-load_N[0] / whole, -load_N[1] / whole)
    return (_leg(one, first, e1, whole), _leg(other, second, e2, whole))


def _directions(joint: Vector, anchors: Mapping[str, Vector]) -> Sequence[Vector]:
    found = []
    for name, at in anchors.items():
        far = math.dist(joint, at)
        if far == 0.0:
            raise PlanRefusal("BRIDLE", f"{name} stands where the legs meet: give the joint room.", (name,))
        found.append(((at[0] - joint[0]) / far, (at[1] - joint[1]) / far))
    return found


def _leg(name: str, tension_N: float, towards: Vector, whole_N: float) -> Leg:
    tension_N = max(tension_N, 0.0)
    pull = (-tension_N * towards[0], -tension_N * towards[1])
    return Leg(name, tension_N, pull, tension_N <= _SLACK * whole_N)


def slack_words(found: Sequence[Leg]) -> str:
    """Return which leg hangs slack and what that means; empty where both carry.

    Parameters
    ----------
    found : sequence of Leg
        Of :func:`legs`.

    Returns
    -------
    str

    Raises
    ------
    Nothing

    References
    ----------
    Statics of a joint: a rope does not push.

    Examples
    --------
    >>> slack_words(legs((-10.0, 50.0), (0.0, 0.0), {"oak": (3.0, 3.0), "elm": (3.0, -3.0)}))
    'The leg to oak hangs slack: elm carries the whole pull. A bridle shares only while the pull lies between its legs.'
    """
    slack = [leg.name for leg in found if leg.slack]
    carrying = [leg.name for leg in found if not leg.slack]
    if not slack:
        return ""
    return (
        f"The leg to {slack[0]} hangs slack: {' and '.join(carrying)} carries the whole pull. "
        "A bridle shares only while the pull lies between its legs."
    )
