"""Verbs of the stuck vehicle: what it resists, what was seen of it."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import TYPE_CHECKING

from haulwright.workflows.given import Given

if TYPE_CHECKING:
    from haulwright.field.result import Resistance
    from haulwright.planning.seen import PullSeen


def estimate_resistance(
    pull: Given, *, own: Given | Sequence[Given] | None = None, rule: str | None = None
) -> Resistance:
    """Return the resistance of a stuck vehicle by every published rule that covers it.

    Parameters
    ----------
    pull : path or mapping
        A pull; or its ``vehicle`` and ``ground`` alone.
    own : path, mapping, or sequence of either
        Files of what was seen on own pulls, or folders that hold some; in place of what the pull names.
    rule : str or None
        The rule to use, in place of what the pull names.

    Returns
    -------
    Resistance

    Raises
    ------
    Refusal
        A pull that is wrong, or that no rule covers.

    Examples
    --------
    >>> case = {"vehicle": {"mass": "2.6 t", "load": "480 kg", "sunk": "wheel"}, "ground": {"surface": "bog"}}
    >>> found = estimate_resistance(case)
    >>> found.chosen, [rule.name for rule in found.rules]
    ('fractions and mire', ['military mire and grade', 'training fractions', 'fractions and mire'])
    """
    from haulwright.files.seen import read_seen
    from haulwright.planning.resistance import estimate_stuck
    from haulwright.planning.stuck import read_stuck

    name, vehicle, ground, named, seen = read_stuck(pull)
    past = seen if own is None else read_seen(own)
    return estimate_stuck(name, vehicle, ground, named if rule is None else rule, past)


def record_seen(
    pull: Given,
    *,
    line: str | float,
    anchor: str | float | None = None,
    breakout: str | float | None = None,
    rig: str | None = None,
    moved: bool = True,
    by: str = "",
    note: str = "",
) -> PullSeen:
    """Enter what the cells read on a pull in the file beside it, with today's date and time.

    See :func:`haulwright.planning.seen.record_seen`.
    """
    from haulwright.planning.seen import record_seen as record

    when = datetime.now().astimezone().isoformat(timespec="seconds")
    return record(
        pull, line=line, anchor=anchor, breakout=breakout, rig=rig, moved=moved, by=by, note=note, when=when
    )
