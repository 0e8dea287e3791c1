"""What helps the one who enters a piece: each kind with its mark, what the mark usually means, and when it is out."""

from __future__ import annotations

from typing import Final, get_args

from haulwright.catalogue import row
from haulwright.catalogue.loading import read_toml, source_from
from haulwright.field.published import house
from haulwright.files.item import Basis, Condition, Item, ItemKind, RopeEnd, SlingUse
from haulwright.notices import Code
from haulwright.planning.kit_check import uses_of
from haulwright.planning.kit_result import BasisMeaning, KitKind, KitKinds
from haulwright.records import Made

_MEANS: Final = {
    "WLL": "Working load limit: what it may be loaded to, its maker's factor already taken off. Counts as it stands.",
    "MBS": "Minimum breaking strength: what it breaks at. Divided by its design factor before anything is held against it.",
    "unknown": "The mark does not say which, or there is none. Never counted as enough: the piece is not used.",
}


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
