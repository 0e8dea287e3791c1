"""Why a rig with free blocks has no answer: what the drawing alone tells, and what the search tells."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import combinations, pairwise

from haulwright.errors import RigRefusal
from haulwright.mechanics import linear, winch_speeds, winch_stated, winches
from haulwright.mechanics.geometry import add, dot
from haulwright.mechanics.ground.net import Net, NetLine, length_of, steps
from haulwright.mechanics.ground.newton import SLACK
from haulwright.mechanics.ground.relax import Relaxed
from haulwright.mechanics.rig import FLOATING, Rig, Rope, Vec

MEET = 1e-2  # of the mean part: a part so short means that its ends meet
NEVER = 1e-6  # pull on the load, as a share of the effort, that counts as none
OFF_M = 0.01  # a line may be this far off what its drawn ends need


def check_places(rig: Rig) -> None:
    """Refuse a rig whose free blocks have nowhere to start, or whose lines have no length to hold them by.

    Raises
    ------
    RigRefusal
        INPUT, ONE_WAY or UNDER.
    """
    if not rig.placed:
        raise RigRefusal(
            "INPUT", "Blocks find their place among places: give at: for every anchor and the load.", ("at",)
        )
    for line in rig.lines.values():
        on_free = any(rig.bodies[p.body].role == FLOATING for p in line.points)
        if not line.drum and on_free and line.length_m is None:
            raise RigRefusal(
                "INPUT",
                f"Line {line.name} holds a free block and has no drum: give its length, such as length: 9 m.",
                (line.name,),
            )
        if line.length_m is not None and not (math.isfinite(line.length_m) and line.length_m > 0.0):
            raise RigRefusal(
                "INPUT", f"{line.name}: length {line.length_m:g} m. Give a length above 0.", (line.name,)
            )
    for body in rig.floating:
        _check_held(rig, body.name)


def _check_held(rig: Rig, body: str) -> None:
    ends = contacts = 0
    for line in rig.lines.values():
        for i, point in enumerate(line.points):
            if point.body == body:
                contacts += i in line.contacts
                ends += i not in line.contacts
    if ends == 1 and not contacts:
        raise RigRefusal(
            "ONE_WAY",
            f"Every line on {body} pulls it the same way; nothing holds it back. Lead a line from it the other way, "
            "or fix it to a body.",
            (body,),
        )
    if contacts == 1 and not ends:
        raise RigRefusal(
            "UNDER",
            f"{body} can move while the winch stands still: it runs free on one line. Hang it on a strap, or fix it "
            "to a body.",
            (body,),
        )


def check_lengths(net: Net) -> None:
    """Refuse lines too short to reach, and legs too short to meet.

    Raises
    ------
    RigRefusal
        NO_EQUILIBRIUM with the lengths.
    """
    first_fixed, m = len(net.free), net.scale_m
    for line in net.stays:
        stated, drawn = net.rig.lines[line.name].length_m, length_of(line, net.start) * m
        if stated is not None and abs(stated - drawn) > OFF_M:
            raise RigRefusal(
                "INPUT",
                f"{line.name} is {stated:.2f} m long, but {net.rig.load.name} stands where it needs {drawn:.2f} m: draw the "
                "load where the line lets it, or leave its length out.",
                (line.name,),
            )
    for line in net.fixed:
        fixed = [add(net.start[b], offset) for b, offset in line.points if b >= first_fixed]
        if len(fixed) == len(line.points):
            continue
        least = sum(math.dist(a, b) for a, b in pairwise(fixed))
        if (line.length or 0.0) <= least:
            raise _too_short(f"{line.name} is too short", f"{_m(line, m)}", least * m, (line.name,))
    legs = [(line, leg) for line in net.fixed if (leg := _leg(net, line))]
    for (a, (body, at)), (b, (other, there)) in combinations(legs, 2):
        apart = math.dist(at, there)
        reach = (a.length or 0.0) + (b.length or 0.0)
        if body == other and reach <= apart:
            words = f"{a.name} and {b.name} are too short to meet"
            raise _too_short(words, f"{_m(a, m)} + {_m(b, m)}", apart * m, (a.name, b.name))


def _leg(net: Net, line: NetLine) -> tuple[int, Vec] | None:
    """Return the free body a leg holds and where it would hold it from; None if the line is no leg from a fixed place."""
    if len(line.points) != 2:
        return None
    (a, at_a), (b, at_b) = sorted(line.points, key=lambda point: point[0])
    if a >= len(net.free) or b < len(net.free):
        return None
    return a, add(add(net.start[b], at_b), at_a, -1.0)


def _m(line: NetLine, scale_m: float) -> str:
    return f"{(line.length or 0.0) * scale_m:.2f} m"


def _too_short(words: str, lengths: str, apart_m: float, where: tuple[str, ...]) -> RigRefusal:
    return RigRefusal(
        "NO_EQUILIBRIUM",
        f"No balanced position: {words} ({lengths} < {apart_m:.2f} m). Give longer ones.",
        where,
    )


def check_winch_count(net: Net) -> None:
    """Refuse winches without a stated pull that are not one for each freedom of the load.

    Raises
    ------
    RigRefusal
        REDUNDANT or UNDER.

    Notes
    -----
    Free coordinates + lines = balances + lines without a drum + stated pulls holds exactly then; lines that hold a free
    load from anchors alone (stays) are counted with the winches, as they hold a way each and set no place.
    """
    drums, load = winch_stated.hauling(net.rig), net.rig.load.name
    stays = tuple(line.name for line in net.stays)
    extra = len(drums) + len(stays) - net.ways
    if len(stays) >= net.ways:
        raise RigRefusal(
            "LOCKED", f"The lines tie {load} solid: {', '.join(stays)}; the winch cannot take in line.", stays
        )
    if extra > 0 and not stays:
        raise winch_speeds.too_many_winches(net.rig, extra, {})
    if extra > 0:
        raise RigRefusal(
            "REDUNDANT",
            f"{extra} line(s) more than needed: {', '.join((*stays, *drums))} hold {load}, free to go {net.ways} ways, and "
            "their shares depend on stretch. Take one out, or state the line_pull of a winch.",
            (*stays, *drums),
        )
    if extra < 0:
        count = len(stays) + len(drums)
        raise RigRefusal(
            "UNDER",
            f"{load} can move while the winches stand still: it is free to go {net.ways} ways, and "
            f"{' and '.join((*stays, *drums))} hold{'s' * (count == 1)} it {count} way{'s' * (count > 1)}; a line with a "
            "stated pull does not hold. Give a winch or a strap for each way, or leave out free:.",
            (load, *stays, *drums),
        )


def check_count(net: Net) -> tuple[str, ...]:
    """Refuse a rig tied by more lines of fixed length than its blocks have freedoms for; return those that share.

    Raises
    ------
    RigRefusal
        LOCKED, LOAD_STILL or REDUNDANT.

    Notes
    -----
    :func:`check_winch_count` has made sure that there are as many equations as unknowns; what can fail is the independence
    of the fixed lengths. It is looked for at places shaken a little, lest blocks drawn in line with their legs pass for
    tied.
    """
    shaken = [
        add(
            at,
            (math.sin(1.0 + 3.0 * i), math.sin(2.0 + 5.0 * i), (net.axes - 2) * math.sin(3.0 + 7.0 * i)),
            0.1,
        )
        if i < len(net.free)
        else at
        for i, at in enumerate(net.start)
    ]
    rows = [_rates(net, line, shaken) for line in net.fixed]
    own = net.coordinates
    if linear.rank([row[:own] for row in rows]) == len(rows):
        return ()
    drums = [_rates(net, line, shaken) for line in net.lines if line.drum]
    free = linear.null_vectors(rows)
    names = tuple(line.name for line in net.fixed)
    if not any(abs(winches.dot_row(drum, v)) > 1e-9 for v in free for drum in drums):
        raise RigRefusal(
            "LOCKED",
            f"The lines tie the rig solid: {', '.join(names)}; the winch cannot take in line.",
            names,
        )
    load = net.rig.load.name
    if not any(abs(x) > 1e-9 for v in free for x in v[own:]):
        raise RigRefusal(
            "LOAD_STILL",
            f"Hauling does not move the load {load}; only {', '.join(net.free)} moves. Take away what ties the load.",
            (load,),
        )
    fixed = [row[:own] for row in rows]
    ties = linear.null_vectors([list(column) for column in zip(*fixed, strict=True)])
    sharing = tuple(n for i, n in enumerate(names) if any(abs(v[i]) > 1e-9 for v in ties))
    lacking = [n for n in sharing if (net.rig.lines[n].rope or Rope()).EA_N is None]
    if lacking:
        raise RigRefusal(
            "REDUNDANT",
            f"{len(ties)} line(s) more than needed among {', '.join(sharing)}; shares depend on stretch. Take one line out, "
            f"or give EA for {', '.join(lacking)}.",
            sharing,
        )
    return sharing


def _rates(net: Net, line: NetLine, where: Sequence[Vec]) -> list[float]:
    """Return the slope of a line's length by every coordinate and, last, by every way the load can travel."""
    row = [0.0] * (net.coordinates + net.ways)
    for i, (u, _) in enumerate(steps(line, where)):
        for (body, _), sign in ((line.points[i], -1.0), (line.points[i + 1], 1.0)):
            for column, axis in net.moves[body]:
                way = column if column < net.coordinates else net.coordinates + column - net.size
                row[way] += sign * dot(u, axis)
    return row


def check_relaxed(net: Net, found: Relaxed) -> None:
    """Refuse what the frictionless places of least energy show.

    Raises
    ------
    RigRefusal
        NO_EQUILIBRIUM, LOAD_STILL, BACKWARDS or SLACK.
    """
    torn = [line for line, x in zip(net.lines, found.excess, strict=True) if x > 1e-2]
    if torn:
        names = tuple(line.name for line in torn)
        lengths = ", ".join(f"{line.name} {_m(line, net.scale_m)}" for line in torn)
        raise RigRefusal(
            "NO_EQUILIBRIUM",
            f"No balanced position: the lines are too short to meet ({lengths}). Give longer ones.",
            names,
        )
    load = net.rig.load.name
    if abs(found.pull) < NEVER:
        raise RigRefusal("LOAD_STILL", f"Hauling does not move the load {load}.", (load,))
    if found.pull < 0.0:
        raise RigRefusal(
            "BACKWARDS",
            f"Hauling drags the load {load} away from where it should go. Turn the direction round, or haul from the "
            "other side.",
            (load,),
        )
    both = zip(net.lines, found.tensions, strict=True)
    slack = [line for line, t in both if t < SLACK * found.pull and line.EA is None]
    if slack:
        raise slack_refusal(net, slack)


def slack_refusal(net: Net, slack: Sequence[NetLine]) -> RigRefusal:
    """Return the refusal of lines that would have to push."""
    names = tuple(line.name for line in slack)
    words = f"{' and '.join(names)} would have to push: a line can only pull."
    holders = [line for line in net.rig.lines.values() if line.strap and line.name not in names]
    if holders and any(net.rig.lines[name].strap for name in names):
        words += f" The pull lies outside the legs; {' and '.join(names)} hangs slack."
    return RigRefusal("SLACK", f"{words} Change the lengths or the places.", names)


def under_refusal(names: Sequence[str]) -> RigRefusal:
    """Return the refusal of blocks whose place nothing fixes."""
    return RigRefusal(
        "UNDER",
        f"{' and '.join(names)} can move while the winch stands still: nothing fixes the place. Hang it on a strap, "
        "or give one more line.",
        tuple(names),
    )


def check_apart(net: Net, where: Sequence[Vec]) -> None:
    """Refuse blocks that the lines draw together until they meet.

    Raises
    ------
    RigRefusal
        NO_EQUILIBRIUM, naming the two.
    """
    for line in net.lines:
        points = net.rig.lines[line.name].points
        for i, (_, length) in enumerate(steps(line, where)):
            if length < MEET:
                a, b = points[i].label, points[i + 1].label
                raise RigRefusal(
                    "NO_EQUILIBRIUM",
                    f"No balanced position: {a} and {b} would be drawn together until nothing of {line.name} is left "
                    "between them. Change the lengths or the places.",
                    (a, b),
                )


def none_found(net: Net) -> RigRefusal:
    """Return the refusal of a rig for which no place is found and no reason why."""
    return RigRefusal(
        "NO_EQUILIBRIUM",
        "No balanced position is found. Check the places, and give near: close to where the blocks will hang.",
        net.free,
    )
