"""What to look at under light tension, when to stop, and when it is a job for a professional."""

from __future__ import annotations

from collections.abc import Iterator

from haulwright.field.published import house
from haulwright.files.kit import JOINING
from haulwright.files.pull import Pull
from haulwright.mechanics.rig import FLOATING
from haulwright.planning.candidates import Setting
from haulwright.planning.foretold import as_drawn, cell_places
from haulwright.planning.holding import LOOK_AT_A_TREE
from haulwright.planning.result import ResistanceSummary
from haulwright.planning.shelf import Use

STOP = (
    "STOP if the anchor moves",
    "STOP if a rope, strap, shackle or block distorts",
    "STOP if a line crosses or rides up on the drum",
    "STOP if the winch nears stall or the load is above the plan",
    "STOP if sight or signal is lost",
    "STOP if anyone enters the zone",
    "STOP if the vehicle tilts, or there is smoke or smell",
    "STOP if the leader is unsure",
)
"""When to stop and think again (common practice, no source)."""

HAZARDS = {
    "overturned": "the vehicle is overturned.",
    "on an edge": "the vehicle stands on an edge.",
    "in water": "the vehicle is in water.",
    "people trapped": "people are trapped: call the emergency services, do not pull.",
    "fuel or battery damage": "fuel or battery is damaged.",
    "dangerous goods": "dangerous goods are in the vehicle.",
    "damaged high-voltage vehicle": "a damaged high-voltage vehicle.",
    "farm machine": "dead towing of a farm machine has killed many.",
    "live traffic": "live traffic: the road authority or police first.",
    "powerlines": "powerlines are near.",
    "cliff": "a cliff is near.",
    "water": "deep or moving water is near.",
}


_LOOK = {
    "pickets": "all pickets upright and lashed, ground firm, no movement",
    "deadman": "earth tamped, the line leaves by its slot, no heave in front of it",
    "ground anchor": "set as its maker says, no movement",
    "rock": "part of the ground and not a loose boulder, no edge against the strap",
}


def checklist(setting: Setting | None) -> tuple[str, ...]:
    """Return the light-tension checks of this very rig, then the stop list.

    Parameters
    ----------
    setting : Setting or None
        The chosen rig; None when there is none to check.
    """
    if setting is None:
        return STOP
    rig, pull = setting.rig, setting.request.pull
    lines = [
        "Take up slack, stop, walk the line from end to end under light tension",
        *(_path(setting, line_name) for line_name in rig.lines),
    ]
    for block, item in setting.geared.devices.items():
        where = _where(setting, rig.blocks[block].body)
        if item.kind == "ring":
            lines.append(f"{item.label}{where}: rope seated in the ring, soft shackle knot seated")
        else:
            lines.append(f"{item.label}{where}: cheeks closed, pin home, sheave turns")
    lines += [line for use in setting.geared.uses for line in _piece(use)]
    lines += [f"{setting.request.wraps:g} wraps stay on the drum, the line lies even on it"]
    lines += [_anchor_words(pull, name) for name in setting.anchors]
    lines += [
        f"The bridle on {' and '.join(one.anchors)}: both legs taut, its middle clear of edges"
        for one in setting.request.shared.values()
    ]
    lines += [
        f"{pull.vehicle.name}: wheels chocked for the moment the line goes slack, only the driver inside",
        "A damper on each part of each line",
        "Line free of edges, not crossed, not twisted",
        *_cells(setting),
        "Everyone out of the zone; one leader says: rig as drawn, all clear",
    ]
    return (*lines, *STOP)


def _cells(setting: Setting) -> tuple[str, ...]:
    """Return what two cells should say under light tension, standing still."""
    loaded = cell_places(setting.rig, setting.along[0].free)
    if not loaded:
        return ()
    place = max(loaded, key=lambda name: loaded[name])
    drawn = as_drawn(setting.rig, setting.ratios, place, moving=False)
    high = "more" if drawn.high is None else f"{drawn.high:.2f}"
    return (f"Cells, where there are any: {place} ÷ winch line is {drawn.low:.2f} to {high}",)


def _path(setting: Setting, name: str) -> str:
    line, request = setting.rig.lines[name], setting.request
    rope = request.line if line.drum else request.ropes.get(name)
    what = "winch line" if line.drum else "second rope"
    if rope is not None and rope.label != what:
        what = rope.label if what in rope.label else f"{what}, {rope.label},"
    way = ", ".join(_spot(setting, point.label, point.body) for point in line.points)
    return f"The {what} runs {way}, as drawn"


def _spot(setting: Setting, label: str, body: str) -> str:
    """Return a point of a line as one would say it: a floating block and a bridle have no anchor's name."""
    shared = setting.request.shared.get(body)
    if shared is not None:
        return f"the bridle between {' and '.join(shared.anchors)}"
    return f"the floating block {label}" if setting.rig.bodies[body].role == FLOATING else label


def _where(setting: Setting, body: str) -> str:
    spot = _spot(setting, body, body)
    return f", {spot}" if setting.rig.bodies[body].role == FLOATING else f" on {spot}"


def _piece(use: Use) -> Iterator[str]:
    """Return the check of one piece that is no block, ring, line or anchor."""
    if use.owned is not None and use.owned.kind in JOINING:
        place = use.role.removeprefix(f"{use.owned.kind} for ")
        yield f"{use.label} for {place}: pin home or knot seated, pulled in line"
    elif use.body:
        yield f"{use.label} low and flat on {use.body}"
    elif use.part == "point":
        yield f"{use.label}: recovery point sound and fast, the pull straight out of it"
    elif use.role.startswith("winch mount"):
        yield f"{use.label}: bolts tight, nothing bent or cracked"
    elif use.role.startswith("extension"):
        yield f"{use.label}: its joint stays clear of blocks and drum to the end of the pull"
    elif use.role.startswith("bridle on"):
        yield f"{use.label}, {use.role.partition(',')[0]}: both legs taut and free of edges"
    elif use.role.startswith("bridle from"):
        yield f"{use.label}, {use.role.partition(', ')[0]}: laid as drawn, its block fixed so that it cannot slide"


def _anchor_words(pull: Pull, name: str) -> str:
    anchor = next(a for a in pull.site.anchors if a.name == name)
    if anchor.kind == "tree":
        return f"{name}: {LOOK_AT_A_TREE}; no movement at the root; a watcher at a distance sees it"
    if anchor.kind == "vehicle":
        return f"{name}: brakes on, wheels chocked, back-tied where it may slide; a watcher sees it"
    return f"{name}: {_LOOK.get(anchor.kind, 'no movement')}; a watcher at a distance sees it"


def professional(pull: Pull, resistance: ResistanceSummary, weight_N: float) -> tuple[str, ...]:
    """Return why this is a job for a professional; empty if nothing says so.

    Parameters
    ----------
    pull : Pull
    resistance : ResistanceSummary
    weight_N : float
        Weight of the stuck vehicle [N].
    """
    reasons = [HAZARDS[hazard] for hazard in (*pull.vehicle.hazards, *pull.site.hazards)]
    if not any(point.rating is not None and point.basis != "unknown" for point in pull.vehicle.points):
        reasons.append(f"{pull.vehicle.name} has no rated recovery points.")
    if pull.total_mass_kg > house("heavy-vehicle").value:
        reasons.append(f"{pull.total_mass_kg / 1000.0:.1f} t is a heavy vehicle.")
    if resistance.likely >= house("beyond-a-winch").value * weight_N:
        reasons.append(f"the resistance is {resistance.likely / weight_N:.1f} times the weight.")
    return tuple(reasons)
