"""Named rigs, each fixed by its path: X the one anchor, O the load, M a floating block."""

from __future__ import annotations

from dataclasses import dataclass

from haulwright.errors import RigRefusal
from haulwright.mechanics.names import nearest
from haulwright.mechanics.notation import parse_notation
from haulwright.mechanics.rig import Rig

ON, OFF = "on-load", "off-load"


@dataclass(frozen=True)
class NamedRig:
    """A named rig: paths with the winch on the load and off it (empty where there is none), ideal advantage, aliases."""

    name: str
    ideal: int
    on_load: str = ""
    off_load: str = ""
    aliases: tuple[str, ...] = ()

    @property
    def default(self) -> str:
        """Suffix taken without one: on the load for one-rope rigs that have it."""
        return (
            ON if self.on_load and ";" not in self.on_load + self.off_load else OFF if self.off_load else ON
        )


def _alternating(parts: int, winch_on_load: bool) -> str:
    """Return the path of a one-rope rig with this many parts on the load: blocks alternate, standing end where it falls."""
    ends = ("O", "X") if winch_on_load else ("X", "O")
    first, second = ends
    path = [f"{'!' if winch_on_load else ''}{first}.drum"]
    turns = [second if i % 2 == 0 else first for i in range(parts)]
    if not winch_on_load:
        turns[0] = "!O"
    return " > ".join(path + turns)


_PARTS = ("two", "three", "four", "five", "six")


def _n_part(n: int) -> NamedRig:
    return NamedRig(
        f"{_PARTS[n - 2]}-part", n, _alternating(n, True), _alternating(n, False), (f"{n}-part", f"{n}:1")
    )


def _long_rope(passes: int) -> NamedRig:
    n = passes + 1
    return NamedRig(f"one long rope, {passes} passes", n, _alternating(n, True), _alternating(n, False))


NAMED: tuple[NamedRig, ...] = (
    NamedRig("series", 1, "!O.drum > X", "X.drum > !O", ("series check",)),
    NamedRig("single line", 1, "!O.drum > X", "X.drum > !O", ("one-part",)),
    NamedRig("redirect", 1, "", "X2.drum > X > !O", ("change of direction",)),
    *(_n_part(n) for n in range(2, 7)),
    NamedRig(
        "stacked two-parts",
        4,
        "!O.drum > ~M > O ; ~M > X > O",
        "X.drum > ~M > X ; ~M > !O > X",
        ("stacked two-part", "burton"),
    ),
    NamedRig("spanish burton", 3, "", "beyond.drum > ~M > !O ; ~M > X > O", ("single spanish burton",)),
    NamedRig("double spanish burton", 5, "", "beyond.drum > ~M > !O > M ; ~M > X > O"),
    NamedRig("double spanish burton, fixed end", 4, "", "beyond.drum > ~M > !O > X ; ~M > X > O"),
    NamedRig("luff on luff", 16, "", "X.drum > ~M > X > M > X ; ~M > !O > X > O > X"),
    NamedRig("three-on-two", 6, "!O.drum > ~M > O ; ~M > X > O > X", "X.drum > ~M > X ; ~M > !O > X > O"),
    *(_long_rope(n) for n in (3, 4, 5)),
)


def _key(name: str) -> str:
    return " ".join(name.lower().replace("-", " ").replace("_", " ").replace(",", " ").split())


def find(name: str) -> tuple[NamedRig, str] | None:
    """Return the named rig and its winch suffix for a name, None if there is none.

    Examples
    --------
    >>> find("Two part/off-load")[1]
    'off-load'
    """
    base, _, suffix = name.partition("/")
    by_key = {_key(n): rig for rig in NAMED for n in (rig.name, *rig.aliases)}
    rig = by_key.get(_key(base))
    if rig is None or suffix not in ("", ON, OFF):
        return None
    if _key(base) == "burton" and not suffix:
        suffix = ON
    return rig, suffix or rig.default


def named_rig(name: str) -> Rig:
    """Return a named rig; ``/on-load`` or ``/off-load`` says where the winch is.

    Parameters
    ----------
    name : str
        E.g. ``two-part``, ``three-part/off-load``, ``stacked two-parts``.

    Returns
    -------
    Rig

    Raises
    ------
    RigRefusal
        UNKNOWN with the nearest name; INPUT where the rig has no such winch place.

    References
    ----------
    Ideal advantages of the classic tackles: common practice, any seamanship manual.

    Examples
    --------
    >>> named_rig("stacked two-parts").path
    'X.drum > ~M > X ; ~M > !O > X'
    """
    hit = find(name)
    if hit is None:
        names = [rig.name for rig in NAMED]
        raise RigRefusal(
            "UNKNOWN",
            f"There is no rig named {name!r}.{nearest(name.partition('/')[0], names)} "
            "See 'haulwright rig list', or write it from the drum: !truck.drum > tree > truck.",
            (name,),
        )
    rig, suffix = hit
    path = rig.on_load if suffix == ON else rig.off_load
    if not path:
        other = OFF if suffix == ON else ON
        raise RigRefusal(
            "INPUT",
            f"{rig.name} has no form with the winch {suffix.replace('-', ' the ')}; take {rig.name}/{other}.",
            (name,),
        )
    return parse_notation(path, f"{rig.name}/{suffix}")


NAMES: tuple[str, ...] = tuple(
    f"{rig.name}/{suffix}"
    for rig in NAMED
    for suffix, path in ((ON, rig.on_load), (OFF, rig.off_load))
    if path
)
