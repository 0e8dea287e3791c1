"""From the ratio of the two cells to the advantage of the rig, wherever in the rig the second cell sits.

No formula per rig: the solver gives both the reading at the place and the advantage for any tension ratio k; the
measured ratio picks the k. One unknown ratio can be picked by one reading, so all contacts are taken alike.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

from scipy.optimize import brentq

from haulwright.errors import RigRefusal, TrialRefusal
from haulwright.trials.friction import GREATEST_K, RigModel

STANDING_PART = "standing part"


def placed(model: RigModel, place: str | None, line_place: str | None = None) -> RigModel:
    """Return a rig whose cells sit at these places: its ratio is then place ÷ line place.

    Parameters
    ----------
    model : RigModel
    place : str or None
        A place of :func:`haulwright.mechanics.place.force_at`, or ``standing part``: the part made fast of the line that
        goes to the drum. None: the whole load.
    line_place : str or None
        The same for the line cell. None: the fall.

    Raises
    ------
    RigRefusal
        UNKNOWN place.

    Examples
    --------
    >>> from haulwright.mechanics.tackles import named_rig
    >>> from haulwright.trials.friction import rig_model
    >>> model = placed(rig_model(named_rig("two-part"), ["hoop"]), "standing part")
    >>> round(model.ratio_of(model.solution({"hoop": math.log(1.25)})), 4)  # e = 1 / k
    0.8
    """
    found = replace(model, place=_named(model, place), line_place=_named(model, line_place))
    found.ratio_of(found.solution({}))
    return found


def is_place(model: RigModel, place: str) -> bool:
    """Return whether a name is a place of the rig."""
    try:
        placed(model, place)
    except RigRefusal:
        return False
    return True


def _named(model: RigModel, place: str | None) -> str | None:
    if place != STANDING_PART:
        return place
    (line,) = model.rig.drums.values()  # a trial has one winch
    return f"{line.name}:1"


def advantage_relation(
    model: RigModel, place: str | None, line_place: str | None = None
) -> Callable[[float], float] | None:
    """Return load ÷ effort as a function of (force at the place) ÷ (force of the line cell).

    Parameters
    ----------
    model : RigModel
        The rig with its devices.
    place, line_place : str or None
        As :func:`placed` takes them; None: the cell reads the whole load, or the fall.

    Returns
    -------
    callable or None
        None where the ratio is the advantage itself.

    Raises
    ------
    RigRefusal
        UNKNOWN place.
    TrialRefusal
        PLACE where the reading does not tell the advantage: it does not change with friction though the advantage
        does, or two devices differ. The callable raises it for a ratio no k up to 10 gives.

    Examples
    --------
    >>> from haulwright.mechanics.tackles import named_rig
    >>> from haulwright.trials.friction import rig_model
    >>> relation = advantage_relation(rig_model(named_rig("redirect")), "X")  # the cell behind the corner block
    >>> round(relation(1.8), 4)  # 1 + e = 1.8 at the block is an advantage of e = 0.8
    0.8
    """
    if place is None and line_place is None:
        return None
    names = model.unknowns
    cells = placed(model, place, line_place)
    words = " and ".join(one for one in (place, line_place and f"{line_place} (line)") if one)

    def at(x: float) -> tuple[float, float]:
        solution = cells.solution(dict.fromkeys(names, x))
        return cells.ratio_of(solution), solution.one_winch.advantage

    free, hard = at(0.0), at(math.log(GREATEST_K))
    if abs(free[0] - free[1]) < 1e-9 and abs(hard[0] - hard[1]) < 1e-9:
        return None
    if len(names) > 1:
        raise TrialRefusal(
            "PLACE",
            f"The cell at {words} does not read the whole load, and {' and '.join(names)} differ: one reading cannot tell "
            "both. Put the cell where it reads the whole load, or give one device for every block.",
            (words, *names),
        )
    if abs(free[0] - hard[0]) < 1e-9:
        raise TrialRefusal(
            "PLACE",
            f"The reading at {words} does not change with friction, so it tells no advantage.",
            (words,),
        )

    def advantage(ratio: float) -> float:
        low, high = sorted((free[0], hard[0]))
        if not low <= ratio <= high:
            raise TrialRefusal(
                "PLACE",
                f"{words} ÷ line is {ratio:.3f}; this rig gives {low:.3f} to {high:.3f} there. Check rig, place and cells.",
                (words,),
            )
        x = float(brentq(lambda x: at(x)[0] - ratio, 0.0, math.log(GREATEST_K), xtol=1e-10))
        return at(x)[1]

    return advantage
