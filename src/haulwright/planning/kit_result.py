"""Records of a kit: every piece with its mark, its limit and how it stands against the kit's own winches."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from haulwright.field.derating import Derating
from haulwright.planning.result import GuidanceCheck
from haulwright.records import Record


@dataclass(frozen=True)
class KitUse:
    """One use a piece could have, against winch stall.

    Attributes
    ----------
    use : str
        ``single line``, ``at a block``, ``as anchor of a line``, ``as anchor of a block``, or its place in a pull's rig.
    winch : str
        Id of the winch.
    load_N : float
        At stall [N].
    limit_N : float or None
        Working limit in this use [N].
    utilisation : float or None
        Load ÷ limit.
    verdict : str
        inside, tight, over, unknown.
    guidance : GuidanceCheck or None
        The regulator's guidance for this use.
    pull : str or None
        Name of the pull whose chosen rig has it there; None for a use it could have.
    """

    use: str
    winch: str
    load_N: float
    limit_N: float | None
    utilisation: float | None
    verdict: str
    guidance: GuidanceCheck | None = None
    pull: str | None = None


@dataclass(frozen=True)
class KitPull:
    """A pull that was planned with a kit.

    Attributes
    ----------
    name : str
    rig, winch : str or None
        The chosen rig and the winch that pulls it; None where none can be used.
    verdict : str or None
        Of that rig.
    lacked : str
        Why there is none, or why the pull could not be planned; empty where there is one.
    """

    name: str
    rig: str | None
    winch: str | None
    verdict: str | None
    lacked: str = ""


@dataclass(frozen=True)
class KitItem:
    """One piece of a kit.

    Attributes
    ----------
    item, name, kind : str
        Id, words for the screen, what it is.
    marked_N : float or None
        As marked [N].
    basis : str
        ``WLL``, ``MBS ÷ 2``, ``WLL by table``, ``limit entered by the user`` … or ``unknown``.
    factor : float or None
        What the mark is divided by; 1 for a WLL.
    limit_N : float or None
        Working limit after deratings [N].
    deratings : tuple of Derating
        What its own state takes off, each with its source.
    condition : str
    bought, inspected, due : str or None
        Dates, year first.
    overdue : bool
    uses : tuple of KitUse
        Empty for what carries no load of a winch, and for what is set aside.
    good_for : tuple of str
        Of the uses it could have, those in which it is inside or tight at the stall of every winch of the kit.
    worst : KitUse or None
        The hardest of its places in the pulls that were asked with; None where no chosen rig has it.
    utilisation : float or None
        Of the hardest use; of its places in the pulls' rigs where it is used there.
    verdict : str or None
        Of the same; null where there is none.
    note : str
    unknown : tuple of str
        What is not known of it.
    to_do : tuple of str
        What to do about that.
    """

    item: str
    name: str
    kind: str
    marked_N: float | None
    basis: str
    factor: float | None
    limit_N: float | None
    deratings: tuple[Derating, ...]
    condition: str
    bought: str | None
    inspected: str | None
    due: str | None
    overdue: bool
    uses: tuple[KitUse, ...]
    good_for: tuple[str, ...]
    worst: KitUse | None
    utilisation: float | None
    verdict: str | None
    note: str
    unknown: tuple[str, ...]
    to_do: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class KitCheck(Record):
    """A kit with a verdict for each piece.

    Attributes
    ----------
    kit_name : str
    day : str
        What the due dates are held against.
    stall_N : float or None
        Greatest winch stall of the kit [N]; None without a winch: then every verdict is ``unknown``.
    items : tuple of KitItem
        Every piece, those set aside too.
    set_aside : tuple of str
        Pieces in quarantine or damaged: never planned with.
    weakest : str or None
        The piece with the least margin that has a limit.
    pulls : tuple of KitPull
        The pulls whose chosen rigs are among the uses.
    """

    kind: ClassVar[str] = "kit"
    kit_name: str
    day: str
    stall_N: float | None
    items: tuple[KitItem, ...]
    set_aside: tuple[str, ...] = ()
    weakest: str | None = None
    pulls: tuple[KitPull, ...] = ()

    @property
    def verdicts(self) -> tuple[str, ...]:
        """Return the verdict of every piece that has one; with pulls, of every piece a chosen rig of theirs uses."""
        asked = [item for item in self.items if not self.pulls or item.worst is not None]
        return tuple(item.verdict for item in asked if item.verdict is not None)


@dataclass(frozen=True)
class KitKind:
    """One kind of piece.

    Attributes
    ----------
    kind : str
        As a kit names it.
    what : str
        What it is, in one phrase.
    mark : str
        Where its mark is found.
    usual_basis, why : str
        What the mark of this kind usually is (``WLL``, ``MBS``, ``unknown``), and why; the piece's own mark counts.
    asks : tuple of str
        Keys of a kit that matter for it, most needed first.
    uses : tuple of str
        Uses it could have; empty for what bears no load of a winch.
    out : str
        Signs that take it out of use.
    source : str
    """

    kind: str
    what: str
    mark: str
    usual_basis: str
    why: str
    asks: tuple[str, ...]
    uses: tuple[str, ...]
    out: str
    source: str


@dataclass(frozen=True)
class BasisMeaning:
    """What a basis of a mark means."""

    basis: str
    means: str


@dataclass(frozen=True, kw_only=True)
class KitKinds(Record):
    """Every kind of piece a kit can hold, with the words its other keys take.

    Attributes
    ----------
    kinds : tuple of KitKind
    bases : tuple of BasisMeaning
    conditions, ends, sling_uses : tuple of str
        Words a kit takes for these.
    mbs_factor : float
        What an MBS is divided by where neither piece nor kit tells: a house number.
    mbs_factor_source : str
    """

    kind: ClassVar[str] = "kit-kinds"
    kinds: tuple[KitKind, ...]
    bases: tuple[BasisMeaning, ...]
    conditions: tuple[str, ...]
    ends: tuple[str, ...]
    sling_uses: tuple[str, ...]
    mbs_factor: float
    mbs_factor_source: str
