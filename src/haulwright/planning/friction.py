"""Which friction stands for a block or ring: the one measured on it, else the published row of its kind."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from haulwright.catalogue import Row, load, row
from haulwright.files.kit import Item
from haulwright.quantities.measured import Measured

BY_KIND = {"block": "block-everyday", "ring": "ring"}


@dataclass(frozen=True)
class ItemFriction:
    """The friction of one item of the kit.

    Attributes
    ----------
    k : Measured
        Tension ratio of one contact.
    device : str
        What it is the friction of; items of one device share its error.
    source : str
        Where it comes from, in words.
    measured : bool
        True where the device itself was tested.
    valid_N : (float, float) or None
        Line tensions it was tested at [N].
    scatter : float
        Standard deviation of ln advantage from set-up to set-up of the campaign it comes from; 0 if not told.
    warning : str
        Why it is not the friction asked for, if it is not.
    """

    k: Measured
    device: str
    source: str
    measured: bool = False
    valid_N: tuple[float, float] | None = None
    warning: str = ""
    scatter: float = 0.0


def friction_of(item: Item, measured: Mapping[str, Row]) -> ItemFriction:
    """Return the friction of a block or ring.

    Parameters
    ----------
    item : Item
        Of kind block or ring.
    measured : mapping device -> Row
        From a devices file; looked up by ``device``, then by the item's id.

    Returns
    -------
    ItemFriction

    Notes
    -----
    A measured device comes first, then the catalogue's row named by ``device``, then the catalogue's row of the kind.
    """
    name = next((name for name in (item.device, item.id) if name in measured), "")
    if name:
        found = measured[name]
        source = f"measured: {found.source.cite()}"
        return ItemFriction(found.ratio(), name, source, True, found.valid_N, scatter=found.scatter or 0.0)
    if item.device in load("sheaves") and _has_range(item.device):
        found = row("sheaves", item.device)
        return ItemFriction(
            found.ratio(), found.id, f"catalogue, {found.name}: {found.source.cite()}", valid_N=found.valid_N
        )
    found = row("sheaves", BY_KIND[item.kind])
    warning = ""
    if item.device:
        warning = f"{item.label}: no friction of a device {item.device} is given; the catalogue's row for a {item.kind} is used."
    return ItemFriction(
        found.ratio(), found.id, f"catalogue, {found.name}: {found.source.cite()}", warning=warning
    )


def _has_range(row_id: str) -> bool:
    found = row("sheaves", row_id)
    return found.quantity in ("k", "e") and found.lo is not None
