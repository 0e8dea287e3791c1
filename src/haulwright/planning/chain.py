"""The pieces of a rig in the order a hand meets them, from the stuck vehicle along the lines to the drum."""

from __future__ import annotations

from collections.abc import Iterator

from haulwright.mechanics.rig import Line, Rig
from haulwright.planning.candidates import Setting
from haulwright.planning.shelf import Use

WINCH = 0  # its place among the items of a candidate, before all uses


def chain_of(setting: Setting) -> tuple[int, ...]:
    """Return the places in a candidate's ``items`` from the stuck vehicle to the drum, each once.

    Parameters
    ----------
    setting : Setting

    Notes
    -----
    What holds the lines to the stuck vehicle comes first, then line by line: the line, and at each body it is led to
    what turns it there, what joins that, and what it is slung on, outwards to the anchor. The line with the drum comes
    last, and after it winch, mount, and what the winch stands on.
    """
    uses, rig = setting.geared.uses, setting.rig
    shared = {name: one.anchors for name, one in setting.request.shared.items()}
    stand = setting.request.pull.winch_on
    found: list[int] = list(_at(uses, rig.load.name))
    seen = {rig.load.name, *({stand} if stand != rig.load.name else ())}
    for line in _lines(rig):
        found += _of_line(uses, rig, line)
        for body in dict.fromkeys(point.body for point in line.points):
            if body not in seen:
                seen.add(body)
                found += _at(uses, body)
                for anchor in shared.get(body, ()):
                    found += _at(uses, anchor)
    mount = [n for n, use in enumerate(uses) if _is_mount(use)]
    ends = [n for n in _at(uses, stand) if stand != rig.load.name]
    order = [*(n + 1 for n in found), WINCH, *(n + 1 for n in (*mount, *ends))]
    return tuple(dict.fromkeys(order))


def _lines(rig: Rig) -> list[Line]:
    """Return the lines as one follows them from the load, the one with the drum last."""
    left = [line for line in rig.lines.values() if not line.drum]
    reached, order = {rig.load.name}, []
    while left:
        line = next((one for one in left if reached & {p.body for p in one.points}), left[0])
        left.remove(line)
        order.append(line)
        reached |= {point.body for point in line.points}
    return [*order, rig.hauling_line]


def _of_line(uses: tuple[Use, ...], rig: Rig, line: Line) -> Iterator[int]:
    """Yield the uses a line consists of: its rope; for the one with the drum its extension and their joint first."""
    if line.drum:
        yield from (n for n, use in enumerate(uses) if use.role == "extension of the winch line")
        yield from (n for n, use in enumerate(uses) if _joins_lines(use))
    ropes = [n for n, use in enumerate(uses) if use.role in ("winch line", "second rope")]
    yield ropes[list(rig.lines).index(line.name)]


def _at(uses: tuple[Use, ...], body: str) -> Iterator[int]:
    """Yield what is at one body from the line outwards; at a vehicle from its points to the line."""
    here = [
        n for n, use in enumerate(uses) if use.at == body and not _is_mount(use) and not _joins_lines(use)
    ]
    turning = [n for n in here if uses[n].part == "turning"]
    held = [n for n in here if uses[n].part == "anchor"]
    between = [n for n in reversed(here) if n not in turning and n not in held]
    pointed = any(uses[n].part == "point" for n in here)
    yield from (*between, *turning, *held) if pointed else (*turning, *between, *held)


def _is_mount(use: Use) -> bool:
    return use.role.startswith("winch mount")


def _joins_lines(use: Use) -> bool:
    return use.role.endswith("winch line to extension line")
