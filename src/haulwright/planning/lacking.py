"""Why a rig is left out."""

from __future__ import annotations

from collections.abc import Mapping


class Lacking(Exception):  # noqa: N818 - not an error of the user's: the reason a rig is rejected
    """What a rig lacks here, in words.

    Attributes
    ----------
    kind : str
        ``gear``, ``line``, ``rope``, ``place``, ``bridle``, ``pull`` or ``jams``: rigs that lack the same kind of thing are
        told together.
    """

    def __init__(self, text: str, kind: str = "gear") -> None:
        super().__init__(text)
        self.kind = kind


def told_once(lacks: Mapping[str, Lacking], what: str, kind: str) -> Lacking:
    """Return what a rig lacks with each of several pieces; told once where it is the same with all of them.

    Parameters
    ----------
    lacks : mapping piece -> Lacking
    what : str
        What none of the pieces is.
    kind : str
        Where they lack different things.

    Examples
    --------
    >>> str(told_once({"L-1": Lacking("room"), "L-2": Lacking("room")}, "ropes that fit", "rope"))
    'room'
    >>> str(told_once({"L-1": Lacking("6 m"), "L-2": Lacking("5 m")}, "ropes that fit", "rope"))
    'ropes that fit; with L-1: 6 m; with L-2: 5 m'
    """
    found = list(lacks.values())
    if len({str(lack) for lack in found}) == 1:
        return found[0]
    each = (f"with {piece}: {str(lack).rstrip('.')}" for piece, lack in lacks.items())
    return Lacking(f"{what}; {'; '.join(each)}", kind)


def counted(number: int, one: str, many: str) -> str:
    """Return a number with its noun.

    Examples
    --------
    >>> counted(1, "block", "blocks"), counted(3, "block", "blocks")
    ('1 block', '3 blocks')
    """
    return f"{number} {one if number == 1 else many}"
