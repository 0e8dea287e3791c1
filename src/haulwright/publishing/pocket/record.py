"""What a pocket card holds: compiled rigs, frictions, winches, pieces and grounds, each with its source."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from haulwright.quantities.measured import Measured
from haulwright.records import Record


@dataclass(frozen=True)
class PocketRig:
    """A named rig as arithmetic.

    Attributes
    ----------
    name, sentence : str
        What it is called, and how it is led.
    advantage : float
        Without friction.
    program : str
        Source of a compiled rig: tension of every part from the ratios and the load.
    parts : tuple of str
        Each part in the order of the program, as ``O to X``.
    fall : int
        Number of the part that goes to the drum.
    contacts : tuple of str
        The block of each pass in the order of the ratios.
    blocks : tuple of (str, tuple of int)
        Each block with the parts that pull on it, its becket's included: they are parallel, so that it carries their sum.
    anchors : tuple of (str, tuple of int)
        Each anchor with the parts that pull on it.
    """

    name: str
    sentence: str
    advantage: float
    program: str
    parts: tuple[str, ...]
    fall: int
    contacts: tuple[str, ...]
    blocks: tuple[tuple[str, tuple[int, ...]], ...]
    anchors: tuple[tuple[str, tuple[int, ...]], ...]


@dataclass(frozen=True)
class PocketFriction:
    """A tension ratio with its interval, the line tensions it was tested at [N], and where it comes from."""

    id: str
    name: str
    k: Measured
    valid_N: tuple[float, float] | None
    source: str
    measured: bool


@dataclass(frozen=True)
class PocketWinch:
    """A winch: its line pull on each drum layer, the weaker of both ways the rope may lie [N], and at stall [N]."""

    id: str
    name: str
    stall_N: float
    layers_N: tuple[float, ...]


@dataclass(frozen=True)
class PocketPiece:
    """A piece of the kit with its working limit [N], and where it can stand: in the line, at a block, at an anchor."""

    id: str
    name: str
    limit_N: float | None
    basis: str
    note: str
    stands: tuple[str, ...]


@dataclass(frozen=True)
class PocketShare:
    """A share of the weight: on a surface where the wheels turn, or of being sunk to a depth; low, likely, high."""

    name: str
    low: float
    likely: float
    high: float


@dataclass(frozen=True, kw_only=True)
class PocketCard(Record):
    """Everything a pocket card reckons with.

    Attributes
    ----------
    title : str
    stamp : str
        Date and version.
    invented : bool
    rigs, frictions, winches, pieces
        What can be chosen.
    surfaces, depths : tuple of PocketShare
    spread : float
        Least half-width of a resistance, as a share of the forces that enter it.
    resistance_source : str
    tight : float
        Utilisation above which a piece is tight.
    cautions : tuple of str
    """

    kind: ClassVar[str] = "pocket-card"
    title: str
    stamp: str
    invented: bool
    rigs: tuple[PocketRig, ...]
    frictions: tuple[PocketFriction, ...]
    winches: tuple[PocketWinch, ...]
    pieces: tuple[PocketPiece, ...]
    surfaces: tuple[PocketShare, ...]
    depths: tuple[PocketShare, ...]
    spread: float
    resistance_source: str
    tight: float
    cautions: tuple[str, ...]
