"""The answer of a rig with free blocks, in the same terms as that of a rig drawn in line."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from haulwright.errors import RigRefusal
from haulwright.mechanics.friction import Ratios, contact_ratios, is_tenth_rule
from haulwright.mechanics.geometry import Course, courses, dot, times
from haulwright.mechanics.ground import refusals, stick
from haulwright.mechanics.ground.equations import part_tensions
from haulwright.mechanics.ground.haul import Hauled, Laws, Unsettled, haul, ideal, metres, powered, slackened
from haulwright.mechanics.ground.net import Net, net_of
from haulwright.mechanics.ground.newton import State
from haulwright.mechanics.motion import Motion
from haulwright.mechanics.rig import Rig
from haulwright.mechanics.sheave import Law, PerContact
from haulwright.mechanics.tension import Tensions, bisect


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
        Load ÷ effort without friction.
    bands : tuple of Band
        Contacts that may stick, with both ends of where their block may rest.
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

    def without_friction(self) -> Tensions:
        """Return the tensions without friction, at the place the blocks would take then, as shares of the resistance."""
        return _tensions(self._net, self._laws, self._ideal)[1]

    def letting_back(self) -> Tensions | None:
        """Return the tensions when letting back, None where friction alone holds the load.

        Raises
        ------
        RigRefusal
            NO_EQUILIBRIUM where no place is found, so that neither can be said.
        """
        try:
            back = haul(self._net, self._laws, self._ideal, back=True)
        except Unsettled as found:
            if found.drum_pushes:
                return None
            raise RigRefusal(
                "NO_EQUILIBRIUM", "Letting back: no balanced position is found.", (self.rig.name,)
            ) from None
        return _tensions(self._net, self._laws, back)[1]


def solve_ground(rig: Rig, laws: Mapping[str, Law | None]) -> GroundAnswer:
    """Return places, motion and tensions of a rig whose free blocks find their place.

    Parameters
    ----------
    rig : Rig
        Drawn with places; free blocks stand where the search starts.
    laws : mapping block -> Law or None

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
    net = net_of(rig)
    refusals.check_lengths(net)
    refusals.check_count(net)
    bare = ideal(net)
    taken_in = bare.path.taken_in
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
        ideal_advantage=taken_in,
        bands=stick.bands(net, laws, found),
        _net=net,
        _laws=laws,
        _ideal=bare,
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
    return place_rig(net, found.state), {line.name: t for line, t in zip(net.lines, pulls, strict=True)}


def _motion(net: Net, found: Hauled) -> Motion:
    """Return the motion per unit speed of the drum; contacts that stick do not run."""
    s, direction = found.path.taken_in, net.rig.direction
    load = len(net.free)
    speeds = {net.rig.load.name: dot(found.path.velocities[load], direction) / s}
    speeds |= {
        name: dot(times(found.path.velocities[i], 1.0 / s), direction) for i, name in enumerate(net.free)
    }
    flows = {}
    for r, line in enumerate(net.lines):
        q = [x / s for x in found.path.flows[r]]
        for j, sign in enumerate(found.signs[r], start=1):
            q[j] = q[j] if sign else 0.0
        flows[line.name] = tuple(q)
    return Motion((net.rig.load.name, *net.free), speeds, flows)


def _tenth_rule(net: Net, laws: Laws, bare: Hauled) -> dict[str, Law | None]:
    """Return the one ratio per contact that gives the effort of the one-tenth rule: effort = (1 + n/10) R / ideal."""
    moves = sum(1 for line in bare.path.signs() for sign in line if sign)
    wanted = (1.0 + 0.1 * moves) / bare.path.taken_in

    def too_little(k: float) -> bool:
        same: dict[str, Law | None] = dict.fromkeys(laws, PerContact(k))
        try:
            _, tensions = _tensions(net, same, haul(net, same, bare))
        except Unsettled:
            return False
        return tensions[net.rig.hauling_line.name][-1] < wanted

    k = bisect(too_little, 1.0, 2.0) if moves else 1.0
    return dict.fromkeys(laws, PerContact(k))
