"""The lines a parallel-line tackle can be rove with: paths over stations along the pull, and their notation.

Stations along the pull are numbered from the anchor: 0 the anchor, then the moving blocks, then the load, and behind the
load a place that only a winch can stand at. A path lists the stations a line visits, its standing end first. Every
sheave turns the line back, so a path goes to and fro.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from haulwright.mechanics.rig import FLOATING, Rig

Path = tuple[int, ...]
ANCHOR_AT = 0


def load_at(moving: int) -> int:
    """Return the station of the load where ``moving`` blocks stand between it and the anchor."""
    return moving + 1


def beyond(moving: int) -> int:
    """Return the station behind the load, where only a winch stands."""
    return moving + 2


def _to_and_fro(start: int, ahead: bool, parts: int, last: int) -> Iterator[Path]:
    if not parts:
        yield (start,)
        return
    for to in range(start + 1, last + 1) if ahead else range(min(start, last + 1)):
        for rest in _to_and_fro(to, not ahead, parts - 1, last):
            yield (start, *rest)


def falls(moving: int, sheaves: int) -> list[Path]:
    """Return every path of the winch line with up to ``sheaves`` sheaves; the drum stands last.

    Parameters
    ----------
    moving : int
        Moving blocks between anchor and load.
    sheaves : int

    Returns
    -------
    list of tuple
        Winch at the anchor, on the load or behind it.

    Examples
    --------
    >>> falls(0, 1)
    [(1, 0), (0, 1), (0, 2), (1, 2), (0, 1, 0), (1, 0, 1), (1, 0, 2)]
    """
    load = load_at(moving)
    winches = ((ANCHOR_AT, True), (load, False), (beyond(moving), False))
    return [
        path[::-1]
        for n in range(sheaves + 1)
        for start, ahead in winches
        for path in _to_and_fro(start, ahead, n + 1, load)
    ]


def plain_lines(moving: int, sheaves: int) -> list[Path]:
    """Return every path of a line between two made-fast ends, with 1 to ``sheaves`` sheaves, each once.

    A line is the same read from either end: the smaller of the two paths stands for both.

    Parameters
    ----------
    moving : int
    sheaves : int

    Examples
    --------
    >>> plain_lines(0, 1)
    [(0, 1, 0), (1, 0, 1)]
    """
    stations = range(load_at(moving) + 1)
    found = {
        smaller_end_first(path)
        for n in range(1, sheaves + 1)
        for start in stations
        for ahead in (True, False)
        for path in _to_and_fro(start, ahead, n + 1, stations[-1])
    }
    return sorted(found)


def smaller_end_first(path: Path) -> Path:
    """Return the smaller of a path and its reverse.

    Examples
    --------
    >>> smaller_end_first((2, 0, 1))
    (1, 0, 2)
    """
    return min(path, path[::-1])


def exchanged(path: Path) -> Path | None:
    """Return a path with the first and the second moving block exchanged, None where a part joins the two.

    Where no part joins them, which of the two stands nearer to the anchor changes nothing; where one does, the
    exchange would turn that part round.

    Examples
    --------
    >>> exchanged((0, 1, 0, 3)), exchanged((0, 2, 1))
    ((0, 2, 0, 3), None)
    """
    if any({a, b} == {1, 2} for a, b in pairwise(path)):
        return None
    return tuple({1: 2, 2: 1}.get(station, station) for station in path)


def notation(fall: Path, lines: tuple[Path, ...], moving: int) -> str:
    """Return a reeving in one-line notation: X the anchor, O the load, M and N the moving blocks as they are met.

    Parameters
    ----------
    fall : tuple of int
        The winch line, drum last.
    lines : tuple of tuple
        The other lines.
    moving : int
        Moving blocks between anchor and load, up to two.

    Returns
    -------
    str
        What :func:`haulwright.mechanics.notation.parse_notation` reads back.

    Examples
    --------
    >>> notation((0, 1, 0), ((0, 2, 1),), 1)
    'X.drum > ~M > X ; ~M > !O > X'
    """
    blocks = range(1, moving + 1)
    ordered, left = [fall[::-1]], list(lines)
    while left:
        line = min(_readings(left, ordered, blocks))[-1]
        left.remove(line if line in left else line[::-1])
        ordered.append(line)
    seen = list(dict.fromkeys(s for path in ordered for s in path))
    names = {ANCHOR_AT: "X", load_at(moving): "O", beyond(moving): "beyond"}
    names |= dict(zip((s for s in seen if s in blocks), "MN", strict=False))
    marks = {load_at(moving): "!", **dict.fromkeys(blocks, "~")}
    text = " ; ".join(_line_text(path, names, marks, drum=i == 0) for i, path in enumerate(ordered))
    in_order = [s for s in seen if s in blocks]
    joined = any({a, b} == {1, 2} for path in ordered for a, b in pairwise(path))
    if moving == 2 and joined and in_order != sorted(in_order):
        text += " | order " + " ".join(names[s] for s in sorted(seen))
    return text


def _readings(left: list[Path], before: list[Path], blocks: range) -> Iterator[tuple[bool, bool, bool, Path]]:
    """Yield each line read from either end, so that the least one begins at a moving block that is already named."""
    met = {station for path in before for station in path if station in blocks}
    for line in left:
        for path in (line, line[::-1]):
            yield path[0] not in met, not met & set(path), path[0] not in blocks, path


def _line_text(path: Path, names: dict[int, str], marks: dict[int, str], drum: bool) -> str:
    """Return one line of notation; each mark is used up at the first mention, except a line's own start."""
    words = []
    for i, station in enumerate(path):
        # a floating block is marked again where a line begins at it, as the named rigs are written
        again = "~" if i == 0 and marks.get(station) == "" and names[station] in "MN" else ""
        words.append(marks.get(station, "") + again + names[station] + (".drum" if drum and i == 0 else ""))
        if station in marks:
            marks[station] = ""
    return " > ".join(words)


def paths_of(rig: Rig) -> tuple[Path, tuple[Path, ...], int] | None:
    """Return the paths of a rig in one-line notation and its number of moving blocks, None if it is no such tackle.

    Parameters
    ----------
    rig : Rig

    Returns
    -------
    fall, other lines, moving blocks

    Examples
    --------
    >>> from haulwright.mechanics.tackles import named_rig
    >>> paths_of(named_rig("stacked two-parts"))
    ((0, 1, 0), ((0, 2, 1),), 1)
    """
    order = sorted(rig.bodies.values(), key=lambda body: body.at)
    moving = len(rig.floating)
    roles = [body.role for body in order]
    if roles[: moving + 2] != ["anchor", *[FLOATING] * moving, "load"] or len(roles) > moving + 3:
        return None
    station = {body.name: i for i, body in enumerate(order)}
    paths = {name: tuple(station[point.body] for point in line.points) for name, line in rig.lines.items()}
    fall = paths.pop(rig.hauling_line.name)
    return fall, tuple(sorted(smaller_end_first(path) for path in paths.values())), moving
