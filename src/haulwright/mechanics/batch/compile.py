"""A rig compiled once to straight-line arithmetic, then evaluated on arrays of ratios: for distributions and sweeps."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from haulwright.errors import RigRefusal
from haulwright.mechanics.batch.emit import LineBalance, emit
from haulwright.mechanics.checks import check
from haulwright.mechanics.geometry import courses
from haulwright.mechanics.motion import find_motion, length_rates
from haulwright.mechanics.rig import Rig
from haulwright.mechanics.stepped import refuse_stepped
from haulwright.mechanics.tension import TAUT, Moving, tensions, uniform_ratio

CHUNK = 16384  # samples: the arrays on the way stay in the cache next to the core
Floats = NDArray[np.float64]
_Function = Callable[[Floats, Any, Floats], Any]


@dataclass(frozen=True)
class ProgramContact:
    """One contact in the order of the ratios: line, place along it from the standing end (1 first), block."""

    line: str
    index: int
    at: str


@dataclass(frozen=True)
class ProgramPart:
    """One part in the order of the tensions: line, place along it from the standing end (1 first)."""

    line: str
    index: int


@dataclass(frozen=True, eq=False)
class Program:
    """A rig as straight-line arithmetic.

    Attributes
    ----------
    rig : str
        Name of the rig.
    contacts : tuple of ProgramContact
        Order of the ratios: that of ``RigSolution.contacts``.
    parts : tuple of ProgramPart
        Order of the tensions.
    ideal_advantage : float
    source : str
        The arithmetic, readable; the same for the same rig.
    can_jam : bool
        False where no ratio can leave a line slack.
    """

    rig: str
    contacts: tuple[ProgramContact, ...]
    parts: tuple[ProgramPart, ...]
    ideal_advantage: float
    source: str
    can_jam: bool
    _efforts: _Function = field(repr=False)
    _tensions: _Function = field(repr=False)

    def efforts(self, ratios: ArrayLike, load_N: ArrayLike = 1.0) -> tuple[Floats, int]:
        """Return the tension at the drum of every sample, and how many samples jam.

        Parameters
        ----------
        ratios : array (contacts, samples)
            Tension ratio of every contact, 1 or more, in the order of ``contacts``.
        load_N : float or array (samples)
            Resistance of the load [N], above 0.

        Returns
        -------
        efforts_N : array (samples)
            Not a number where a part would have to push.
        jams : int
            Number of such samples.

        Raises
        ------
        RigRefusal
            INPUT for an array of another shape or a load of 0; RATIO for a ratio below 1 or without a limit.

        Examples
        --------
        >>> from haulwright.mechanics.tackles import named_rig
        >>> program = compile_rig(named_rig("three-part/on-load"))
        >>> efforts, jams = program.efforts([[1.07, 1.1], [1.07, 1.1]], 26000.0)
        >>> efforts.round(), jams
        (array([9259., 9505.]), 0)
        """
        k, load = self._arrays(ratios, load_N)
        out = np.empty(k.shape[1])
        return out, self._run(self._efforts, k, load, out)

    def __call__(self, ratios: ArrayLike, load_N: ArrayLike = 1.0) -> tuple[Floats, Floats, int]:
        """Return efforts, the tension of every part (parts, samples) [N], and how many samples jam.

        Parameters and refusals are those of :meth:`efforts`.

        Examples
        --------
        >>> from haulwright.mechanics.tackles import named_rig
        >>> _, parts, _ = compile_rig(named_rig("three-part/on-load"))([[1.07], [1.07]], 26000.0)
        >>> parts[:, 0].round()
        array([8087., 8653., 9259.])
        """
        k, load = self._arrays(ratios, load_N)
        out = np.empty((len(self.parts), k.shape[1]))
        jams = self._run(self._tensions, k, load, out)
        return out[self._fall], out, jams

    @property
    def _fall(self) -> int:
        return max(i for i, part in enumerate(self.parts) if part.line == self.parts[0].line)

    def _arrays(self, ratios: ArrayLike, load_N: ArrayLike) -> tuple[Floats, Floats]:
        k, load = np.asarray(ratios, dtype=np.float64), np.asarray(load_N, dtype=np.float64)
        if k.ndim != 2 or len(k) != len(self.contacts):
            raise RigRefusal(
                "INPUT",
                f"ratios of shape {k.shape}: expected {len(self.contacts)} rows, one for each contact of {self.rig}, "
                "and one column for each sample.",
                ("ratios",),
            )
        if load.ndim and load.shape != k.shape[1:]:
            raise RigRefusal(
                "INPUT",
                f"loads of shape {load.shape}: expected one load, or one for each of {k.shape[1]} samples.",
                ("load",),
            )
        if not (load.size == 0 or (load.min() > 0.0 and load.max() < np.inf)):
            raise RigRefusal("INPUT", "load: give forces above 0, none missing.", ("load",))
        return k, load

    def _run(self, function: _Function, k: Floats, load: Floats, out: Floats) -> int:
        jams = 0
        with np.errstate(
            all="ignore"
        ):  # a jammed sample may divide by nothing on its way to being struck out
            for start in range(0, k.shape[1], CHUNK):
                part = slice(start, start + CHUNK)
                ratios = k[:, part]
                if ratios.size and not (ratios.min() >= 1.0 and ratios.max() < np.inf):
                    raise RigRefusal(
                        "RATIO", "A ratio is below 1 or missing: a sheave cannot give back more than it gets."
                    )
                here = out[..., part]
                least = function(ratios, load[part] if load.ndim else load, here)
                if least is not None:
                    jammed = np.broadcast_to(~(least >= TAUT), here.shape[-1:])
                    if jammed.any():
                        here[..., jammed] = np.nan
                        jams += int(jammed.sum())
        return jams


def compile_rig(rig: Rig) -> Program:
    """Return a rig as a program for many samples of its ratios.

    Parameters
    ----------
    rig : Rig
        Its own friction law and resistance are not used: ratios and load are given with each call.

    Returns
    -------
    Program

    Raises
    ------
    RigRefusal
        UNSUPPORTED for a rig whose blocks find their place on the ground; else what
        :func:`haulwright.mechanics.statics.solve_rig` refuses without friction.

    Notes
    -----
    Where the lines run does not depend on friction here, nor does the side each contact hauls on: one program serves
    every sample.

    Examples
    --------
    >>> from haulwright.mechanics.tackles import named_rig
    >>> compile_rig(named_rig("stacked two-parts")).can_jam
    False
    """
    if rig.finds_places:
        raise RigRefusal(
            "UNSUPPORTED",
            f"{rig.name}: its blocks find their place on the ground, which depends on friction; it cannot be compiled. "
            "Solve it sample by sample.",
            (rig.name,),
        )
    check(rig)
    refuse_stepped(rig, "in compiled rigs")
    course_of = courses(rig)
    moving = Moving(rig, course_of, find_motion(rig, course_of))
    tensions(moving, uniform_ratio(moving, 1.0), 1.0)  # refuses a rig that is slack without friction
    contacts = [(n, i) for n, line in rig.lines.items() for i in line.contacts]
    number = {at: j for j, at in enumerate(contacts)}
    hauling = rig.hauling_line.name
    order = [hauling, *(name for name in rig.lines if name != hauling)]
    emitted = emit([_balance(moving, name, number) for name in order])
    made: dict[str, Any] = {"__builtins__": {}, "multiply": np.multiply, "minimum": np.minimum}
    exec(compile(emitted.source, "<compiled rig>", "exec"), made)
    return Program(
        rig=rig.name,
        contacts=tuple(ProgramContact(n, i, rig.lines[n].points[i].block or "") for n, i in contacts),
        parts=tuple(ProgramPart(n, i + 1) for n in order for i in range(len(rig.lines[n].points) - 1)),
        ideal_advantage=1.0 / moving.motion.load_speed,
        source=emitted.source,
        can_jam=emitted.can_jam,
        _efforts=made["efforts"],
        _tensions=made["tensions"],
    )


def _balance(moving: Moving, name: str, number: dict[tuple[str, int], int]) -> LineBalance:
    line, flows = moving.rig.lines[name], moving.motion.flows[name]
    rates = length_rates(moving.rig, moving.course_of[name], line, moving.motion.freedoms)
    return LineBalance(
        contacts=tuple(number[name, i] for i in line.contacts),
        hauls=tuple((flows[i] > 0.0) - (flows[i] < 0.0) for i in line.contacts),
        pulls=tuple(tuple(-rate for rate in row) for row in rates),
    )
