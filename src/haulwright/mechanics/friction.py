"""The tension ratio of every contact of a rig, from its law and its wrap; overrides for what-if questions."""

from __future__ import annotations

from collections.abc import Collection, Mapping

from haulwright.errors import RigRefusal
from haulwright.mechanics.geometry import Course
from haulwright.mechanics.names import nearest
from haulwright.mechanics.rig import Rig
from haulwright.mechanics.sheave import Capstan, Law, PerContact, TenthRule

SEIZED_MU = 0.2  # middle of the 0.1 to 0.3 that statics texts give for rope on metal or wood
GREATEST_MU = 2.0  # house limit: 20 is a slip for 0.20
Ratios = dict[str, tuple[float, ...]]
Seized = Collection[str] | Mapping[str, float | None]


def resolve_laws(
    rig: Rig, ratio: float | Mapping[str, float] | None = None, seized: Seized = ()
) -> dict[str, Law | None]:
    """Return the law of every block after overrides; None where no friction is given.

    Parameters
    ----------
    rig : Rig
    ratio : float, mapping block -> float, or None
        Replaces the file's law by a per-contact k, for all blocks or for those named.
    seized : collection of str, or mapping block -> mu
        Blocks whose sheave does not turn; mu None is the middle of the published range.

    Raises
    ------
    RigRefusal
        UNKNOWN for a block that is not in the rig; RATIO for k < 1 or mu < 0.

    Examples
    --------
    >>> from haulwright.mechanics.notation import parse_notation
    >>> resolve_laws(parse_notation("!truck.drum > tree > truck"), 1.1)["tree"].words
    'k 1.1 per contact'
    """
    named = ratio if isinstance(ratio, Mapping) else {}
    for asked in (*named, *seized):
        if asked not in rig.blocks:
            known = nearest(asked, list(rig.blocks))
            raise RigRefusal("UNKNOWN", f"There is no block {asked!r} in this rig.{known}", (asked,))
    laws: dict[str, Law | None] = {}
    stuck = seized_blocks(rig, seized)
    for name, block in rig.blocks.items():
        law = block.law or rig.law
        if isinstance(ratio, int | float):
            law = PerContact(float(ratio))
        if name in named:
            law = PerContact(float(named[name]))
        laws[name] = Capstan(stuck[name]) if name in stuck else law
    return laws


def seized_blocks(rig: Rig, seized: Seized = ()) -> dict[str, float]:
    """Return the blocks whose sheave does not turn, in the rig or as a what-if, with mu of each [-].

    Examples
    --------
    >>> from haulwright.mechanics.notation import parse_notation
    >>> seized_blocks(parse_notation("!truck.drum > tree > truck"), {"tree": 0.25})
    {'tree': 0.25}
    """
    asked = seized if isinstance(seized, Mapping) else dict.fromkeys(seized)
    found = {}
    for name, block in rig.blocks.items():
        if name in asked or block.seized:
            mu = asked.get(name)
            mu = block.seized_mu if mu is None else mu
            found[name] = SEIZED_MU if mu is None else _mu(name, mu)
    return found


def _mu(block: str, mu: float) -> float:
    if not 0.0 <= mu <= GREATEST_MU:
        raise RigRefusal(
            "RATIO",
            f"{block} seized with mu = {mu:g}: give a friction coefficient of rope on metal, such as 0.2 (0 to "
            f"{GREATEST_MU:g}).",
            (block,),
        )
    return float(mu)


def contact_ratios(rig: Rig, course_of: dict[str, Course], laws: Mapping[str, Law | None]) -> Ratios:
    """Return the tension ratio of every contact, per line from its standing end.

    Raises
    ------
    RigRefusal
        LAW if the one-tenth rule is given for some blocks only.
    """
    return {
        name: tuple(
            law.ratio(wrap) if (law := laws[line.points[i].block or ""]) else 1.0
            for i, wrap in zip(line.contacts, course_of[name].wraps, strict=True)
        )
        for name, line in rig.lines.items()
    }


def is_tenth_rule(laws: Mapping[str, Law | None]) -> bool:
    """Return whether the whole rig goes by the one-tenth rule."""
    tenth = [isinstance(law, TenthRule) for law in laws.values()]
    if any(tenth) and not all(tenth):
        raise RigRefusal(
            "LAW",
            "The one-tenth rule holds for a whole rig; here some blocks have another law. Give one or the other.",
        )
    return bool(tenth) and all(tenth)


def words(laws: Mapping[str, Law | None]) -> str:
    """Return the laws of a rig in one phrase."""
    kinds = {name: law.words if law else "no friction given" for name, law in laws.items()}
    distinct = list(dict.fromkeys(kinds.values()))
    if not distinct:
        return "no contact, no friction"
    if len(distinct) == 1:
        return distinct[0]
    return "; ".join(f"{name}: {text}" for name, text in kinds.items())
