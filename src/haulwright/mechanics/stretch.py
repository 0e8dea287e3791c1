"""How far the lines of a solved rig stretch, what they store, and how much line the drum takes in for it."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from haulwright.errors import RigRefusal
from haulwright.mechanics import tension
from haulwright.mechanics.core import Core
from haulwright.mechanics.ground import GroundAnswer
from haulwright.mechanics.rope import stored_energy, stretch
from haulwright.mechanics.solution import PartStretch, Stretch
from haulwright.mechanics.tension import Tensions
from haulwright.notices import Code, Notice
from haulwright.quantities.units import spoken

TOO_SHORT_M = 1e-6  # a line this much short of its path is short by rounding only


@dataclass(frozen=True)
class Stretched:
    """Stretch of a rig's lines, as :class:`haulwright.mechanics.solution.RigSolution` holds it."""

    lines: Mapping[str, Stretch] | None
    take_up_m: float | None
    line_m: Mapping[str, Mapping[str, float | None]] | None
    notices: tuple[Notice, ...]


def stretch_lines(core: Core) -> Stretched:
    """Return stretch and stored energy of every line whose EA is known, the drum's take-up and the line needed.

    Parameters
    ----------
    core : Core
        A solved rig. Without places there are no lengths, without a resistance or effort no forces: then the values
        that need them are None.

    Returns
    -------
    Stretched
        ``lines``: name -> stretch_m [m], stored_J [J], and parts with the same of each part; ``take_up_m`` [m], None
        unless the EA of every line is known;
        ``line_m``: drum -> needed [m], taken_in None, since a rig file gives no travel.

    Notes
    -----
    ``stretch = sum t_i l_i / EA`` and ``stored = sum t_i² l_i / (2 EA)`` over the parts of a line, each at its own
    tension; to first order, for lines that are bedded in and work within their elastic range. Line needed is the sum of
    the parts of the drum's line between point sheaves; nothing is added for the line round a sheave, for the wraps
    that must stay on the drum, or for a tail. See :func:`take_up` for the rest.

    References
    ----------
    Hooke's law; work of a linear spring; virtual work.

    Examples
    --------
    >>> from haulwright.files.rig import read_rig
    >>> from haulwright.mechanics.core import solve_core
    >>> rig = read_rig({"units": {"force": "kN", "length": "m"}, "anchors": {"oak": {"at": [0, 0]}},
    ...     "load": {"name": "truck", "at": [25, 0], "resistance": 40}, "winch": {"on": "oak"},
    ...     "lines": {"winch line": {"standing": "truck", "fall": "winch", "rope": {"EA": 4400}}}})
    >>> found = stretch_lines(solve_core(rig, None, None, None, ()))
    >>> round(found.lines["winch line"]["stretch_m"], 4), round(found.take_up_m, 4), found.line_m["winch"]["needed"]
    (0.2273, 0.2273, 25.0)
    """
    rig, drawn = core.moving.rig, _drawn(core)
    notices = [*_breaks(core), *_too_short(core, drawn)]
    needed = {
        drum: {"needed": math.fsum(drawn[line.name]), "taken_in": None}
        for drum, line in rig.drums.items()
        if drawn
    }
    lines, taken_up = stretch_of(core)
    if not lines:
        return Stretched(None, None, needed or None, tuple(notices))
    unknown = tuple(name for name in rig.lines if name not in lines)
    if unknown:
        text = (
            f"No EA is given for {', '.join(unknown)}: left out of the stretch and stored energy, so the line the drum "
            "takes in before the load moves is not given."
        )
        notices.append(Code.ADVICE.notice(unknown, text=text))
    energy = f"{math.fsum(found['stored_J'] for found in lines.values()) / 1000.0:.3g} kJ"
    tight = tuple(name for name, found in lines.items() if found["stored_J"] > 0.0)
    if tight:
        notices.append(Code.STORED_ENERGY.notice(tight, what=", ".join(tight), energy=energy))
    return Stretched(lines, taken_up, needed or None, tuple(notices))


def stretch_of(core: Core) -> tuple[dict[str, Stretch], float | None]:
    """Return the stretch of every line whose EA and length are known, and the take-up [m] if that is all of them."""
    rig, lengths = core.moving.rig, _at_rest(core)
    known = {
        name: line.rope.EA_N
        for name, line in rig.lines.items()
        if line.rope and line.rope.EA_N and name in lengths and core.load_given
    }
    lines = {name: _stretched(core.found[name], lengths[name], EA_N) for name, EA_N in known.items()}
    if len(lines) < len(rig.lines) or rig.several:
        return lines, None
    return lines, take_up(core, {name: found["stretch_m"] for name, found in lines.items()})


def stretch_figures(core: Core) -> dict[str, float]:
    """Return stretch, stored energy and take-up by their paths in the record."""
    lines, taken_up = stretch_of(core)
    found = {f"stretch.{name}.stretch_m": one["stretch_m"] for name, one in lines.items()}
    found |= {f"stretch.{name}.stored_J": one["stored_J"] for name, one in lines.items()}
    return found if taken_up is None else found | {"take_up_m": taken_up}


def take_up(core: Core, stretch_m: Mapping[str, float]) -> float | None:
    """Return the line the drum takes in before the load moves [m], None where friction-free tensions have no answer.

    Parameters
    ----------
    core : Core
    stretch_m : mapping line -> float
        Stretch of every line [m], as it is with friction.

    Returns
    -------
    float or None

    Notes
    -----
    Virtual work with the load held: let the drum take in s while line r grows by x_r. Forces that balance without
    friction do no work on it, so ``effort · s = sum T_r x_r`` and ``s = sum x_r T_r / effort``, T_r and effort without
    friction. That is a matter of motion only: a line's share T_r / effort is the line the drum takes in per metre this
    line grows. One line: its own stretch; the long line of two stacked two-parts: twice its stretch. Where blocks
    find their place, the shares are those of the place they would take without friction. Where lines share, the line
    taken in is solved with the shares, slack that has to be taken in included; on the ground the path of the winch line
    is measured under the load and where all lines are just taut.

    References
    ----------
    Virtual work: any statics text.
    """
    if core.moving.sharing:
        shares = tension.share_out(core.moving, core.ratios, core.resistance_N)
        return None if shares is None else shares.taken_in_m
    rig, ideal = core.moving.rig, frictionless(core)
    if core.sharing_lines and core.ground and ideal is not None:
        return _take_up_on_ground(core, core.ground, stretch_m, ideal)
    if ideal is None:
        return None
    effort = tension.effort_of(rig, ideal)
    return math.fsum(x * ideal[name][0] / effort for name, x in stretch_m.items())


def _take_up_on_ground(
    core: Core, ground: GroundAnswer, stretch_m: Mapping[str, float], ideal: Tensions
) -> float | None:
    """Return the take-up where the place of the blocks already holds the stretch of the lines that share."""
    rig = core.moving.rig
    try:
        run_in = ground.run_in_m(rig.hauling_line.name)
    except RigRefusal:
        return None
    effort = tension.effort_of(rig, ideal)
    others = ((n, x) for n, x in stretch_m.items() if n not in core.sharing_lines)
    return run_in + math.fsum(x * ideal[name][0] / effort for name, x in others)


def frictionless(core: Core) -> Tensions | None:
    """Return the tensions without friction as shares of the resistance, None where there are none."""
    if core.ground:
        return core.ground.without_friction()
    return tension.balance(core.moving, tension.scaled(core.ratios, 0.0), 1.0)


def _at_rest(core: Core) -> dict[str, tuple[float, ...]]:
    """Return the lengths of all parts without tension, of the lines for which they are known."""
    if core.moving.sharing:
        springs = core.moving.sharing.springs
        return {name: spring.lengths_m for name, spring in springs.items() if spring.lengths_m is not None}
    drawn = _drawn(core)
    for name in core.sharing_lines:
        rope = core.moving.rig.lines[name].rope
        if rope and rope.EA_N:  # on the ground they run at the length to which they are stretched
            both = zip(drawn[name], core.found[name], strict=True)
            drawn[name] = tuple(x / (1.0 + t / rope.EA_N) for x, t in both)
    return drawn


def _drawn(core: Core) -> dict[str, tuple[float, ...]]:
    """Return the lengths of all parts as they run, nothing in a rig without places."""
    found = {}
    for name, course in core.moving.course_of.items():
        parts = tuple(x for x in course.lengths_m if x is not None)
        if len(parts) < len(course.lengths_m):
            return {}
        found[name] = parts
    return found


def _stretched(tensions_N: Sequence[float], lengths_m: Sequence[float], EA_N: float) -> Stretch:
    parts: list[PartStretch] = []
    for t, x in zip(tensions_N, lengths_m, strict=True):
        pulled = max(t, 0.0)  # a rounding below 0 is slack
        parts.append({"stretch_m": stretch(pulled, x, EA_N), "stored_J": stored_energy(pulled, x, EA_N)})
    return {
        "stretch_m": math.fsum(part["stretch_m"] for part in parts),
        "stored_J": math.fsum(part["stored_J"] for part in parts),
        "parts": parts,
    }


def _too_short(core: Core, lengths: Mapping[str, tuple[float, ...]]) -> Iterator[Notice]:
    """Hold every line without a drum against its parts; a winch line, which needs more, in :mod:`.clearance`."""
    for name, parts in lengths.items():
        line, needed = core.moving.rig.lines[name], math.fsum(parts)
        stated = None if line.drum or name in core.sharing_lines else line.stated_m
        if stated is not None and stated < needed - TOO_SHORT_M:
            text = (
                f"{name} is {stated:.2f} m long, but its parts need {needed:.2f} m, without what goes round the blocks: "
                "it does not reach. Give a longer line or other places."
            )
            yield Code.OUT_OF_RANGE.notice((name,), text=text)


def _breaks(core: Core) -> Iterator[Notice]:
    """Hold each line against its stated breaking force; gear is judged at winch stall, which is not known here."""
    for name, line in core.moving.rig.lines.items():
        limit = line.rope.break_N if line.rope else None
        if limit is None or not core.load_given:
            continue
        most = max(core.found[name])
        if most >= limit:
            text = f"{name} carries {spoken(most)}; its rope breaks at {spoken(limit)}: not with this rope."
            yield Code.OUT_OF_RANGE.notice((name,), text=text)
        else:
            text = (
                f"{name} carries {spoken(most)}; its rope breaks at {spoken(limit)}, a breaking force and no "
                "WLL; what counts is winch stall, and a design factor on top."
            )
            yield Code.UNCHECKED.notice((name,), text=text)
