"""The winch drum: which layer works, what it pulls, how much line it gives away.

The rating of a winch holds for the first layer. Every layer further out has a longer lever, so at constant torque
it pulls less and winds faster.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from haulwright.errors import PlanRefusal
from haulwright.field.inputs import not_negative, one_of, positive
from haulwright.field.published import house

LAYS = {"stacked": 1.0, "nested": math.sqrt(3.0) / 2.0}
"""Radial step from layer to layer, in rope diameters: ropes above each other, or in each other's grooves."""

_WHOLE = 1e-9  # 0.3 / 0.1 must count as three turns
_SAME_m = 1e-9


@dataclass(frozen=True)
class DrumLayer:
    """One layer of rope on the drum.

    Attributes
    ----------
    number : int
        Counted from the barrel, 1 is the layer of the rating.
    radius_m : float
        Pitch radius: barrel axis to rope centre [m].
    turns : int
        Turns a full layer holds.
    length_m : float
        Line that lies on this layer [m]; on the outermost layer less than it could hold.
    capacity_m : float
        Line this layer holds when full [m].
    cumulative_m : float
        Line on this layer and all below it [m].
    pull_N : float
        Line pull on this layer at the torque of the rating [N].
    speed_ratio : float
        Line speed ÷ line speed on layer 1 at the same drum speed.
    fits : bool
        False where the rope would stand out above the flange; True also where no flange is told.
    """

    number: int
    radius_m: float
    turns: int
    length_m: float
    capacity_m: float
    cumulative_m: float
    pull_N: float
    speed_ratio: float
    fits: bool = True


def layers(
    barrel_m: float,
    width_m: float,
    rope_m: float,
    line_m: float,
    rated_pull_N: float,
    lay: str = "stacked",
    flange_m: float | None = None,
    strict: bool = True,
) -> tuple[DrumLayer, ...]:
    """Wind a line on a drum and return its layers, from the barrel outwards.

    Parameters
    ----------
    barrel_m : float
        Barrel diameter [m].
    width_m : float
        Width between the flanges [m].
    rope_m : float
        Rope diameter [m].
    line_m : float
        Length of the line [m].
    rated_pull_N : float
        Rated line pull on the first layer [N].
    lay : {"stacked", "nested"}
        How a layer lies on the one below; stacked asks for more room and pulls less on the outer layers.
    flange_m : float, optional
        Flange diameter [m]. Without it, whether the line fits under the flange is not checked.
    strict : bool
        False winds the line on all the same and marks the layers above the flange; see :func:`room`.

    Returns
    -------
    tuple of DrumLayer

    Raises
    ------
    PlanRefusal
        ``DRUM_NARROW`` if not one turn fits, ``DRUM_FULL`` if the line stands out above the flange.
    QuantityRefusal
        ``NOT_POSITIVE`` for a length or the rated pull, ``WORD`` for the lay.

    Notes
    -----
    ``r_n = (barrel + d) / 2 + (n - 1) c d`` with c = 1 stacked, sqrt(3)/2 nested; a layer holds
    ``floor(width / d)`` turns of ``2 pi r_n``; ``pull_n = pull_1 r_1 / r_n`` (constant torque);
    ``speed_n = speed_1 r_n / r_1``. Ideal even winding: a line wound crosswise or loosely needs more room.

    References
    ----------
    Textbook statics of a drum. The rating holds on the first layer only and can fall by up to half on the last:
    US Navy Equipment Operator Basic, NAVEDTRA 14081, rigging.

    Examples
    --------
    >>> wound = layers(0.102, 0.224, 0.0127, 30.0, 75e3)
    >>> [(layer.number, round(layer.length_m, 3), round(layer.pull_N / 1e3, 1)) for layer in wound]
    [(1, 6.126, 75.0), (2, 7.482, 61.4), (3, 8.839, 52.0), (4, 7.553, 45.1)]
    """
    positive(barrel_m, "drum barrel diameter [m]")
    positive(width_m, "drum width [m]")
    positive(rope_m, "rope diameter [m]")
    positive(line_m, "line length [m]")
    positive(rated_pull_N, "rated line pull [N]")
    if flange_m is not None:
        positive(flange_m, "flange diameter [m]")
    step_m = rope_m * LAYS[one_of(lay, LAYS, "lay of the rope")]
    side_by_side = width_m / rope_m
    if not math.isfinite(side_by_side):
        text = f"rope diameter = {rope_m:g} m: no rope is that thin beside a drum {width_m:g} m wide. Give it in metres."
        raise PlanRefusal("INPUT", text, ("rope", "drum"))
    turns = math.floor(side_by_side + _WHOLE)
    if turns < 1:
        raise PlanRefusal(
            "DRUM_NARROW",
            f"A rope of {rope_m * 1e3:g} mm does not fit on a drum {width_m * 1e3:g} mm wide: check both.",
            ("rope", "drum"),
        )
    first_m = (barrel_m + rope_m) / 2.0
    wound: list[DrumLayer] = []
    left_m = line_m
    while left_m > _SAME_m:
        number = len(wound) + 1
        radius_m = first_m + (number - 1) * step_m
        fits = flange_m is None or radius_m + rope_m / 2.0 <= flange_m / 2.0 + _SAME_m
        if strict and not fits:
            raise PlanRefusal(
                "DRUM_FULL", _overfull(line_m, line_m - left_m, flange_m or 0.0), ("line", "drum")
            )
        capacity_m = turns * math.tau * radius_m
        length_m = min(left_m, capacity_m)
        left_m -= length_m
        wound.append(
            DrumLayer(
                number,
                radius_m,
                turns,
                length_m,
                capacity_m,
                line_m - left_m,
                rated_pull_N * first_m / radius_m,
                radius_m / first_m,
                fits,
            )
        )
    return tuple(wound)


def _overfull(line_m: float, room_m: float, flange_m: float) -> str:
    return (
        f"The line does not fit: {line_m - room_m:.1f} m of {line_m:.1f} m would stand out above the flange "
        f"({flange_m * 1e3:.0f} mm). Take a shorter or thinner line, or check the drum's measures."
    )


def room(wound: Sequence[DrumLayer]) -> float:
    """Return how much of a line fits under the flange [m].

    Parameters
    ----------
    wound : sequence of DrumLayer
        From :func:`layers`, with ``strict=False``.

    Returns
    -------
    float
        All of the line where no flange is told.

    Raises
    ------
    PlanRefusal
        Never; a drum without any room gives 0.

    Notes
    -----
    The line is wound evenly and lies no higher than the rim. What a maker or a code wants the rim to stand above the
    last layer is not counted: no open figure for vehicle winches was found.

    References
    ----------
    As :func:`layers`.

    Examples
    --------
    >>> wound = layers(0.102, 0.224, 0.0127, 30.0, 75e3, flange_m=0.180, strict=False)
    >>> [layer.fits for layer in wound], round(room(wound), 3)
    ([True, True, True, False], 22.447)
    """
    return sum(layer.length_m for layer in wound if layer.fits)


def layer_at(wound: Sequence[DrumLayer], on_drum_m: float) -> DrumLayer:
    """Return the layer the line leaves the drum from, with ``on_drum_m`` of it still wound on.

    Parameters
    ----------
    wound : sequence of DrumLayer
        From :func:`layers`.
    on_drum_m : float
        Line on the drum at this moment [m].

    Returns
    -------
    DrumLayer
        At an exact layer end the lower of the two, which pulls more.

    Raises
    ------
    PlanRefusal
        ``DRUM_FULL`` if more line is asked for than the drum carries.
    QuantityRefusal
        ``NEGATIVE`` if the line on the drum is below zero.

    References
    ----------
    Arithmetic on the lengths of :func:`layers`; no other source.

    Examples
    --------
    >>> layer_at(layers(0.102, 0.224, 0.0127, 30.0, 75e3), 10.0).number
    2
    """
    not_negative(on_drum_m, "line on the drum [m]")
    for layer in wound:
        if on_drum_m <= layer.cumulative_m + _SAME_m:
            return layer
    raise PlanRefusal(
        "DRUM_FULL",
        f"{on_drum_m:.1f} m on the drum is more than the line it carries ({wound[-1].cumulative_m:.1f} m).",
        ("drum",),
    )


def spans(
    wound: Sequence[DrumLayer], start_m: float, taken_in_m: float
) -> tuple[tuple[DrumLayer, float], ...]:
    """Split a pull at the layer ends: which layer winds how much line.

    Parameters
    ----------
    wound : sequence of DrumLayer
        From :func:`layers`.
    start_m : float
        Line on the drum when the pull starts [m].
    taken_in_m : float
        Line the winch takes in during the pull [m].

    Returns
    -------
    tuple of (DrumLayer, float)
        Layer and line wound on it [m], in the order of the pull. The first pulls most (stall), the last least.

    Raises
    ------
    PlanRefusal
        ``DRUM_FULL`` if the line taken in does not find room.
    QuantityRefusal
        ``NEGATIVE`` or ``NOT_POSITIVE`` for a length that is not accepted.

    References
    ----------
    As :func:`layer_at`.

    Examples
    --------
    >>> drum = layers(0.102, 0.224, 0.0127, 30.0, 75e3)
    >>> [(layer.number, round(length_m, 3)) for layer, length_m in spans(drum, 4.0, 8.0)]
    [(1, 2.126), (2, 5.874)]
    """
    not_negative(start_m, "line on the drum at the start [m]")
    positive(taken_in_m, "line taken in [m]")
    end_m = start_m + taken_in_m
    layer_at(wound, end_m)
    parts = []
    for layer in wound:
        from_m = max(start_m, layer.cumulative_m - layer.length_m)
        length_m = min(end_m, layer.cumulative_m) - from_m
        if length_m > _SAME_m:
            parts.append((layer, length_m))
    return tuple(parts)


def usable_line(wound: Sequence[DrumLayer], wraps: float) -> float:
    """Return the line that may leave the drum while ``wraps`` turns stay on it [m].

    Parameters
    ----------
    wound : sequence of DrumLayer
        From :func:`layers`.
    wraps : float
        Turns that must stay on: the maker's figure, else :func:`least_wraps`.

    Returns
    -------
    float
        Length [m], above zero.

    Raises
    ------
    PlanRefusal
        ``LINE_SHORT`` if the whole line is needed for the wraps that stay on.
    QuantityRefusal
        ``NEGATIVE`` if the wraps are below zero.

    References
    ----------
    Turns of ``2 pi r_n`` from the barrel outwards, as :func:`layers`; the wraps as :func:`least_wraps`.

    Examples
    --------
    >>> round(usable_line(layers(0.102, 0.224, 0.0127, 30.0, 75e3), 5), 2)
    28.2
    """
    left = not_negative(wraps, "wraps that stay on")
    kept_m = 0.0
    for layer in wound:
        turns = min(left, layer.length_m / (math.tau * layer.radius_m))
        kept_m += turns * math.tau * layer.radius_m
        left -= turns
    line_m = wound[-1].cumulative_m
    if left > _WHOLE or kept_m >= line_m - _SAME_m:
        raise PlanRefusal(
            "LINE_SHORT",
            f"A line of {line_m:.1f} m cannot leave {wraps:g} wraps on the drum and still give any away: "
            "take a longer line.",
            ("line", "drum"),
        )
    return line_m - kept_m


def least_wraps(rope: str) -> float:
    """Return the wraps that must stay on the drum where the maker gives no figure.

    Parameters
    ----------
    rope : {"wire", "fibre"}
        Kind of rope.

    Returns
    -------
    float
        The strictest published figure.

    Raises
    ------
    QuantityRefusal
        ``ROPE`` for another word.

    References
    ----------
    Catalogue, rules, ``least-wraps-wire`` and ``least-wraps-fibre``.

    Examples
    --------
    >>> least_wraps("wire"), least_wraps("fibre")
    (5.0, 10.0)
    """
    return house(f"least-wraps-{one_of(rope, ('wire', 'fibre'), 'kind of rope', 'ROPE')}").high


def capacity_by_volume(barrel_m: float, width_m: float, winding_m: float, rope_m: float) -> float:
    """Return the line a drum holds, from the volume of the winding [m].

    Parameters
    ----------
    barrel_m : float
        Barrel diameter [m].
    width_m : float
        Width between the flanges [m].
    winding_m : float
        Depth of the winding, barrel to its outside [m].
    rope_m : float
        Rope diameter [m].

    Returns
    -------
    float
        Length [m].

    Raises
    ------
    QuantityRefusal
        ``NOT_POSITIVE`` if a measure is not above zero.

    Notes
    -----
    ``L = pi W h (B + h) / d^2``: rope taken as a square bar, uniform layers without nesting. Printed for inches
    and feet as ``0.2618 W h (B + h) / d^2``.

    References
    ----------
    Wire rope handbook practice, reel capacity; 0.2618 = pi / 12.

    Examples
    --------
    >>> inch = 0.0254
    >>> round(capacity_by_volume(2.5 * inch, 9 * inch, 2 * inch, 0.3125 * inch) / 0.3048, 1)
    217.1
    """
    positive(barrel_m, "drum barrel diameter [m]")
    positive(width_m, "drum width [m]")
    positive(winding_m, "depth of the winding [m]")
    positive(rope_m, "rope diameter [m]")
    return math.pi * width_m * winding_m * (barrel_m + winding_m) / rope_m**2


def fleet_angle(offset_m: float, lead_m: float) -> float:
    """Return the greatest angle between the line and the straight lead at the drum [rad].

    Parameters
    ----------
    offset_m : float
        Drum centre to the flange, or wherever the line leaves furthest from the straight lead [m].
    lead_m : float
        Distance from the drum to the first block or fairlead [m].

    Returns
    -------
    float
        ``atan(offset / lead)`` [rad].

    Raises
    ------
    QuantityRefusal
        ``NEGATIVE`` for the offset, ``NOT_POSITIVE`` for the lead.

    References
    ----------
    US Navy Equipment Operator Basic, NAVEDTRA 14081: not over 2°, 1.5° good, about 40 of lead per 1 of offset.

    Examples
    --------
    >>> round(math.degrees(fleet_angle(1.0, 40.0)), 3)
    1.432
    """
    not_negative(offset_m, "offset at the drum [m]")
    positive(lead_m, "lead to the first block [m]")
    return math.atan(offset_m / lead_m)
