"""What is known of many samples of a rig on the ground, written down from the settled samples."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, fields, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from haulwright.errors import RigRefusal
from haulwright.mechanics.batch.equations import Floats
from haulwright.mechanics.batch.newton import Problem, Signs, along
from haulwright.mechanics.batch.settle import ANSWERED, JAMS, LOST, Settled
from haulwright.mechanics.ground.net import Net

ENERGY = 1e-9


@dataclass(frozen=True, eq=False)
class GroundSamples:
    """What is known of every sample; not a number where the sample has no answer.

    Attributes
    ----------
    effort_N : array (samples)
        Tension at the drum [N].
    tensions_N : array (parts, samples)
    wraps_rad, ratios, flows : array (contacts, samples)
        Wrap [rad], tension ratio, and line over the contact per metre of load travel, positive towards the fall; 0 where
        it sticks.
    travel_ratio, ideal_advantage : array (samples)
        Metres of line per metre of load travel along the balanced path; load ÷ effort without friction.
    directions : array (parts, 3, samples)
        Unit vector of every part, towards its fall.
    lengths_m : array (parts, samples)
    places_m : array (free blocks, 3, samples)
    jams : int
        Samples in which a line would have to push, or the drum would have to pay out.
    lost : int
        Samples in which no balance was found at all.
    singly : int
        Samples that were handed to the scalar solver: a block that hardly runs, or a nearly singular balance.
    """

    effort_N: Floats
    tensions_N: Floats
    wraps_rad: Floats
    ratios: Floats
    flows: Floats
    travel_ratio: Floats
    ideal_advantage: Floats
    directions: Floats
    lengths_m: Floats
    places_m: Floats
    jams: int
    lost: int
    singly: int


def joined(parts: Sequence[GroundSamples]) -> GroundSamples:
    """Return the samples of several chunks as one."""
    whole: dict[str, Any] = {}
    for one in fields(GroundSamples):
        values = [getattr(part, one.name) for part in parts]
        whole[one.name] = sum(values) if isinstance(values[0], int) else np.concatenate(values, axis=-1)
    return GroundSamples(**whole)


def told_of(problem: Problem, found: Settled) -> GroundSamples:
    """Return what is known of settled samples, for a load of 1."""
    net, count = problem.net, found.samples.count
    contacts, parts = len(found.signs), sum(len(line.points) - 1 for line in net.lines)
    told = GroundSamples(
        effort_N=np.empty(0),
        tensions_N=np.full((parts, count), np.nan),
        wraps_rad=np.full((contacts, count), np.nan),
        ratios=np.full((contacts, count), np.nan),
        flows=np.full((contacts, count), np.nan),
        travel_ratio=np.full(count, np.nan),
        ideal_advantage=np.where(found.fate == ANSWERED, found.ideal, np.nan),
        directions=np.full((parts, 3, count), np.nan),
        lengths_m=np.full((parts, count), np.nan),
        places_m=np.full((len(net.free), 3, count), np.nan),
        jams=int(np.count_nonzero(found.fate == JAMS)),
        lost=int(np.count_nonzero(found.fate == LOST)),
        singly=found.singly,
    )
    answered = np.flatnonzero(found.fate == ANSWERED)
    for signs, which in _alike(net, found.signs, answered):
        _tell(problem, found, signs, which, told)
    return replace(told, effort_N=np.full(count, np.nan))


def _alike(net: Net, signs: Floats, which: NDArray[np.intp]) -> Iterator[tuple[Signs, NDArray[np.intp]]]:
    kinds, kind_of = np.unique(signs[:, which], axis=1, return_inverse=True)
    for k, kind in enumerate(kinds.T.tolist()):
        values = iter(kind)
        shaped = tuple(tuple(next(values) for _ in line.blocks) for line in net.lines)
        yield shaped, which[kind_of.ravel() == k]


def _tell(
    problem: Problem, found: Settled, signs: Signs, which: NDArray[np.intp], told: GroundSamples
) -> None:
    """Write down what is known of the samples with the same signs."""
    net, state = problem.net, found.state[:, which]
    path = along(problem, state, found.samples.at(which), signs)
    j = i = 0
    told.travel_ratio[which] = path.taken_in
    told.places_m[:, :, which] = 0.0
    work, effort = np.zeros(len(which)), np.zeros(len(which))
    for r, line in enumerate(net.lines):
        tensions = [state[net.coordinates + r] * grown.growth for grown in path.system.grown[r]]
        for part, t in zip(path.system.parts[r], tensions, strict=True):
            told.tensions_N[i, which] = t
            told.lengths_m[i, which] = part.length * net.scale_m
            told.directions[i, :, which] = 0.0
            for k, x in enumerate(part.u):
                told.directions[i, k, which] = x
            i += 1
        for n, sign in enumerate(signs[r]):
            q = path.flows[r][n + 1] if sign else np.zeros(len(which))
            told.wraps_rad[j, which], told.ratios[j, which] = (
                path.system.wraps[r][n],
                path.system.ratios[r][n],
            )
            told.flows[j, which] = q
            work += (tensions[n + 1] - tensions[n]) * q
            j += 1
        effort = tensions[-1] if line.drum else effort
    for body in range(len(net.free)):
        for k, (column, _) in enumerate(net.moves[body]):
            told.places_m[body, k, which] = state[column] * net.scale_m
    apart = np.abs(effort * path.taken_in - 1.0 - work) / np.abs(effort * path.taken_in)
    if not (apart < ENERGY).all():
        raise RigRefusal(
            "ENERGY", f"Work in and out of a sample differ by {np.max(apart):.1e} of the work in."
        )
