"""The loads of a solved rig as rows: drums, anchors, blocks with their beckets, parts."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from haulwright.field.rating import Limit, entered_limit, utilisation, verdict, working_limit
from haulwright.mechanics.rig import ANCHOR, FLOATING, Rig
from haulwright.mechanics.solution import RigSolution
from haulwright.planning.loads.result import LoadRow

Of = Callable[[RigSolution], float]


def load_rows(
    rig: Rig,
    solution: RigSolution,
    at_load: Sequence[RigSolution] = (),
    at_stall: Sequence[RigSolution] = (),
) -> tuple[LoadRow, ...]:
    """Return what every piece of a rig carries, and how that stands against its limit.

    Parameters
    ----------
    rig : Rig
        For the limits: of anchors as entered, of blocks their WLL, of lines their breaking force ÷ the house factor.
    solution : RigSolution
        The rig as solved.
    at_load, at_stall : sequence of RigSolution
        The same at the load and at winch stall, from :func:`haulwright.mechanics.stall.with_and_without_friction`: the
        one without friction first.

    Notes
    -----
    Friction never excuses smaller gear: a limit is held against the greatest load of all of them.

    Examples
    --------
    >>> from haulwright.mechanics.statics import solve_rig
    >>> from haulwright.mechanics.tackles import named_rig
    >>> rig = named_rig("two-part/on-load")
    >>> rows = load_rows(rig, solve_rig(rig, 1.1, load_N=21e3))
    >>> [(row.of, round(row.expected_N), row.verdict) for row in rows[:2]]
    [('drum:winch', 11000, None), ('body:X', 21000, 'unknown')]
    """
    return tuple(_Rows(rig, solution, at_load, at_stall).rows())


@dataclass(frozen=True)
class _Rows:
    rig: Rig
    solution: RigSolution
    at_load: Sequence[RigSolution]
    at_stall: Sequence[RigSolution]

    def rows(self) -> Iterator[LoadRow]:
        yield from (self._drum(drum) for drum in self.solution.effort_N)
        bodies = [name for name, body in self.rig.bodies.items() if body.role == ANCHOR]
        yield from (self._anchor(name) for name in bodies if name in self.solution.bodies)
        for name in self.solution.blocks:
            yield self._block(name)
            yield from self._becket(name)
        for name, line in self.solution.lines.items():
            yield from (self._part(name, i) for i in range(len(line.parts)))

    def _row(self, of: str, what: str, name: str, load: Of, limit: Limit | None, path: str) -> LoadRow:
        known = self.solution.uncertainty.get(path)
        expected = load(self.solution)
        stall = max((load(one) for one in self.at_stall), default=None)
        most = max([expected, *(load(one) for one in self.at_load)])
        used = None if limit is None else utilisation(most, limit)
        at_stall = None if limit is None or stall is None else utilisation(stall, limit)
        return LoadRow(
            of=of,
            what=what,
            name=name,
            expected_N=expected,
            interval95_N=None if known is None else (known.lo, known.hi),
            stall_N=stall,
            frictionless_N=load(self.at_load[0]) if self.at_load else None,
            limit_N=None if limit is None else limit.limit_N,
            basis="" if limit is None else limit.basis,
            utilisation=used,
            utilisation_stall=at_stall,
            verdict=None if limit is None else verdict(used),
            verdict_stall=None if limit is None or stall is None else verdict(at_stall),
        )

    def _drum(self, drum: str) -> LoadRow:
        return self._row(
            f"drum:{drum}", "drum", drum, lambda one: one.effort_N[drum], None, f"effort_N.{drum}"
        )

    def _anchor(self, name: str) -> LoadRow:
        body = self.rig.bodies[name]
        limit = entered_limit(body.limit_N, body.limit_source, name)
        return self._row(
            f"body:{name}",
            "anchor",
            name,
            lambda one: one.bodies[name].load_N,
            limit,
            f"bodies.{name}.load_N",
        )

    def _block(self, name: str) -> LoadRow:
        wll_N = self.rig.blocks[name].wll_N
        limit = working_limit(wll_N, "unknown" if wll_N is None else "WLL", item=name)
        body = self.rig.blocks[name].body
        words = name if self.rig.bodies[body].role == FLOATING or name == body else f"{name} on {body}"
        return self._row(
            f"block:{name}", "block", words, lambda one: one.blocks[name].with_becket_N, limit,
            f"blocks.{name}.with_becket_N",
        )  # fmt: skip

    def _becket(self, name: str) -> Iterator[LoadRow]:
        """The line made fast to a block's becket: no rig file states what a becket may carry."""
        for line, solved in self.rig.lines.items():
            last = len(solved.points) - 2
            for point, i in ((solved.points[0], 0), (solved.points[-1], last)):
                if point.block == name and point.label.endswith(".becket"):
                    yield self._row(
                        f"becket:{name}", "becket", name, _tension(line, i), working_limit(None, "unknown", item=name),
                        f"lines.{line}.parts.{i}.tension_N",
                    )  # fmt: skip

    def _part(self, line: str, i: int) -> LoadRow:
        led = self.rig.lines[line]
        limit = None
        if led.rope is not None and led.rope.break_N is not None:
            limit = working_limit(led.rope.break_N, "MBS", item=line)
        what = "strap" if led.strap else "part"
        return self._row(
            f"part:{line}:{i}", what, line, _tension(line, i), limit, f"lines.{line}.parts.{i}.tension_N"
        )


def _tension(line: str, i: int) -> Of:
    return lambda one: one.lines[line].parts[i].tension_N
