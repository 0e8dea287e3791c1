"""The words a pull can be told in, for a form that offers them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, ClassVar, get_args

from haulwright.field.published import depth_words, grip_words, house, surface_words
from haulwright.files.anchor_fields import NO_ANCHOR, AnchorFields, TreeSign
from haulwright.files.place import AnchorKind, SiteHazard, VehicleHazard, Way
from haulwright.files.stuck import Ground, Stuck, Wheels
from haulwright.planning.holding import LOOK_AT_A_TREE
from haulwright.records import Record


@dataclass(frozen=True, kw_only=True)
class PullKinds(Record):
    """Every word a pull file takes where it takes only some.

    Attributes
    ----------
    surfaces, depths, wheels, lies : tuple of str
        Of the stuck vehicle and its ground; depths from none to deep.
    directions, ways : tuple of str
        Of the slope along the way ahead; of the way out.
    anchor_kinds, grips, signs, no_anchor_signs, brakes : tuple of str
        Of an anchor: its kind; the ground a vehicle stands on; what speaks against a tree, and with which of that it is
        none.
    tree : str
        What to look at before a tree is an anchor.
    vehicle_hazards, site_hazards : tuple of str
        What makes it a job for a professional.
    person_kg : float
        What one person in the vehicle counts.
    """

    kind: ClassVar[str] = "pull-kinds"
    surfaces: tuple[str, ...]
    depths: tuple[str, ...]
    wheels: tuple[str, ...]
    lies: tuple[str, ...]
    directions: tuple[str, ...]
    ways: tuple[str, ...]
    anchor_kinds: tuple[str, ...]
    grips: tuple[str, ...]
    signs: tuple[str, ...]
    no_anchor_signs: tuple[str, ...]
    brakes: tuple[str, ...]
    tree: str
    vehicle_hazards: tuple[str, ...]
    site_hazards: tuple[str, ...]
    person_kg: float


def list_pull_kinds() -> PullKinds:
    """Return every word a pull can be told in.

    Examples
    --------
    >>> kinds = list_pull_kinds()
    >>> kinds.depths[:2], "bog" in kinds.surfaces, kinds.anchor_kinds[0]
    (('none', 'rim'), True, 'tree')
    """
    return PullKinds(
        surfaces=surface_words(),
        depths=("none", *depth_words()),
        wheels=_words(Wheels),
        lies=_words(Stuck.model_fields["lies"].annotation),
        directions=_words(Ground.model_fields["direction"].annotation),
        ways=_words(Way),
        anchor_kinds=_words(AnchorKind),
        grips=tuple(grip_words()),
        signs=_words(TreeSign),
        no_anchor_signs=NO_ANCHOR,
        brakes=_words(AnchorFields.model_fields["brakes"].annotation),
        tree=LOOK_AT_A_TREE,
        vehicle_hazards=_words(VehicleHazard),
        site_hazards=_words(SiteHazard),
        person_kg=house("person-mass").value,
    )


def _words(of: Any) -> tuple[str, ...]:
    """Return the words of a literal type."""
    return tuple(str(word) for word in get_args(of))
