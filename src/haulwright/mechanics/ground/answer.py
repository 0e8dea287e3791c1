"""The answer of a rig with free blocks, in the same terms as that of a rig drawn in line."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

from haulwright.errors import RigRefusal
from haulwright.mechanics.friction import Ratios, contact_ratios, is_tenth_rule
from haulwright.mechanics.geometry import Course, courses, dot, times
from haulwright.mechanics.ground import elastic, refusals, stick
from haulwright.mechanics.ground.equations import part_tensions
from haulwright.mechanics.ground.haul import Hauled, Laws, Unsettled, haul, ideal, metres, powered, slackened
from haulwright.mechanics.ground.lengthened import Lengthened, lengthened
from haulwright.mechanics.ground.net import Net, net_of
from haulwright.mechanics.ground.newton import State
from haulwright.mechanics.motion import Motion
from haulwright.mechanics.rig import Rig
from haulwright.mechanics.sheave import Law, PerContact
from haulwright.mechanics.tension import Tensions, bisect, check_rule

JUST_TAUT = 1e-4  # share of the load at which lines are taut and all but unstretched


@dataclass(frozen=True)
class GroundAnswer:
    """A rig with its free blocks where they hang, and its tensions for a resistance of 1.

    Attributes
    ----------
    rig : Rig
        The rig with every free block at its place.
    course_of, motion, ratios
        As a rig drawn in line has them.
    tensions : mapping line -> tuple of float
        Tension of every part as a share of the resistance.
    ideal_advantage : float
        Load ÷ effort without friction, for one winch.
    bands : tuple of Band
        Contacts that may stick, with both ends of where their block may rest.
    sharing : tuple of str
        The lines whose stretch decides what each of them carries; those of them that hang slack have no tension.
    unit_N : float or None
        The force that counts as 1 [N] where lines share.
    """

    rig: Rig
    course_of: dict[str, Course]
    motion: Motion
    ratios: Ratios
    tensions: Tensions
    ideal_advantage: float
    bands: tuple[stick.Band, ...]
    _net: Net
    _laws: Laws
    _ideal: Hauled
    sharing: tuple[str, ...] = ()
    unit_N: float | None = None
    _free: Tensions | None = None
    _whole: Net | None = None
    _slack: frozenset[str] = frozenset()
    _hauled: Hauled | None = None

    def frictionless_place(self, net: Net) -> Hauled | None:
        """Return the frictionless place for a net that differs in no more than friction, None for any other."""
        own = self._net
        same = (own.lines, own.moves, own.scale_m, own.held, own.rig.along) == (
            net.lines, net.moves, net.scale_m, net.held, net.rig.along,
        )  # fmt: skip
        fixed = len(own.free)
        return self._ideal if same and own.start[fixed:] == net.start[fixed:] else None

    def without_friction(self) -> Tensions:
        """Return the tensions without friction, at the place the blocks would take then, as shares of the resistance."""
        return self._free or _tensions(self._net, self._laws, self._ideal)[1]

    def lengthened(self) -> dict[str, Lengthened]:
        """Return by strap and fixed line what its length changes; nothing where lines share."""
        found = self._hauled
        if found is None or self.sharing:
            return {}
        return lengthened(self._net, found.state, powered(self._laws, found.signs))

    def longer(self, name: str, by_m: float) -> Tensions:
        """Return the tensions with one line longer by ``by_m`` [m].

        Raises
        ------
        RigRefusal
            As :func:`solve_ground`.
        """
        line = self.rig.lines[name]
        length = line.length_m or math.fsum(x or 0.0 for x in self.course_of[name].lengths_m)
        lines = {**self.rig.lines, name: replace(line, length_m=length + by_m)}
        net = self._net_of(replace(self.rig, lines=lines), self.unit_N)
        return elastic.settle(net, lambda tried: _answer(tried, self._laws), self._slack)[0].tensions

    def run_in_m(self, name: str) -> float:
        """Return by how much the path of a line is shorter under the load than where all lines are just taut [m].

        Raises
        ------
        RigRefusal
            As :func:`solve_ground`.
        """
        net = self._net_of(self.rig, JUST_TAUT * (self.unit_N or 1.0))
        slack = elastic.first_slack(net)
        unloaded = elastic.settle(net, lambda tried: _answer(tried, self._laws), slack)[0]
        before, now = (math.fsum(x or 0.0 for x in one.course_of[name].lengths_m) for one in (unloaded, self))
        return before - now

    def _net_of(self, rig: Rig, unit_N: float | None) -> Net:
        pulls = {line.name: line.pull for line in self._net.lines if line.pull is not None}
        return elastic.with_stretch(net_of(rig, pulls, self._net.held), self.sharing, unit_N)

    def letting_back(self) -> Tensions | None:
        """Return the tensions when letting back, None where friction alone holds the load.

        Raises
        ------
        RigRefusal
            NO_EQUILIBRIUM where no place is found, so that neither can be said.
        """
        try:
            if self._whole:
                return elastic.settle(self._whole, self._let_back, self._slack)[0].tensions
            back = haul(self._net, self._laws, self._ideal, back=True)
        except Unsettled as found:
            if found.drum_pushes:
                return None
            raise RigRefusal(
                "NO_EQUILIBRIUM", "Letting back: no balanced position is found.", (self.rig.name,)
            ) from None
        return _tensions(self._net, self._laws, back)[1]

    def _let_back(self, net: Net) -> elastic.Settled:
        placed, tensions = _tensions(net, self._laws, haul(net, self._laws, ideal(net), back=True))
        return elastic.Settled(courses(placed), tensions)


def solve_ground(
    rig: Rig,
    laws: Mapping[str, Law | None],
    pulls: Mapping[str, float] | None = None,
    held: bool = False,
    unit_N: float | None = None,
    like: GroundAnswer | None = None,
) -> GroundAnswer:
    """Return places, motion and tensions of a rig whose free blocks find their place.

    Parameters
    ----------
    rig : Rig
        Drawn with places; free blocks stand where the search starts.
    laws : mapping block -> Law or None
    pulls : mapping line -> float or None
        Stated tension at the drum, as a share of the resistance.
    held : bool
        True where all winches have their pull and the load is held fast; forces are then shares of any one force.
    unit_N : float or None
        The force that counts as 1 [N], which lines that share by their stretch depend on; None where none is given.
    like : GroundAnswer or None
        Of the same rig with other friction: its place without friction serves here too.

    Returns
    -------
    GroundAnswer

    Raises
    ------
    RigRefusal
        INPUT, ONE_WAY, UNDER, NO_EQUILIBRIUM, LOCKED, LOAD_STILL, REDUNDANT, BACKWARDS, SLACK or JAMS.
    """
    refusals.check_places(rig)
    courses(rig)  # a turn stated beside places is refused there
    net = net_of(rig, pulls, held)
    refusals.check_winch_count(net)
    refusals.check_lengths(net)
    sharing = refusals.check_count(net)
    if not sharing:
        return _answer(net, laws, like.frictionless_place(net) if like else None)
    stretching = elastic.with_stretch(net, sharing, unit_N)
    return _shared(stretching, laws, sharing, unit_N, elastic.first_slack(stretching))


def _shared(
    net: Net, laws: Laws, sharing: tuple[str, ...], unit_N: float | None, slack: frozenset[str]
) -> GroundAnswer:
    """Return the answer of a net whose lines share by their stretch: first without friction, which says what is slack."""
    none: Laws = dict.fromkeys(laws)
    bare, slack = elastic.settle(net, lambda tried: _answer(tried, none), slack)
    found, slack = elastic.settle(net, lambda tried: _answer(tried, laws), slack)
    hauling = next(line.name for line in net.lines if line.drum)
    return replace(
        found,
        ideal_advantage=1.0 / bare.tensions[hauling][-1],
        sharing=sharing,
        unit_N=unit_N,
        _free=bare.tensions,
        _whole=net,
        _slack=slack,
    )


def _answer(net: Net, laws: Laws, bare: Hauled | None = None) -> GroundAnswer:
    """Return the answer of a net whose lines are all taut; ``bare`` is its frictionless place where that is known."""
    bare = bare or ideal(net)
    if is_tenth_rule(laws):
        laws = _tenth_rule(net, laws, bare)
    found = _hauled(net, laws, bare)
    placed, tensions = _tensions(net, laws, found)
    course_of = courses(placed)
    return GroundAnswer(
        rig=placed,
        course_of=course_of,
        motion=_motion(net, found),
        ratios=contact_ratios(placed, course_of, laws),
        tensions=tensions,
        ideal_advantage=bare.path.taken_in,
        bands=stick.bands(net, laws, found),
        _net=net,
        _laws=laws,
        _ideal=bare,
        _hauled=found,
    )


def _hauled(net: Net, laws: Laws, bare: Hauled) -> Hauled:
    try:
        return haul(net, laws, bare)
    except Unsettled:
        pass

    def hauls(share: float) -> bool:
        try:
            haul(net, laws, bare, share)
        except Unsettled:
            return False
        return True

    share = bisect(hauls, 0.0, 1.0)
    last = haul(net, laws, bare, share)
    placed, _ = _tensions(net, laws, last)
    ratios = contact_ratios(placed, courses(placed), laws)
    limit = max((k**share for parts in ratios.values() for k in parts), default=1.0)
    slack = tuple(line.name for line in slackened(net, last, bare))
    if slack:
        raise RigRefusal(
            "SLACK",
            f"With these sheaves {' and '.join(slack)} hangs slack (taut only below ratio {limit:.4f}): a line can only "
            "pull. Leave it out, or use better blocks.",
            slack,
        )
    refusals.check_apart(net, last.state.where)
    raise RigRefusal(
        "JAMS",
        f"With these sheaves the rig jams (it hauls only below ratio {limit:.4f}). Use better blocks or another rig.",
        tuple(net.rig.blocks),
    )


def place_rig(net: Net, state: State) -> Rig:
    """Return the rig with its free blocks at the places of a state."""
    where = metres(net, state.where)
    bodies = dict(net.rig.bodies)
    for i, name in enumerate(net.free):
        bodies[name] = replace(bodies[name], at=where[i])
    return replace(net.rig, bodies=bodies)


def _tensions(net: Net, laws: Laws, found: Hauled) -> tuple[Rig, Tensions]:
    pulls = part_tensions(net, found.state.where, found.state.bases, powered(laws, found.signs))
    pull_of = {line.name: t for line, t in zip(net.lines, pulls, strict=True)}
    slack = {n: (0.0,) * (len(line.points) - 1) for n, line in net.rig.lines.items() if n not in pull_of}
    return place_rig(net, found.state), {n: pull_of.get(n) or slack[n] for n in net.rig.lines}


def _motion(net: Net, found: Hauled) -> Motion:
    """Return the motion per unit speed of the (fastest) drum; contacts that stick do not run."""
    s, direction = found.path.taken_in, net.rig.direction
    load = len(net.free)
    velocity = times(found.path.velocities[load], 1.0 / s)
    speeds = {net.rig.load.name: math.sqrt(dot(velocity, velocity))}
    speeds |= {
        name: dot(times(found.path.velocities[i], 1.0 / s), direction) for i, name in enumerate(net.free)
    }
    flows = {name: (0.0,) * len(line.points) for name, line in net.rig.lines.items()}
    for r, line in enumerate(net.lines):
        q = [x / s for x in found.path.flows[r]]
        for j, sign in enumerate(found.signs[r], start=1):
            q[j] = q[j] if sign else 0.0
        flows[line.name] = tuple(q)
    return Motion((net.rig.load.name, *net.free), speeds, flows, velocity)


def _tenth_rule(net: Net, laws: Laws, bare: Hauled) -> dict[str, Law | None]:
    """Return the one ratio per contact that gives the effort of the one-tenth rule: effort = (1 + n/10) R / ideal."""
    moves = sum(1 for line in bare.path.signs() for sign in line if sign)
    wanted = (1.0 + 0.1 * moves) / bare.path.taken_in

    def effort(k: float) -> float:
        same: dict[str, Law | None] = dict.fromkeys(laws, PerContact(k))
        try:
            _, tensions = _tensions(net, same, haul(net, same, bare))
        except Unsettled:
            return math.inf
        return tensions[net.rig.hauling_line.name][-1]

    k = bisect(lambda k: effort(k) < wanted, 1.0, 2.0) if moves else 1.0
    check_rule(net.rig, effort(k), wanted)
    return dict.fromkeys(laws, PerContact(k))
