"""Words and numbers as they are printed: forces, value ± uncertainty, sentences.

Rounding and units are those of :mod:`haulwright.quantities`; here they are put into words and rows.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from types import MappingProxyType
from typing import Final

from haulwright.errors import UsageRefusal
from haulwright.notices import Level, Notice
from haulwright.quantities.measured import Measured
from haulwright.quantities.numerals import THIN_SPACE, print_figures, print_number
from haulwright.quantities.rounding import round_pair
from haulwright.quantities.units import FORCE_UNITS, from_si, show, unit_name
from haulwright.trials.result import Comparison, LeftOut, MovedStretch, RunScatter, SteadyStretch

NOT_STATED: Final = "not stated"


COMPARISON_WORDS: Final[Mapping[str, str]] = MappingProxyType(
    {
        "different": "Different",
        "equivalent": "Alike",
        "small_but_real": "Different, but by little",
        "undecided": "Not shown different",
    }
)
LEVEL_WORDS: Final[Mapping[str, str]] = MappingProxyType(
    {Level.CAUTION.value: "Caution", Level.WARNING.value: "Look at this", Level.INFO.value: "Note"}
)
_GLYPH_WORDS: Final = str.maketrans(
    {
        "≥": "at least ",
        "≤": "at most ",
        "≈": "about ",
        "√": "root of ",
        "→": "to ",
        "∞": "without limit",
        "\u202f": THIN_SPACE,
        "\u2011": "-",
    }
)
_EDGES: Final = (80.0, 100.0)  # percent of a limit at which a verdict turns
_SPACES: Final = THIN_SPACE + "\u00a0"


def plain_glyphs(text: str) -> str:
    """Return ``text`` with the signs the two faces lack put into words, and control characters as spaces.

    Examples
    --------
    >>> plain_glyphs("k ≥ 1")
    'k at least  1'
    """
    return "".join(c if c.isprintable() or c in _SPACES else " " for c in text.translate(_GLYPH_WORDS))


def check_units(units: str) -> str:
    """Return ``units`` if it is a unit of force that pages can be written in.

    Raises
    ------
    UsageRefusal
        If it is not one of :data:`haulwright.quantities.units.FORCE_UNITS`.
    """
    if units not in FORCE_UNITS:
        message = f"units = {units!r}: give one of {', '.join(FORCE_UNITS)}."
        raise UsageRefusal("UNITS", message, where=("units",))
    return units


def force(value_N: float, units: str = "kN", *, unit: bool = True) -> str:
    """Return a force as printed.

    Parameters
    ----------
    value_N : float
        Force [N].
    units : str
        kgf, kN, lbf, t or N.
    unit : bool
        Print the unit too (leave it out where the table or the drawing names it once).

    Raises
    ------
    UsageRefusal
        If the unit is not known.

    Examples
    --------
    >>> force(5980.4), force(46_100), force(5980.4, "kgf"), force(46_100, "lbf", unit=False)
    ('5.98\u00a0kN', '46.1\u00a0kN', '610\u00a0kgf', '10\u2009364')
    """
    text = show(value_N, check_units(units), dimension="force")
    return text if unit else text.rpartition("\u00a0")[0]


def plus_minus(measured: Measured, *, scale: float = 1.0, figures: int = 2, unit: str = "") -> str:
    """Return value ± half the 95 % interval, both to the digits of the uncertainty.

    An interval that is not symmetric within a tenth is printed with its ends; an exact value stands alone, with four figures.

    Parameters
    ----------
    measured : Measured
        The value.
    scale : float
        Factor to the unit shown (100 for percent, 0.001 for kN).
    figures : int
        Figures kept of the uncertainty: two in tables, one in an answer.
    unit : str
        Printed after it.

    Examples
    --------
    >>> plus_minus(Measured.normal(1.8304, 0.0095)), plus_minus(Measured.normal(1.8304, 0.0095), figures=1)
    ('1.830 ± 0.019', '1.83 ± 0.02')
    >>> plus_minus(Measured.normal(0.5463, 0.0029), scale=100, unit="%")
    '54.63 ± 0.57\u00a0%'
    >>> plus_minus(Measured(1.0, 0.02, 0.99, 1.06))
    '1.000 (0.990 to 1.060)'
    """
    tail = f"\u00a0{unit}" if unit else ""
    half = measured.half95 * scale
    value, spread = round_pair(measured.value * scale, half, figures)
    if half == 0.0:
        return print_figures(measured.value * scale, 4) + tail
    if value == spread:
        return value + tail
    up, down = measured.hi - measured.value, measured.value - measured.lo
    if abs(up - down) > 0.1 * (up + down):
        low = round_pair(measured.lo * scale, half, figures)[0]
        high = round_pair(measured.hi * scale, half, figures)[0]
        return f"{value} ({low} to {high}){tail}"
    return f"{value} ± {spread}{tail}"


def percent(measured: Measured, *, figures: int = 2) -> str:
    """Return a fraction as percent with its uncertainty.

    Examples
    --------
    >>> percent(Measured.normal(0.546, 0.003), figures=1)
    '54.6 ± 0.6\u00a0%'
    """
    return plus_minus(measured, scale=100.0, figures=figures, unit="%")


def of_limit(utilisation: float, of: str = "") -> str:
    """Return load ÷ limit as whole percent; with a decimal where that would hide on which side of 80 or 100 % it is.

    Parameters
    ----------
    utilisation : float
        Infinite for what is not to be used at all.
    of : str
        Words behind the percentage.

    Examples
    --------
    >>> of_limit(0.713), of_limit(0.8049), of_limit(1.002), of_limit(math.inf, " of its limit")
    ('71\u00a0%', '80.5\u00a0%', '100.2\u00a0%', 'not to be used')
    """
    if math.isinf(utilisation):
        return "not to be used"
    hundredth = 100.0 * utilisation
    near = any(abs(hundredth - edge) < 0.5 and hundredth > edge for edge in _EDGES)
    shown = f"{math.ceil(10.0 * hundredth - 1e-6) / 10.0:.1f}" if near else f"{hundredth:.0f}"
    return f"{shown}\u00a0%{of}"


def force_plus_minus(measured: Measured, units: str = "kN", *, unit: bool = True) -> str:
    """Return a force with its uncertainty in ``units``.

    Examples
    --------
    >>> force_plus_minus(Measured.normal(5980, 20))
    '5.980 ± 0.039\u00a0kN'
    """
    scale = from_si(1.0, check_units(units), "force")
    return plus_minus(measured, scale=scale, unit=unit_name(units, "force") if unit else "")


def force_range(low_N: float, high_N: float, units: str = "kN") -> str:
    """Return a range of forces.

    Examples
    --------
    >>> force_range(5600, 6400), force_range(5980, 5981)
    ('5.60 to 6.40\u00a0kN', '5.98\u00a0kN')
    """
    low, high = force(low_N, units, unit=False), force(high_N, units)
    return high if high.startswith(f"{low}\u00a0") else f"{low} to {high}"


def seconds(value_s: float) -> str:
    """Return a time in whole seconds, in tenths below ten.

    Examples
    --------
    >>> seconds(118.2), seconds(2.36), seconds(0.0)
    ('118\u00a0s', '2.4\u00a0s', '0\u00a0s')
    """
    whole = abs(value_s) >= 10 or value_s == round(value_s)
    return f"{print_number(value_s, 0 if whole else 1)}\u00a0s"


def count(n: int, one: str, many: str = "") -> str:
    """Return ``n`` with its word.

    Examples
    --------
    >>> count(1, "run"), count(32, "run")
    ('1 run', '32 runs')
    """
    return f"{print_number(n, 0)} {one if n == 1 else many or one + 's'}"


def device_list(devices: Iterable[str]) -> str:
    """Return devices from the drum in words, repeats counted.

    Examples
    --------
    >>> device_list(["ring 90", "ring 90"]), device_list(["ring 90", "block 100"]), device_list([])
    ('ring 90, twice', 'ring 90, then block 100', 'no device')
    """
    names = list(devices)
    if not names:
        return "no device"
    if len(names) > 1 and len(set(names)) == 1:
        times = {2: "twice", 3: "three times", 4: "four times"}.get(len(names), f"{len(names)} times")
        return f"{names[0]}, {times}"
    return ", then ".join(names)


def comparison_word(comparison: Comparison) -> str:
    """Return the verdict of a comparison in words."""
    return COMPARISON_WORDS.get(comparison.verdict, comparison.verdict)


def scatter_sentence(scatter: RunScatter) -> str:
    """Return what is known of the scatter between runs, in one sentence.

    Examples
    --------
    >>> scatter_sentence(RunScatter(0.0, 0.0086, 2, 0.0027))[:64]
    'Scatter between runs beyond their own uncertainty: none seen in '
    """
    used = f"reckoned with {print_number(100 * scatter.used, 2)}\u00a0%, in part a house value"
    if scatter.seen is None or scatter.upper95 is None:
        return f"Scatter between runs: not known, nothing was repeated; {used}."
    seen = f"{print_number(100 * scatter.seen, 2)}\u00a0%" if scatter.seen >= 5e-5 else "none"
    upper = f"it may be up to {print_number(100 * scatter.upper95, 2)}\u00a0%"
    return (
        f"Scatter between runs beyond their own uncertainty: {seen} seen in {count(scatter.repeats, 'repeat')}, "
        f"{upper}; {used}."
    )


def left_out_sentence(left_out: Sequence[LeftOut]) -> str:
    """Return how the fit did on configurations it had not seen, in one sentence.

    Examples
    --------
    >>> left_out_sentence([LeftOut("two-part", ("ring",), Measured.normal(1.80, 0.01), 1.809, True)])
    'Predicted from the other runs: 1 of 1 configuration inside its 95\u00a0% interval, off by 0.50\u00a0% at most.'
    """
    worst = max(abs(one.measured / one.predicted.value - 1.0) for one in left_out)
    inside = sum(one.inside for one in left_out)
    return (
        f"Predicted from the other runs: {inside} of {count(len(left_out), 'configuration')} inside its 95\u00a0% "
        f"interval, off by {print_number(100 * worst, 2)}\u00a0% at most."
    )


def comparison_sentence(comparison: Comparison) -> str:
    """Return what a comparison found, in one sentence without its verdict word.

    Examples
    --------
    >>> ratio = Measured.normal(1.039, 0.006)
    >>> comparison_sentence(Comparison("ring 90", "ring 65", ratio, "different", 0, 0.02))
    'ring 90 gives 3.9 ± 1.2\u00a0% more than ring 65.'
    """
    return f"{_comparison(comparison)}{_evidence(comparison.evidence)}"


def _evidence(words: str) -> str:
    """Return how thin the evidence is, as a sentence of its own."""
    return f" {words[:1].upper()}{words[1:]}." if words else ""


def _comparison(c: Comparison) -> str:
    gap = c.ratio.value - 1.0
    size = percent(_gap(c.ratio))
    margin = f"{print_number(100 * c.margin, 1).removesuffix('.0')}\u00a0%"
    if c.verdict == "equivalent":
        return f"{c.a} and {c.b} are {size} apart, inside the {margin} set beforehand as mattering."
    if c.verdict == "undecided":
        more = f" About {count(c.runs_needed, 'more run')} of each would tell." if c.runs_needed > 0 else ""
        return f"{c.a} and {c.b} are {size} apart.{more}"
    little = f": real, but less than the {margin} set beforehand as mattering"
    tail = little if c.verdict == "small_but_real" else ""
    return f"{c.a} gives {size} {'more' if gap >= 0 else 'less'} than {c.b}{tail}."


def _gap(ratio: Measured) -> Measured:
    """Return the size of the gap of a quotient from 1."""
    if ratio.value >= 1.0:
        return Measured(ratio.value - 1.0, ratio.u, ratio.lo - 1.0, ratio.hi - 1.0)
    return Measured(1.0 - ratio.value, ratio.u, 1.0 - ratio.hi, 1.0 - ratio.lo)


def stretch_sentence(stretch: SteadyStretch) -> str:
    """Return a steady stretch in words: its ends, who chose it, why.

    Examples
    --------
    >>> stretch_sentence(SteadyStretch(118, 203, "rule", "settling is over"))
    'Averaged from 118\u00a0s to 203\u00a0s, chosen by the rule. Settling is over.'
    """
    who = "the rule" if stretch.chosen_by == "rule" else f"hand ({stretch.chosen_by})"
    why = stretch.why.strip().rstrip(".")
    reason = f" {why[:1].upper()}{why[1:]}." if why else ""
    return f"Averaged from {seconds(stretch.start_s)} to {seconds(stretch.end_s)}, chosen by {who}.{reason}"


def moved_range(moved: Sequence[MovedStretch]) -> str:
    """Return by how much the advantage changes when the steady stretch is moved or trimmed; nothing where it was not.

    Examples
    --------
    >>> moved_range([MovedStretch("begins 5 s later", -0.0005), MovedStretch("ends 5 s earlier", 0.0012)])
    '−0.05 to 0.12\u00a0%'
    """
    if not moved:
        return ""
    changes = [100.0 * one.change for one in moved]
    low, high = (print_number(x, 2) for x in (min(changes), max(changes)))
    return f"{low} to {high}\u00a0%" if low != high else f"{high}\u00a0%"


def sensitivity_sentence(moved: Sequence[MovedStretch]) -> str:
    """Return what moving or trimming the steady stretch does to the advantage; nothing where it was not moved.

    Examples
    --------
    >>> sensitivity_sentence([MovedStretch("begins 5 s later", 0.0005)])
    'Moving or trimming the steady stretch by 5\u00a0s changes the advantage by 0.05\u00a0%.'
    """
    by = moved_range(moved)
    return f"Moving or trimming the steady stretch by 5\u00a0s changes the advantage by {by}." if by else ""


def cautions(notices: Iterable[Notice]) -> tuple[Notice, ...]:
    """Return the safety notices, each once, in the order they came."""
    return tuple({(n.code, n.message): n for n in notices if n.level == Level.CAUTION.value}.values())


def others(notices: Iterable[Notice]) -> tuple[Notice, ...]:
    """Return warnings, then information, each once."""
    unique = {(n.code, n.message): n for n in notices if n.level != Level.CAUTION.value}
    return tuple(sorted(unique.values(), key=lambda n: n.level != Level.WARNING.value))
