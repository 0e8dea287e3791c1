"""What to look at under light tension, when to stop, who to call, and the brief to read aloud."""

from __future__ import annotations

from haulwright.files.kit import JOINING
from haulwright.files.pull import Pull
from haulwright.planning.candidates import Setting
from haulwright.planning.result import Candidate, ResistanceSummary, Zone
from haulwright.quantities.units import show

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
HEAVY_kg = 4500.0  # above it a vehicle counts as heavy in Australian law (from memory, check before quoting)
BEYOND_SHARE = 3.0  # resistance over weight that fire crews call beyond a vehicle winch (trade report)


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
        *(_path(line_name, [p.label for p in line.points]) for line_name, line in rig.lines.items()),
    ]
    for block, item in setting.geared.devices.items():
        body = rig.blocks[block].body
        if item.kind == "ring":
            lines.append(f"{item.label} on {body}: rope seated in the ring, soft shackle knot seated")
        else:
            lines.append(f"{item.label} on {body}: cheeks closed, pin home, sheave turns")
    joins = [use.label for use in setting.geared.uses if use.owned and use.owned.kind in JOINING]
    lines += [f"{label}: pin home or knot seated, pulled in line" for label in joins]
    lines += [f"{use.label} low and flat on {use.body}" for use in setting.geared.uses if use.body]
    lines += [f"{setting.request.wraps:g} wraps stay on the drum, the line lies even on it"]
    lines += [
        f"{_anchor_words(pull, name)}" for name in rig.bodies if name in {a.name for a in pull.site.anchors}
    ]
    lines += [
        f"{pull.vehicle.name}: wheels chocked for the moment the line goes slack, only the driver inside",
        "A damper on each part of each line",
        "Line free of edges, not crossed, not twisted",
        "Everyone out of the zone; one leader says: rig as drawn, all clear",
    ]
    return (*lines, *STOP)


def _path(name: str, labels: list[str]) -> str:
    return f"The {name} runs {', '.join(labels)}, as drawn"


def _anchor_words(pull: Pull, name: str) -> str:
    anchor = next(a for a in pull.site.anchors if a.name == name)
    if anchor.kind == "tree":
        return f"{name}: live, sound, no movement at the root; a watcher at a distance sees it"
    if anchor.kind == "vehicle":
        return f"{name}: brakes on, wheels chocked, back-tied where it may slide; a watcher sees it"
    return f"{name}: no movement; a watcher at a distance sees it"


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
    if pull.total_mass_kg > HEAVY_kg:
        reasons.append(f"{pull.total_mass_kg / 1000.0:.1f} t is a heavy vehicle.")
    if resistance.likely >= BEYOND_SHARE * weight_N:
        reasons.append(f"the resistance is {resistance.likely / weight_N:.1f} times the weight.")
    return tuple(reasons)


def brief(
    setting: Setting | None, candidate: Candidate | None, pull: Pull, zone: Zone, stops: tuple[str, ...]
) -> tuple[str, ...]:
    """Return the brief, to be read aloud before tension; ``stops`` come first."""
    opening = list(stops)
    if setting is None or candidate is None:
        return (
            *opening,
            "No rig of this kit can be used here. Wait, dig, lighten, let air out, or call for help.",
        )
    anchors = [name for name in setting.rig.bodies if name in {a.name for a in pull.site.anchors}]
    if candidate.verdict in ("over", "unknown"):
        opening.append(f"Not yet: {candidate.rig} is {candidate.verdict}. {candidate.why}")
    return (
        *opening,
        f"We pull {pull.vehicle.name} {pull.want.travel:g} m with {candidate.rig}: {candidate.sentence}",
        f"The winch pulls about {show(candidate.effort_N.likely, 'kN')}; it stalls at {show(candidate.stall_N, 'kN')}, "
        "and every piece is judged at that.",
        f"One leader gives signals; anyone may call stop. One at the winch, one at the wheel, one watches {', '.join(anchors)}, "
        "one keeps people and traffic away.",
        f"Nobody within {zone.radius_m:.1f} m, in line with any part, or inside a bend. Stand at right angles to the line.",
        "No gear is touched under tension. Re-rig only when the line is slack and the vehicle is secured.",
        "Say back: your task, your signal, your safe place.",
    )
