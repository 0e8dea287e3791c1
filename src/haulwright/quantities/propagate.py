"""Carry uncertainty through a function by the law of propagation (GUM)."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

from haulwright.quantities.measured import Measured

_STEP = 1e-3  # of the standard uncertainty: small enough for the slope, large enough for floats
_RELATIVE_STEP = 1e-6
Matrix = Sequence[Sequence[float]]


def propagate(
    function: Callable[..., float], inputs: Sequence[Measured], *, correlation: Matrix | None = None
) -> Measured:
    """Return ``function(*inputs)`` with its uncertainty by the law of propagation.

    Parameters
    ----------
    function : callable
        Takes one float per input and returns a float.
    inputs : sequence of Measured
        The inputs, in order.
    correlation : matrix, optional
        Correlation coefficients of the inputs; independent without it.

    Returns
    -------
    Measured
        Value at the inputs' values, combined standard uncertainty, normal 95 % interval.

    Raises
    ------
    ValueError
        If the correlation matrix has the wrong shape, is not symmetric or is not a correlation matrix.

    Notes
    -----
    u² = sum over i, j of c_i c_j u_i u_j r_ij, the slopes c by central differences. Steps stay inside an
    input's own 95 % interval, so a tension ratio whose interval ends at 1 is never tried below 1.

    References
    ----------
    JCGM 100:2008 (GUM), clauses 5.1.2 and 5.2.2.

    Examples
    --------
    >>> result = propagate(lambda a, b: a / b, [Measured.normal(10.0, 0.1), Measured.normal(5.0, 0.05)])
    >>> result.value, result.u
    (2.0, 0.028284)
    """
    values = [item.value for item in inputs]
    parts = [_slope(function, values, index, item) * item.u for index, item in enumerate(inputs)]
    if correlation is None:
        return Measured.normal(float(function(*values)), math.hypot(*parts))
    _check(correlation, len(inputs))
    variance = sum(
        a * b * r for a, row in zip(parts, correlation, strict=True) for b, r in zip(parts, row, strict=True)
    )
    return Measured.normal(float(function(*values)), math.sqrt(max(variance, 0.0)))


def _slope(function: Callable[..., float], values: list[float], index: int, item: Measured) -> float:
    """Return the partial derivative by a central difference that stays inside the input's interval."""
    if item.u == 0:
        return 0.0
    step = max(_STEP * item.u, _RELATIVE_STEP * abs(item.value))
    low, high = max(item.value - step, item.lo), min(item.value + step, item.hi)
    if not low < high:
        raise ValueError(f"an input {item.value:g} ± {item.u:g} has an interval without width")
    ends = [float(function(*values[:index], at, *values[index + 1 :])) for at in (low, high)]
    return (ends[1] - ends[0]) / (high - low)


def _check(correlation: Matrix, size: int) -> None:
    """Refuse a matrix that is no correlation matrix (a singular one is fine)."""
    _cholesky(correlation, size)


def _cholesky(correlation: Matrix, size: int) -> list[list[float]]:
    """Return the lower triangle L with L Lᵀ = correlation."""
    if len(correlation) != size or any(len(row) != size for row in correlation):
        raise ValueError(f"the correlation matrix must be {size} by {size}")
    for i in range(size):
        for j in range(size):
            if abs(correlation[i][j] - correlation[j][i]) > 1e-12 or (i == j and correlation[i][i] != 1):
                raise ValueError("a correlation matrix is symmetric, with 1 on its diagonal")
    root = [[0.0] * size for _ in range(size)]
    for i in range(size):
        for j in range(i + 1):
            rest = correlation[i][j] - sum(root[i][m] * root[j][m] for m in range(j))
            if i == j:
                if rest < -1e-9:
                    raise ValueError("these correlations contradict each other")
                root[i][i] = math.sqrt(max(rest, 0.0))
            elif root[j][j] > 1e-9:
                root[i][j] = rest / root[j][j]
            elif abs(rest) > 1e-9:
                raise ValueError("these correlations contradict each other")
    return root
