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


def solve_many(matrix: Matrix, sides: Matrix) -> tuple[list[list[float]], float, int]:
    """Return the solutions for several right-hand sides, and how nearly singular the square matrix is.

    Parameters
    ----------
    matrix : list of rows
    sides : list of right-hand sides

    Returns
    -------
    solutions, smallest, column
        One solution for each side; the smallest pivot of the full-pivot elimination relative to the greatest, and the
        column it stands in. Below 1e-14 the solutions are empty.

    Examples
    --------
    >>> solve_many([[0.0, 2.0], [4.0, 0.0]], [[2.0, 4.0]])
    ([[1.0, 1.0]], 0.5, 1)
    """
    n = len(matrix)
    a = [[*row, *(side[i] for side in sides)] for i, row in enumerate(matrix)]
    order: list[int] = []
    open_columns = list(range(n))
    greatest, smallest, column = 0.0, 1.0, 0
    for done in range(n):
        size, row, col = -1.0, done, open_columns[0]
        for r in range(done, n):
            for c in open_columns:
                if abs(a[r][c]) > size:
                    size, row, col = abs(a[r][c]), r, c
        greatest = greatest or size
        share = size / greatest if greatest else 0.0
        if share < smallest or not order:
            smallest, column = share, col
        if share < 1e-14:
            return [], share, col
        a[done], a[row] = a[row], a[done]
        pivot_row = a[done]
        for r in range(done + 1, n):
            factor = a[r][col] / pivot_row[col]
            if factor:
                a[r] = [x - factor * y for x, y in zip(a[r], pivot_row, strict=True)]
        order.append(col)
        open_columns.remove(col)
    return [_back(a, order, n, side) for side in range(len(sides))], smallest, column


def _back(a: Matrix, order: list[int], n: int, side: int) -> list[float]:
    """Return one solution from the triangle left by elimination; row i has its pivot in column ``order[i]``."""
    x = [0.0] * n
    for i in range(n - 1, -1, -1):
        row = a[i]
        x[order[i]] = (row[n + side] - sum(row[c] * x[c] for c in order[i + 1 :])) / row[order[i]]
    return x


def null_vector(matrix: Matrix) -> list[float]:
    """Return the vector a nearly singular square matrix all but sends to nothing, its greatest entry 1.

    Examples
    --------
    >>> null_vector([[1.0, 1.0], [1.0, 1.0]])
    [-1.0, 1.0]
    """
    n = len(matrix)
    _, _, column = solve_many(matrix, [])
    others = [c for c in range(n) if c != column]
    normal = [[sum(row[a] * row[b] for row in matrix) for b in others] for a in others]
    side = [-sum(row[a] * row[column] for row in matrix) for a in others]
    rest = solve(normal, side) or [0.0] * len(others)
    vector = [0.0] * n
    vector[column] = 1.0
    for c, value in zip(others, rest, strict=True):
        vector[c] = value
    greatest = max(abs(x) for x in vector)
    return [x / greatest for x in vector]
