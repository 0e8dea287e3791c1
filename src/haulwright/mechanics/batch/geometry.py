"""A rig whose blocks find their place on the ground, solved for many samples of its friction, load and travel at once."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import ArrayLike

from haulwright.errors import RigRefusal
from haulwright.mechanics.batch.compile import ProgramContact, ProgramPart
from haulwright.mechanics.batch.equations import Floats, Friction, assemble, pivots
from haulwright.mechanics.batch.ground_samples import GroundSamples, joined, told_of
from haulwright.mechanics.batch.laws import check_numbers, numbers_of
from haulwright.mechanics.batch.newton import Problem, Samples
from haulwright.mechanics.batch.settle import column_of, settle
from haulwright.mechanics.checks import check
from haulwright.mechanics.friction import is_tenth_rule
from haulwright.mechanics.geometry import courses
from haulwright.mechanics.ground import refusals
from haulwright.mechanics.ground.haul import Hauled, Unsettled, haul, ideal
from haulwright.mechanics.ground.net import Net, net_of
from haulwright.mechanics.rig import Rig
from haulwright.mechanics.sheave import Law

CHUNK = 2048  # samples: the arrays on the way stay in the cache next to the core


@dataclass(frozen=True)
class GroundNumber:
    """One number of a friction law, in the order of the rows given: block, name (k, e, mu, f or c), best estimate."""

    at: str
    name: str
    value: float


@dataclass(frozen=True, eq=False)
class GroundProgram:
    """A rig on the ground, ready for many samples.

    Attributes
    ----------
    rig : str
        Name of the rig.
    numbers : tuple of GroundNumber
        Order of the numbers given with each call.
    contacts : tuple of ProgramContact
        Order of wraps, ratios and flows: that of ``RigSolution.contacts``.
    parts : tuple of ProgramPart
        Order of tensions, directions and lengths: line by line as the rig has them.
    free : tuple of str
        Bodies that find their place.
    """

    rig: str
    numbers: tuple[GroundNumber, ...]
    contacts: tuple[ProgramContact, ...]
    parts: tuple[ProgramPart, ...]
    free: tuple[str, ...]
    _problem: Problem = field(repr=False)
    _bare: Hauled = field(repr=False)
    _near: Hauled | None = field(repr=False)

    def __call__(
        self, numbers: ArrayLike, load_N: ArrayLike = 1.0, travel_m: ArrayLike | None = None
    ) -> GroundSamples:
        """Return tensions, places and motion of every sample.

        Parameters
        ----------
        numbers : array (numbers, samples)
            Numbers of the friction laws, in the order of ``numbers``.
        load_N : float or array (samples)
            Resistance of the load [N], above 0.
        travel_m : array (samples), or None
            How far the load has moved along its direction from where it is drawn [m]; None is not at all.

        Returns
        -------
        GroundSamples

        Raises
        ------
        RigRefusal
            INPUT for arrays of another shape or a load of 0; RATIO for numbers no sheave has; ENERGY if work in and out
            of a sample differ.

        Examples
        --------
        >>> from haulwright.files.rig import read_rig
        >>> rig = read_rig({"mode": "ground", "units": {"force": "kN", "length": "m"}, "sheaves": {"k": 1.08},
        ...     "anchors": {"oak": {"at": [0, 0]}, "helper": {"at": [3, 11]}},
        ...     "load": {"name": "truck", "at": [16, -2], "direction": [-1, 0], "resistance": 20},
        ...     "blocks": {"corner": {"strap": {"to": "oak", "length": 2}, "near": [1.5, 1.2]}},
        ...     "lines": {"winch line": {"standing": "truck", "through": ["corner"], "fall": "winch"}},
        ...     "winch": {"on": "helper"}})
        >>> found = compile_ground(rig)([[1.0, 1.08, 1.25]], 20e3)
        >>> found.effort_N.round(), found.jams
        (array([20474., 21244., 22791.]), 0)
        """
        k, load, travel = self._arrays(numbers, load_N, travel_m)
        with np.errstate(
            all="ignore"
        ):  # a sample without an answer may divide by nothing on its way to being struck out
            parts = [
                self._chunk(k[:, at], None if travel is None else travel[at]) for at in _chunks(k.shape[1])
            ]
        whole = joined(parts)
        found = whole.tensions_N * load
        return replace(whole, tensions_N=found, effort_N=found[self._fall])

    @property
    def _fall(self) -> int:
        drum = next(line for line in self._problem.net.lines if line.drum)
        return max(i for i, part in enumerate(self.parts) if part.line == drum.name)

    def _arrays(
        self, numbers: ArrayLike, load_N: ArrayLike, travel_m: ArrayLike | None
    ) -> tuple[Floats, Floats, Floats | None]:
        k, load = np.asarray(numbers, dtype=np.float64), np.asarray(load_N, dtype=np.float64)
        if k.ndim != 2 or len(k) != len(self.numbers):
            told = ", ".join(f"{one.name} of {one.at}" for one in self.numbers) or "none"
            raise RigRefusal(
                "INPUT",
                f"numbers of shape {k.shape}: expected {len(self.numbers)} rows ({told}), and one column for each sample.",
                ("numbers",),
            )
        if load.ndim and load.shape != k.shape[1:]:
            raise RigRefusal(
                "INPUT", f"loads of shape {load.shape}: expected one, or {k.shape[1]}.", ("load",)
            )
        if not (load.size == 0 or (load.min() > 0.0 and load.max() < np.inf)):
            raise RigRefusal("INPUT", "load: give forces above 0, none missing.", ("load",))
        for one, values in zip(self.numbers, k, strict=True):
            check_numbers(one.name, values)
        if travel_m is None:
            return k, load, None
        travel = np.broadcast_to(np.asarray(travel_m, dtype=np.float64), k.shape[1:])
        if not np.isfinite(travel).all():
            raise RigRefusal("INPUT", "travel: give lengths, none missing.", ("travel",))
        return k, load, travel

    def _chunk(self, numbers: Floats, travel_m: Floats | None) -> GroundSamples:
        scale = self._problem.net.scale_m
        samples = Samples(numbers, None if travel_m is None else travel_m / scale)
        return told_of(self._problem, settle(self._problem, samples, self._bare, self._near))


def compile_ground(rig: Rig, laws: Mapping[str, Law | None] | None = None) -> GroundProgram:
    """Return a rig on the ground as a program for many samples.

    Parameters
    ----------
    rig : Rig
        Its resistance is not used.
    laws : mapping block -> Law or None, or None
        In place of those of the rig, as :func:`haulwright.mechanics.friction.resolve_laws` gives them. The kind of law
        stays, its numbers are given with each call.

    Returns
    -------
    GroundProgram

    Raises
    ------
    RigRefusal
        UNSUPPORTED for a rig without free blocks on the ground, with several winches, a free load, lines that share by
        their stretch, or the one-tenth rule; else what the solver refuses without friction.

    Notes
    -----
    Newton's method as the solver has it, all samples together, from the places at the best estimates. Which way the
    lines run is taken from the path of every sample: samples that disagree are solved again with their own signs, as
    often as the solver does it; what cannot be settled so goes to the solver itself. Nothing is returned for a sample
    whose signs do not agree with its path.
    """
    check(rig)
    _check_covered(rig)
    given = {n: block.law or rig.law for n, block in rig.blocks.items()} if laws is None else dict(laws)
    if is_tenth_rule(given):
        raise RigRefusal(
            "UNSUPPORTED", f"{rig.name}: the one-tenth rule is not known on arrays.", (rig.name,)
        )
    refusals.check_places(rig)
    courses(rig)
    net = net_of(rig)
    refusals.check_winch_count(net)
    refusals.check_lengths(net)
    if refusals.check_count(net):
        raise _uncovered(rig, "lines that share by their stretch")
    bare = ideal(net)
    met = {block for line in net.lines for block in line.blocks}
    numbers = tuple(
        GroundNumber(n, name, value)
        for n, law in given.items()
        if n in met
        for name, value in numbers_of(law).items()
    )
    problem = Problem(net, given, tuple((one.at, one.name) for one in numbers), _order(net, bare))
    return GroundProgram(
        rig=rig.name,
        numbers=numbers,
        contacts=tuple(
            ProgramContact(line.name, i + 1, at) for line in net.lines for i, at in enumerate(line.blocks)
        ),
        parts=tuple(ProgramPart(line.name, i) for line in net.lines for i in range(1, len(line.points))),
        free=net.free,
        _problem=problem,
        _bare=bare,
        _near=_near(problem, bare),
    )


def _check_covered(rig: Rig) -> None:
    if not rig.finds_places:
        raise RigRefusal(
            "UNSUPPORTED",
            f"{rig.name}: no block finds its place on the ground here; compile_rig is for this rig.",
            (rig.name,),
        )
    if rig.several:
        raise _uncovered(rig, "several winches")
    if rig.free_load:
        raise _uncovered(rig, "a free load")


def _uncovered(rig: Rig, what: str) -> RigRefusal:
    text = f"{rig.name} has {what}: it cannot be solved on arrays. Solve it sample by sample."
    return RigRefusal("UNSUPPORTED", text, (rig.name,))


def _near(problem: Problem, bare: Hauled) -> Hauled | None:
    """Return the answer at the best estimates, None where the rig jams there."""
    try:
        return haul(problem.net, problem.laws, bare)
    except Unsettled:
        return None


def _order(net: Net, bare: Hauled) -> list[tuple[int, int]]:
    state = column_of(net, bare.state)[:, None]
    none = Friction({}, {}, bare.signs)
    return pivots(assemble(net, state, 0.0, none).rows, net.size)


def _chunks(count: int) -> Iterator[slice]:
    return (slice(start, start + CHUNK) for start in range(0, max(count, 1), CHUNK))
