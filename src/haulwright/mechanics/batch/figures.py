"""Every figure of a solved rig that friction moves, for many samples at once: what ``intervals.figures_of`` has for one."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Any

import numpy as np

from haulwright.errors import RigRefusal
from haulwright.mechanics.batch.compile import compile_rig
from haulwright.mechanics.batch.equations import Floats
from haulwright.mechanics.batch.geometry import compile_ground
from haulwright.mechanics.batch.laws import Array, log_ratio
from haulwright.mechanics.core import Core
from haulwright.mechanics.friction import is_tenth_rule
from haulwright.mechanics.loads import MOST_FORCES
from haulwright.mechanics.rig import FLOATING, Rig
from haulwright.mechanics.sheave import Law
from haulwright.mechanics.stepped import stepped_lines
from haulwright.mechanics.stretch import frictionless

Vector = list[Any]  # three floats or arrays
Drawn = Mapping[
    str, Mapping[str, Floats]
]  # by block the numbers of its law that differ from sample to sample


@dataclass(frozen=True)
class Sampled:
    """What the figures follow from, by line: of parts, or of contacts; floats where all samples have one value.

    ``tensions`` are for a resistance of 1, ``flows`` per metre of load travel, lengths None without places.
    """

    tensions: Mapping[str, Sequence[Array]]
    directions: Mapping[str, Sequence[Vector]]
    lengths: Mapping[str, Sequence[Array | None]]
    wraps: Mapping[str, Sequence[Array]]
    ratios: Mapping[str, Sequence[Array]]
    flows: Mapping[str, Sequence[Array]]
    jams: int


def covered(core: Core, laws: Mapping[str, Law | None]) -> bool:
    """Return whether a solved rig can be compiled: one winch, a guided load, no lines that share, laws of one contact."""
    rig = core.moving.rig
    several = rig.several or rig.free_load or core.moving.held or stepped_lines(rig)
    return not (several or core.sharing_lines or is_tenth_rule(laws))


def sampled(rig: Rig, core: Core, laws: Mapping[str, Law | None], drawn: Drawn, count: int) -> Sampled:
    """Return a rig solved for many samples.

    Parameters
    ----------
    rig : Rig
    core : Core
        The rig solved at the best estimates.
    laws : mapping block -> Law or None
        At the best estimates.
    drawn : mapping block -> mapping number -> array (samples)
    count : int
        Number of samples.
    """
    if rig.finds_places:
        return _on_the_ground(rig, laws, drawn, count)
    return _in_line(rig, core, laws, drawn, count)


def _in_line(rig: Rig, core: Core, laws: Mapping[str, Law | None], drawn: Drawn, count: int) -> Sampled:
    program, moving = compile_rig(rig), core.moving
    wraps = {name: course.wraps for name, course in moving.course_of.items()}
    ratios: dict[str, list[Array]] = {name: [] for name in rig.lines}
    for contact in program.contacts:
        wrap = wraps[contact.line][contact.index - 1]
        log_k, _ = log_ratio(laws[contact.at], drawn.get(contact.at, {}), wrap)
        ratios[contact.line].append(np.broadcast_to(np.exp(log_k), (count,)))
    given = [k for name in rig.lines for k in ratios[name]]
    _, found, jams = program(np.array(given).reshape(-1, count))
    return Sampled(
        tensions=_by_line(rig, [part.line for part in program.parts], found),
        directions={name: [list(u) for u in course.parts] for name, course in moving.course_of.items()},
        lengths={name: list(course.lengths_m) for name, course in moving.course_of.items()},
        wraps=wraps,
        ratios=ratios,
        flows={n: [q / moving.motion.load_speed for q in moving.motion.flows[n][1:-1]] for n in rig.lines},
        jams=jams,
    )


def _on_the_ground(rig: Rig, laws: Mapping[str, Law | None], drawn: Drawn, count: int) -> Sampled:
    program = compile_ground(rig, laws)
    rows = [
        np.broadcast_to(drawn.get(one.at, {}).get(one.name, np.float64(one.value)), (count,))
        for one in program.numbers
    ]
    found = program(np.array(rows).reshape(-1, count))
    parts, contacts = [part.line for part in program.parts], [contact.line for contact in program.contacts]
    return Sampled(
        tensions=_by_line(rig, parts, found.tensions_N),
        directions=_by_line(rig, parts, found.directions),
        lengths=_by_line(rig, parts, found.lengths_m),
        wraps=_by_line(rig, contacts, found.wraps_rad),
        ratios=_by_line(rig, contacts, found.ratios),
        flows=_by_line(rig, contacts, found.flows),
        jams=found.jams + found.lost,
    )


def _by_line(rig: Rig, names: Sequence[str], rows: Floats) -> dict[str, list[Any]]:
    return {line: [row for name, row in zip(names, rows, strict=True) if name == line] for line in rig.lines}


def figures(core: Core, found: Sampled, load_N: float | None, effort_N: float | None) -> dict[str, Array]:
    """Return every figure of many samples by its path in the record, not a number in samples that jam.

    Parameters
    ----------
    core : Core
        The rig solved at the best estimates.
    found : Sampled
    load_N, effort_N : float or None
        Resistance of the load, or tension at the drum, the same in all samples [N]; one of them.

    Raises
    ------
    RigRefusal
        UNSUPPORTED for a rig with several winches.
    """
    rig = core.moving.rig
    ideal = core.ideal_advantage
    if ideal is None:
        raise RigRefusal(
            "UNSUPPORTED", f"{rig.name} has several winches: it is not known on arrays.", (rig.name,)
        )
    share = found.tensions[rig.hauling_line.name][-1]  # winch share
    load = load_N if effort_N is None else effort_N / share
    told: dict[str, Array] = {
        "resistance_N": load,
        "advantage": 1.0 / share,
        "winch_share": share,
        "rig_efficiency": 1.0 / share / ideal,
        f"effort_N.{next(iter(rig.drums))}": share * load,
    }
    tensions = {name: [t * load for t in parts] for name, parts in found.tensions.items()}
    told |= {f"bodies.{n}.load_N": _size(forces) for n, forces in _on_bodies(rig, found, tensions).items()}
    contacts = _contacts(rig, found, tensions)
    told |= _blocks(rig, found, tensions, contacts)
    told |= {
        f"lines.{n}.parts.{i}.tension_N": t for n, parts in tensions.items() for i, t in enumerate(parts)
    }
    told |= _stretch(core, found, tensions)
    for i, (_, one) in enumerate(contacts):
        told |= {f"contacts.{i}.{name}": value for name, value in one.items()}
    return told


def _pull(found: Sampled, tensions: Mapping[str, Sequence[Array]], line: str, i: int) -> Vector:
    """Return the force a line exerts at its point i."""
    parts, ts = found.directions[line], tensions[line]
    force: Vector = [0.0, 0.0, 0.0]
    if i < len(parts):
        force = [x * ts[i] for x in parts[i]]
    return [f - x * ts[i - 1] for f, x in zip(force, parts[i - 1], strict=True)] if i > 0 else force


def _size(forces: Sequence[Vector]) -> Array:
    total: Vector = [sum(force[k] for force in forces) for k in range(3)]
    return np.sqrt(sum(x * x for x in total))


def _on_bodies(rig: Rig, found: Sampled, tensions: Mapping[str, Sequence[Array]]) -> dict[str, list[Vector]]:
    forces: dict[str, list[Vector]] = {name: [] for name, body in rig.bodies.items() if body.role != FLOATING}
    for name, line in rig.lines.items():
        for i, point in enumerate(line.points):
            if point.body in forces:
                forces[point.body].append(_pull(found, tensions, name, i))
    return {name: pulls for name, pulls in forces.items() if pulls}


def _contacts(
    rig: Rig, found: Sampled, tensions: Mapping[str, Sequence[Array]]
) -> list[tuple[str, dict[str, Array]]]:
    told = []
    for name, line in rig.lines.items():
        for n, i in enumerate(line.contacts):
            before, after = tensions[name][i - 1], tensions[name][i]
            square = before * before + after * after - 2.0 * before * after * np.cos(found.wraps[name][n])
            one = {
                "ratio": found.ratios[name][n],
                "load_N": np.sqrt(np.maximum(square, 0.0)),
                "heat_J_per_m": (after - before) * found.flows[name][n],
            }
            told.append((line.points[i].block or line.points[i].label, one))
    return told


def _blocks(
    rig: Rig,
    found: Sampled,
    tensions: Mapping[str, Sequence[Array]],
    contacts: list[tuple[str, dict[str, Array]]],
) -> dict[str, Array]:
    told: dict[str, Array] = {}
    for name, block in rig.blocks.items():
        floats = rig.bodies[block.body].role == FLOATING
        turns: list[Vector] = []
        ends: list[Vector] = []
        for line_name, line in rig.lines.items():
            for i, point in enumerate(line.points):
                if point.block == name or (floats and point.body == name and point.block is None):
                    (turns if i in line.contacts else ends).append(_pull(found, tensions, line_name, i))
        if not turns and not (floats and ends):
            continue
        carried = _greatest_sum if floats else _size
        told[f"blocks.{name}.pin_N"] = carried(turns or ends)
        told[f"blocks.{name}.with_becket_N"] = carried([*turns, *ends])
        told[f"blocks.{name}.heat_J_per_m"] = sum(one["heat_J_per_m"] for at, one in contacts if at == name)
    return told


def _greatest_sum(forces: Sequence[Vector]) -> Array:
    if len(forces) > MOST_FORCES:
        return sum(_size([force]) for force in forces)
    most: Array = 0.0
    for n in range(1, len(forces) + 1):
        for some in combinations(forces, n):
            most = np.maximum(most, _size(some))
    return most


def _stretch(core: Core, found: Sampled, tensions: Mapping[str, Sequence[Array]]) -> dict[str, Array]:
    rig, told, stretches = core.moving.rig, dict[str, Array](), dict[str, Array]()
    if not core.load_given:
        return told
    for name, line in rig.lines.items():
        lengths = [x for x in found.lengths[name] if x is not None]
        if not (line.rope and line.rope.EA_N and len(lengths) == len(found.lengths[name])):
            continue
        pulled = [np.maximum(t, 0.0) for t in tensions[name]]
        both = list(zip(pulled, lengths, strict=True))
        stretches[name] = sum(t * x for t, x in both) / line.rope.EA_N
        told[f"stretch.{name}.stored_J"] = sum(t * t * x for t, x in both) / (2.0 * line.rope.EA_N)
    told |= {f"stretch.{name}.stretch_m": x for name, x in stretches.items()}
    ideal = frictionless(core)
    if len(stretches) == len(rig.lines) and ideal is not None:
        effort = ideal[rig.hauling_line.name][-1]
        told["take_up_m"] = sum(x * ideal[name][0] / effort for name, x in stretches.items())
    return told
