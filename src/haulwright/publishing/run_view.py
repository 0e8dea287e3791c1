"""One run in words, from its records: what its page shows."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Final, Protocol

from haulwright.notices import Code, Notice
from haulwright.publishing.run_view_record import Cut, Reason, RunView, ShownClock, ShownFigure, ShownTerm
from haulwright.publishing.wording import (
    check_units,
    count,
    device_list,
    force,
    percent,
    plus_minus,
    seconds,
)
from haulwright.quantities.measured import Measured
from haulwright.quantities.numerals import print_number
from haulwright.quantities.rounding import round_pair
from haulwright.trials.result import CampaignResult, CellCheck, Phase, RunVerdict, SteadyStretch, TrialResult

RULE: Final = "rule"
_REST: Final = "At rest friction can take any value between hauling and letting back, so a hold is no pull."


@dataclass(frozen=True)
class Neighbours:
    """Where a run stands on its sheet."""

    number: tuple[int, int] = (0, 0)
    previous: str | None = None
    next: str | None = None


def view_of(result: TrialResult, *, units: str = "kN", phases: Sequence[Phase] = ()) -> RunView:
    """Return a run of no campaign as its page shows it.

    Parameters
    ----------
    result : TrialResult
    units : str
        Unit of the forces in sentences.
    phases : sequence of Phase
        In place of the run's own.

    Raises
    ------
    UsageRefusal
        UNITS.
    """
    check_units(units)
    value, spread = _answer(result.advantage)
    return RunView(
        campaign="",
        run=result.run,
        title=_title(result),
        note=_note(result),
        result=result,
        phases=tuple(phases) or result.phases,
        cuts=_cuts(result),
        answer=value,
        spread=spread,
        figures=_figures(result),
        means={place: force(mean.value, units) for place, mean in result.mean_N.items()},
        budget=_budget(result),
        together=round_pair(result.advantage.value, result.advantage.half95, 2)[1],
        stretch=_stretch(result),
        by_hand=any(one.chosen_by != RULE for one in result.steady),
        sensitivity=_sensitivity(result),
        clocks=_clocks(result),
        decisions=_by_hand(result),
        notices=result.notices,
        made=result.made,
    )


class Decided(Protocol):
    """A stretch that was set by hand, as the campaign's files have it."""

    start: float
    end: float

    @property
    def words(self) -> str:
        """Who decided, when and why."""


def refused_view(
    run: str,
    refusal: str,
    *,
    title: str = "",
    phases: Sequence[Phase] = (),
    notices: Sequence[Notice] = (),
    by_hand: Sequence[Decided] = (),
) -> RunView:
    """Return a run that gives no number: why, what can still be drawn of it, what was set by hand."""
    return RunView(
        campaign="",
        run=run,
        title=title or f"Run {run}",
        note="",
        refusal=refusal,
        phases=tuple(phases),
        by_hand=bool(by_hand),
        decisions=tuple(
            Reason(f"Averaged from {seconds(one.start)} to {seconds(one.end)}.", _sentence(one.words))
            for one in by_hand
        ),
        notices=tuple(notices),
    )


def view_in_campaign(
    view: RunView,
    name: str,
    verdict: RunVerdict,
    place: Neighbours,
    campaign: CampaignResult | None = None,
) -> RunView:
    """Return a run as its page shows it within its campaign.

    Parameters
    ----------
    view : RunView
        The run by itself.
    name : str
        The campaign's.
    verdict : RunVerdict
    place : Neighbours
    campaign : CampaignResult or None
        None where no run gives a number.
    """
    told = campaign.notices if campaign else ()
    invented = next((one.message for one in told if one.code == Code.INVENTED.name), "")
    left = [one for one in campaign.excluded if one["run"] == view.run and "who" in one] if campaign else []
    decided = [
        Reason("Left out of the results.", f"{one['who']} ({one['when']}): {one['why']}") for one in left
    ]
    return replace(
        view,
        campaign=name,
        invented=invented,
        number=place.number,
        previous=place.previous,
        next=place.next,
        verdict=verdict.verdict,
        reasons=verdict.reasons,
        checks=_checks(view.result, campaign.checks) if campaign and view.result else (),
        decisions=(*view.decisions, *decided),
    )


def _title(result: TrialResult) -> str:
    devices = f" on {device_list(result.devices)}" if result.devices else ""
    return f"Run {result.run}, {result.rig}{devices}"


def _note(result: TrialResult) -> str:
    cells = [f"{place} cell {c.cell}" for place, c in result.channels.items() if c.cell]
    rates = {_rate(c.rate_Hz) for c in result.channels.values() if c.rate_Hz > 0.0}
    parts = [", ".join(cells), " and ".join(sorted(rates))]
    if result.grade == "typed":
        parts.append("forces typed from the displays")
    said = ". ".join(part[:1].upper() + part[1:] for part in parts if part)
    return f"{said}." if said else ""


def _rate(rate_Hz: float) -> str:
    """Return a rate in words.

    Examples
    --------
    >>> _rate(1.0), _rate(100.0), _rate(2.68)
    ('1 reading a second', '100 readings a second', '2.7 readings a second')
    """
    shown = print_number(rate_Hz, 0 if abs(rate_Hz - round(rate_Hz)) < 0.02 or rate_Hz >= 20.0 else 1)
    return f"{shown} {'reading' if shown == '1' else 'readings'} a second"


def _answer(advantage: Measured) -> tuple[str, str]:
    """Return the advantage alone, and its spread, to one figure of the uncertainty."""
    value, _, spread = plus_minus(advantage, figures=1).partition(" ")
    return value, spread


def _figures(result: TrialResult) -> tuple[ShownFigure, ...]:
    found = [
        ShownFigure("winch_share", "winch share", percent(result.winch_share, figures=1), result.winch_share)
    ]
    for name, one in result.friction.items():
        found += [
            ShownFigure(
                f"efficiency {name}", f"{name}, efficiency", plus_minus(one.efficiency), one.efficiency
            ),
            ShownFigure(f"k {name}", f"{name}, tension ratio k", plus_minus(one.k), one.k),
        ]
    found.append(ShownFigure("ratio", "anchor ÷ line as read", plus_minus(result.ratio), result.ratio))
    if result.gain is not None:
        found.append(
            ShownFigure("gain", "gain of the cells, taken off", plus_minus(result.gain), result.gain)
        )
    return tuple(found)


def _budget(result: TrialResult) -> tuple[ShownTerm, ...]:
    largest = sorted(result.budget, key=lambda term: -term.share)
    return tuple(ShownTerm(one.term, _small(one.u), _share(one.share), one.share) for one in largest)


def _small(u: float) -> str:
    return "under 0.0001" if 0.0 < u < 5e-5 else print_number(u, 4)


def _share(share: float) -> str:
    return "under 1\u00a0%" if 0 < share < 0.005 else f"{print_number(100 * share, 0)}\u00a0%"


def _cuts(result: TrialResult) -> tuple[Cut, ...]:
    return tuple(
        Cut(a.end_s, b.start_s, _cut_word(result, a, b))
        for a, b in pairwise(sorted(result.steady, key=lambda one: one.start_s))
        if b.start_s > a.end_s
    )


def _cut_word(result: TrialResult, a: SteadyStretch, b: SteadyStretch) -> str:
    if a.chosen_by != RULE:
        return "left out by hand"
    return "stood still: cut" if _stops(result, a.end_s, b.start_s) else "cut"


def _stops(result: TrialResult, start_s: float, end_s: float) -> list[Phase]:
    return [
        one for one in result.phases if one.name == "stop" and one.start_s < end_s and one.end_s > start_s
    ]


def _stretch(result: TrialResult) -> tuple[Reason, ...]:
    ordered = sorted(result.steady, key=lambda one: one.start_s)
    if not ordered:
        return ()
    if ordered[0].chosen_by != RULE:
        ends = ", then ".join(f"{seconds(one.start_s)} to {seconds(one.end_s)}" for one in ordered)
        told = "; ".join(dict.fromkeys(one.why for one in ordered))
        return (Reason(f"Set by hand: {ends}.", _sentence(f"{ordered[0].chosen_by}: {told}")),)
    first, last = ordered[0], ordered[-1]
    begins, _ = _why(first)
    _, ends = _why(last)
    cut = [_cut_reason(result, a, b) for a, b in pairwise(ordered)]
    other = result.choices.get("left out")
    aside = [Reason("Left out at another load.", _sentence(other))] if other else []
    return (
        Reason(f"Starts at {seconds(first.start_s)}.", _sentence(begins)),
        *cut,
        *aside,
        Reason(f"Ends at {seconds(last.end_s)}.", _sentence(f"it {ends}" if ends else "")),
    )


def _cut_reason(result: TrialResult, a: SteadyStretch, b: SteadyStretch) -> Reason:
    head = f"Leaves out {seconds(a.end_s)} to {seconds(b.start_s)}."
    stops = _stops(result, a.end_s, b.start_s)
    if not stops:
        return Reason(head, "Between two hauls: taking up the load and settling.")
    still = f"The rope stood still from {seconds(stops[0].start_s)} to {seconds(stops[-1].end_s)}, then settled again."
    return Reason(head, f"{still} {_REST}")


def _why(stretch: SteadyStretch) -> tuple[str, str]:
    """Return why a stretch begins where it does, and how it ends."""
    begins, _, ends = stretch.why.rstrip(".").partition("; ")
    return begins, ends


def _sentence(text: str) -> str:
    clean = text.strip().rstrip(".")
    return f"{clean[:1].upper()}{clean[1:]}." if clean else ""


def _sensitivity(result: TrialResult) -> str:
    """Return what moving or trimming the stretch does to the result, in one sentence."""
    if not result.sensitivity:
        return ""
    most = max(abs(one.change) for one in result.sensitivity) * result.advantage.value
    by = "less than 0.001" if most < 0.001 else f"up to {print_number(most, 3)}"
    half = result.advantage.half95
    more = " That is more than the ± of the result: look at the trace again." if half and most > half else ""
    return f"Moving or trimming it by 5\u00a0s changes the result by {by}.{more}"


def _clocks(result: TrialResult) -> tuple[ShownClock, ...]:
    found = []
    for place, one in result.channels.items():
        offset = one.clock_offset_s
        if place == "line" or (offset.u == 0.0 and offset.value == 0.0):
            continue
        when = "later" if offset.value >= 0.0 else "earlier"
        size = offset if offset.value >= 0.0 else Measured(-offset.value, offset.u, -offset.hi, -offset.lo)
        text = f"{place.capitalize()} stamped {plus_minus(size, unit='s')} {when} than the line"
        found.append(ShownClock(place, text, _sentence(f"taken out; told by {one.clock_from}"), offset))
    return tuple(found)


def _by_hand(result: TrialResult) -> tuple[Reason, ...]:
    """Return what was set by hand beside the stretch: zeros and clock offsets, with who and why."""
    return tuple(
        Reason(_sentence(what), _sentence(said))
        for what, said in result.choices.items()
        if re.match(r"(zero|clock offset)", what) and said.startswith("set by hand")
    )


def _checks(result: TrialResult, checks: Sequence[CellCheck]) -> tuple[Reason, ...]:
    cells = {one.cell for one in result.channels.values() if one.cell}
    mine = [one for one in checks if {one.line_cell, one.anchor_cell} <= cells or not cells]
    how: Mapping[str, str] = {"series": "Both cells in one line", "swap": "Cells exchanged"}
    found = []
    for one in mine:
        used = "" if one.used else " So far off that it is no gain but a mistake: it was not used."
        levels = f", at {count(len(one.steps), 'level')}" if len(one.steps) > 1 else ""
        head = f"{how.get(one.how, one.how.capitalize())}, {', '.join(one.runs)}."
        text = f"{one.anchor_cell} ÷ {one.line_cell} reads {plus_minus(one.ratio)}{levels}.{used}"
        found.append(Reason(head, text))
    return tuple(found)
