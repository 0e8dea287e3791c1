"""The trainer's own pulls: what was seen against what the rules said, and what that foretells for the next pull.

Rules of thumb err the same way on the same ground. The ratio seen ÷ predicted of past pulls on like ground, and its
scatter, turn a rule into an estimate with a prediction interval of its own.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from statistics import fmean, stdev

from haulwright.field.inputs import between
from haulwright.field.published import house
from haulwright.field.result import Driver, OwnRatio, ResistanceRule

OWN = "own pulls"
_METHOD = (
    "prediction interval of one further observation from a normal sample, on logarithms "
    "(Student t, n - 1 degrees of freedom; NIST/SEMATECH e-Handbook of Statistical Methods)"
)


@dataclass(frozen=True)
class SeenPull:
    """One past pull as it enters here.

    Attributes
    ----------
    surface, sunk : str
        Ground and depth in the words of the rules.
    predicted_N : mapping rule -> float
        Likely resistance by every rule that covered it [N].
    seen_N : float
        Resistance seen at the vehicle while it moved [N].
    breakout_N : float or None
        What started it [N].
    moved : bool
        False: it did not move, so what was seen is a least value only and enters no ratio.
    one_of : str
        Pulls with the same text here (one vehicle, one hole, one day) count as one; empty: it stands for itself.
    u_share : float
        Standard uncertainty of what was seen, as a share of it.
    """

    surface: str
    sunk: str
    predicted_N: Mapping[str, float]
    seen_N: float
    breakout_N: float | None = None
    moved: bool = True
    one_of: str = ""
    u_share: float = 0.0


@lru_cache(maxsize=256)
def student_t(degrees: int, confidence: float = 0.95) -> float:
    """Return the two-sided quantile of Student's t.

    Parameters
    ----------
    degrees : int
        Degrees of freedom, 1 or more.
    confidence : float
        Probability between minus and plus the quantile.

    Returns
    -------
    float

    Raises
    ------
    QuantityRefusal
        ``RANGE`` for degrees below 1, or a confidence outside 0.01 to 0.9999.

    Notes
    -----
    The closed sums of the distribution for whole degrees of freedom, solved by halving the angle.

    References
    ----------
    Abramowitz and Stegun, Handbook of Mathematical Functions, 26.7.3 and 26.7.4.

    Examples
    --------
    >>> round(student_t(2), 3), round(student_t(9), 3)
    (4.303, 2.262)
    """
    between(degrees, 1, 100_000, "degrees of freedom")
    between(confidence, 0.01, 0.9999, "confidence")
    low, high = 0.0, math.pi / 2
    for _ in range(200):
        middle = (low + high) / 2
        if _within(middle, degrees) < confidence:
            low = middle
        else:
            high = middle
    return math.sqrt(degrees) * math.tan(low)


def _within(angle_rad: float, degrees: int) -> float:
    """Return P(|t| < sqrt(degrees) tan(angle))."""
    cosine, sine = math.cos(angle_rad), math.sin(angle_rad)
    odd = degrees % 2 == 1
    term, total = (cosine if odd else 1.0), 0.0
    for k in range(degrees // 2):
        total += term
        factor = (2 * k + 2) / (2 * k + 3) if odd else (2 * k + 1) / (2 * k + 2)
        term *= factor * cosine**2
    return 2 / math.pi * (angle_rad + sine * total) if odd else sine * total


def own_ratios(seen: Sequence[SeenPull], surface: str, sunk: str) -> tuple[OwnRatio, ...]:
    """Return seen ÷ predicted of every rule over own pulls on like ground.

    Parameters
    ----------
    seen : sequence of SeenPull
        Past pulls, on any ground.
    surface, sunk : str
        Ground and depth of the next pull; only pulls with the same words count.

    Returns
    -------
    tuple of OwnRatio
        Most pulls first. From three pulls on (house number) a ratio is used.

    Raises
    ------
    CatalogueRefusal
        ``UNKNOWN`` if the catalogue lacks the house number.

    Notes
    -----
    With ``x = ln(seen ÷ predicted)``: the next ratio lies in ``exp(mean ± t s sqrt(1 + 1/n))`` with 95 % probability,
    if the logarithms are normal and the next pull is like the past ones.

    References
    ----------
    Prediction interval of one further observation from a normal sample: NIST/SEMATECH e-Handbook of Statistical
    Methods, from memory.

    Examples
    --------
    >>> past = [SeenPull("bog", "wheel", {"rule": 10e3}, seen) for seen in (8e3, 9e3, 7e3)]
    >>> ratio, = own_ratios(past, "bog", "wheel")
    >>> round(ratio.ratio, 3), round(ratio.low, 2), round(ratio.high, 2), ratio.used
    (0.796, 0.43, 1.49, True)
    """
    like = [p for p in seen if p.moved and p.seen_N > 0.0 and (p.surface, p.sunk) == (surface, sunk)]
    rules = dict.fromkeys(
        rule for pull in like for rule, likely_N in pull.predicted_N.items() if likely_N > 0.0
    )
    found = [_ratio(rule, like) for rule in rules]
    return tuple(sorted(found, key=lambda one: -one.n))


def _ratio(rule: str, like: Sequence[SeenPull]) -> OwnRatio:
    known = [pull for pull in like if pull.predicted_N.get(rule, 0.0) > 0.0]
    logs = _by_pull((pull, pull.seen_N / pull.predicted_N[rule]) for pull in known)
    starts = _by_pull(
        (pull, pull.breakout_N / pull.predicted_N[rule]) for pull in known if pull.breakout_N is not None
    )
    least = math.sqrt(fmean(pull.u_share**2 for pull in known))
    enough = house("own-pulls-least").value
    scatter, low, high = _next(logs, least)
    start = _next(starts, least)[2] if len(starts) >= enough else None
    return OwnRatio(
        rule, len(logs), math.exp(fmean(logs)), scatter, low, high, len(logs) >= enough, len(starts), start
    )


def _by_pull(ratios: Iterable[tuple[SeenPull, float]]) -> list[float]:
    """Return the logarithm of each ratio; those of one hole and day are averaged into one."""
    groups: dict[str, list[float]] = {}
    for n, (pull, ratio) in enumerate(ratios):
        groups.setdefault(pull.one_of or f"#{n}", []).append(math.log(ratio))
    return [fmean(group) for group in groups.values()]


def _next(logs: Sequence[float], least: float) -> tuple[float | None, float | None, float | None]:
    """Return scatter, and the ends of the 95 % prediction interval; the scatter is never less than that of the cells."""
    n = len(logs)
    if n < 2:
        return None, None, None
    mean, scatter = fmean(logs), max(stdev(logs), least)
    half = student_t(n - 1) * scatter * math.sqrt(1.0 + 1.0 / n)
    return scatter, math.exp(mean - half), math.exp(mean + half)


def own_rule(
    ratios: Sequence[OwnRatio], rules: Sequence[ResistanceRule], preferred: str, suction_N: float = 0.0
) -> tuple[ResistanceRule, str] | None:
    """Return one more rule, and the published one it is built on: that one times what own pulls asked of it.

    Parameters
    ----------
    ratios : sequence of OwnRatio
        Of :func:`own_ratios`.
    rules : sequence of ResistanceRule
        The published rules for the pull at hand.
    preferred : str
        The rule to build on; where it has too few own pulls, the rule with most of them.
    suction_N : float
        Added to the breakout [N].

    Returns
    -------
    tuple of ResistanceRule and str, or None
        None where no rule has enough own pulls, or where the pull may run away downhill. The rule is picked before
        its scatter is looked at, so that the interval keeps its coverage.

    Raises
    ------
    Nothing
        Give what :func:`own_ratios` and the published rules answer.

    References
    ----------
    As :func:`own_ratios`.

    Examples
    --------
    >>> rule = ResistanceRule("rule", 7e3, 10e3, 13e3, 13e3, "somewhere", ())
    >>> own, built_on = own_rule([OwnRatio("rule", 4, 0.8, 0.1, 0.6, 1.1, True)], [rule], "rule")
    >>> own.name, own.low_N, own.likely_N, own.high_N
    ('own pulls', 6000.0, 8000.0, 11000.0)
    """
    known = {rule.name: rule for rule in rules}
    usable = [one for one in ratios if one.used and one.rule in known and known[one.rule].hold_N == 0.0]
    if not usable:
        return None
    one = next((ratio for ratio in usable if ratio.rule == preferred), usable[0])
    base, low, high = known[one.rule], one.low or one.ratio, one.high or one.ratio
    likely_N, high_N = one.ratio * base.likely_N, high * base.likely_N
    start_N = high_N if one.breakout_high is None else max(high_N, one.breakout_high * base.likely_N)
    start = "the high end" if one.breakout_high is None else f"by {one.breakout_n} own pulls"
    drivers = tuple(Driver(d.name, one.ratio * d.force_N, d.share) for d in base.drivers)
    note = (
        f"{one.n} own pulls on like ground asked {one.ratio:.2f} times what {one.rule} says; low and high are the 95 % "
        f"interval for the next pull, scatter {one.scatter or 0.0:.0%}; breakout: {start}"
    )
    rule = ResistanceRule(
        OWN,
        low * base.likely_N,
        likely_N,
        high_N,
        start_N + suction_N,
        f"own pulls on {one.rule} ({base.source}); {_METHOD}",
        drivers,
        note,
        clear_N=None if base.clear_N is None else one.ratio * base.clear_N,
    )
    return rule, one.rule
