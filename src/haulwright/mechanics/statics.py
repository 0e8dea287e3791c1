"""Solve a rig: motion first, then tension, then loads, all in one frozen record."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from haulwright.errors import RigRefusal
from haulwright.mechanics.asked import Asked
from haulwright.mechanics.core import solve_core
from haulwright.mechanics.findings import with_findings
from haulwright.mechanics.friction import Seized
from haulwright.mechanics.intervals import spread_of
from haulwright.mechanics.recording import record_of
from haulwright.mechanics.rig import Rig
from haulwright.mechanics.solution import RigSolution
from haulwright.quantities.measured import Measured
from haulwright.records import Made

METHOD = "motion, then tension, then loads (virtual work; one unknown per line)"
GROUND_METHOD = (
    "places and tensions together (Newton's method), then motion along the balanced path, then loads"
)

Ratio = float | Measured | Mapping[str, "float | Measured"]


def solve_rig(
    rig: Rig,
    ratio: Ratio | None = None,
    *,
    load_N: float | None = None,
    effort_N: float | None = None,
    letting_back: bool = False,
    seized: Seized = (),
    devices: Mapping[str, str] | None = None,
) -> RigSolution:
    """Return every tension, load, travel and heat of a rig hauled slowly and steadily.

    Parameters
    ----------
    rig : Rig
        From :func:`haulwright.mechanics.notation.parse_notation`, a named rig or a rig file.
    ratio : float, Measured, mapping block -> either, or None
        Per-contact tension ratio(s) in place of the rig's own law. A Measured carries its interval through.
    load_N, effort_N : float or None
        Resistance of the load, or tension at the drum, in place of the rig's own resistance [N]; not both. With several
        winches ``effort_N`` is the pull of every one of them, the load held fast by whatever that takes.
    letting_back : bool
        Also answer for letting back under the same load.
    seized : collection of str, or mapping block -> mu
        Blocks whose sheave does not turn (capstan law, mu 0.2 where none is given): a what-if.
    devices : mapping block -> device name, or None
        Beside those the rig names. Blocks with the same device share its error, and a device may stand for its blocks in
        ``ratio``; without it each block is a device of its own.

    Returns
    -------
    RigSolution

    Raises
    ------
    RigRefusal
        Every code of the refusal table: no number is returned for a rig that cannot work.

    Notes
    -----
    Point sheaves, weightless lines, slow steady haul. Lines count as inextensible for motion and tension; their stretch
    follows from the tensions, to first order. Energy closes to 1e-9 or the record is not returned.

    References
    ----------
    Balance of forces and virtual work; one-rope tackles reduce to the fast-line formula of API RP 9B, 14th ed., 2.3.3.

    Examples
    --------
    >>> from haulwright.mechanics.tackles import named_rig
    >>> round(solve_rig(named_rig("three-part/on-load"), 1.07).advantage, 5)
    2.80802
    """
    if load_N is not None and effort_N is not None:
        raise both_given()
    ratio = by_block(rig, ratio, devices)
    values = plain_ratios(ratio)
    core = solve_core(rig, values, load_N, effort_N, seized)
    asked = Asked(rig, values, load_N, effort_N, seized)
    solution = with_findings(record_of(core, letting_back), core, asked)
    known_N = core.resistance_N if effort_N is None else None
    spread = spread_of(
        rig, values, measured_ratios(rig, ratio), devices or {}, known_N, effort_N, seized, core
    )
    solution = replace(solution, uncertainty=spread)
    inputs = {
        "rig": rig.path or rig.name,
        "ratio": values,
        "load_N": load_N,
        "effort_N": effort_N,
        "seized": dict(seized) if isinstance(seized, Mapping) and seized else sorted(seized),
    }
    return replace(solution, made=Made(GROUND_METHOD if rig.finds_places else METHOD, inputs))


def both_given() -> RigRefusal:
    """Return the refusal of a load and an effort at once."""
    return RigRefusal(
        "INPUT",
        "Both a load and an effort are given; the one follows from the other. Give one.",
        ("load", "effort"),
    )


def by_block(rig: Rig, ratio: Ratio | None, devices: Mapping[str, str] | None = None) -> Ratio | None:
    """Return ratios by block where some are given by device.

    Examples
    --------
    >>> from haulwright.mechanics.notation import parse_notation
    >>> by_block(parse_notation("!O.drum > X > O > X"), {"puck-A": 1.1}, {"X": "puck-A", "O": "puck-A"})
    {'X': 1.1, 'O': 1.1}
    """
    if not isinstance(ratio, Mapping):
        return ratio
    named = {n: block.device for n, block in rig.blocks.items() if block.device} | dict(devices or {})
    found: dict[str, float | Measured] = {}
    for name, k in ratio.items():
        carried = [block for block, device in named.items() if device == name and name not in rig.blocks]
        found |= dict.fromkeys(carried or [name], k)
    return found


def plain_ratios(ratio: Ratio | None) -> float | dict[str, float] | None:
    """Return ratios without their intervals."""
    if isinstance(ratio, Mapping):
        return {name: k.value if isinstance(k, Measured) else float(k) for name, k in ratio.items()}
    return ratio.value if isinstance(ratio, Measured) else ratio


def measured_ratios(rig: Rig, ratio: Ratio | None) -> dict[str, Measured]:
    """Return the ratios that carry an interval, by block."""
    if isinstance(ratio, Measured):
        return dict.fromkeys(rig.blocks, ratio)
    if isinstance(ratio, Mapping):
        return {name: k for name, k in ratio.items() if isinstance(k, Measured)}
    return {}
