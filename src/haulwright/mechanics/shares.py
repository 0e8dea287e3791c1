"""What is told of lines that share a load: the share of each, which hang slack, and what 10 mm of length would change."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from haulwright.errors import RigRefusal
from haulwright.mechanics import tension
from haulwright.mechanics.core import Core
from haulwright.mechanics.tension import Tensions
from haulwright.notices import Code, Notice
from haulwright.quantities.units import spoken

LONGER_M = 0.01  # the slip of length whose effect is told
Share = Mapping[str, float | None]


@dataclass(frozen=True)
class Shared:
    """Shares of a rig's lines, as :class:`haulwright.mechanics.solution.RigSolution` holds them."""

    shares: Mapping[str, Share] | None
    slack: tuple[str, ...]
    notices: tuple[Notice, ...]


def shares_of(core: Core) -> Shared:
    """Return the share of every line that shares, and what a line longer by 10 mm would change.

    Parameters
    ----------
    core : Core

    Returns
    -------
    Shared
        ``shares``: line -> share (greatest tension ÷ resistance), tension_N [N], per_10_mm_N (the most it changes, up or
        down, if one of the sharing lines is 10 mm longer or shorter [N]; None without a resistance); None where no
        lines share.

    Notes
    -----
    Each line in turn is made 10 mm longer and shorter and the rig solved anew: no derivative, since a line may go slack
    on the way.

    Examples
    --------
    >>> from haulwright.files.rig import read_rig
    >>> from haulwright.mechanics.core import solve_core
    >>> leg = {"standing": "M", "to": "truck", "rope": {"EA": 1000, "length": 4}}
    >>> rig = read_rig({"units": {"force": "kN", "length": "m"}, "order": ["oak", "M", "truck"], "anchors": {"oak": {}},
    ...     "load": {"name": "truck", "toward": "oak", "resistance": 30}, "blocks": {"M": {"floating": True}},
    ...     "lines": {"winch line": {"standing": "M", "fall": "winch"}, "a": leg,
    ...               "b": {**leg, "rope": {"EA": 2000, "length": 4}}}, "winch": {"on": "oak"}})
    >>> found = shares_of(solve_core(rig, None, None, None, ())).shares
    >>> {name: round(one["share"], 4) for name, one in found.items()}
    {'a': 0.3333, 'b': 0.6667}
    >>> {name: round(one["per_10_mm_N"]) for name, one in found.items()}
    {'a': 1686, 'b': 1686}
    """
    lines = core.sharing_lines
    if not lines:
        return Shared(None, (), ())
    most = {name: max(core.found[name]) for name in lines}
    slack = tuple(name for name in lines if most[name] <= 0.0)
    changes = _changes(core, lines, most) if core.load_given else {}
    shares = {
        name: {
            "share": most[name] / core.resistance_N,
            "tension_N": most[name],
            "per_10_mm_N": changes.get(name),
        }
        for name in lines
    }
    told = (*_hanging(slack), *_sensitive(shares))
    return Shared(shares, slack, told)


def _changes(core: Core, lines: tuple[str, ...], most: Mapping[str, float]) -> dict[str, float]:
    """Return by line the greatest change of its tension when one of the lines is longer or shorter."""
    greatest = dict.fromkeys(lines, 0.0)
    for changed in lines:
        for by_m in (LONGER_M, -LONGER_M):
            found = longer_by(core, changed, by_m)
            for name in lines:
                change = abs(max(found[name]) - most[name]) if found else most[name]
                greatest[name] = max(greatest[name], change)
    return greatest


def longer_by(core: Core, name: str, by_m: float) -> Tensions | None:
    """Return the tensions with one of the sharing lines longer by ``by_m`` [m], None where nothing balances then."""
    sharing = core.moving.sharing
    try:
        if core.ground:
            return tension.times(core.ground.longer(name, by_m), core.unit_N)
        if sharing is None:
            return None
        moving = replace(core.moving, sharing=sharing.longer(name, by_m))
        return tension.tensions(moving, core.ratios, core.resistance_N)
    except RigRefusal:
        return None


def _hanging(slack: tuple[str, ...]) -> Iterator[Notice]:
    if slack:
        one = len(slack) == 1
        text = (
            f"{' and '.join(slack)} hang{'s' * one} slack and carr{'ies' if one else 'y'} nothing; the other lines carry "
            f"{'its' if one else 'their'} share."
        )
        yield Code.SHARED_LINES.notice(slack, text=text)


def _sensitive(shares: Mapping[str, Share]) -> Iterator[Notice]:
    words = [
        f"{name} {spoken(one['tension_N'] or 0.0)} ± {spoken(one['per_10_mm_N'] or 0.0)}"
        for name, one in shares.items()
        if one["per_10_mm_N"]
    ]
    if words:
        text = (
            f"Shares depend on 10 mm: with one of the lines that share 10 mm longer or shorter, {', '.join(words)}. Let "
            "one line run round a block between them, or choose each for the whole load."
        )
        yield Code.SHARED_LINES.notice(tuple(shares), text=text)
