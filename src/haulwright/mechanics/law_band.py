"""What other published laws of friction would give for the same rig, beside the law in use.

Published laws disagree on a contact that is not a full turn, and printed ratios on one and the same kind of bearing; the
one-tenth rule stands apart from both. The truth lies somewhere in that band.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import replace

from haulwright.catalogue import row
from haulwright.errors import RigRefusal
from haulwright.mechanics import friction, loads, tension
from haulwright.mechanics.asked import Asked
from haulwright.mechanics.core import Core, solve_core
from haulwright.mechanics.finding_records import LawCase
from haulwright.mechanics.published import LIKE, TABLE, Published, published_law
from haulwright.mechanics.rig import Rig
from haulwright.mechanics.sheave import (
    Bearing,
    ByWrap,
    Capstan,
    Efficiency,
    Law,
    PerContact,
    TenthRule,
    efficiency_ratio,
)
from haulwright.mechanics.uncertain import plain_law
from haulwright.notices import Code, Notice
from haulwright.quantities.units import spoken

SOURCES: dict[type, str] = {
    PerContact: "API RP 9B, 14th ed., Add. 1, 2.3.3: full turns",
    ByWrap: "Euler–Eytelwein, mu from the ratio at 180°: statics texts",
    Efficiency: "definition, k = 1/e per contact",
    Capstan: "Euler–Eytelwein: statics texts",
    Bearing: "moments about the pin: statics texts",
    TenthRule: "U.S. Army lesson 63H34F01 (2004); U.S. Navy Steelworker vol. 2",
}
FULL_TURN = 1e-6  # a wrap this near to 180 degrees is a full turn [rad], as share of pi
TOLD = 0.01  # house number: laws that differ by more than this are told in a notice
Laws = dict[str, Law | None]


def sources_of(laws: Mapping[str, Law | None]) -> str:
    """Return where the laws of a rig are printed.

    Examples
    --------
    >>> sources_of({"B": ByWrap(1.07)})
    'Euler–Eytelwein, mu from the ratio at 180°: statics texts'
    """
    found = []
    for law in laws.values():
        plain = plain_law(law)
        if isinstance(plain, Published):
            found.append(row(TABLE, plain.row).source.cite())
        elif type(plain) in SOURCES:
            found.append(SOURCES[type(plain)])
    return "; ".join(dict.fromkeys(found))


def turned_laws(asked: Asked) -> Laws:
    """Return the law of every block that a line turns over."""
    met = set(asked.rig.contacts_from_drum)
    laws = friction.resolve_laws(asked.rig, asked.values, asked.seized)
    return {name: law for name, law in laws.items() if name in met}


def law_band(asked: Asked, core: Core) -> tuple[LawCase, ...]:
    """Return what every other published law gives, the law in use first; nothing where they agree or none is at hand.

    Parameters
    ----------
    asked : Asked
        As the rig was solved.
    core : Core
        That solution.

    Returns
    -------
    tuple of LawCase

    Notes
    -----
    Three bands: one ratio per contact against the same ratio by wrap, for contacts that move and are not a full turn;
    the one-tenth rule against roller and plain bearing sheaves; a published row against what other families print for
    the same kind of bearing.

    References
    ----------
    API RP 9B, 14th ed., Addendum 1 (2020), 2.3.3: K 1.04 and 1.09. Block makers' ratio tables: 1.02 and 1.045.
    U.S. Army lesson 63H34F01 (2004): one tenth of the load per sheave.

    Examples
    --------
    >>> from haulwright.files.rig import read_rig
    >>> from haulwright.mechanics.core import solve_core
    >>> rig = read_rig({"sheaves": {"law": "tenth-rule"}, "anchors": {"oak": {}}, "load": {"name": "truck"},
    ...     "blocks": {"B": {"on": "oak"}}, "winch": {"on": "truck"},
    ...     "lines": {"winch line": {"standing": "truck", "through": ["B"], "fall": "winch"}}})
    >>> asked = Asked(rig, None, 1000.0, None)
    >>> [round(case.effort_N["winch"]) for case in law_band(asked, solve_core(rig, None, 1000.0, None, ()))]
    [550, 510, 522]
    """
    if core.moving.held:
        return ()
    laws = turned_laws(asked)
    others = list(_others(laws, core))
    if not others:
        return ()
    words = core.law
    if any(isinstance(law, TenthRule) for law in laws.values()):
        k = max((k for parts in core.ratios.values() for k in parts), default=1.0)
        words = f"{words}: amounts to k {k:.4g} at every contact"
    return (_case(words, laws, core), *(_solved(asked, other, core) for other in others))


def band_notices(band: tuple[LawCase, ...], load_N: float | None) -> list[Notice]:
    """Return the notice of laws that differ; ``load_N`` is None where forces are shares of the load."""
    known = [(case, effort) for case in band if case.effort_N for effort in [max(case.effort_N.values())]]
    if len(known) < 2:
        return []
    efforts = [effort for _, effort in known]
    spread = max(efforts) / min(efforts) - 1.0
    if spread <= TOLD or load_N == 0.0:
        return []
    told = [f"{case.law} {_effort(case, effort, load_N)}" for case, effort in known]
    return [Code.LAW_BAND.notice((), share=f"{100.0 * spread:.0f} %", laws="; ".join(told))]


def _effort(case: LawCase, effort_N: float, load_N: float | None) -> str:
    if load_N is not None:
        return spoken(effort_N)
    return f"advantage {case.advantage:.3f}" if case.advantage else "–"


def _others(laws: Laws, core: Core) -> Iterator[Laws]:
    plain = {name: plain_law(law) for name, law in laws.items()}
    if any(isinstance(law, TenthRule) for law in plain.values()):
        for id_ in ("api-roller", "api-plain"):
            yield dict.fromkeys(laws, published_law(id_))
        return
    if any(isinstance(plain[name], PerContact | ByWrap | Efficiency) for name in _part_turns(core)):
        yield {name: _other_way(law) for name, law in plain.items()}
    families = range(len(LIKE[0]))
    used = {
        LIKE_OF[law.row][1] for law in plain.values() if isinstance(law, Published) and law.row in LIKE_OF
    }
    for family in families if len(used) == 1 else ():
        if family not in used:
            yield {name: _in_family(law, family) for name, law in plain.items()}


LIKE_OF = {id_: (kind, family) for kind, rows in enumerate(LIKE) for family, id_ in enumerate(rows)}


def _part_turns(core: Core) -> Iterator[str]:
    """Yield the blocks over which a line runs that is not turned back by 180 degrees."""
    for name, line in core.moving.rig.lines.items():
        wraps, flows = core.moving.course_of[name].wraps, core.moving.motion.flows[name]
        for i, wrap in zip(line.contacts, wraps, strict=True):
            block = line.points[i].block
            if block and flows[i] != 0.0 and abs(wrap / math.pi - 1.0) > FULL_TURN:
                yield block


def _other_way(law: Law | None) -> Law | None:
    if isinstance(law, ByWrap):
        return PerContact(law.k)
    if isinstance(law, PerContact):
        return ByWrap(law.k)
    return ByWrap(efficiency_ratio(law.e)) if isinstance(law, Efficiency) else law


def _in_family(law: Law | None, family: int) -> Law | None:
    if isinstance(law, Published) and law.row in LIKE_OF:
        return published_law(LIKE[LIKE_OF[law.row][0]][family])
    return law


def _solved(asked: Asked, laws: Laws, like: Core) -> LawCase:
    rig = with_laws(asked.rig, laws)
    try:
        core = solve_core(rig, None, asked.load_N, asked.effort_N, (), like)
    except RigRefusal as refused:
        return LawCase(f"{friction.words(laws)} ({refused.code})", sources_of(laws), None, None, None, None)
    return _case(core.law, laws, core)


def with_laws(rig: Rig, laws: Laws) -> Rig:
    """Return a rig with other laws, none of its blocks seized beside them."""
    blocks = {
        name: replace(block, law=laws.get(name, block.law), seized=block.seized and name not in laws)
        for name, block in rig.blocks.items()
    }
    return replace(rig, blocks=blocks, law=None)


def _case(words: str, laws: Laws, core: Core) -> LawCase:
    rig = core.moving.rig
    blocks = loads.block_solutions(core.moving, core.found)
    most = max(blocks, key=lambda name: blocks[name].with_becket_N, default=None)
    return LawCase(
        law=words,
        source=sources_of(laws),
        effort_N=tension.efforts_of(rig, core.found),
        advantage=None if rig.several else core.resistance_N / tension.effort_of(rig, core.found),
        greatest_block_N=None if most is None else blocks[most].with_becket_N,
        greatest_block=most,
    )
