"""A stepped drum: both ends of one line wound on one drum at two radii, the small step paying out what it held.

Per metre taken in at the large radius R, the small step of radius r pays out r/R. The line is therefore taken in at
``1 - r/R`` only, and the torque on the drum is ``R T_fall - r T_other``. The *effort* of such a drum is its torque over R,
the tension a plain drum of radius R would have at the same torque::

    C = 1 - r/R          effort = T_fall - (r/R) T_other          effort × s = work of both ends
"""

from __future__ import annotations

from collections.abc import Sequence

from haulwright.errors import RigRefusal
from haulwright.mechanics.rig import Line, Rig


def takes_in(line: Line) -> float:
    """Return the line a drum takes in per metre at its (large) radius: 1, less on a stepped drum; 0 without a drum.

    Examples
    --------
    >>> takes_in(Line("line", (), drum="winch", step=0.25)), takes_in(Line("line", ()))
    (0.75, 0.0)
    """
    return 1.0 - line.step if line.drum else 0.0


def drum_pull(line: Line, tensions: Sequence[float]) -> float:
    """Return the effort at the drum of a line from the tensions of its parts [N]: torque over the large radius.

    Examples
    --------
    >>> drum_pull(Line("line", (), drum="winch", step=0.5), [10.0, 11.0])
    6.0
    """
    return tensions[-1] - line.step * tensions[0]


def stepped_lines(rig: Rig) -> tuple[Line, ...]:
    """Return the lines that are wound on a stepped drum with both ends."""
    return tuple(line for line in rig.lines.values() if line.step)


def check_stepped(rig: Rig) -> None:
    """Refuse a stepped drum that is none, and rigs in which it is not known.

    Raises
    ------
    RigRefusal
        INPUT for a step that is not between 0 and 1 or ends on two bodies; UNSUPPORTED with a second winch, a free
        load, or blocks that find their place on the ground.
    """
    for line in stepped_lines(rig):
        drum = line.drum or ""
        if not 0.0 < line.step < 1.0:
            raise RigRefusal(
                "INPUT",
                f"{drum}: small ÷ large step is {line.step:g}; it lies between 0 and 1. At 1 the drum takes in nothing.",
                (drum,),
            )
        if not line.drum or line.points[0].body != line.points[-1].body:
            raise RigRefusal(
                "INPUT",
                f"Both ends of {line.name} go to one stepped drum: both must lie on its body.",
                (line.name,),
            )
        lacks = (
            (rig.several, "beside a second winch"),
            (rig.free_load, "with a free load"),
            (rig.finds_places, "with blocks that find their place on the ground"),
        )
        for is_so, what in lacks:
            if is_so:
                raise unsupported(
                    rig, f"is not known {what}. Draw it in line, with one winch and a guided load."
                )


def unsupported(rig: Rig, words: str) -> RigRefusal:
    """Return the refusal of a stepped drum where it is not known."""
    drums = tuple(line.drum or "" for line in stepped_lines(rig))
    return RigRefusal("UNSUPPORTED", f"{' and '.join(drums)}: a stepped drum {words}", drums)


def refuse_stepped(rig: Rig, where: str) -> None:
    """Refuse a stepped drum where a winch with one end of the line is taken for granted.

    Raises
    ------
    RigRefusal
        UNSUPPORTED.
    """
    if stepped_lines(rig):
        raise unsupported(rig, f"is not known {where}. Solve it with 'rig solve'.")
