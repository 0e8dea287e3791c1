"""What a solved rig says beyond its forces: clearance, heat of its blocks, other laws, seized sheaves."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from haulwright.mechanics.asked import Asked
from haulwright.mechanics.clearance import Cleared, cleared
from haulwright.mechanics.clearance_notices import needed_m
from haulwright.mechanics.core import Core
from haulwright.mechanics.heat import warmed
from haulwright.mechanics.law_band import band_notices, law_band, sources_of, turned_laws
from haulwright.mechanics.seized import seized_notices, seized_what_if
from haulwright.mechanics.solution import RigSolution


def with_findings(solution: RigSolution, core: Core, asked: Asked) -> RigSolution:
    """Return a solution with all that follows from it.

    Parameters
    ----------
    solution : RigSolution
        Forces and motion.
    core : Core
        What it was written from.
    asked : Asked
        As the rig was solved.
    """
    rig = core.moving.rig
    clear = cleared(core, asked)
    band = law_band(asked, core)
    seized = seized_what_if(asked, core)
    load_N = core.resistance_N if core.load_given else None
    return replace(
        solution,
        blocks=warmed(
            rig, solution.blocks, solution.contacts, core.moving.motion.load_speed, core.load_given
        ),
        line_m=_line_m(solution.line_m, clear),
        two_blocked_m=clear.two_blocked_m,
        clearance=clear.clearance,
        law_source=sources_of(turned_laws(asked)),
        law_band=band,
        seized=seized,
        notices=(*clear.notices, *band_notices(band, load_N), *seized_notices(seized), *solution.notices),
    )


def _line_m(
    before: Mapping[str, Mapping[str, float | None]] | None, clear: Cleared
) -> Mapping[str, Mapping[str, float | None]] | None:
    """Return line needed, with all that is added to the parts, and line taken in, by drum."""
    needs = clear.clearance.line if clear.clearance else {}
    drums = dict.fromkeys([*(before or {}), *clear.taken_in_m])
    found = {
        drum: {
            "needed": needed_m(needs[drum]) if drum in needs and needs[drum].parts_m is not None else None,
            "taken_in": clear.taken_in_m.get(drum),
        }
        for drum in drums
    }
    return found or None
