"""What a line loses over a block: the tension ratio of one contact under each friction law.

Sign convention, drawn once::

                 block
        other   .-"-.   haul side (the side the line runs to)
    <-- t_other |   | t_haul -->          k = t_haul / t_other >= 1,   e = 1/k
                '---'

``wrap`` is the angle the line is turned through: pi = parts parallel, 0 = straight through. Everything here is for a line
that moves; a still contact may have any ratio from 1/k to k.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Protocol

from haulwright.errors import RigRefusal


class Law(Protocol):
    """A friction law: tension ratio of one contact as a function of its wrap."""

    @property
    def words(self) -> str:
        """The law and its numbers in one phrase."""

    def ratio(self, wrap_rad: float) -> float:
        """Tension ratio k >= 1 at this wrap [rad]."""

    def log_slope(self, wrap_rad: float) -> float:
        """Rise of ln k with the wrap at this wrap [1/rad]; where blocks find their place their wraps move."""


GREATEST_RATIO = 50.0  # house limit: 107 is a slip for 1.07, no sheave


def _check_ratio(k: float, what: str) -> None:
    if k > GREATEST_RATIO and math.isfinite(k):
        raise RigRefusal(
            "RATIO",
            f"{what} = {k:g} is no sheave's ratio. Give one such as 1.08 (at most {GREATEST_RATIO:g}).",
            (what,),
        )
    if not (math.isfinite(k) and k >= 1.0):
        raise RigRefusal(
            "RATIO",
            f"{what} = {k:g}: a sheave cannot give back more than it gets. Give a ratio of 1 or more.",
            (what,),
        )


def per_contact_ratio(k: float) -> float:
    """Return the tension ratio of a contact that loses the same whatever its wrap.

    Parameters
    ----------
    k : float
        Haul-side over other-side tension [-], >= 1.

    Returns
    -------
    float
        ``k`` itself [-].

    Raises
    ------
    RigRefusal
        RATIO if k < 1.

    Notes
    -----
    Valid for full turns (wrap near 180 degrees); pessimistic for slight redirects.

    References
    ----------
    API RP 9B, 14th ed., Addendum 1 (2020), 2.3.3: K = 1.04 roller, 1.09 plain bearing sheaves.

    Examples
    --------
    >>> per_contact_ratio(1.09)
    1.09
    """
    _check_ratio(k, "k")
    return float(k)


def by_wrap_ratio(k: float, wrap_rad: float) -> float:
    """Return the ratio of a contact whose 180-degree ratio is ``k``, at another wrap.

    Parameters
    ----------
    k : float
        Ratio at 180 degrees [-], >= 1.
    wrap_rad : float
        Wrap [rad], >= 0.

    Returns
    -------
    float
        ``k ** (wrap / pi)`` [-].

    Raises
    ------
    RigRefusal
        RATIO if k < 1.

    Notes
    -----
    Exact for sliding friction (capstan law); optimistic for a bearing block in a slight redirect.

    References
    ----------
    Euler–Eytelwein relation with mu taken from the 180-degree ratio; any statics text.

    Examples
    --------
    >>> round(by_wrap_ratio(1.08, math.radians(75)), 5)
    1.03259
    """
    _check_ratio(k, "k")
    return float(k ** (wrap_rad / math.pi))


def efficiency_ratio(e: float) -> float:
    """Return k = 1/e for an efficiency e of one pass.

    Parameters
    ----------
    e : float
        Other-side over haul-side tension while moving [-], in (0, 1].

    Returns
    -------
    float
        Tension ratio k [-].

    Raises
    ------
    RigRefusal
        RATIO if e is not in (0, 1].

    References
    ----------
    Definition; "4 % loss" as e = 0.96 is k = 1.0417, as k = 1.04 it is e = 0.9615.

    Examples
    --------
    >>> round(efficiency_ratio(0.96), 4)
    1.0417
    """
    if not 0.0 < e <= 1.0:
        raise RigRefusal(
            "RATIO",
            f"efficiency = {e:g}: a sheave cannot give back more than it gets. Give more than 0, at most 1.",
            ("e",),
        )
    return 1.0 / e


def capstan_ratio(mu: float, wrap_rad: float, turns: int = 0) -> float:
    """Return the Euler–Eytelwein ratio of a line that slides round a pin, tree or seized sheave.

    Parameters
    ----------
    mu : float
        Friction coefficient [-], >= 0.
    wrap_rad : float
        Wrap [rad].
    turns : int
        Extra full turns.

    Returns
    -------
    float
        ``exp(mu (wrap + 2 pi turns))`` [-].

    Raises
    ------
    RigRefusal
        RATIO if mu < 0.

    Notes
    -----
    A slip limit for a flexible line; the radius does not matter.

    References
    ----------
    Capstan equation, any statics text; mu 0.3 and one full turn give 6.6.

    Examples
    --------
    >>> round(capstan_ratio(0.3, 2 * math.pi), 1)
    6.6
    """
    if not (math.isfinite(mu) and mu >= 0.0):
        raise RigRefusal("RATIO", f"mu = {mu:g}: a friction coefficient is 0 or more.", ("mu",))
    return math.exp(mu * (wrap_rad + 2.0 * math.pi * turns))


def bearing_ratio(f: float, c: float, wrap_rad: float) -> float:
    """Return the ratio of a sheave on a bearing with a line that resists bending.

    Parameters
    ----------
    f : float
        Bearing friction × pin diameter / sheave diameter [-], 0 <= f < 1.
    c : float
        Bending loss as a share of the other-side tension [-], >= 0; counts only where the line bends.
    wrap_rad : float
        Wrap [rad].

    Returns
    -------
    float
        Tension ratio k [-].

    Raises
    ------
    RigRefusal
        RATIO if f or c is outside its range.

    Notes
    -----
    Larger root of ``(1-f²) r² - 2 r [(1+c) - f² cos(wrap)] + (1+c)² - f² = 0``, the exact form of
    ``T1 - T2 = f |T1 + T2 as vectors| + c T2``.

    References
    ----------
    Balance of moments about the pin; at 180 degrees ``r = (1 + c + f) / (1 - f)``.

    Examples
    --------
    >>> round(bearing_ratio(0.02, 0.01, math.pi), 5)
    1.05102
    """
    if not (0.0 <= f < 1.0 and c >= 0.0):
        raise RigRefusal("RATIO", f"f = {f:g}, c = {c:g}: give 0 <= f < 1 and c >= 0.", ("f", "c"))
    bend = c if wrap_rad > 1e-9 else 0.0
    half = (1.0 + bend) - f * f * math.cos(wrap_rad)
    return (half + _bearing_root(f, bend, wrap_rad)) / (1.0 - f * f)


def _bearing_root(f: float, bend: float, wrap_rad: float) -> float:
    """Return the root in :func:`bearing_ratio`, multiplied out so that no digits cancel at small wraps."""
    half_sine, sine = math.sin(wrap_rad / 2.0), math.sin(wrap_rad)
    inside = bend * bend + 4.0 * (1.0 + bend) * half_sine * half_sine - f * f * sine * sine
    return f * math.sqrt(max(inside, 0.0))


@dataclass(frozen=True)
class PerContact:
    """The same ratio whatever the wrap."""

    k: float

    def __post_init__(self) -> None:
        _check_ratio(self.k, "k")

    @property
    def words(self) -> str:
        """The law in words."""
        return f"k {self.k:.5g} per contact"

    def ratio(self, wrap_rad: float) -> float:
        """See :func:`per_contact_ratio`."""
        return per_contact_ratio(self.k)

    def log_slope(self, wrap_rad: float) -> float:
        """Zero: the ratio does not know the wrap."""
        return 0.0


@dataclass(frozen=True)
class ByWrap:
    """A 180-degree ratio scaled to the wrap."""

    k: float

    def __post_init__(self) -> None:
        _check_ratio(self.k, "k")

    @property
    def words(self) -> str:
        """The law in words."""
        return f"k {self.k:.5g} by wrap"

    def ratio(self, wrap_rad: float) -> float:
        """See :func:`by_wrap_ratio`."""
        return by_wrap_ratio(self.k, wrap_rad)

    def log_slope(self, wrap_rad: float) -> float:
        """``ln(k) / pi``."""
        return math.log(self.k) / math.pi


@dataclass(frozen=True)
class Efficiency:
    """One efficiency per contact."""

    e: float

    def __post_init__(self) -> None:
        efficiency_ratio(self.e)

    @property
    def words(self) -> str:
        """The law in words."""
        return f"efficiency {self.e:.5g} per contact"

    def ratio(self, wrap_rad: float) -> float:
        """See :func:`efficiency_ratio`."""
        return efficiency_ratio(self.e)

    def log_slope(self, wrap_rad: float) -> float:
        """Zero: the ratio does not know the wrap."""
        return 0.0


@dataclass(frozen=True)
class Capstan:
    """A line sliding round a pin, tree or seized sheave."""

    mu: float
    turns: int = 0

    def __post_init__(self) -> None:
        capstan_ratio(self.mu, 0.0, self.turns)

    @property
    def words(self) -> str:
        """The law in words."""
        extra = f", {self.turns:g} extra turn(s)" if self.turns else ""
        return f"capstan law, mu {self.mu:.5g}{extra}"

    def ratio(self, wrap_rad: float) -> float:
        """See :func:`capstan_ratio`."""
        return capstan_ratio(self.mu, wrap_rad, self.turns)

    def log_slope(self, wrap_rad: float) -> float:
        """``mu``."""
        return self.mu


@dataclass(frozen=True)
class Bearing:
    """Bearing friction and bending loss."""

    f: float
    c: float = 0.0

    def __post_init__(self) -> None:
        bearing_ratio(self.f, self.c, 0.0)

    @property
    def words(self) -> str:
        """The law in words."""
        return f"bearing f {self.f:.5g}, bending c {self.c:.5g}"

    def ratio(self, wrap_rad: float) -> float:
        """See :func:`bearing_ratio`."""
        return bearing_ratio(self.f, self.c, wrap_rad)

    def log_slope(self, wrap_rad: float) -> float:
        """``f² sin(wrap) / root`` of the quadratic of :func:`bearing_ratio`; ``f`` where the wrap vanishes and c is 0."""
        bend = self.c if wrap_rad > 1e-9 else 0.0
        root = _bearing_root(self.f, bend, wrap_rad)
        return self.f * self.f * math.sin(wrap_rad) / root if root > 1e-12 else self.f


@dataclass(frozen=True)
class TenthRule:
    """The teaching rule: each moving sheave adds a tenth of the load; holds for the whole rig, see :mod:`.friction`.

    References
    ----------
    U.S. Army recovery training (lesson 63H34F01, 2004, citing FM 9-43-2); U.S. Navy Steelworker vol. 2, "Allowance
    for friction": 1000 lb, four sheaves, 350 lb on the hauling part.
    """

    @property
    def words(self) -> str:
        """The law in words."""
        return "one tenth of the load per sheave"

    def ratio(self, wrap_rad: float) -> float:
        """Refuse: the rule has no ratio of a single contact."""
        raise RigRefusal(
            "LAW", "The one-tenth rule holds for a whole rig, not for one contact. Give it for the whole rig."
        )

    def log_slope(self, wrap_rad: float) -> float:
        """Refuse, as :meth:`ratio` does."""
        return self.ratio(wrap_rad)


@dataclass(frozen=True)
class Frictionless:
    """No loss: the ideal rig."""

    @property
    def words(self) -> str:
        """The law in words."""
        return "no friction"

    def ratio(self, wrap_rad: float) -> float:
        """One, always."""
        return 1.0

    def log_slope(self, wrap_rad: float) -> float:
        """Zero, always."""
        return 0.0


def law_from(spec: dict[str, object], where: str = "sheaves") -> Law:
    """Return the law a rig file describes, e.g. ``{"law": "by-wrap", "k": 1.07}``.

    Raises
    ------
    RigRefusal
        INPUT for an unknown law or a missing or unknown number; RATIO for a number out of range.

    Examples
    --------
    >>> law_from({"law": "capstan", "mu": 0.2}).words
    'capstan law, mu 0.2'
    """
    laws: dict[str, tuple[type, tuple[str, ...], tuple[str, ...]]] = {
        "per-contact": (PerContact, ("k",), ()),
        "by-wrap": (ByWrap, ("k",), ()),
        "efficiency": (Efficiency, ("e",), ()),
        "capstan": (Capstan, ("mu",), ("turns",)),
        "bearing": (Bearing, ("f",), ("c",)),
        "tenth-rule": (TenthRule, (), ()),
        "frictionless": (Frictionless, (), ()),
    }
    name = str(spec.get("law", "by-wrap" if "k" in spec else "efficiency" if "e" in spec else ""))
    if name not in laws:
        raise RigRefusal(
            "INPUT",
            f"{where}: law {name!r} is not known. Give one of {', '.join(laws)}, published.",
            (where,),
        )
    kind, needed, optional = laws[name]
    given = {key: value for key, value in spec.items() if key != "law"}
    missing = [key for key in needed if key not in given]
    unknown = [key for key in given if key not in needed + optional]
    if missing or unknown:
        raise RigRefusal(
            "INPUT",
            f"{where}: law {name} takes {', '.join(needed + optional) or 'no number'}"
            + (f"; missing {', '.join(missing)}" if missing else "")
            + (f"; not known: {', '.join(unknown)}" if unknown else "")
            + ".",
            (where,),
        )
    law: Law = kind(**{key: _law_number(value, f"{where}: {key}") for key, value in given.items()})
    return law


def _law_number(value: object, what: str) -> float:
    """Return a law's number, refusing words, truth values and what no float can hold."""
    if isinstance(value, bool) or not isinstance(value, int | float) or not abs(value) < 1e300:
        raise RigRefusal(
            "INPUT", f"{what} = {value!r}: expected a number such as 1.08, without a unit.", (what,)
        )
    return float(value)
