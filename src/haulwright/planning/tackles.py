"""Tackles handed to a plan beside the named rigs, and how they were picked from all there are."""

from __future__ import annotations

from dataclasses import dataclass

from haulwright.files.kit import TURNING
from haulwright.files.pull import Pull
from haulwright.planning.candidates import free_ropes
from haulwright.planning.ways import stands_of

LEADING = "no other reaches as much with no more blocks and no more ropes"


@dataclass(frozen=True)
class Tackles:
    """Tackles to look at.

    Attributes
    ----------
    paths : tuple of str
        In one-line notation: X (and beyond) for anchors, O for the load.
    looked_at : int or None
        Tackles they were picked from; None where they were given as they are.
    why : str
        How they were picked.
    """

    paths: tuple[str, ...] = ()
    looked_at: int | None = None
    why: str = ""

    @property
    def told(self) -> str:
        """Return in words how many tackles were looked at."""
        if self.looked_at is None:
            return f"{len(self.paths)} given"
        return f"{len(self.paths)} of {self.looked_at}: {self.why}"


def gear_for_tackles(pull: Pull) -> tuple[int, int, set[bool]]:
    """Return blocks and ropes there are for a tackle, and whether winches stand on the stuck vehicle (True) or off it.

    Parameters
    ----------
    pull : Pull

    Returns
    -------
    int, int, set of bool
        Usable blocks and rings; the winch line and every rope that lies on no drum.
    """
    blocks = sum(item.kind in TURNING and item.usable for item in pull.kit.items)
    sides = {stand.on == pull.vehicle.name for stand in stands_of(pull)}
    return blocks, 1 + len(free_ropes(pull.kit)), sides
