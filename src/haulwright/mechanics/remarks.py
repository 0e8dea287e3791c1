"""What is said of a solved rig: ratings, straight and still sheaves, alike names, cautions."""

from __future__ import annotations

import math
from collections.abc import Iterator

from haulwright.mechanics.core import Core
from haulwright.mechanics.names import similar_names
from haulwright.mechanics.solution import LettingBack, RigSolution
from haulwright.mechanics.stepped import stepped_lines
from haulwright.mechanics.winch_speeds import remarks
from haulwright.notices import Code, Notice
from haulwright.quantities.units import spoken

STRAIGHT_RAD = math.radians(5.0)
SIDE_SHARE = 0.01  # a side pull under this share of the resistance is not worth a warning


def _ratings(core: Core, solution: RigSolution) -> list[Notice]:
    """Hold each marked block against its load; the load at winch stall is for the caller who knows the stall."""
    if not core.load_given:
        return []
    found = []
    for name, block in core.moving.rig.blocks.items():
        if block.wll_N is None or name not in solution.blocks:
            continue
        load, limit = solution.blocks[name].with_becket_N, block.wll_N
        if load > limit:
            text = f"{name} carries {spoken(load)}, over its WLL of {spoken(limit)}: not with this block."
            found.append(Code.OUT_OF_RANGE.notice((name,), text=text))
        else:
            text = f"{name} carries {spoken(load)} of its WLL of {spoken(limit)} here; what counts is winch stall."
            found.append(Code.UNCHECKED.notice((name,), text=text))
    return found


def _bands(core: Core) -> list[Notice]:
    """Tell both ends of where a block may rest that hardly runs along its own line."""
    found = []
    for band in core.ground.bands if core.ground else ():
        axes = 3 if any(at[2] for at in band.at_m) else 2
        efforts = dict.fromkeys(spoken(share * core.unit_N) for share in sorted(band.effort))
        ends = " and ".join(f"({', '.join(f'{x:.2f}' for x in at[:axes])}) m" for at in band.at_m)
        told = {
            "what": band.block,
            "line": band.line,
            "ends": ends,
            "efforts": " to ".join(efforts) + (f" at {band.drum}" if core.moving.rig.several else ""),
            "most": spoken(band.greatest * core.unit_N),
        }
        found.append(Code.STICKS.notice((band.block,), **told))
    return found


def _stepped(core: Core, solution: RigSolution) -> Iterator[Notice]:
    """Tell that the line on a stepped drum carries more than the effort."""
    for line in stepped_lines(core.moving.rig):
        drum = line.drum or ""
        most = max(core.found[line.name])
        times = most / solution.effort_N[drum]
        carried = f"{spoken(most)}, " if core.load_given else ""
        text = (
            f"{drum} has a stepped drum: its effort is the torque ÷ its large radius. The line itself carries {carried}"
            f"{times:.1f} times the effort: choose line, blocks and anchors by that."
        )
        yield Code.STEPPED_DRUM.notice((drum, line.name), text=text)


def notices_of(
    core: Core, solution: RigSolution, back: LettingBack | None, letting_back: bool
) -> tuple[Notice, ...]:
    """Return every notice of a solution; ``letting_back`` where that was asked for."""
    rig = core.moving.rig
    found = []
    if not core.law_given:
        turned = rig.contacts_from_drum
        open_blocks = tuple(
            name for name in solution.blocks if name in turned and rig.blocks[name].law is None
        )
        found.append(Code.NO_FRICTION.notice(open_blocks, what=", ".join(open_blocks)))
    if not core.load_given:
        found.append(Code.UNIT_LOAD.notice())
    found += [
        Code.SIMILAR_NAMES.notice(pair, a=pair[0], b=pair[1]) for pair in similar_names(list(rig.bodies))
    ]
    for contact in solution.contacts:
        if contact.wrap_rad < STRAIGHT_RAD:
            found.append(Code.STRAIGHT_THROUGH.notice((contact.at,), what=contact.at))
        if contact.direction == "still" and contact.ratio > 1.0:
            band = f"{1.0 / contact.ratio:.3f} to {contact.ratio:.3f}"
            found.append(Code.STILL_SHEAVE.notice((contact.at,), what=contact.at, band=band))
    found += _ratings(core, solution)
    if rig.unused:
        what = ", ".join(rig.unused)
        found.append(Code.UNCHECKED.notice(rig.unused, text=f"Read but not used by this version: {what}."))
    found += _bands(core)
    found += remarks(rig, core.moving.motion)
    found += _stepped(core, solution)
    if solution.holding_N is None and rig.several and back is not None:
        text = (
            "Holding: with several winches whose pulls are solved together no one band of efforts holds the load; none is "
            "given."
        )
        found.append(Code.UNCHECKED.notice(tuple(rig.drums), text=text))
    if back is None:
        text = "Letting back: no balanced position is found, so neither its effort nor the holding band is given."
        found.append(Code.UNCHECKED.notice((rig.name,), text=text))
    elif letting_back and back.holds_itself:
        found.append(Code.SELF_HOLDING.notice())
    if solution.side_pull_N > SIDE_SHARE * solution.resistance_N:
        share = 100.0 * solution.side_pull_N / solution.resistance_N
        way = "sideways, up or down" if rig.in_space else "sideways"
        found.append(
            Code.SIDE_PULL.notice((rig.load.name,), way=way, force=f"{share:.0f} % of its resistance")
        )
    return (
        *found,
        Code.ESTIMATE.notice(),
        Code.FRICTION_NO_EXCUSE.notice(),
        Code.NO_STANDING.notice(),
        Code.DEFER.notice(),
    )
