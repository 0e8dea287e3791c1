"""A seized sheave as a what-if: what it costs against the same rig with every sheave running."""

from __future__ import annotations

from dataclasses import replace

from haulwright.catalogue import row
from haulwright.errors import RigRefusal
from haulwright.mechanics import tension
from haulwright.mechanics.asked import Asked
from haulwright.mechanics.core import Core, solve_core
from haulwright.mechanics.finding_records import SeizedCase, SeizedSolution
from haulwright.mechanics.friction import Seized, seized_blocks
from haulwright.mechanics.names import nearest
from haulwright.mechanics.rig import Rig
from haulwright.notices import Code, Notice

ROW = ("friction", "rope-on-post")


def seized_what_if(asked: Asked, core: Core) -> SeizedSolution | None:
    """Return the rise in effort of seized sheaves, and its band over the published range of mu; None if all turn.

    Parameters
    ----------
    asked : Asked
        As the rig was solved.
    core : Core
        That solution.

    Returns
    -------
    SeizedSolution or None

    Raises
    ------
    RigRefusal
        As the solver, where the rig does not work even with all sheaves running.

    Notes
    -----
    Rise is (effort ÷ load with the seized sheave) ÷ (effort ÷ load with it running by its own law).

    References
    ----------
    Capstan law, any statics text: mu 0.1 to 0.3 for rope on metal or wood.
    """
    blocks = seized_blocks(asked.rig, asked.seized)
    if not blocks or core.moving.held:
        return None
    free = replace(asked.rig, blocks={n: replace(b, seized=False) for n, b in asked.rig.blocks.items()})
    running = solve_core(free, asked.values, asked.load_N, asked.effort_N, (), core)
    published = row(*ROW)
    band = [
        _case(asked, blocks, mu, running)
        for mu in (published.lo, published.value, published.hi)
        if mu is not None
    ]
    return SeizedSolution(
        blocks=blocks,
        running_law=running.law,
        running_effort_N=tension.efforts_of(free, running.found),
        rise=_rise(core, running),
        band=tuple(band),
    )


def seized_notices(found: SeizedSolution | None) -> list[Notice]:
    """Return what is said of seized sheaves: where a rise within the published range ends in a jam."""
    jams = [f"mu {case.mu:g}" for case in found.band if case.effort_N is None] if found else []
    if not found or not jams:
        return []
    text = f"With {' and '.join(found.blocks)} seized the rig jams at {', '.join(jams)}, within the published range."
    return [Code.OUT_OF_RANGE.notice(tuple(found.blocks), text=text)]


def _case(asked: Asked, blocks: dict[str, float], mu: float, running: Core) -> SeizedCase:
    try:
        stuck = dict.fromkeys(blocks, mu)
        core = solve_core(asked.rig, asked.values, asked.load_N, asked.effort_N, stuck, running)
    except RigRefusal:
        return SeizedCase(mu, None, None)
    return SeizedCase(mu, tension.efforts_of(asked.rig, core.found), _rise(core, running))


def _rise(core: Core, running: Core) -> float | None:
    if core.moving.rig.several:
        return None
    return _share(core.moving.rig, core) / _share(core.moving.rig, running)


def _share(rig: Rig, core: Core) -> float:
    return tension.effort_of(rig, core.found) / core.resistance_N


def with_seized(rig: Rig, seized: Seized) -> Rig:
    """Return a rig in which these blocks are seized, beside those that are already.

    Parameters
    ----------
    rig : Rig
    seized : collection of str, or mapping block -> mu
        mu None takes that of the block, or the middle of the published range.

    Returns
    -------
    Rig

    Raises
    ------
    RigRefusal
        UNKNOWN for a block that is not in the rig; RATIO for a friction coefficient no rope has.

    Examples
    --------
    >>> from haulwright.mechanics.notation import parse_notation
    >>> with_seized(parse_notation("!truck.drum > tree > truck"), {"tree": 0.25}).blocks["tree"].seized_mu
    0.25
    """
    for name in seized:
        if name not in rig.blocks:
            known = nearest(name, list(rig.blocks))
            raise RigRefusal("UNKNOWN", f"There is no block {name!r} in this rig.{known}", (name,))
    stuck = seized_blocks(rig, seized)
    blocks = {
        name: replace(block, seized=True, seized_mu=stuck[name]) if name in stuck else block
        for name, block in rig.blocks.items()
    }
    return replace(rig, blocks=blocks)
