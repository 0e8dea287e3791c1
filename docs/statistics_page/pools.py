"""The pulls that campaigns are put together from: kinds, gains of cells, set-ups."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from statistics_page.runs import ACCURACY, Kind, Pull

TAU = 0.0035  # scatter between set-ups that is put on the pulls, of ln A
SHOWN = 60  # campaigns drawn where a picture would be crowded
ROUGH = 0.012  # the same where set-ups differ much
TWO_A = Kind("two-part", ("puck",), (1.15,))
TWO_B = Kind("two-part", ("hoop",), (1.30,))
THREE_A = Kind("three-part", ("puck", "puck"), (1.15,))
SERIES = Kind("series", (), ())
KINDS = {"a2": (TWO_A, 160), "b2": (TWO_B, 40), "aa3": (THREE_A, 40), "s": (SERIES, 40)}
Pulls = Mapping[str, Sequence[Pull]]


def drawn_gain(draw: np.random.Generator) -> float:
    """Return ln of the ratio of two gains drawn within the class."""
    return float(np.diff(np.log1p(draw.uniform(-ACCURACY, ACCURACY, 2)))[0])


def drawn_pairs(
    pool: Sequence[Pull], count: int, draw: np.random.Generator, tau: float = TAU
) -> list[list[tuple[float, float]]]:
    """Return errors of ln A and repeatabilities of pairs of pulls, each pull another set-up."""
    chosen = draw.choice(len(pool), 2 * count, replace=False)
    one = [(pool[i].error + tau * float(draw.normal()), pool[i].u) for i in chosen]
    return [one[i : i + 2] for i in range(0, len(one), 2)]
