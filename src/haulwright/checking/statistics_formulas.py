"""Uncertainty numbers through the propagation module."""

from __future__ import annotations

from haulwright.quantities.measured import Measured
from haulwright.quantities.propagate import propagate


def _ratio(volt: float, u_volt: float, ampere: float, u_ampere: float, r: float) -> Measured:
    inputs = (Measured.normal(volt, u_volt), Measured.normal(ampere, u_ampere))
    return propagate(lambda a, b: a / b, inputs, correlation=((1.0, r), (r, 1.0)))


def ratio_value(volt: float, u_volt: float, ampere: float, u_ampere: float, r: float) -> float:
    """Return the ratio of two readings."""
    return _ratio(volt, u_volt, ampere, u_ampere, r).value


def ratio_u(volt: float, u_volt: float, ampere: float, u_ampere: float, r: float) -> float:
    """Return the standard uncertainty of the ratio of two correlated readings."""
    return _ratio(volt, u_volt, ampere, u_ampere, r).u
