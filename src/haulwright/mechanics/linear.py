"""Small dense linear algebra: rigs have at most a dozen unknowns, so full pivoting costs nothing and is safest."""

from __future__ import annotations

Matrix = list[list[float]]
TINY = 1e-10


def eliminate(matrix: Matrix, rhs: list[float] | None = None) -> tuple[Matrix, list[float], list[int]]:
    """Return the reduced rows, the right-hand side and the pivot columns (full pivoting, Gauss–Jordan).

    Parameters
    ----------
    matrix : list of rows
    rhs : list of float or None

    Returns
    -------
    rows, rhs, pivots
        ``len(pivots)`` is the rank; row i has 1 in column ``pivots[i]`` and 0 there in every other row.

    Examples
    --------
    >>> eliminate([[2.0, 0.0], [0.0, 4.0]], [2.0, 2.0])[1]
    [1.0, 0.5]
    """
    a = [list(map(float, row)) for row in matrix]
    b = [0.0] * len(a) if rhs is None else [float(x) for x in rhs]
    columns = len(a[0]) if a else 0
    scale = max((abs(x) for row in a for x in row), default=0.0) or 1.0
    pivots: list[int] = []
    while len(pivots) < min(len(a), columns):
        done = len(pivots)
        size, row, col = max(
            ((abs(a[r][c]), r, c) for r in range(done, len(a)) for c in range(columns) if c not in pivots),
            key=lambda item: (item[0], -item[1], -item[2]),
        )
        if size <= TINY * scale:
            break
        a[done], a[row] = a[row], a[done]
        b[done], b[row] = b[row], b[done]
        _clear_column(a, b, done, col)
        pivots.append(col)
    order = sorted(range(len(pivots)), key=lambda i: pivots[i])
    rest = range(len(pivots), len(a))
    return [a[i] for i in (*order, *rest)], [b[i] for i in (*order, *rest)], sorted(pivots)


def _clear_column(a: Matrix, b: list[float], pivot_row: int, col: int) -> None:
    factor = a[pivot_row][col]
    a[pivot_row] = [x / factor for x in a[pivot_row]]
    b[pivot_row] /= factor
    for r in range(len(a)):
        factor = a[r][col]
        if r != pivot_row and factor:
            a[r] = [x - factor * y for x, y in zip(a[r], a[pivot_row], strict=True)]
            a[r][col] = 0.0
            b[r] -= factor * b[pivot_row]


def rank(matrix: Matrix) -> int:
    """Return the rank of ``matrix``.

    Examples
    --------
    >>> rank([[1.0, 2.0], [2.0, 4.0]])
    1
    """
    return len(eliminate(matrix)[2])


def null_vectors(matrix: Matrix) -> list[list[float]]:
    """Return a basis of the null space of ``matrix``.

    Examples
    --------
    >>> null_vectors([[1.0, -1.0]])
    [[1.0, 1.0]]
    """
    rows, _, pivots = eliminate(matrix)
    columns = len(matrix[0]) if matrix else 0
    basis = []
    for free in (c for c in range(columns) if c not in pivots):
        vector = [0.0] * columns
        vector[free] = 1.0
        for i, col in enumerate(pivots):
            vector[col] = -rows[i][free]
        basis.append(vector)
    return basis


def solve(matrix: Matrix, rhs: list[float]) -> list[float] | None:
    """Return x of ``matrix x = rhs`` for a square matrix, None if it is singular.

    Examples
    --------
    >>> solve([[0.0, 2.0], [4.0, 0.0]], [2.0, 4.0])
    [1.0, 1.0]
    """
    _, x, pivots = eliminate(matrix, rhs)
    return x if len(pivots) == len(matrix) else None
