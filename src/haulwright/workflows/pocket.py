"""What a pocket card holds, gathered: compiled rigs, frictions, winches, the kit, and the ground."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from haulwright.errors import PlanRefusal
from haulwright.publishing.output import Files, output_folder, record_of
from haulwright.workflows.given import Given

if TYPE_CHECKING:
    from haulwright.files.kit import Kit
    from haulwright.files.pull import Pull
    from haulwright.files.winch import Winch
    from haulwright.planning.found import Planned
    from haulwright.publishing.pocket.record import (
        PocketCard,
        PocketFriction,
        PocketPiece,
        PocketRig,
        PocketShare,
        PocketWinch,
    )

_DEPTHS = ("rim", "wheel")  # deeper is for a plan, and for professionals


def pocket_card(
    pull: Given, *, kit: Given | None = None, friction: Given | None = None, day: str | None = None
) -> PocketCard:
    """Return everything a pocket card reckons with, from a pull and what it names.

    Parameters
    ----------
    pull : path or mapping
        Names the kit and the frictions; its winches are those of the card.
    kit, friction : path or mapping, optional
        In place of those the pull names.
    day : str, optional
        Printed on it, YYYY-MM-DD; today.

    Raises
    ------
    Refusal
        What the reader of the pull refuses.

    Examples
    --------
    >>> from haulwright.workflows.house import examples
    >>> card = pocket_card(examples() / "pulls" / "rutted-clearing.yaml", day="2026-02-01")
    >>> card.rigs[0].name, round(card.winches[0].stall_N)
    ('single line/on-load', 42000)
    """
    from haulwright.field.published import house
    from haulwright.files.pull import read_pull
    from haulwright.notices import Code
    from haulwright.publishing.pocket.record import PocketCard
    from haulwright.publishing.writing import card_stamp
    from haulwright.records import Made

    asked = read_pull(pull, kit=kit, friction=friction)
    surfaces, depths, source = _ground()
    always = ("ESTIMATE", "STALL", "FRICTION_NO_EXCUSE", "NO_STANDING", "DEFER", "NO_PEAKS", "ELASTIC")
    return PocketCard(
        title=asked.kit.kit,
        stamp=card_stamp(day),
        invented=asked.invented or asked.kit.invented,
        rigs=pocket_rigs(),
        frictions=_frictions(asked),
        winches=tuple(_winch(asked.kit.winch(one), asked.kit) for one in _winches(asked)),
        pieces=_pieces(asked.kit),
        surfaces=surfaces,
        depths=depths,
        spread=house("resistance-range").value,
        resistance_source=source,
        tight=house("tight-share").value,
        cautions=tuple(Code[name].sentence.format(stall="what stands in the box") for name in always),
        made=Made("compiled rigs, the kit's marks, frictions measured or of the catalogue", {}),
    )


def publish_pocket_card(card: PocketCard, out: str | Path, *, units: str = "kN") -> Files:
    """Write a pocket card as one page that needs nothing but itself."""
    from haulwright.publishing.writing import write_pocket_card

    with output_folder(out) as folder:
        return record_of([write_pocket_card(card, folder, units)])


def pocket_rigs() -> tuple[PocketRig, ...]:
    """Return every named rig compiled, from the fewest parts; series pulls are of a test and left out."""
    from haulwright.mechanics.tackles import NAMES

    found = (_rig(name) for name in NAMES if not name.startswith("series"))
    return tuple(sorted(found, key=lambda one: (round(one.advantage, 9), len(one.contacts))))


def _rig(name: str) -> PocketRig:
    from haulwright.mechanics.batch.compile import compile_rig
    from haulwright.mechanics.statics import solve_rig
    from haulwright.mechanics.tackles import named_rig
    from haulwright.publishing.pocket.record import PocketRig

    rig = named_rig(name)
    program, solution = compile_rig(rig), solve_rig(rig, 1.0)
    number = {(part.line, part.index): at for at, part in enumerate(program.parts)}
    ends = [solution.lines[part.line].parts[part.index - 1] for part in program.parts]
    body = {block.name: block.body for block in rig.blocks.values()}
    passes: dict[str, list[int]] = {one.at: [] for one in program.contacts}
    for one in program.contacts:
        passes[one.at] += [number[one.line, one.index], number[one.line, one.index + 1]]
    for name_, parts in passes.items():
        if solution.blocks[name_].with_becket_N > solution.blocks[name_].pin_N:
            lines = {
                program.parts[at].line for at in parts
            }  # its becket holds an end of the line that runs over it
            parts += [
                at
                for at, part in enumerate(ends)
                if name_ in (part.from_, part.to) and program.parts[at].line in lines and at not in parts
            ]
    pulls = {
        anchor: tuple(
            at
            for at, part in enumerate(ends)
            if anchor in (body.get(part.from_, part.from_), body.get(part.to, part.to))
        )
        for anchor in solution.bodies
        if anchor != rig.load.name
    }
    return PocketRig(
        name=name,
        sentence=solution.sentence,
        advantage=program.ideal_advantage,
        program=program.source,
        parts=tuple(f"{part.from_} to {part.to}" for part in ends),
        fall=max(at for (line, _), at in number.items() if line == program.parts[0].line),
        contacts=tuple(one.at for one in program.contacts),
        blocks=tuple((at, tuple(parts)) for at, parts in passes.items()),
        anchors=tuple(pulls.items()),
    )


def _winches(pull: Pull) -> tuple[str, ...]:
    return tuple(dict.fromkeys(one.id for one in pull.stands)) or (pull.winch.id,)


def winch_of(planned: Planned) -> PocketWinch:
    """Return the winch of a plan's chosen rig with its layers."""
    setting = planned.chosen
    if setting is None:
        raise PlanRefusal("NO_RIG", f"{planned.plan.pull}: no rig can be used here.", (planned.plan.pull,))
    pull = setting.request.pull
    return _winch(pull.winch, pull.kit)


def _winch(winch: Winch, kit: Kit) -> PocketWinch:
    from haulwright.planning.winch import windings
    from haulwright.publishing.pocket.record import PocketWinch

    ways = windings(winch, kit.rope_of(winch))
    layers = zip(*([layer.pull_N for layer in way] for way in ways), strict=False)
    return PocketWinch(
        id=winch.id,
        name=winch.name or winch.id,
        stall_N=winch.line_pull * winch.stall_factor,
        layers_N=tuple(min(pulls) for pulls in layers) or (winch.line_pull,),
    )


def _frictions(pull: Pull) -> tuple[PocketFriction, ...]:
    """Return what was measured, then the pieces of the kit, then the catalogue's ratios that have a range."""
    from haulwright.files.kit import TURNING
    from haulwright.mechanics.sheave_list import list_sheaves
    from haulwright.planning.friction import friction_of
    from haulwright.publishing.pocket.record import PocketFriction

    found = [
        PocketFriction(name, name, row.ratio(), row.valid_N, f"measured: {row.source.cite()}", True)
        for name, row in pull.friction.items()
    ]
    for item in pull.kit.items:
        if item.kind in TURNING and item.usable:
            own = friction_of(item, pull.friction)
            found.append(
                PocketFriction(
                    item.id, f"{item.id} {item.name}".strip(), own.k, own.valid_N, own.source, own.measured
                )
            )
    found += [
        PocketFriction(one.row, one.name, one.k, None, f"catalogue: {one.source}", False)
        for one in list_sheaves().sheaves
        if one.k.hi > one.k.lo
    ]
    return tuple(found)


def _pieces(kit: Kit) -> tuple[PocketPiece, ...]:
    """Return the pieces that may bear a load of a winch, and where in a rig each can stand."""
    from haulwright.planning.kit_check import AT_BLOCK, SINGLE, uses_of
    from haulwright.planning.limits import item_limit
    from haulwright.publishing.pocket.record import PocketPiece

    found = []
    for item in kit.items:
        uses = [use for use, _ in uses_of(item)]
        if not uses:
            continue
        limit = item_limit(item, kit)
        stands = tuple(place for place, use in (("line", SINGLE), ("block", AT_BLOCK)) if use in uses)
        found.append(
            PocketPiece(
                item.id,
                f"{item.id} {item.name or item.kind}",
                limit.limit_N,
                limit.basis,
                limit.note,
                stands or ("anchor",),
            )
        )
    return tuple(found)


def _ground() -> tuple[tuple[PocketShare, ...], tuple[PocketShare, ...], str]:
    """Return the surfaces and depths one published rule has a number for, as shares of the weight, and its source."""
    from haulwright.field.by_statics import fractions
    from haulwright.field.published import surface_words
    from haulwright.field.result import LeftOutRule
    from haulwright.field.stuck import Ground, StuckVehicle
    from haulwright.publishing.pocket.record import PocketShare
    from haulwright.quantities.unit_table import G0

    unit = 1.0 / G0  # the mass that weighs 1 N: forces are shares
    surfaces, depths, sources = [], {"none": PocketShare("not sunk", 0.0, 0.0, 0.0)}, []
    for word in surface_words():
        for depth in ("none", *_DEPTHS):
            applied = fractions(StuckVehicle(unit, sunk=depth), Ground(word))
            if isinstance(applied, LeftOutRule):
                break
            sources += applied.source.split("; ")
            if depth == "none":
                (part,) = applied.parts
                surfaces.append(PocketShare(word, part.low_N, part.likely_N, part.high_N))
            else:
                part = applied.parts[-1]
                depths[depth] = PocketShare(f"to the {depth}", part.low_N, part.likely_N, part.high_N)
    return tuple(surfaces), tuple(depths.values()), "; ".join(dict.fromkeys(sources))
