"""The balanced place while the winch hauls: frictionless first, then with friction whose signs come from the path.

Friction needs to know which way each line runs, and in a rig whose blocks swing as the load advances that follows from
the balanced path: solve, move on, look, solve again until the signs agree.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from haulwright.mechanics import winches
from haulwright.mechanics.geometry import dot
from haulwright.mechanics.ground import newton, refusals
from haulwright.mechanics.ground.equations import Friction, frictionless, part_tensions
from haulwright.mechanics.ground.net import Net, NetLine
from haulwright.mechanics.ground.newton import State
from haulwright.mechanics.ground.path import Path, path_at
from haulwright.mechanics.ground.relax import relax
from haulwright.mechanics.ground.start import first_tensions
from haulwright.mechanics.rig import Vec
from haulwright.mechanics.sheave import Law

PASSES = 10
SLACKENED = 0.01  # of its tension without friction
HARDLY_ANY = 1e-4  # of the resistance: a line with so little is slack whatever it had without friction
STAGES = 8  # friction comes on in so many steps where all at once leads nowhere
Laws = Mapping[str, Law | None]
Signs = tuple[tuple[float, ...], ...]
PartTensions = tuple[tuple[float, ...], ...]


@dataclass(frozen=True)
class Hauled:
    """A balanced state, its path, the sign of friction at every contact, and the contacts that stick."""

    state: State
    path: Path
    signs: Signs
    stuck: frozenset[tuple[int, int]] = frozenset()


class Unsettled(Exception):  # noqa: N818 - no error: a search that found nothing
    """No balanced state with these signs and this much friction.

    ``drum_pushes`` tells that there would be one if the winch could push its line out.
    """

    def __init__(self, drum_pushes: bool = False) -> None:
        super().__init__()
        self.drum_pushes = drum_pushes


def ideal(net: Net) -> Hauled:
    """Return the frictionless place.

    Raises
    ------
    RigRefusal
        NO_EQUILIBRIUM, LOAD_STILL, BACKWARDS, SLACK or UNDER.

    Notes
    -----
    With one winch and a guided load the energy of the frictionless rig is convex, so the place at which every line pulls
    is the only one: it does not matter whether the search from the places given or the relaxation found it. Otherwise
    the relaxation, with every winch line pulled alike, is a second place to search from and no more.
    """
    none, where = frictionless(net), net.start
    bases = first_tensions(net, where)
    state = newton.balance(net, where, bases, none)
    if state is None or not _holds(state):
        relaxed = relax(net, net.start)
        where = relaxed.where
        if net.one_hauls:
            refusals.check_relaxed(net, relaxed)
            bases = tuple(t / relaxed.pull for t in relaxed.tensions)
        else:
            bases = first_tensions(net, where)
        state = newton.balance(net, where, bases, none)
    if state is None:
        refusals.check_apart(net, where)
        state = newton.look(net, where, bases, none)
        if not state.slides:
            raise refusals.none_found(net)
    if state.slides:
        raise refusals.under_refusal(newton.loose_bodies(net, state))
    if not state.taut:
        raise refusals.slack_refusal(net, _slack(net, state))
    path = path_at(net, state)
    if path is None:
        raise refusals.under_refusal(newton.loose_bodies(net, state))
    if not net.one_hauls:
        rates = [q[-1] for q, line in zip(path.flows, net.lines, strict=True) if line.drum]
        winches.check_goes(net.rig, path.velocities[len(net.free)], rates)
    return Hauled(state, path, none.powers)


def haul(net: Net, laws: Laws, frictionless_place: Hauled, share: float = 1.0, back: bool = False) -> Hauled:
    """Return the balanced place with friction, hauling or letting back.

    Parameters
    ----------
    net : Net
    laws : mapping block -> Law or None
    frictionless_place : Hauled
        From :func:`ideal`.
    share : float
        Every ratio is raised to this power: 1 is all of the friction.
    back : bool
        True when letting back.

    Returns
    -------
    Hauled

    Raises
    ------
    Unsettled
        No place in which every line pulls.
    """
    found = frictionless_place
    signs, seen, stuck = found.path.signs(back), list[Signs](), frozenset[tuple[int, int]]()
    for _ in range(PASSES):
        state = _with_friction(net, found.state, frictionless_place.state, laws, signs, share)
        path = path_at(net, state)
        if (
            path is None
            or path.taken_in <= 0.0
            or dot(path.velocities[len(net.free)], net.rig.direction) < 0.0
        ):
            raise Unsettled
        now = _held(path.signs(back), stuck)
        if now == signs:
            return Hauled(state, path, signs, stuck)
        seen.append(signs)
        if now in seen:
            stuck |= _flipped([*seen[seen.index(now) :], now])
            now, seen = _held(now, stuck), []
        found, signs = Hauled(state, path, now, stuck), now
    raise Unsettled


def _held(signs: Signs, stuck: frozenset[tuple[int, int]]) -> Signs:
    return tuple(
        tuple(0.0 if (r, j) in stuck else x for j, x in enumerate(line)) for r, line in enumerate(signs)
    )


def _flipped(seen: Sequence[Signs]) -> frozenset[tuple[int, int]]:
    """Return the contacts whose sign is not the same in every pass of a cycle: they neither run this way nor that."""
    return frozenset(
        (r, j)
        for r, line in enumerate(seen[0])
        for j in range(len(line))
        if len({signs[r][j] for signs in seen}) > 1
    )


def _with_friction(net: Net, near: State, bare: State, laws: Laws, signs: Signs, share: float) -> State:
    """Return the balance for given signs: at once if that works, else friction comes on step by step."""
    state = newton.balance(net, near.where, near.bases, powered(laws, signs, share))
    if state is not None and _holds(state):
        return state
    state = bare
    for stage in range(1, STAGES + 1):
        friction = powered(laws, signs, share * stage / STAGES)
        then = newton.balance(net, state.where, state.bases, friction)
        if then is None or not _holds(then):
            raise Unsettled(then is not None and any(line.drum for line in _slack(net, then)))
        state = then
    return state


def _holds(state: State) -> bool:
    return state.taut and not state.slides


def _slack(net: Net, state: State) -> list[NetLine]:
    both = zip(net.lines, state.bases, strict=True)
    return [line for line, t in both if t < newton.SLACK and line.EA is None]


def slackened(net: Net, found: Hauled, bare: Hauled) -> list[NetLine]:
    """Return the lines that friction has all but slackened."""
    both = zip(net.lines, found.state.bases, bare.state.bases, strict=True)
    return [line for line, t, free in both if t < max(SLACKENED * free, HARDLY_ANY) and line.EA is None]


def powered(laws: Laws, signs: Signs, share: float = 1.0) -> Friction:
    """Return the friction for given signs, every ratio raised to ``share``."""
    return Friction(laws, tuple(tuple(share * x for x in line) for line in signs))


def with_sign(
    net: Net, laws: Laws, found: Hauled, contact: tuple[int, int], sign: float
) -> tuple[State, PartTensions] | None:
    """Return place and tensions if one contact ran the given way, all others as found; None if there is none."""
    r, j = contact
    signs = tuple(
        tuple(sign if (a, b) == (r, j) else x for b, x in enumerate(line))
        for a, line in enumerate(found.signs)
    )
    friction = powered(laws, signs)
    state = newton.balance(net, found.state.where, found.state.bases, friction)
    if state is None or not _holds(state):
        return None
    return state, part_tensions(net, state.where, state.bases, friction)


def metres(net: Net, where: Sequence[Vec]) -> tuple[Vec, ...]:
    """Return places in metres."""
    m = net.scale_m
    return tuple((p[0] * m, p[1] * m, p[2] * m) for p in where)
