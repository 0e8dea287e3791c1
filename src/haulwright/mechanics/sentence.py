"""The rig as understood, in one plain sentence a trainer can check against what lies on the ground."""

from __future__ import annotations

from collections.abc import Iterator

from haulwright.mechanics.rig import FLOATING, Line, Point, Rig


def sentence(rig: Rig) -> str:
    """Return the rig as understood.

    Examples
    --------
    >>> from haulwright.mechanics.notation import parse_notation
    >>> sentence(parse_notation("!truck.drum > tree > truck"))
    'The winch line starts at truck, goes round the block on tree, and on to the drum of the winch on truck. The load is truck.'
    """
    told = [_line(rig, line) for line in rig.lines.values() if not line.strap]
    return " ".join(
        [*told, *_hung(rig), f"The load is {rig.load.name}{', and free' if rig.free_load else ''}."]
    )


def _hung(rig: Rig) -> Iterator[str]:
    """Yield, for every block that hangs on straps, how long they are and what they hang from."""
    for body in rig.floating:
        straps = [line for line in rig.lines.values() if line.strap and line.points[-1].body == body.name]
        told = [f"{line.length_m:.1f} m from {_end(rig, line.points[0])}" for line in straps]
        if len(told) == 1:
            yield f"{body.name} hangs on a strap of {told[0]}."
        elif told:
            yield f"{body.name} hangs on {len(told)} straps: {', '.join(told)}."


def _line(rig: Rig, line: Line) -> str:
    start = f"the small step of {_winch(rig, line)}" if line.step else _end(rig, line.points[0])
    words = [f"{_line_name(line.name)} starts at {start}"]
    seen: set[str] = set()
    for i in line.contacts:
        point = line.points[i]
        again = point.block in seen
        seen.add(point.block or "")
        words.append(
            ("back" if again else "goes" if i == 1 else "then") + f" round {_block(rig, point, again)}"
        )
    last = line.points[-1]
    if line.drum:
        drum = "large step" if line.step else "drum"
        words.append(f"and {'on' if line.contacts else 'runs straight'} to the {drum} of {_winch(rig, line)}")
    else:
        words.append(f"and is made fast to {_end(rig, last)}")
        if line.length_m is not None:
            words.append(f"{line.length_m:.1f} m in all")
    return ", ".join(words) + "."


def _winch(rig: Rig, line: Line) -> str:
    body = line.points[-1].body
    return f"{line.drum} on {body}" if rig.several else f"the winch on {body}"


def _line_name(name: str) -> str:
    return f"The {name}" if name.endswith("line") or name.endswith("rope") else name[:1].upper() + name[1:]


def _end(rig: Rig, point: Point) -> str:
    if point.block and rig.bodies[point.body].role != FLOATING:
        return f"the becket of {point.block} on {point.body}"
    if point.eye:
        return f"the eye {point.eye} of {point.body}"
    return _floating(rig, point.body) if rig.bodies[point.body].role == FLOATING else point.body


def _floating(rig: Rig, body: str) -> str:
    """Return a block that is no part of another body: on straps, or floating on its lines."""
    straps = sum(line.strap and line.points[-1].body == body for line in rig.lines.values())
    return f"the block {body}, on its strap{'s' * (straps > 1)}" if straps else f"the floating block {body}"


def _block(rig: Rig, point: Point, again: bool) -> str:
    role = rig.bodies[point.body].role
    if again:
        return f"{point.block}"
    if role == FLOATING:
        return _floating(rig, point.body)
    if point.block in (point.body, None):
        return f"the block on {point.body}"
    if (point.block or "").startswith(f"{point.body} "):
        return f"the next block on {point.body}"
    return f"{point.block} on {point.body}"
