"""Friction laws whose numbers carry an uncertainty: the law as it stands, and what its intervals lead to.

Blocks of one device share one error, as do all blocks that take a number from the rig's law and have no device: one
figure, one error. A block with a law of its own and no device has an error of its own.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace
from typing import Any

from haulwright.errors import RigRefusal
from haulwright.mechanics.names import nearest
from haulwright.mechanics.rig import Rig
from haulwright.mechanics.sheave import Law
from haulwright.quantities.measured import Measured

LIMITS = {"k": (1.0, 50.0), "e": (1e-3, 1.0), "mu": (0.0, 10.0), "f": (0.0, 0.999), "c": (0.0, 10.0)}


@dataclass(frozen=True)
class Uncertain:
    """A friction law with numbers that are measured.

    Attributes
    ----------
    law : Law
        At the best estimates.
    numbers : tuple of (str, Measured)
        Numbers of the law that carry an interval, by name.
    """

    law: Law
    numbers: tuple[tuple[str, Measured], ...]

    @property
    def words(self) -> str:
        """The law in words, with the half widths of its 95 % intervals."""
        told = ", ".join(f"{name} ± {m.half95:.2g}" for name, m in self.numbers)
        return f"{self.law.words} ({told})"

    def ratio(self, wrap_rad: float) -> float:
        """Tension ratio k >= 1 at this wrap [rad] and the best estimates."""
        return self.law.ratio(wrap_rad)

    def log_slope(self, wrap_rad: float) -> float:
        """Rise of ln k with the wrap [1/rad] at the best estimates."""
        return self.law.log_slope(wrap_rad)

    def at(self, values: Mapping[str, float]) -> Law:
        """Return the law at other values of its numbers, kept within what the law allows.

        Examples
        --------
        >>> from haulwright.mechanics.sheave import ByWrap
        >>> Uncertain(ByWrap(1.07), (("k", Measured.normal(1.07, 0.01)),)).at({"k": 1.08}).words
        'k 1.08 by wrap'
        """
        return with_numbers(self.law, values)

    def upper(self) -> Law:
        """Return the law at the end of every interval at which most is lost."""
        return self.at({name: m.lo if name == "e" else m.hi for name, m in self.numbers})


def with_numbers(law: Law, values: Mapping[str, float]) -> Law:
    """Return a law with other numbers, kept within what the law allows."""
    kept = {name: min(max(x, LIMITS[name][0]), LIMITS[name][1]) for name, x in values.items()}
    numbered: Any = law  # every law with numbers is a dataclass
    changed: Law = replace(numbered, **kept)
    return changed


def plain_law(law: Law | None) -> Law | None:
    """Return a law without its intervals."""
    return law.law if isinstance(law, Uncertain) else law


def at_upper(rig: Rig) -> Rig:
    """Return a rig whose laws stand at the upper end of their friction: what counts at winch stall."""
    return _with_laws(rig, {n: law.upper() for n, law in _uncertain(rig, ()).items()})


def with_devices(rig: Rig, devices: Mapping[str, str]) -> Rig:
    """Return a rig whose blocks carry the devices named.

    Raises
    ------
    RigRefusal
        UNKNOWN for a block that is not in the rig.

    Examples
    --------
    >>> from haulwright.mechanics.notation import parse_notation
    >>> with_devices(parse_notation("!truck.drum > tree > truck"), {"tree": "puck-A"}).blocks["tree"].device
    'puck-A'
    """
    for name in devices:
        if name not in rig.blocks:
            known = nearest(name, list(rig.blocks))
            raise RigRefusal("UNKNOWN", f"There is no block {name!r} in this rig.{known}", (name,))
    blocks = {n: replace(one, device=devices[n]) if n in devices else one for n, one in rig.blocks.items()}
    return replace(rig, blocks=blocks)


@dataclass(frozen=True)
class Error:
    """One error: a number with its interval, and the blocks whose law has it."""

    measured: Measured
    number: str
    blocks: tuple[str, ...]


def law_errors(
    rig: Rig, replaced: Collection[str] = (), devices: Mapping[str, str] | None = None
) -> list[Error]:
    """Return the errors that the laws of a rig bring in.

    Parameters
    ----------
    rig : Rig
    replaced : collection of str
        Blocks whose law is replaced, so that its interval does not count.
    devices : mapping block -> device, or None
        In place of the devices the rig itself names.

    Examples
    --------
    >>> from haulwright.mechanics.notation import parse_notation
    >>> from haulwright.mechanics.sheave import ByWrap
    >>> law = Uncertain(ByWrap(1.07), (("k", Measured.normal(1.07, 0.01)),))
    >>> [error.blocks for error in law_errors(replace(parse_notation("!O.drum > X > O > X"), law=law))]
    [('X', 'O')]
    """
    found: dict[tuple[str, str], Error] = {}
    for name, law in _uncertain(rig, replaced).items():
        device = (devices or {}).get(name) or rig.blocks[name].device
        own = f"block {name}" if rig.blocks[name].law is not None else ""
        for number, measured in law.numbers:
            key = (f"device {device}" if device else own, number)
            blocks = (*found[key].blocks, name) if key in found else (name,)
            found[key] = Error(measured, number, blocks)
    return list(found.values())


def shifted(rig: Rig, errors: list[Error], values: tuple[float, ...]) -> Rig:
    """Return the rig with the number of every error at the value given."""
    numbers: dict[str, dict[str, float]] = {}
    for error, value in zip(errors, values, strict=True):
        for block in error.blocks:
            numbers.setdefault(block, {})[error.number] = value
    laws = _uncertain(rig, ())
    return _with_laws(rig, {name: laws[name].at(given) for name, given in numbers.items()})


def _uncertain(rig: Rig, replaced: Collection[str]) -> dict[str, Uncertain]:
    turned = set(rig.contacts_from_drum) - set(replaced)
    laws = {
        name: block.law or rig.law
        for name, block in rig.blocks.items()
        if name in turned and not block.seized
    }
    return {name: law for name, law in laws.items() if isinstance(law, Uncertain)}


def _with_laws(rig: Rig, laws: Mapping[str, Law]) -> Rig:
    if not laws:
        return rig
    blocks = {name: replace(one, law=laws[name]) if name in laws else one for name, one in rig.blocks.items()}
    return replace(rig, blocks=blocks)
