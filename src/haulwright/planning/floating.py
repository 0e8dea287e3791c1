"""Where the blocks of a rig lie, how far they let the vehicle go, and how often the rig is set.

Where all bodies of a rig lie in one straight line from the load to its anchor, the floating blocks do too, and the
lengths of the ropes they hang on give their places. Elsewhere they find their balance, and the rig is stepped.
"""

from __future__ import annotations

from collections.abc import Mapping

from haulwright.mechanics.rig import Rig
from haulwright.planning.lacking import Lacking
from haulwright.planning.layout import Layout, Site, check_reach, fixed_layout, reached
from haulwright.planning.stepped import stepped
from haulwright.planning.straight import straight


def lay_out(
    rig: Rig, site: Site, ropes_m: Mapping[str, float] | None = None, take_up: bool = False
) -> Layout:
    """Return the lengths of a rig on a site.

    Parameters
    ----------
    rig : Rig
        Drawn in line, with the site's names.
    site : Site
    ropes_m : mapping line -> float, optional
        Length of the rope of each line without a drum [m].
    take_up : bool
        Make the one rope without a drum fast shorter than it is, anew at every set-up.

    Raises
    ------
    Lacking
        An anchor too near for the travel, a rope too short or too long.
    RigRefusal
        A rig that cannot work as it is drawn.

    Notes
    -----
    The ropes, pulled straight, put the blocks in their places; their lengths in the rig do not change while the vehicle
    moves. Set anew with the same length a block would lie where it lay: only a rope that is made fast shorter gives it
    new way, and the rig is set as often as a block runs out of it.
    """
    if not rig.floating:
        return fixed_layout(rig, site)
    missing = [line.name for line in rig.lines.values() if not line.drum and line.name not in (ropes_m or {})]
    if missing:
        raise Lacking(
            f"the length of its second rope ({', '.join(missing)}): its travel cannot be worked out"
        )
    check_reach(rig, site)
    spots = {site.anchors[name] for name in reached(rig)}
    ropes = dict(ropes_m or {})
    if len(spots) == 1:
        if take_up and len(ropes) > 1:
            raise Lacking("one rope to take up; it has several", "rope")
        return straight(rig, site, ropes, next(iter(spots)), take_up)
    if take_up:
        raise Lacking("its blocks in line with one anchor, to take up its rope", "rope")
    return stepped(rig, site, ropes)
