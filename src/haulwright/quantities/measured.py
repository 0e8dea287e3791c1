"""A number with its uncertainty: value, standard uncertainty and 95 % interval."""

from __future__ import annotations

import math
from dataclasses import dataclass

Z95 = 1.959963984540054  # 97.5 % point of the normal distribution


@dataclass(frozen=True)
class Measured:
    """A value with standard uncertainty ``u`` and 95 % interval, all in the same SI unit.

    Attributes
    ----------
    value : float
        Best estimate.
    u : float
        Standard uncertainty, >= 0.
    lo, hi : float
        Ends of the 95 % interval; they need not be symmetric about the value.

    Raises
    ------
    ValueError
        If ``u`` is negative or the interval does not hold the value.

    Examples
    --------
    >>> Measured.normal(1.83, 0.01).to_dict()["interval95"]
    [1.8104..., 1.8495...]
    """

    value: float
    u: float
    lo: float
    hi: float

    def __post_init__(self) -> None:
        if math.isnan(self.value):
            return
        slack = 1e-9 * (1.0 + abs(self.value))
        if self.u < 0.0 or not self.lo - slack <= self.value <= self.hi + slack:
            raise ValueError(
                f"value {self.value} ± {self.u} does not lie in its interval {self.lo} … {self.hi}"
            )

    @classmethod
    def normal(cls, value: float, u: float, factor: float = Z95) -> Measured:
        """Return ``value ± factor * u`` (factor: the coverage factor, normal 1.96 or a t quantile)."""
        return cls(value, u, value - factor * u, value + factor * u)

    @classmethod
    def exact(cls, value: float) -> Measured:
        """Return a value that carries no uncertainty (a definition, an ideal)."""
        return cls(value, 0.0, value, value)

    @property
    def half95(self) -> float:
        """Half the width of the 95 % interval."""
        return (self.hi - self.lo) / 2.0

    def to_dict(self) -> dict[str, object]:
        """Return ``{"value", "u", "interval95"}``, the form every interface prints."""
        return {"value": self.value, "u": self.u, "interval95": [self.lo, self.hi]}
