"""From the ratio of the two cells to the advantage of the rig, wherever in the rig the second cell sits.

No formula per rig: the solver gives both the reading at the place and the advantage for any tension ratio k; the
measured ratio picks the k. One unknown ratio can be picked by one reading, so all contacts are taken alike.
"""

from __future__ import annotations

import math
from collections.abc import Callable

from scipy.optimize import brentq

from haulwright.errors import TrialRefusal
from haulwright.mechanics.place import force_at
from haulwright.trials.friction import GREATEST_K, RigModel


def advantage_relation(model: RigModel, place: str | None) -> Callable[[float], float] | None:
    """Return load ÷ effort as a function of (force at the place) ÷ (winch-line force).

    Parameters
    ----------
    model : RigModel
        The rig with its devices.
    place : str or None
        A place of :func:`haulwright.mechanics.place.force_at`; None: the cell reads the whole load.

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
    if place is None:
        return None
    names = model.unknowns

    def at(x: float) -> tuple[float, float]:
        solution = model.solution(dict.fromkeys(names, x))
        effort = sum(solution.effort_N.values())
        return force_at(solution, place) / effort, solution.advantage

    free, hard = at(0.0), at(math.log(GREATEST_K))
    if abs(free[0] - free[1]) < 1e-9 and abs(hard[0] - hard[1]) < 1e-9:
        return None
    if len(names) > 1:
        raise TrialRefusal(
            "PLACE",
            f"The cell at {place} does not read the whole load, and {' and '.join(names)} differ: one reading cannot tell "
            "both. Put the cell where it reads the whole load, or give one device for every block.",
            (place, *names),
        )
    if abs(free[0] - hard[0]) < 1e-9:
        raise TrialRefusal(
            "PLACE",
            f"The reading at {place} does not change with friction, so it tells no advantage.",
            (place,),
        )

    def advantage(ratio: float) -> float:
        low, high = sorted((free[0], hard[0]))
        if not low <= ratio <= high:
            raise TrialRefusal(
                "PLACE",
                f"{place} ÷ line is {ratio:.3f}; this rig gives {low:.3f} to {high:.3f} there. Check rig, place and cells.",
                (place,),
            )
        x = float(brentq(lambda x: at(x)[0] - ratio, 0.0, math.log(GREATEST_K), xtol=1e-10))
        return at(x)[1]

    return advantage
