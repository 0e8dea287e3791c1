"""Which layer the drum pulls on where a little more or less line lies outside it than planned."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from dataclasses import dataclass

from haulwright.planning.candidates import Setting
from haulwright.planning.drum_use import lines_out
from haulwright.planning.quadratic import Row

_CLOSE_m = 1e-6


@dataclass(frozen=True)
class Wound:
    """The drum in every case.

    Attributes
    ----------
    first_N, last_N : list of float
        Rated line pull on the first and the last layer met [N].
    reaches : list of bool
        Whether the line is long enough with the wraps that stay on.
    """

    first_N: Row
    last_N: Row
    reaches: list[bool]


def wound(setting: Setting, more_m: Sequence[float], less_m: Sequence[float]) -> Wound:
    """Return the drum in every case; its sizes and those of its rope must be told.

    Parameters
    ----------
    setting : Setting
    more_m, less_m : sequence of float
        Line outside the drum beyond what is planned, where the most is out and where the least is [m].

    Notes
    -----
    Where the lay is not told, as everywhere in a plan: the first layer by the lay that pulls more, the last by the one that
    pulls less. Line that would climb over the outermost layer counts as lying on it.
    """
    out = lines_out(setting.layout)
    most, least = max(start for start, _ in out), min(end for _, end in out)
    used = setting.drum
    spare_m = 0.0 if used is None else used.have_m - used.needed_m
    windings = [
        (layers[-1].cumulative_m, [one.cumulative_m for one in layers], [one.pull_N for one in layers])
        for layers in setting.request.windings
    ]
    first, last = [], []
    for more, less in zip(more_m, less_m, strict=True):
        pulls = [_pulls(winding, most + more, least + less) for winding in windings]
        first.append(max(start for start, _ in pulls))
        last.append(min(end for _, end in pulls))
    return Wound(first, last, [more <= spare_m + _CLOSE_m for more in more_m])


def _pulls(
    winding: tuple[float, list[float], list[float]], most_m: float, least_m: float
) -> tuple[float, float]:
    have, ends, pulls = winding
    top = len(pulls) - 1
    start = bisect_right(ends, have - most_m + _CLOSE_m)
    end = bisect_left(ends, have - least_m - _CLOSE_m)
    return pulls[min(start, top)], pulls[min(end, top)]
