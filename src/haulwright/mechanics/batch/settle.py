"""Balanced states with friction for many samples, each with the signs of its own path: what the solver does, in groups.

All samples with the same signs so far are solved together. Where the path of a sample says otherwise, it goes on in the
group of its new signs; one whose signs come round again has a block that sticks, and is left to the solver.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field, replace

import numpy as np

from haulwright.errors import RigRefusal
from haulwright.mechanics.batch.equations import Floats
from haulwright.mechanics.batch.laws import Array
from haulwright.mechanics.batch.newton import WELL, Along, Problem, Samples, Signs, along, newton
from haulwright.mechanics.geometry import add
from haulwright.mechanics.ground import haul as single
from haulwright.mechanics.ground.haul import Hauled, Unsettled
from haulwright.mechanics.ground.net import Net
from haulwright.mechanics.ground.newton import State
from haulwright.mechanics.uncertain import with_numbers

ANSWERED, JAMS, LOST = 0, 1, 2


@dataclass
class Settled:
    """State, signs by line and contact, and fate of every sample; the travel ratio without friction.

    ``singly`` counts the samples that were left to the solver.
    """

    samples: Samples
    state: Floats
    signs: Floats
    fate: Array
    ideal: Floats
    singly: int = 0


@dataclass
class _Group:
    """Samples with the same signs, where their search starts, and the signs they had before."""

    which: Array
    signs: Signs
    start: Floats
    before: tuple[Signs, ...] = field(default_factory=tuple)


def column_of(net: Net, state: State) -> Floats:
    """Return a state of the solver as one column of unknowns."""
    places = [state.where[body][k] for body in range(len(net.free)) for k in range(net.axes)]
    return np.array([*places, *state.bases])


def flat(signs: Signs) -> tuple[float, ...]:
    """Return signs contact by contact."""
    return tuple(x for line in signs for x in line)


def settle(problem: Problem, samples: Samples, bare: Hauled, near: Hauled | None) -> Settled:
    """Return the balanced state of every sample.

    Parameters
    ----------
    problem : Problem
    samples : Samples
    bare : Hauled
        The frictionless place of the rig as drawn.
    near : Hauled or None
        Its place at the best estimates of all numbers, to start from.
    """
    found, groups = _without_friction(problem, samples, bare)
    begun = found.state.copy()
    while groups:
        groups = [later for group in groups for later in _advance(problem, found, begun, group, bare, near)]
    return found


def _without_friction(problem: Problem, samples: Samples, bare: Hauled) -> tuple[Settled, list[_Group]]:
    """Return the frictionless states as a first answer, and all samples in groups by the signs there."""
    net, count = problem.net, samples.count
    state = np.repeat(column_of(net, bare.state)[:, None], count, axis=1)
    contacts = len(flat(bare.signs))
    found = Settled(
        samples,
        state,
        np.zeros((contacts, count)),
        np.full(count, ANSWERED),
        np.full(count, bare.path.taken_in),
    )
    everyone = np.arange(count)
    if samples.travel is None:
        return found, [_Group(everyone, bare.path.signs(), state)] if count else []
    there = newton(problem, state, samples, bare.signs)
    path = along(problem, there.state, samples, bare.signs)
    good = there.balances & there.taut & (path.pivot > WELL)
    found.state = there.state
    found.ideal = np.where(good, path.taken_in, np.nan)
    groups = list(_by_signs(problem.net, everyone[good], _chosen(path, good), there.state[:, good], ()))
    for i in everyone[~good]:
        groups += _single_start(problem, found, int(i))
    return found, groups


def _single_start(problem: Problem, found: Settled, i: int) -> list[_Group]:
    """Let the solver find the frictionless place of one sample."""
    net = _moved(problem.net, found.samples, i)
    try:
        bare = single.ideal(net)
    except RigRefusal:
        found.fate[i] = LOST
        return []
    found.state[:, i] = column_of(net, bare.state)
    found.ideal[i] = bare.path.taken_in
    if bare.path.taken_in <= 0.0:
        found.fate[i] = LOST
        return []
    return [_Group(np.array([i]), bare.path.signs(), found.state[:, [i]])]


def _advance(
    problem: Problem, found: Settled, begun: Floats, group: _Group, bare: Hauled, near: Hauled | None
) -> Iterator[_Group]:
    """Solve a group with its signs; settle the samples whose path agrees, and yield the others in their new groups."""
    samples, start = found.samples.at(group.which), group.start
    if near is not None and samples.travel is None and near.signs == group.signs and not near.stuck:
        start = np.repeat(column_of(problem.net, near.state)[:, None], samples.count, axis=1)
    there = newton(problem, start, samples, group.signs)
    state, good = there.state, there.balances & there.taut
    if not good.all():
        _in_stages(problem, samples, group.signs, begun[:, group.which], state, good)
    path = along(problem, state, samples, group.signs)
    alone = (good & ~(path.pivot > WELL)) | ~good
    jams = ~alone & ~(path.taken_in > 0.0)
    found.fate[group.which[jams]] = JAMS
    signs = np.array([x for line in path.signs() for x in line])
    agrees = (
        np.all(signs == np.array(flat(group.signs))[:, None], axis=0)
        if len(signs)
        else np.full(len(good), True)
    )
    done = ~alone & ~jams & agrees
    found.state[:, group.which[done]] = state[:, done]
    found.signs[:, group.which[done]] = signs[:, done]
    on = ~alone & ~jams & ~agrees
    for later in _by_signs(
        problem.net, group.which[on], _chosen(path, on), state[:, on], (*group.before, group.signs)
    ):
        if later.signs in later.before or len(later.before) >= single.PASSES:
            _singly(problem, found, later.which, bare)
        else:
            yield later
    _singly(problem, found, group.which[alone], bare)


def _in_stages(
    problem: Problem, samples: Samples, signs: Signs, begun: Floats, state: Floats, good: Array
) -> None:
    """Let friction come on step by step for the samples not solved at once; mend ``state`` and ``good``."""
    which = np.flatnonzero(~good)
    now = begun[:, which]
    for stage in range(1, single.STAGES + 1):
        then = newton(problem, now, samples.at(which), signs, stage / single.STAGES)
        holds = then.balances & then.taut
        which, now = which[holds], then.state[:, holds]
    state[:, which] = now
    good[which] = True


def _singly(problem: Problem, found: Settled, which: Array, bare: Hauled) -> None:
    """Leave samples to the solver, one by one."""
    for i in which.tolist():
        found.singly += 1
        numbers: dict[str, dict[str, float]] = {}
        for (block, name), value in zip(problem.rows, found.samples.numbers[:, i].tolist(), strict=True):
            numbers.setdefault(block, {})[name] = value
        laws = {
            n: with_numbers(law, numbers[n]) if law and n in numbers else law
            for n, law in problem.laws.items()
        }
        net = _moved(problem.net, found.samples, i)
        try:
            here = bare if found.samples.travel is None else single.ideal(net)
            hauled = single.haul(net, laws, here)
        except (Unsettled, RigRefusal):
            found.fate[i] = JAMS
            continue
        found.state[:, i] = column_of(net, hauled.state)
        found.signs[:, i] = flat(hauled.signs)


def _moved(net: Net, samples: Samples, i: int) -> Net:
    """Return the net with the load where one sample has it."""
    if samples.travel is None:
        return net
    load, start = len(net.free), list(net.start)
    start[load] = add(start[load], net.rig.direction, float(samples.travel[i]))
    return replace(net, start=tuple(start))


def _chosen(path: Along, which: Array) -> Floats:
    return np.array([x[which] for line in path.signs() for x in line])


def _by_signs(
    net: Net, which: Array, signs: Floats, state: Floats, before: tuple[Signs, ...]
) -> Iterator[_Group]:
    """Yield the samples with the same signs together."""
    if not len(which):
        return
    if not len(signs):
        yield _Group(which, tuple(() for _ in net.lines), state, before)
        return
    kinds, kind_of = np.unique(signs, axis=1, return_inverse=True)
    for k, kind in enumerate(kinds.T.tolist()):
        same = kind_of.ravel() == k
        values = iter(kind)
        shaped = tuple(tuple(next(values) for _ in line.blocks) for line in net.lines)
        yield _Group(which[same], shaped, state[:, same], before)
