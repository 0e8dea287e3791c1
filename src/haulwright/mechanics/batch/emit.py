"""Straight-line arithmetic for the balance of one rig: what to compute, statement by statement, as source text.

Nothing a user wrote enters the text: it is made of numbers and of names given here. ``k[j]`` is the ratio of contact j,
``g0_2`` the tension of the third part of line 0 relative to its standing part, ``x3`` a value on the way, ``R`` the load.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field

_NAME = re.compile(r"[gx]\d+(?:_\d+)?")
_NOTHING = 1e-12  # a direction cosine below this is that of a part square to the travel


@dataclass(frozen=True)
class LineBalance:
    """One line as the balance sees it.

    Attributes
    ----------
    contacts : tuple of int
        Number of each contact in the order of the ratios, from the standing end.
    hauls : tuple of int
        1 where the line runs over the contact towards its fall, -1 where away, 0 where it is still.
    pulls : tuple of tuple of float
        Pull of a unit tension in each part on each freedom, along the travel.
    """

    contacts: tuple[int, ...]
    hauls: tuple[int, ...]
    pulls: tuple[tuple[float, ...], ...]


@dataclass(frozen=True)
class _Term:
    """``factor`` times a named value; the empty name is 1. ``positive``: the named value is above 0 at any ratio."""

    factor: float
    name: str = ""
    positive: bool = True

    @property
    def sign(self) -> int:
        """1 or -1 where the sign is known, else 0."""
        return (1 if self.factor > 0.0 else -1) if self.positive else 0


@dataclass
class _Writer:
    statements: list[str] = field(default_factory=list)
    count: int = 0

    def say(self, words: str) -> None:
        self.statements.append(f"# {words}")

    def keep(self, expression: str, positive: bool) -> _Term:
        name = f"x{self.count}"
        self.count += 1
        self.statements.append(f"{name} = {expression}")
        return _Term(1.0, name, positive)

    def sum(self, terms: Sequence[_Term]) -> _Term | None:
        """Return the sum of terms, None if there is nothing to add; one sign all through is taken out in front."""
        terms = [term for term in terms if abs(term.factor) > _NOTHING]
        if len(terms) < 2:
            return terms[0] if terms else None
        negative = all(term.factor < 0.0 for term in terms)
        if negative:
            terms = [_Term(-term.factor, term.name, term.positive) for term in terms]
        terms.sort(key=lambda term: term.factor < 0.0)  # begins with a plus wherever there is one
        known = all(term.sign == 1 for term in terms)
        whole = self.keep("".join(_summand(term, first=i == 0) for i, term in enumerate(terms)), known)
        return _Term(-1.0 if negative else 1.0, whole.name, known)

    def times(self, a: _Term, b: _Term) -> _Term:
        if not (a.name and b.name):
            return _Term(a.factor * b.factor, a.name or b.name, a.positive and b.positive)
        product = self.keep(f"{a.name} * {b.name}", a.positive and b.positive)
        return _Term(a.factor * b.factor, product.name, product.positive)

    def over(self, a: _Term, b: _Term) -> _Term:
        if not b.name:
            return _Term(a.factor / b.factor, a.name, a.positive)
        quotient = self.keep(f"{a.name or '1.0'} / {b.name}", a.positive and b.positive)
        return _Term(a.factor / b.factor, quotient.name, quotient.positive)


def _summand(term: _Term, first: bool) -> str:
    size = abs(term.factor)
    text = repr(size) if not term.name else term.name if size == 1.0 else f"{size!r} * {term.name}"
    sign = "-" if term.factor < 0.0 else "+"
    return (sign.replace("+", "") if first else f" {sign} ") + text


def _whole(term: _Term) -> str:
    return _summand(term, first=True)


@dataclass(frozen=True)
class Emitted:
    """Source of ``efforts(k, R, out)`` and ``tensions(k, R, out)``, and whether some ratio can leave a line slack."""

    source: str
    can_jam: bool


def emit(lines: Sequence[LineBalance]) -> Emitted:
    """Return the source that balances a rig.

    Parameters
    ----------
    lines : sequence of LineBalance
        The hauling line first; as many lines as freedoms, the load the first freedom.

    Returns
    -------
    Emitted
        Both functions return the least of the lines' tensions for a unit load, or None where none can be slack.

    Notes
    -----
    The zeros of the balance are known beforehand, so the elimination is written out without them. Pivot: an entry that no
    ratio can bring to 0 where there is one, then the row with the fewest entries.

    Examples
    --------
    >>> print(emit([LineBalance((0,), (1,), ((1.0,), (1.0,)))]).source.partition("\\n\\ndef tensions")[0])
    def efforts(k, R, out):
        # tension of each part, relative to the standing part of its line
        g0_1 = k[0]
        # pull of each line on each freedom
        x0 = 1.0 + g0_1
        # tension of the standing parts for a unit load
        x1 = 1.0 / x0
        multiply(R, x1 * g0_1, out)
        return None
    <BLANKLINE>
    """
    writer = _Writer()
    grown = _grown(writer, lines)
    base = _solve(writer, _balance(writer, lines, grown))
    slack = [term for term in base if term.sign != 1]
    least = f"return {_least(base) if slack else None}"
    effort = [f"multiply(R, {_share(base[0], grown[0][-1])}, out)", least]
    terms = [_share(base[r], part) for r, line in enumerate(grown) for part in line]
    parts = [*(f"multiply(R, {term}, out[{i}])" for i, term in enumerate(terms)), least]
    source = "\n\n".join(
        _function(name, _needed(writer.statements, ending), ending)
        for name, ending in (("efforts", effort), ("tensions", parts))
    )
    return Emitted(source, bool(slack))


def _function(name: str, statements: Sequence[str], ending: Sequence[str]) -> str:
    return "".join(
        f"{line}\n" for line in (f"def {name}(k, R, out):", *(f"    {s}" for s in (*statements, *ending)))
    )


def _needed(statements: Sequence[str], ending: Sequence[str]) -> list[str]:
    """Return the statements, in order, without those whose value is never used."""
    used = set(_NAME.findall(" ".join(ending)))
    kept = []
    for statement in reversed(statements):
        name, equals, expression = statement.partition(" = ")
        if not equals or name in used:
            kept.append(statement)
            used |= set(_NAME.findall(expression))
    return kept[::-1]


def _share(base: _Term, part: _Term) -> str:
    return f"{_whole(base)} * {part.name}" if part.name else _whole(base)


def _least(base: Sequence[_Term]) -> str:
    text = _whole(base[0])
    for term in base[1:]:
        text = f"minimum({text}, {_whole(term)})"
    return text


def _grown(writer: _Writer, lines: Sequence[LineBalance]) -> list[list[_Term]]:
    """Write the tension of every part relative to the standing part of its line."""
    writer.say("tension of each part, relative to the standing part of its line")
    grown = []
    for r, line in enumerate(lines):
        parts = [_Term(1.0)]
        for i, (contact, hauls) in enumerate(zip(line.contacts, line.hauls, strict=True), start=1):
            before = parts[-1]
            if hauls == 0:
                parts.append(before)
                continue
            if hauls > 0:
                text = f"{before.name} * k[{contact}]" if before.name else f"k[{contact}]"
            else:
                text = f"{before.name or '1.0'} / k[{contact}]"
            writer.statements.append(f"g{r}_{i} = {text}")
            parts.append(_Term(1.0, f"g{r}_{i}"))
        grown.append(parts)
    return grown


def _balance(
    writer: _Writer, lines: Sequence[LineBalance], grown: Sequence[Sequence[_Term]]
) -> list[dict[int, _Term]]:
    """Write the pull of each line on each freedom; return the rows without their zeros."""
    writer.say("pull of each line on each freedom")
    rows: list[dict[int, _Term]] = []
    for c in range(len(lines)):
        row = {}
        for r, line in enumerate(lines):
            factors: dict[str, float] = {}
            for term, pull in zip(grown[r], line.pulls, strict=True):
                factors[term.name] = factors.get(term.name, 0.0) + pull[c]
            entry = writer.sum([_Term(factor, name) for name, factor in factors.items()])
            if entry is not None:
                row[r] = entry
        rows.append(row)
    return rows


def _solve(writer: _Writer, rows: list[dict[int, _Term]]) -> list[_Term]:
    """Write the elimination; return the tension of each line's standing part for a unit load on freedom 0."""
    writer.say("tension of the standing parts for a unit load")
    loads: list[_Term | None] = [_Term(1.0), *[None] * (len(rows) - 1)]
    left, done = list(range(len(rows))), []
    while left:
        row, column = _pivot(rows, left)
        left.remove(row)
        done.append((row, column))
        for other in left:
            if column in rows[other]:
                _subtract(writer, rows, loads, other, row, column)
    base: dict[int, _Term] = {}
    for row, column in reversed(done):
        terms = [loads[row]] if loads[row] is not None else []
        terms += [_minus(writer.times(e, base[r])) for r, e in rows[row].items() if r != column and r in base]
        right = writer.sum([term for term in terms if term is not None])
        base[column] = _Term(0.0) if right is None else writer.over(right, rows[row][column])
    return [base[r] for r in range(len(rows))]


def _pivot(rows: list[dict[int, _Term]], left: list[int]) -> tuple[int, int]:
    return min(
        ((row, column) for row in left for column in rows[row]),
        key=lambda at: (rows[at[0]][at[1]].sign == 0, len(rows[at[0]]), at),
    )


def _subtract(
    writer: _Writer,
    rows: list[dict[int, _Term]],
    loads: list[_Term | None],
    other: int,
    row: int,
    column: int,
) -> None:
    """Write row ``other`` less so much of the pivot row that its entry in the pivot column goes."""
    share = writer.over(rows[other].pop(column), rows[row][column])
    for r, entry in rows[row].items():
        if r == column:
            continue
        terms = [rows[other][r]] if r in rows[other] else []
        found = writer.sum([*terms, _minus(writer.times(share, entry))])
        if found is not None:
            rows[other][r] = found
    right = loads[row]
    if right is not None:
        own = loads[other]
        loads[other] = writer.sum([*([own] if own else []), _minus(writer.times(share, right))])


def _minus(term: _Term) -> _Term:
    return _Term(-term.factor, term.name, term.positive)
