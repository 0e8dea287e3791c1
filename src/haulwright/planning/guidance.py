"""The regulator's guidance as a check of its own: what must stand winch stall, and what holds a block at a bend twice that.

It speaks of failure capacity, so it is held against breaking strengths: a marked MBS, a WLL times the factor it is known
to hold, a table's least break. A WLL alone is at least that strong: it can pass, never fail.
"""

from __future__ import annotations

from collections.abc import Sequence

from haulwright.catalogue import row
from haulwright.field.by_table import ByTable
from haulwright.files.item import Item, Marked
from haulwright.notices import Code, Notice
from haulwright.planning.limits import table_of
from haulwright.planning.result import GuidanceCheck
from haulwright.planning.shelf import Use

FURTHER = "block-anchor-factor"
CONNECTOR = "connector-stall-factor"
NAME = "regulator's guidance on winch stall"


def asked(stall_N: float, at_block: bool) -> float:
    """Return the least failure capacity the guidance asks for [N].

    Parameters
    ----------
    stall_N : float
        Line pull at stall [N].
    at_block : bool
        For a block at a bend and what ties it to its anchor; else for a connector.

    Examples
    --------
    >>> asked(50e3, False), asked(50e3, True)
    (100000.0, 200000.0)
    """
    return stall_N * row("rules", CONNECTOR).si * (row("rules", FURTHER).si if at_block else 1.0)


def capacity(marked: Marked | None) -> tuple[float | None, str]:
    """Return what is known of the force a piece breaks at [N], and in words how.

    Parameters
    ----------
    marked : Marked or None

    Returns
    -------
    float or None, str
        ``MBS``, ``WLL × 6``, ``MBS by table``, ``at least its WLL`` or ``unknown``.

    Examples
    --------
    >>> capacity(Marked(rating="5 t", basis="WLL", factor=6))[1], capacity(Marked(rating="5 t", basis="WLL"))[1]
    ('WLL × 6', 'at least its WLL')
    """
    if marked is None:
        return None, "unknown"
    if marked.rating is not None and marked.basis == "MBS":
        return marked.rating, "MBS"
    if marked.rating is not None and marked.basis == "WLL":
        if marked.factor is not None:
            return marked.rating * marked.factor, f"WLL × {marked.factor:g}"
        return marked.rating, "at least its WLL"
    found = table_of(marked) if isinstance(marked, Item) and not marked.rated else None
    return (found.break_N, "MBS by table") if isinstance(found, ByTable) else (None, "unknown")


def held_against(
    item: str, role: str, marked: Marked | None, stall_N: float, at_block: bool
) -> GuidanceCheck:
    """Return one piece against the guidance.

    Examples
    --------
    >>> shackle = Marked(rating="4.75 t", basis="WLL", factor=6)
    >>> held_against("S-1", "shackle", shackle, 50e3, True).verdict
    'meets'
    """
    least, (there, how) = asked(stall_N, at_block), capacity(marked)
    if there is None:
        verdict = "unknown"
    elif there >= least:
        verdict = "meets"
    else:
        verdict = "unknown" if how == "at least its WLL" else "below"
    return GuidanceCheck(item, role, least, there, how, verdict)


def guidance(uses: Sequence[Use], stall_N: float) -> tuple[GuidanceCheck, ...]:
    """Return every piece of a rig against the guidance; anchors in the ground have no failure capacity to compare."""
    return tuple(
        held_against(use.item, use.role, use.marked, stall_N, use.part in ("turning", "anchoring", "anchor"))
        for use in uses
    )


def guidance_notice(checks: Sequence[GuidanceCheck]) -> Notice:
    """Return the guidance and what it finds, in words without forces."""
    connector, further = row("rules", CONNECTOR), row("rules", FURTHER)
    below = {check.item: check.role for check in checks if check.verdict == "below"}
    unknown = {check.item: check.role for check in checks if check.verdict == "unknown"}
    words = [
        f"Regulator's guidance ({further.source.cite()}): least failure capacity {connector.si:g} × stall for connectors, "
        f"{connector.si * further.si:g} × stall for a block at a bend and what ties it to its anchor.",
        f"Below it: {', '.join(below)}."
        if below
        else "No piece whose breaking strength is known is below it.",
        f"Not known: {', '.join(unknown)}." if unknown else "",
    ]
    text, where = " ".join(word for word in words if word), (*below, *unknown)
    return Code.UNCHECKED.notice(where, text=text) if below else Code.RULE_OF_THUMB.notice(where, text=text)
