"""Tackle numbers through the rig solver. Parts on the load ``n``, tension ratio ``k`` of every contact."""

from __future__ import annotations

from dataclasses import replace

from haulwright.mechanics.notation import parse_notation
from haulwright.mechanics.rig import Rig
from haulwright.mechanics.sheave import Efficiency, PerContact, TenthRule
from haulwright.mechanics.solution import RigSolution
from haulwright.mechanics.statics import solve_rig
from haulwright.mechanics.tackles import named_rig

_STRAIGHT = {1: "single line/off-load", 2: "two-part/off-load", 3: "three-part/off-load", 4: "four-part/off-load",
             5: "five-part/off-load", 6: "six-part/off-load"}  # fmt: skip
_T_METHOD = {
    "two-part": "X.drum > !O > X",
    "three-part": "X.drum > !O > X > O",
    "four-part": "X.drum > !O > X > O > X",
    "stacked-two-parts": "X.drum > ~M > X ; ~M > !O > X",
    "three-on-three": "X.drum > ~M > X > M ; ~M > !O > X > O",
}


def crane_rig(n: int, leads: int = 0) -> Rig:
    """Return a tackle whose fall leaves a fixed block (sheaves = parts), with ``leads`` further lead sheaves."""
    drum, *corners = (f"L{number}" for number in range(leads + 1, 0, -1))
    turns = ["X", "!O", *("X" if part % 2 else "O" for part in range(1, n))]
    return parse_notation(" > ".join([f"{drum}.drum", *corners, *turns]))


def straight_rig(n: int) -> Rig:
    """Return a tackle whose fall comes straight off the moving block (sheaves = parts - 1)."""
    if n in _STRAIGHT:
        return named_rig(_STRAIGHT[n])
    turns = ["!O", *("X" if part % 2 else "O" for part in range(1, n))]
    return parse_notation(" > ".join(["X.drum", *turns]))


def _crane(n: int, k: float, letting_back: bool = False) -> RigSolution:
    return solve_rig(crane_rig(n), k, letting_back=letting_back)


def crane_ratio(n: int, k: float) -> float:
    """Return load over line pull, fall off a fixed block."""
    return _crane(n, k).one_winch.advantage


def tackle_efficiency(n: int, k: float) -> float:
    """Return actual over ideal advantage, fall off a fixed block."""
    return _crane(n, k).one_winch.rig_efficiency


def fast_line_factor(n: int, k: float) -> float:
    """Return line pull over load, fall off a fixed block."""
    return _crane(n, k).one_winch.winch_share


def lead_fast_line_factor(n: int, k: float, leads: int) -> float:
    """Return line pull over load with further lead sheaves."""
    return solve_rig(crane_rig(n, leads), k).one_winch.winch_share


def fast_line(n: int, k: float, load: float) -> float:
    """Return the line pull at a load, in the load's unit."""
    return sum(solve_rig(crane_rig(n), k, load_N=load).effort_N.values())


def dead_over_fast(n: int, k: float) -> float:
    """Return tension of the standing part over that of the fall."""
    (line,) = _crane(n, k).lines.values()
    return line.parts[0].tension_N / line.parts[-1].tension_N


def letting_back_ratio(n: int, k: float) -> float:
    """Return load over line pull while letting back."""
    back = _crane(n, k, letting_back=True).letting_back
    if back is None or back.load_per_effort is None:
        raise ValueError("the solver gave no letting-back answer")
    return back.load_per_effort


def tenth_rule_crane(n: int, load: float) -> float:
    """Return the hauling part by the one-tenth rule, as many sheaves as parts."""
    return sum(solve_rig(replace(crane_rig(n), law=TenthRule()), load_N=load).effort_N.values())


def tenth_rule_straight(n: int, load: float) -> float:
    """Return the fall line by the one-tenth rule, one sheave fewer than parts."""
    law = TenthRule() if n > 1 else PerContact(1.0)
    return sum(solve_rig(replace(straight_rig(n), law=law), load_N=load).effort_N.values())


def frictionless_effort(rig: str, load: float) -> float:
    """Return the effort of a named rig without friction."""
    return sum(solve_rig(named_rig(rig), 1.0, load_N=load).effort_N.values())


def ideal_advantage(rig: str) -> float:
    """Return the ideal advantage of a named rig."""
    return solve_rig(named_rig(rig), 1.0).one_winch.ideal_advantage


def effort_of_share(n: int, share: float) -> float:
    """Return effort over load where a source prints the useful share of an n-part tackle."""
    return 1.0 / (share * solve_rig(straight_rig(n), 1.0).one_winch.ideal_advantage)


def t_method(rig: str, e: float) -> float:
    """Return the advantage of a simple or compound tackle with pulley efficiency ``e``."""
    return solve_rig(replace(parse_notation(_T_METHOD[rig]), law=Efficiency(e))).one_winch.advantage


def reeving_efficiency(n: int, e: float) -> float:
    """Return actual over ideal advantage, fall straight off the moving block, efficiency ``e`` per sheave."""
    return solve_rig(replace(straight_rig(n), law=Efficiency(e))).one_winch.rig_efficiency
