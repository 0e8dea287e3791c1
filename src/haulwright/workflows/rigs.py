"""Verbs of rigs: read, solve, list, find."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from haulwright.workflows.given import Given, newtons

if TYPE_CHECKING:
    from haulwright.mechanics.batch.find import TackleList
    from haulwright.mechanics.rig import Rig
    from haulwright.mechanics.rig_list import RigList
    from haulwright.mechanics.sheave_list import SheaveList
    from haulwright.mechanics.solution import RigSolution
    from haulwright.mechanics.statics import Ratio


def read_rig(given: Given | Rig, laws: Mapping[str, Mapping[str, Any]] | None = None) -> Rig:
    """Return the rig of a file, a mapping, one-line notation or a name; see :func:`haulwright.files.rig.read_rig`.

    Parameters
    ----------
    given : path, mapping, notation, name or Rig
    laws : mapping block -> law, or None
        Friction laws as a rig file writes them, in place of the rig's own; ``*`` stands for every block.

    Examples
    --------
    >>> rig = read_rig("two-part", {"*": {"law": "bearing", "f": 0.03, "c": 0.012}})
    >>> round(solve_rig(rig).advantage, 3)
    1.931
    """
    from haulwright.files.rig import read_rig as read
    from haulwright.files.rig_law import with_laws

    return with_laws(read(given), laws or {})


def rig_in_words(text: str) -> Rig:
    """Return the rig of one-line notation or of a name; no file is looked for, whatever the text.

    Raises
    ------
    RigRefusal
        A text that is neither.

    Examples
    --------
    >>> rig_in_words("!truck.drum > oak > truck").load.name
    'truck'
    >>> rig_in_words("rig.yaml")
    Traceback (most recent call last):
    haulwright.errors.RigRefusal: There is no rig named 'rig.yaml'...
    """
    from haulwright.mechanics import notation, tackles

    return notation.parse_notation(text) if notation.looks_like_notation(text) else tackles.named_rig(text)


def solve_rig(
    rig: Given | Rig,
    ratio: Ratio | None = None,
    *,
    load: str | float | None = None,
    effort: str | float | None = None,
    letting_back: bool = False,
    seized: Collection[str] | Mapping[str, float | None] = (),
    devices: Mapping[str, str] | None = None,
    travel: str | float | None = None,
    monte_carlo: int | None = None,
    seed: int = 1,
) -> RigSolution:
    """Return every force in a rig.

    Parameters
    ----------
    rig : path, mapping, notation, name or Rig
    ratio : float, Measured, mapping block -> either, or None
        Per-contact tension ratio k in place of the file's law.
    load, effort : str or float or None
        Resistance of the load, or line pull at the drum: text with its unit, or newtons; not both.
    letting_back : bool
    seized : collection of str, or mapping block -> mu
        Blocks whose sheave does not turn; mu None is the middle of the published range.
    devices : mapping block -> device name, or None
        Blocks of one device share its error; a device may stand for its blocks in ``ratio``.
    travel : str or float or None
        Travel of the load wanted, in place of that of the file: text with its unit, or metres.
    monte_carlo : int or None
        Number of random draws the intervals come from; None carries them to first order.
    seed : int
        Of the draws; the same seed gives the same answer.

    Returns
    -------
    RigSolution

    Raises
    ------
    Refusal
        A rig that cannot be read, cannot work or cannot be solved.

    Examples
    --------
    >>> solution = solve_rig("three-part", 1.07, load="26 kN")
    >>> round(solution.effort_N["winch"])
    9259
    """
    from haulwright.mechanics.statics import solve_rig as solve
    from haulwright.mechanics.uncertain import with_devices

    read = _wanting(with_devices(read_rig(rig), devices or {}), travel)
    load_N = None if load is None else newtons(load, "load")
    effort_N = None if effort is None else newtons(effort, "effort")
    if monte_carlo is None:
        return solve(read, ratio, load_N=load_N, effort_N=effort_N, letting_back=letting_back, seized=seized)
    from haulwright.mechanics.batch.monte_carlo import solve_rig_by_draws

    return solve_rig_by_draws(
        read,
        ratio,
        draws=monte_carlo,
        seed=seed,
        load_N=load_N,
        effort_N=effort_N,
        letting_back=letting_back,
        seized=seized,
    )


def solve_at_stall(
    rig: Given | Rig,
    ratio: Ratio | None,
    stall: str | float,
    devices: Mapping[str, str] | None = None,
    seized: Collection[str] | Mapping[str, float | None] = (),
) -> tuple[RigSolution, RigSolution]:
    """Return a rig at winch stall without friction and with every ratio at the upper end of its interval.

    The greater of the two is a piece's load at stall: friction never excuses smaller gear.
    """
    from haulwright.mechanics.seized import with_seized
    from haulwright.mechanics.stall import with_and_without_friction
    from haulwright.mechanics.uncertain import with_devices

    read = with_seized(with_devices(read_rig(rig), devices or {}), seized)
    return with_and_without_friction(read, ratio, effort_N=newtons(stall, "stall"))


def with_stall(solution: RigSolution, at_stall: Sequence[RigSolution], rig: Given | Rig) -> RigSolution:
    """Return a solution with the caution of its loads at winch stall, for a reader who sees the record alone."""
    from haulwright.mechanics.stall import with_stall as cautioned

    return cautioned(solution, at_stall, read_rig(rig))


def _wanting(rig: Rig, travel: str | float | None) -> Rig:
    """Return a rig with a travel of its load wanted, given as text with its unit or in metres."""
    if travel is None:
        return rig
    from haulwright.errors import RigRefusal
    from haulwright.quantities.units import parse_length

    wanted_m = parse_length(travel, default_unit=None if isinstance(travel, str) else "m", what="travel")
    if not wanted_m > 0.0:
        raise RigRefusal("INPUT", f"travel = {wanted_m:g} m: give a length above 0.", ("travel",))
    return replace(rig, wanted=replace(rig.wanted, travel_m=wanted_m))


def list_rigs() -> RigList:
    """Return every named rig with its path from the drum."""
    from haulwright.mechanics.rig_list import list_rigs as every

    return every()


def list_sheaves() -> SheaveList:
    """Return every published tension ratio of one contact, with its source."""
    from haulwright.mechanics.sheave_list import list_sheaves as every

    return every()


def find_tackles(
    at_least: float | None = None,
    *,
    ratio: float = 1.0,
    blocks: int | None = None,
    ropes: int | None = None,
    winch: str | None = None,
    limit: int = 10,
) -> TackleList:
    """Return the tackles that reach an advantage with the gear there is, fewest sheaves first.

    Parameters
    ----------
    at_least : float or None
        Wanted actual advantage; None lists the greatest first.
    ratio : float
        Tension ratio k of every contact; 1 is no friction.
    blocks, ropes : int or None
        Single blocks there are, and lines with the winch's.
    winch : str or None
        ``on-load`` or ``off-load``.
    limit : int
        Tackles listed.

    Returns
    -------
    TackleList

    Raises
    ------
    Refusal
        A value that makes no sense.

    Examples
    --------
    >>> [tackle.name for tackle in find_tackles(3.5, ratio=1.1, blocks=2, ropes=2).tackles]
    ['stacked two-parts/off-load', 'stacked two-parts/on-load']
    """
    from haulwright.mechanics.batch.find import find_tackles as find

    return find(at_least, ratio=ratio, blocks=blocks, ropes=ropes, winch=winch, limit=limit)
