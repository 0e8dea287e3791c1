"""After the pull: what the cells read against what was foretold, and one more entry in the file beside the pull."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, ClassVar

from haulwright.errors import PlanRefusal, QuantityRefusal
from haulwright.field.published import house
from haulwright.field.result import ResistanceRule
from haulwright.files.pull import Pull, read_pull
from haulwright.files.rig import read_rig
from haulwright.files.seen import add_seen, beside
from haulwright.mechanics.statics import solve_rig
from haulwright.notices import Code, Notice
from haulwright.planning.drawing import ratios_of
from haulwright.planning.plan import make_plan
from haulwright.planning.result import Candidate, Plan
from haulwright.quantities.measured import Z95, Measured
from haulwright.quantities.units import parse_force
from haulwright.records import Made, Record


@dataclass(frozen=True)
class SeenAgainst:
    """What one rule foretold [N], and seen ÷ its likely value; ``verdict``: inside, below or above its range."""

    rule: str
    low_N: float
    likely_N: float
    high_N: float
    breakout_N: float
    ratio: Measured
    verdict: str


@dataclass(frozen=True, kw_only=True)
class PullSeen(Record):
    """What was seen at the vehicle on one pull, against what every rule foretold.

    ``seen_N`` is the line's reading times the advantage of the rig (or what the anchor's reading says, where that is
    surer). ``file`` is where it was entered (empty for a pull without a file), ``entries`` how many there are now.
    """

    kind: ClassVar[str] = "pull-seen"
    pull: str
    rig: str
    when: str
    by: str
    note: str
    moved: bool
    line_N: Measured
    anchor_N: Measured | None
    advantage: Measured
    by_line_N: Measured
    by_anchor_N: Measured | None
    seen_N: Measured
    breakout_N: Measured | None
    rules: tuple[SeenAgainst, ...]
    file: str
    entries: int


def record_seen(
    pull: str | Path | Mapping[str, Any],
    *,
    line: str | float,
    anchor: str | float | None = None,
    breakout: str | float | None = None,
    rig: str | None = None,
    moved: bool = True,
    by: str = "",
    note: str = "",
    when: str = "",
) -> PullSeen:
    """Enter what was seen on a pull in the file beside it.

    Parameters
    ----------
    pull : path or mapping
        The pull file; of a mapping the record is made and nothing is written.
    line, anchor : str or float
        Readings of the cells while it moved; text with unit, ``8.4 ± 0.2 kN`` for half its 95 % width, or newtons.
        Without ±, the house number of the catalogue is taken.
    breakout : str, float or None
        Reading of the line that started it.
    rig : str or None
        The rig used; None takes that which the plan chooses.
    moved : bool
        False: it did not move.
    by, note, when : str
        Who, why, and date and time as ISO 8601.

    Returns
    -------
    PullSeen

    Raises
    ------
    Refusal
        As :func:`haulwright.planning.plan.make_plan` and :func:`haulwright.files.seen.add_seen`; ``READING`` for a reading
        of zero or less, or an anchor's reading where the rig loads several anchors or none.

    Notes
    -----
    Resistance seen = reading × advantage, relative variances added. The anchor's reading × (resistance ÷ load on the
    anchor) by the solver is the sibling; the surer one is kept, both are in the record.

    References
    ----------
    Propagation of independent errors to first order: JCGM 100:2008 (GUM), 5.1.
    """
    line_N = reading(line, "line")
    anchor_N = None if anchor is None else reading(anchor, "anchor")
    asked = read_pull(pull, rig=rig)
    plan = make_plan(pull, rig=rig)
    used = plan.best
    if used is None:
        raise PlanRefusal(
            "NO_RIG", f"{plan.pull}: the plan has no rig; name the one used (--rig).", (plan.pull,)
        )
    advantage = plan.measured(used, "advantage")
    by_line_N = times(line_N, advantage)
    by_anchor_N = None if anchor_N is None else times(anchor_N, _per_anchor(plan, used, asked))
    seen_N = min((one for one in (by_line_N, by_anchor_N) if one), key=lambda one: one.u / one.value)
    breakout_N = None if breakout is None else times(reading(breakout, "breakout"), advantage)
    told = all("±" in str(one) or "+-" in str(one) for one in (line, anchor, breakout) if one is not None)
    rules = tuple(_against(rule, seen_N) for rule in plan.resistance_N.rules)
    file = None if isinstance(pull, Mapping) else beside(pull)
    record = PullSeen(
        pull=plan.pull,
        rig=used.rig,
        when=when,
        by=by,
        note=note,
        moved=moved,
        line_N=line_N,
        anchor_N=anchor_N,
        advantage=advantage,
        by_line_N=by_line_N,
        by_anchor_N=by_anchor_N,
        seen_N=seen_N,
        breakout_N=breakout_N,
        rules=rules,
        file="" if file is None else str(file),
        entries=0,
        notices=_notices(by_line_N, by_anchor_N, told, moved),
        made=Made(
            "reading × advantage of the rig used, against every rule", {"line": line, "anchor": anchor}
        ),
    )
    if file is None:
        return record
    entries = add_seen(file, plan.pull, entry_of(record, asked))
    return PullSeen(**{**vars(record), "entries": entries})


def reading(given: str | float, what: str) -> Measured:
    """Return a cell's reading with its interval [N].

    Examples
    --------
    >>> read = reading("8.4 ± 0.2 kN", "line")
    >>> read.value, round(read.hi)
    (8400.0, 8600)
    """
    text, _, half = given.replace("+-", "±").partition("±") if isinstance(given, str) else (given, "", "")
    if half and isinstance(text, str) and not any(sign.isalpha() for sign in text):
        text = f"{text.strip()} {half.strip().lstrip('0123456789.,').strip()}"  # 8.4 ± 0.2 kN
    value = parse_force(text, default_unit=None if isinstance(text, str) else "N", what=what)
    width = parse_force(half, what=what) if half else house("reading-swing").value * value
    if value <= 0.0 or width < 0.0:
        raise QuantityRefusal(
            "READING", f"{what} = {given}: expected a force above 0, such as 8.4 kN ± 0.2 kN.", (what,)
        )
    return Measured(value, width / Z95, value - width, value + width)


def times(a: Measured, b: Measured) -> Measured:
    """Return a product with relative variances added.

    Examples
    --------
    >>> round(times(Measured.normal(10.0, 0.3), Measured.normal(2.0, 0.08)).u, 3)
    1.0
    """
    value = a.value * b.value
    below, above = (math.hypot((a.value - a.lo) / a.value, (b.value - b.lo) / b.value),
                    math.hypot((a.hi - a.value) / a.value, (b.hi - b.value) / b.value))  # fmt: skip
    u = value * math.hypot(a.u / a.value, b.u / b.value)
    return Measured(value, u, value * (1.0 - below), value * (1.0 + above))


def _per_anchor(plan: Plan, used: Candidate, pull: Pull) -> Measured:
    """Return resistance ÷ load on the one anchor of a rig, with the interval of its frictions."""
    solution = solve_rig(read_rig(used.path), ratios_of(plan, used), load_N=plan.resistance_N.likely)
    names = [anchor.name for anchor in pull.site.anchors if anchor.name in solution.bodies]
    loaded = [name for name in names if solution.bodies[name].load_N > 0.0]
    if len(loaded) != 1:
        many = f"several anchors ({', '.join(loaded)})" if loaded else "no anchor of the site"
        raise PlanRefusal(
            "READING",
            f"{used.rig} loads {many}: one reading of an anchor says nothing. Leave the reading of the anchor out (--anchor).",
            ("anchor",),
        )
    load_N = solution.bodies[loaded[0]].load_N
    known = solution.uncertainty.get(f"bodies.{loaded[0]}.load_N", Measured.exact(load_N))
    whole_N = plan.resistance_N.likely
    return Measured(whole_N / load_N, whole_N * known.u / load_N**2, whole_N / known.hi, whole_N / known.lo)


def _against(rule: ResistanceRule, seen_N: Measured) -> SeenAgainst:
    ratio = Measured(*(part / rule.likely_N for part in (seen_N.value, seen_N.u, seen_N.lo, seen_N.hi)))
    verdict = "below" if seen_N.value < rule.low_N else "above" if seen_N.value > rule.high_N else "inside"
    return SeenAgainst(rule.name, rule.low_N, rule.likely_N, rule.high_N, rule.breakout_N, ratio, verdict)


def _notices(
    by_line_N: Measured, by_anchor_N: Measured | None, told: bool, moved: bool
) -> tuple[Notice, ...]:
    notices = [Code.TESTED_ONLY.notice()]
    if not told:
        text = f"How far the readings swung is not told: ± {house('reading-swing').value:.0%} is taken. Type 8.4 ± 0.2 kN."
        notices.append(Code.UNCHECKED.notice(("line",), text=text))
    if not moved:
        text = "It did not move: what was seen is a least value, kept but left out of the own ratios."
        notices.append(Code.UNCHECKED.notice(("line",), text=text))
    if by_anchor_N is not None and not (by_anchor_N.lo <= by_line_N.hi and by_line_N.lo <= by_anchor_N.hi):
        text = (
            f"Line and anchor disagree: by the anchor the vehicle asked {by_anchor_N.value / by_line_N.value:.2f} times what "
            "the line says. Wrong rig, a block that dragged, cells swapped, or a zero lost."
        )
        notices.append(Code.UNCHECKED.notice(("line", "anchor"), text=text))
    return tuple(notices)


def entry_of(record: PullSeen, pull: Pull) -> Mapping[str, Any]:
    """Return the record as an entry of the file: forces as text with their unit."""
    entry: dict[str, Any] = {"when": record.when, "by": record.by, "note": record.note, "rig": record.rig}
    entry |= {"surface": pull.ground.surface, "sunk": pull.vehicle.sunk, "line": _text(record.line_N.value)}
    if record.anchor_N is not None:
        entry["anchor"] = _text(record.anchor_N.value)
    for name, key in (("advantage", "value"), ("advantage_low", "lo"), ("advantage_high", "hi")):
        entry[name] = float(f"{getattr(record.advantage, key):.6g}")
    for name, key in (("seen", "value"), ("seen_low", "lo"), ("seen_high", "hi")):
        entry[name] = _text(getattr(record.seen_N, key))
    if record.breakout_N is not None:
        entry["breakout"] = _text(record.breakout_N.value)
    entry["moved"] = record.moved
    entry["predicted"] = {
        one.rule: {
            "low": _text(one.low_N),
            "likely": _text(one.likely_N),
            "high": _text(one.high_N),
            "breakout": _text(one.breakout_N),
        }
        for one in record.rules
    }
    return entry


def _text(force_N: float) -> str:
    return f"{force_N:.1f} N"
