"""How far the lines of a solved rig stretch, what they store, and how much line the drum takes in for it."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from haulwright.mechanics import tension
from haulwright.mechanics.core import Core
from haulwright.mechanics.rig import Rig
from haulwright.mechanics.rope import stored_energy, stretch
from haulwright.mechanics.tension import Tensions
from haulwright.notices import Code, Notice
from haulwright.quantities.units import show

TOO_SHORT_M = 1e-6  # a line this much short of its path is short by rounding only


@dataclass(frozen=True)
class Stretched:
    """Stretch of a rig's lines, as :class:`haulwright.mechanics.solution.RigSolution` holds it."""

    lines: Mapping[str, Mapping[str, float]] | None
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
        ``lines``: name -> stretch_m [m], stored_J [J]; ``take_up_m`` [m], None unless the EA of every line is known;
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
    rig, lengths = core.moving.rig, _lengths(core)
    notices = [*_breaks(core), *_too_short(rig, lengths)]
    if not lengths:
        return Stretched(None, None, None, tuple(notices))
    drum = rig.hauling_line
    needed = {drum.drum or "": {"needed": math.fsum(lengths[drum.name]), "taken_in": None}}
    known = {name: line.rope.EA_N for name, line in rig.lines.items() if line.rope and line.rope.EA_N}
    if not known or not core.load_given:
        return Stretched(None, None, needed, tuple(notices))
    lines = {name: _stretched(core.found[name], lengths[name], EA_N) for name, EA_N in known.items()}
    unknown = tuple(name for name in rig.lines if name not in known)
    taken_up = None
    if unknown:
        text = (
            f"No EA is given for {', '.join(unknown)}: left out of the stretch and stored energy, so the line the drum "
            "takes in before the load moves is not given."
        )
        notices.append(Code.ADVICE.notice(unknown, text=text))
    else:
        taken_up = take_up(core, {name: found["stretch_m"] for name, found in lines.items()})
    energy = f"{math.fsum(found['stored_J'] for found in lines.values()) / 1000.0:.3g} kJ"
    notices.append(Code.STORED_ENERGY.notice(tuple(lines), what=", ".join(lines), energy=energy))
    return Stretched(lines, taken_up, needed, tuple(notices))


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
    find their place, the shares are those of the place they would take without friction.

    References
    ----------
    Virtual work: any statics text.
    """
    rig, ideal = core.moving.rig, _without_friction(core)
    if ideal is None:
        return None
    effort = tension.effort_of(rig, ideal)
    return math.fsum(x * ideal[name][0] / effort for name, x in stretch_m.items())


def _without_friction(core: Core) -> Tensions | None:
    if core.ground:
        return core.ground.without_friction()
    return tension.balance(core.moving, tension.scaled(core.ratios, 0.0), 1.0)


def _lengths(core: Core) -> dict[str, tuple[float, ...]]:
    """Return the lengths of all parts, nothing in a rig without places."""
    found = {}
    for name, course in core.moving.course_of.items():
        parts = tuple(x for x in course.lengths_m if x is not None)
        if len(parts) < len(course.lengths_m):
            return {}
        found[name] = parts
    return found


def _stretched(tensions_N: tuple[float, ...], lengths_m: tuple[float, ...], EA_N: float) -> dict[str, float]:
    parts = [
        (max(t, 0.0), x) for t, x in zip(tensions_N, lengths_m, strict=True)
    ]  # a rounding below 0 is slack
    return {
        "stretch_m": math.fsum(stretch(t, x, EA_N) for t, x in parts),
        "stored_J": math.fsum(stored_energy(t, x, EA_N) for t, x in parts),
    }


def _too_short(rig: Rig, lengths: Mapping[str, tuple[float, ...]]) -> Iterator[Notice]:
    for name, parts in lengths.items():
        stated, needed = rig.lines[name].stated_m, math.fsum(parts)
        if stated is not None and stated < needed - TOO_SHORT_M:
            text = (
                f"{name} is {stated:.2f} m long, but its parts need {needed:.2f} m, without what goes round the blocks "
                "or stays on the drum: it does not reach. Give a longer line or other places."
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
            text = f"{name} carries {show(most, 'kN')}; its rope breaks at {show(limit, 'kN')}: not with this rope."
            yield Code.OUT_OF_RANGE.notice((name,), text=text)
        else:
            text = (
                f"{name} carries {show(most, 'kN')}; its rope breaks at {show(limit, 'kN')}, a breaking force and no "
                "WLL; what counts is winch stall, and a design factor on top."
            )
            yield Code.UNCHECKED.notice((name,), text=text)
