"""What the sheet of a pull says in words: its head, the zone, the cautions. Figures come from the records."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from haulwright.mechanics.solution import RigSolution
from haulwright.notices import Code
from haulwright.planning.result import Candidate, ItemCheck, Plan, Zone
from haulwright.publishing.diagram.geometry import XY
from haulwright.publishing.diagram.kept_clear import away_m
from haulwright.publishing.diagram.legs import BridleLeg
from haulwright.publishing.wording import cautions, force, force_range, of_limit, plain_glyphs

_MOST = 3


@dataclass(frozen=True)
class DrawnPull:
    """The records of one planned rig, ready to be drawn.

    Attributes
    ----------
    plan, candidate : Plan, Candidate
    expected : RigSolution
        The rig where the pull begins, at the likely resistance of its way.
    stalls : tuple of RigSolution
        The same with the winch at stall, with friction and without.
    bridles : mapping body -> legs
        Bridles between two anchors.
    """

    plan: Plan
    candidate: Candidate
    expected: RigSolution
    stalls: tuple[RigSolution, ...]
    bridles: Mapping[str, tuple[BridleLeg, ...]] = field(default_factory=dict)

    @property
    def bodies_m(self) -> dict[str, XY]:
        """Where everything stands when the pull begins, the anchors of bridles too [m]."""
        found: dict[str, XY] = dict(self.candidate.places_m)
        for legs in self.bridles.values():
            found |= {leg.anchor: leg.at_m for leg in legs}
        return found


def slope_words(pull: DrawnPull) -> str:
    """Return the slope along the pull in words."""
    if abs(pull.candidate.rise_rad) < 1e-4:
        return "level"
    degrees, percent = (
        abs(math.degrees(pull.candidate.rise_rad)),
        abs(math.tan(pull.candidate.rise_rad)) * 100.0,
    )
    return f"{degrees:.0f}° ({percent:.0f} %) {'up' if pull.candidate.rise_rad > 0.0 else 'down'}"


def lead_words(pull: DrawnPull, units: str) -> Iterator[str]:
    """Yield what is pulled and what it takes, sentence by sentence."""
    one = pull.candidate
    resistance = one.resistance_N or pull.plan.resistance_N
    way = "ahead" if one.way == "ahead" else "back"
    yield (
        f"The {pull.plan.vehicle} is pulled {way}, {slope_words(pull)}, on {pull.plan.surface}. Resistance likely "
        f"{force(resistance.likely, units)}, from {force_range(resistance.low, resistance.high, units)}; to start it "
        f"up to {force(pull.plan.resistance_N.breakout, units)}."
    )
    yield (
        f"The winch needs up to {force(one.effort_N.likely, units)}, at the high resistance {force(one.effort_N.high, units)}; "
        f"it stalls at {force(one.stall_N, units)}. {why(one)}".strip()
    )


def why(one: Candidate) -> str:
    """Return what the verdict hangs on, the worst first; nothing where everything is inside."""
    worst = sorted((i for i in one.items if i.verdict == one.verdict), key=lambda i: -(i.utilisation or 0.0))
    if one.verdict == "inside" or not worst:
        return ""
    named = "; ".join(_share(item) for item in worst[:_MOST])
    more = f"; {len(worst) - _MOST} more" if len(worst) > _MOST else ""
    return f"{one.verdict.capitalize()}: {named}{more}."


def _share(item: ItemCheck) -> str:
    name = item.role if item.item in item.role else f"{item.role} ({item.item})"
    if item.utilisation is None:
        return f"{name}, no limit known"
    of = "line pull at the high resistance" if item.role == "winch" else "limit at stall"
    return f"{name}, {of_limit(item.utilisation, f' of its {of}')}"


def zone_words(zone: Zone) -> Iterator[str]:
    """Yield where nobody stands, and where one may, so that the map can be read without being seen."""
    applied = sum(rule["distance_m"] is not None for rule in zone.rules)
    yield (
        f"Nobody within {zone.radius_m:.1f} m of any part of any line, by the largest of {applied} published "
        f"rules: {zone.rule.removeprefix('Stand clear: ')}."
    )
    for number, spot in enumerate(zone.stand_m, start=1):
        yield f"Place {number}: {_spot(spot)}, {away_m(zone, spot):.0f} m from the nearest line."
    if not zone.stand_m:
        yield "No place near by is clear by every rule: stay behind cover, or farther off."
    yield "At no distance: " + "; ".join(zone.never) + "."


def _spot(spot: XY) -> str:
    ahead, left = spot
    words = []
    if abs(ahead) >= 0.5:
        words.append(f"{abs(ahead):.0f} m {'ahead' if ahead > 0.0 else 'behind'}")
    if abs(left) >= 0.5:
        words.append(f"{abs(left):.0f} m to the {'left' if left > 0.0 else 'right'}")
    return " and ".join(words) + " of where the vehicle's front stands"


def caution_words(pull: DrawnPull, units: str) -> list[str]:
    """Return the cautions of the records, the one on stall in the unit of the sheet, and of pulls only a licensed crew does."""
    found = [
        f"At stall the winch pulls {force(pull.candidate.stall_N, units)}; real winches can exceed their plate. "
        "Every item must stand that."
    ]
    notices = (*pull.plan.notices, *pull.candidate.notices)
    told = cautions(notices)
    first = (Code.STOP_PROFESSIONAL.name, Code.NO_STANDING.name)
    found += [n.message for code in first for n in told if n.code == code]
    found += [n.message for n in told if n.code not in (*first, Code.STALL.name)]
    found += [n.message for n in notices if n.code == Code.INVENTED.name]
    return list(dict.fromkeys(plain_glyphs(words) for words in found))
