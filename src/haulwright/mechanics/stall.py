"""A rig at winch stall: the greatest load of every piece, with friction and without.

Friction never excuses smaller gear: a piece is judged by the greater of its loads with every ratio at 1 and with every
ratio at the upper end of its interval.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from haulwright.mechanics.core import Core, at_effort, solve_core
from haulwright.mechanics.recording import record_of
from haulwright.mechanics.rig import Rig, Wanted
from haulwright.mechanics.solution import RigSolution
from haulwright.mechanics.statics import Ratio, both_given, by_block, plain_ratios
from haulwright.mechanics.stepped import stepped_lines
from haulwright.mechanics.uncertain import at_upper
from haulwright.notices import Code, Notice
from haulwright.quantities.measured import Measured
from haulwright.quantities.units import spoken


def with_and_without_friction(
    rig: Rig, ratio: Ratio | None, *, load_N: float | None = None, effort_N: float | None = None
) -> tuple[RigSolution, RigSolution]:
    """Return a rig without friction and with every ratio at the upper end of its interval.

    Parameters
    ----------
    rig : Rig
        A seized block turns freely in the first of the two: that it is seized must not make its neighbours' loads less.
    ratio : float, Measured, mapping block -> either, or None
        As :func:`haulwright.mechanics.statics.solve_rig` takes it.
    load_N, effort_N : float or None
        Resistance of the load, or tension at the drum [N]; not both. With several winches ``effort_N`` is the pull of each,
        all at once, and the load is held fast by whatever that takes.

    Returns
    -------
    (RigSolution, RigSolution)
        Forces and motion alone: no intervals, nothing of letting back, clearance, heat or other laws.

    Raises
    ------
    RigRefusal
        As :func:`haulwright.mechanics.statics.solve_rig`.

    Examples
    --------
    >>> from haulwright.mechanics.tackles import named_rig
    >>> both = with_and_without_friction(named_rig("two-part/on-load"), Measured.normal(1.2, 0.1), effort_N=1000.0)
    >>> [round(one.bodies["X"].load_N) for one in both]
    [2000, 1716]
    """
    return _recorded(_bare_and_most(rig, ratio, load_N, effort_N))


def at_load_and_stall(
    rig: Rig, ratio: Ratio | None, load_N: float, stall_N: float
) -> tuple[tuple[RigSolution, RigSolution], tuple[RigSolution, RigSolution]]:
    """Return a rig at its load and at winch stall, each as :func:`with_and_without_friction` returns it.

    Where all forces grow with the pull of the winch, the second is the first grown, and no place is looked for again.

    Parameters
    ----------
    rig : Rig
    ratio : float, Measured, mapping block -> either, or None
    load_N, stall_N : float
        Resistance of the load, and tension at the drum at winch stall [N].

    Raises
    ------
    RigRefusal
        As :func:`with_and_without_friction`.

    Examples
    --------
    >>> from haulwright.mechanics.tackles import named_rig
    >>> at_load, at_stall = at_load_and_stall(named_rig("two-part/on-load"), 1.2, 10_000.0, 42_000.0)
    >>> [round(one.bodies["X"].load_N) for one in (*at_load, *at_stall)]
    [10000, 10000, 84000, 77000]
    """
    cores = _bare_and_most(rig, ratio, load_N, None)
    bare, most = (at_effort(core, stall_N) for core in cores)
    if bare is None or most is None:
        return _recorded(cores), with_and_without_friction(rig, ratio, effort_N=stall_N)
    return _recorded(cores), _recorded((bare, most))


def _bare_and_most(
    rig: Rig, ratio: Ratio | None, load_N: float | None, effort_N: float | None
) -> tuple[Core, Core]:
    rig = replace(rig, wanted=Wanted(), gaps=())  # clearances are no matter of stall
    free = replace(rig, blocks={name: replace(block, seized=False) for name, block in rig.blocks.items()})
    if load_N is not None and effort_N is not None:
        raise both_given()
    upper = plain_ratios(by_block(at_upper(rig), _upper(ratio)))
    bare = solve_core(free, 1.0, load_N, effort_N, ())
    return bare, solve_core(at_upper(rig), upper, load_N, effort_N, (), bare)


def _recorded(cores: tuple[Core, Core]) -> tuple[RigSolution, RigSolution]:
    bare, most = (record_of(core, False, holding=False) for core in cores)
    return bare, most


def _upper(ratio: Ratio | None) -> float | dict[str, float] | None:
    if isinstance(ratio, Mapping):
        return {name: max(k.hi, 1.0) if isinstance(k, Measured) else float(k) for name, k in ratio.items()}
    return max(ratio.hi, 1.0) if isinstance(ratio, Measured) else ratio


def with_stall(solution: RigSolution, at_stall: Sequence[RigSolution], rig: Rig) -> RigSolution:
    """Return a solution with the caution of its loads at winch stall, for a reader who sees the record alone.

    Parameters
    ----------
    solution : RigSolution
        The rig at the load expected.
    at_stall : sequence of RigSolution
        The same rig at winch stall, from :func:`with_and_without_friction`.
    rig : Rig
        For the ratings of its blocks and ropes.
    """
    pull_N = next(iter(at_stall[0].effort_N.values()))
    drums = tuple(solution.effort_N)
    loads = {name: max(one.bodies[name].load_N for one in at_stall) for name in solution.bodies}
    each = f" (each of {', '.join(drums)}, all at once; one alone can load a piece they pull apart more)"
    words = (
        spoken(pull_N)
        + each * (len(drums) > 1)
        + _of_steps(at_stall, rig)
        + "".join(f"; {name} takes {spoken(load)}" for name, load in loads.items())
    )
    caution = Code.STALL.notice(tuple(loads), stall=words)
    found = [*_over_rating(at_stall, rig), *_too_weak(solution, pull_N), caution]
    return replace(solution, notices=(*solution.notices, *found))


def _of_steps(at_stall: Sequence[RigSolution], rig: Rig) -> str:
    """Return what the line on a stepped drum carries at stall, which is more than the winch's pull."""
    told = ""
    for line in stepped_lines(rig):
        most = max(part.tension_N for one in at_stall for part in one.lines[line.name].parts)
        told += f" at its large radius, with {spoken(most)} in {line.name}"
    return told


def _over_rating(at_stall: Sequence[RigSolution], rig: Rig) -> list[Notice]:
    found = []
    for name, block in rig.blocks.items():
        load = max((one.blocks[name].with_becket_N for one in at_stall if name in one.blocks), default=0.0)
        if block.wll_N is not None and load > block.wll_N:
            text = (
                f"{name} carries {spoken(load)} at winch stall, over its WLL of {spoken(block.wll_N)}: "
                "not with this block."
            )
            found.append(Code.OUT_OF_RANGE.notice((name,), text=text))
    for name, line in rig.lines.items():
        most = max((part.tension_N for one in at_stall for part in one.lines[name].parts), default=0.0)
        if line.rope and line.rope.break_N is not None and most >= line.rope.break_N:
            text = (
                f"{name} carries {spoken(most)} at winch stall; its rope breaks at {spoken(line.rope.break_N)}: "
                "not with this rope."
            )
            found.append(Code.OUT_OF_RANGE.notice((name,), text=text))
    return found


def _too_weak(solution: RigSolution, pull_N: float) -> list[Notice]:
    if any(notice.code == Code.UNIT_LOAD.name for notice in solution.notices):
        return []
    found = []
    for drum, expected_N in solution.effort_N.items():
        if pull_N < expected_N:
            name = "The winch" if len(solution.effort_N) == 1 else drum
            text = (
                f"{name} stalls at {spoken(pull_N)}, below the {spoken(expected_N)} this load needs: "
                "it will not move."
            )
            found.append(Code.OUT_OF_RANGE.notice((drum,), text=text))
    return found
