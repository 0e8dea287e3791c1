"""What stands on a card, as plain words and rows, from the records of a plan and of its solved rig."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from typing import Any, Final

from haulwright.mechanics.solution import RigSolution
from haulwright.notices import Code, Notice
from haulwright.planning.result import Candidate, ItemCheck, Plan
from haulwright.publishing.wording import (
    cautions,
    count,
    force,
    force_range,
    of_limit,
    percent,
    plain_glyphs,
    plus_minus,
)
from haulwright.quantities.measured import Measured

STOP: Final = "STOP if "
_RANK: Final = {"over": 0, "unknown": 1, "tight": 2, "inside": 3}
_SHORT: Final[Mapping[str, str]] = {
    Code.ESTIMATE.name: "",  # said with the resistance
    Code.STALL.name: "Winches can exceed their plate.",
    Code.FRICTION_NO_EXCUSE.name: "Friction never excuses smaller gear.",
    Code.NO_STANDING.name: "",  # said in full in the line on the zone
    Code.DEFER.name: "Local codes, makers’ ratings, licensed people come first. No lifting, no people.",
    Code.TESTED_ONLY.name: "A measured k holds for the device, rope and loads tested.",
    Code.NO_PEAKS.name: "Peak forces are not measured.",
    Code.ELASTIC.name: "No elastic part in the rig.",
}
_LONGEST: Final = 64


def card_words(
    plan: Plan, candidate: Candidate, solution: RigSolution, *, title: str, units: str, stamp: str,
    ratios: Mapping[str, Measured],
) -> dict[str, Any]:  # fmt: skip
    """Return everything the card prints, in plain JSON types; figures are already rounded.

    Parameters
    ----------
    plan, candidate, solution : Plan, Candidate, RigSolution
        The rig, its place in the plan, and the rig at the expected load.
    title, stamp : str
        Head of the card; date and version.
    units : str
        Unit of every force.
    ratios : mapping block -> Measured
        Tension ratio k of each block with its interval; may be empty.
    """
    effort = candidate.effort_N
    words: dict[str, Any] = {
        "title": title,
        "of": f"{plan.pull} · {candidate.rig}",
        "units": units,
        "verdict": candidate.verdict,
        "why": _why(candidate),
        "not_yet": "Not to be used as it stands." if candidate.verdict in ("over", "unknown") else "",
        "effort": force(effort.likely, units, unit=False),
        "effort_second": force(effort.likely, _second(units)),
        "effort_range": force_range(effort.low, effort.high, units),
        "stall": force(candidate.stall_N, units, unit=False),
        "stall_second": force(candidate.stall_N, _second(units)),
        "items": [_row(item, units) for item in _worst_first(candidate.items)],
        "worst_inside": _worst_inside(candidate.items),
        "zone": f"{math.ceil(plan.zone.radius_m * 10.0) / 10.0:.1f} m",
        "zone_rule": plan.zone.rule,
        "stop": [line.removeprefix(STOP) for line in plan.checklist if line.startswith(STOP)],
        "professional": [n.message for n in plan.notices if n.code == Code.STOP_PROFESSIONAL.name],
        "line": _line(candidate),
        "resistance": _resistance(plan, units),
        "share": _share(plan, candidate),
        "friction": _friction(plan, candidate, solution, ratios),
        "cautions": _short((*plan.notices, *candidate.notices, *solution.notices)),
        "warnings": _warnings((*plan.notices, *candidate.notices)),
        "stamp": stamp,
        "invented": any(n.code == Code.INVENTED.name for n in (*plan.notices, *candidate.notices)),
    }
    return {key: _clean(value) for key, value in words.items()}


def _clean(value: Any) -> Any:
    """Put signs the faces lack into words, everywhere."""
    if isinstance(value, str):
        return plain_glyphs(value)
    if isinstance(value, list):
        return [_clean(item) for item in value]
    return {key: _clean(item) for key, item in value.items()} if isinstance(value, dict) else value


def _second(units: str) -> str:
    return "kN" if units == "kgf" else "kgf"


def _worst_first(items: Iterable[ItemCheck]) -> list[ItemCheck]:
    return sorted(items, key=lambda item: (_RANK.get(item.verdict, 0), -(item.utilisation or 0.0)))


def _why(candidate: Candidate) -> str:
    """What the rank says, without the comparison with other rigs in its first sentence."""
    if candidate.verdict == "inside":
        return ""
    first, _, rest = candidate.why.partition(". ")
    return rest if rest and first.lower().startswith(candidate.verdict) else candidate.why


def _row(item: ItemCheck, units: str) -> dict[str, str]:
    share = "" if item.utilisation is None else _percent(item.utilisation)
    if item.role == "winch" and share:
        share += (
            " at high"  # the winch is asked whether it pulls the high resistance; at stall it is at its limit
        )
    name = item.role if item.item in item.role else f"{item.role}, {item.item}"
    return {
        "name": _cut(name[:1].upper() + name[1:]),
        "load": force(item.load_N.likely, units, unit=False),
        "high": force(item.load_N.high, units, unit=False),
        "stall": force(item.load_N.stall, units, unit=False),
        "limit": "none" if item.limit_N is None else force(item.limit_N, units, unit=False),
        "verdict": item.verdict,
        "share": share,
    }


def _cut(text: str) -> str:
    """Shorten a name that would fill the card; words that are too long to break are broken."""
    text = text if len(text) <= _LONGEST else text[: _LONGEST - 1].rstrip() + "…"
    return " ".join(
        "\u200b".join(w[i : i + 14] for i in range(0, len(w), 14)) if len(w) > 18 else w for w in text.split()
    )


def _percent(fraction: float) -> str:
    return of_limit(fraction).replace("\u00a0", " ")


def _worst_inside(items: Iterable[ItemCheck]) -> str:
    inside = [item for item in items if item.verdict == "inside"]
    if not inside:
        return ""
    worst = max(item.utilisation or 0.0 for item in inside)
    return f"{count(len(inside), 'other')} inside, worst {_percent(worst)}"


def _line(candidate: Candidate) -> str:
    if candidate.line_needed_m is None:
        return "Line needed: not known, no distance given."
    have = "" if candidate.line_have_m is None else f", {candidate.line_have_m:.1f} there"
    return f"Needs {candidate.line_needed_m:.1f} m of line{have}. Stall on layer {candidate.layer}."


def _resistance(plan: Plan, units: str) -> str:
    r = plan.resistance_N
    return (
        f"Resistance {force_range(r.low, r.high, units)}, likely {force(r.likely, units, unit=False)}, to start "
        f"{force(r.breakout, units, unit=False)} ({r.chosen}): an estimate, not a rating."
    )


def _share(plan: Plan, candidate: Candidate) -> str:
    advantage, share = (plan.measured(candidate, key) for key in ("advantage", "winch_share"))
    return (
        f"Advantage {plus_minus(advantage)} of {candidate.ideal_advantage:g}. Winch share "
        f"{percent(share)}, planning percentage {math.ceil(share.hi * 100.0 - 1e-9)} %."
    )


def _friction(
    plan: Plan, candidate: Candidate, solution: RigSolution, ratios: Mapping[str, Measured]
) -> list[str]:
    """One phrase per device: its k, the interval where it is known, and whether it was measured."""
    found: dict[str, str] = {}
    for contact in solution.contacts:
        item = candidate.devices.get(contact.at, contact.at)
        source = plan.friction_source.get(item, "")
        origin = source.split(",")[0].split(":")[0].strip() or "given"
        k = plus_minus(ratios[contact.at]) if contact.at in ratios else f"{contact.ratio:.3f}"
        found.setdefault(item, f"k {k} {item} ({_cut(origin)})")
    return list(found.values())


def _short(notices: Iterable[Notice]) -> list[str]:
    """The cautions of the records in one sentence each."""
    safety = [n for n in cautions(notices) if n.code != Code.STOP_PROFESSIONAL.name]
    return [words for words in dict.fromkeys(_SHORT.get(n.code, n.message) for n in safety) if words]


def _warnings(notices: Iterable[Notice]) -> list[str]:
    return list(dict.fromkeys(n.message for n in notices if n.level == "warning"))
