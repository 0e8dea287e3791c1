"""What helps the one who enters a piece: each kind with its mark, what the mark usually means, and when it is out."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar, Final, get_args

from haulwright.catalogue import row
from haulwright.catalogue.loading import read_toml, source_from
from haulwright.field.published import house
from haulwright.files.item import Basis, Condition, Item, ItemKind, RopeEnd, SlingUse
from haulwright.notices import Code
from haulwright.planning.kit_check import uses_of
from haulwright.records import Made, Record

_MEANS: Final = {
    "WLL": "Working load limit: what it may be loaded to, its maker's factor already taken off. Counts as it stands.",
    "MBS": "Minimum breaking strength: what it breaks at. Divided by its design factor before anything is held against it.",
    "unknown": "The mark does not say which, or there is none. Never counted as enough: the piece is not used.",
}


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


def list_kinds() -> KitKinds:
    """Return every kind of piece with what helps to enter one.

    Examples
    --------
    >>> found = {one.kind: one for one in list_kinds().kinds}
    >>> found["shackle"].usual_basis, found["shackle"].uses
    ('WLL', ('single line', 'at a block'))
    >>> found["damper"].uses
    ()
    """
    table = read_toml("kinds")
    factor = house("mbs-factor")
    return KitKinds(
        kinds=tuple(_kind(name, table["kinds"][name], table["sources"]) for name in get_args(ItemKind)),
        bases=tuple(BasisMeaning(basis, _MEANS[basis]) for basis in get_args(Basis)),
        conditions=get_args(Condition),
        ends=get_args(RopeEnd),
        sling_uses=get_args(SlingUse),
        mbs_factor=factor.value,
        mbs_factor_source=row("rules", "mbs-factor").source.cite(),
        notices=(Code.DEFER.notice(),),
        made=Made("the catalogue's words for each kind", {}, (row("rules", "mbs-factor").source.cite(),)),
    )


def _kind(name: str, given: dict[str, str], shared: dict[str, dict[str, str]]) -> KitKind:
    item = Item.model_construct(kind=name, condition="unknown", quarantined=False)
    return KitKind(
        kind=name,
        what=given["what"],
        mark=given["mark"],
        usual_basis=given["usual"],
        why=given["why"],
        asks=tuple(given["asks"]),
        uses=tuple(use for use, _ in uses_of(item)),
        out=given["out"],
        source=source_from(given["source"], shared, name).cite(),
    )
