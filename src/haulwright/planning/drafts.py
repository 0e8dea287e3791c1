"""Every rig a site could take, by name: named rigs and tackles at each anchor, led round another, with parts to two.

No forces and no lengths here: a draft is a path in one-line notation with this site's names in it.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import combinations, permutations

from haulwright.mechanics.core import solve_core
from haulwright.mechanics.notation import BEYOND, parse_notation
from haulwright.mechanics.rig import Rig
from haulwright.mechanics.tackles import NAMES, named_rig
from haulwright.planning.bind import bind

NOT_PLANNED = ("series", "one long rope")  # rigs of a pull test, not of a recovery


@dataclass(frozen=True)
class Template:
    """A rig without a site: its name, its path with X, X2 or beyond for anchors, its ideal advantage, where it is from."""

    name: str
    path: str
    listed: bool = False

    @property
    def several_lines(self) -> bool:
        """Return whether it has floating blocks."""
        return ";" in self.path

    @property
    def on_load(self) -> bool:
        """Return whether the drum is on the load."""
        return self.path.startswith("!O.drum")


@dataclass(frozen=True)
class Draft:
    """A rig with this site's names.

    Attributes
    ----------
    name : str
        Name in the plan.
    family : str
        What is the same for all anchors it is tried at.
    rig : Rig
        Drawn in line.
    spots : tuple of str
        The anchors and shared anchors it stands at, the winch's own left out.
    """

    name: str
    family: str
    rig: Rig
    spots: tuple[str, ...] = ()


@dataclass(frozen=True)
class Ground:
    """What stands where, on one way with one winch.

    Attributes
    ----------
    load, winch_on : str
    ahead : tuple of str
        Anchors ahead of the load, that of the winch left out.
    shared : tuple of str
        Blocks on a bridle between two of them.
    winch_side : str
        ``ahead`` or ``behind``; empty for a winch on the load.
    """

    load: str
    winch_on: str
    ahead: tuple[str, ...]
    shared: tuple[str, ...] = ()
    winch_side: str = ""

    @property
    def own(self) -> bool:
        """Return whether the winch stands on the load."""
        return self.winch_on == self.load

    @property
    def spots(self) -> tuple[str, ...]:
        """Return where all blocks of a rig may hang."""
        return (*self.ahead, *self.shared)


def named_templates(own: bool) -> list[Template]:
    """Return the named rigs with the winch on the load or off it.

    Examples
    --------
    >>> [template.name for template in named_templates(True)][:3]
    ['single line/on-load', 'two-part/on-load', 'three-part/on-load']
    """
    suffix = "/on-load" if own else "/off-load"
    names = [name for name in NAMES if name.endswith(suffix) and not name.startswith(NOT_PLANNED)]
    return [Template(name, named_rig(name).path) for name in names]


def tackle_templates(paths: Sequence[str], own: bool) -> list[Template]:
    """Return tackles from a list of paths, those that are named rigs left out.

    Parameters
    ----------
    paths : sequence of str
        In one-line notation, with X and beyond for anchors and O for the load. Those whose fall is led round the anchor
        are left out: every rig is tried that way too.
    own : bool
        Winch on the load.
    """
    known = {_same(template.path) for template in named_templates(own)}
    found: list[Template] = []
    for path in paths:
        led = path.startswith(f"{BEYOND}.drum > X > ")
        if path.startswith("!O.drum") == own and not led and _same(path) not in known:
            known.add(_same(path))
            name = _tackle_name(path, own)
            same = sum(one.name.startswith(name.partition("/")[0]) for one in found)
            base, _, side = name.partition("/")
            found.append(Template(f"{base}{f' ({same + 1})' if same else ''}/{side}", path, listed=True))
    return found


def _tackle_name(path: str, own: bool) -> str:
    rig = parse_notation(path)
    ideal = solve_core(rig, 1.0, None, None, ()).ideal_advantage or 0.0
    blocks, ropes = len(set(rig.contacts_from_drum)), len(rig.lines)
    return f"{ideal:.3g} to 1 with {blocks} blocks and {ropes} ropes/{'on' if own else 'off'}-load"


def _same(path: str) -> str:
    """Return a path without the marks that only the first mention of a name carries."""
    return path.partition("|")[0].replace("!", "").replace("~", "").strip()


def drafts(templates: Sequence[Template], ground: Ground) -> Iterator[Draft]:
    """Yield every rig of some templates on a site, each once.

    Parameters
    ----------
    templates : sequence of Template
    ground : Ground
    """
    seen = set()
    for template in templates:
        for draft in _of(template, ground):
            if draft.rig.path not in seen:
                seen.add(draft.rig.path)
                yield draft
    for draft in _round_two(ground):
        if draft.rig.path not in seen:
            seen.add(draft.rig.path)
            yield draft


def _of(template: Template, ground: Ground) -> Iterator[Draft]:
    if ground.own:
        yield from _own(template, ground)
    elif BEYOND in template.path or "X2" in template.path:
        yield from _beyond(template, ground)
    else:
        if ground.winch_side == "ahead":
            yield Draft(template.name, template.name, _bound(template, ground, X=ground.winch_on))
            yield from _apart(template, ground)
        yield from _led(template, ground)


def _own(template: Template, ground: Ground) -> Iterator[Draft]:
    for spot in ground.spots:
        label = f"{template.name}, {spot}" if len(ground.spots) > 1 else template.name
        yield Draft(label, template.name, _bound(template, ground, X=spot), (spot,))
    if _uses_x(template) > 1 and not template.several_lines:
        family = f"{template.name}, parts to two anchors"
        for first, last in permutations(ground.ahead, 2):
            name = f"{template.name}, {first}, last at {last}"
            yield Draft(name, family, _bound(template, ground, last=last, X=first), (first, last))


def _beyond(template: Template, ground: Ground) -> Iterator[Draft]:
    """Yield a rig whose drum stands off its anchor, at each anchor; one that hauls a block back wants it behind the load."""
    if template.several_lines and ground.winch_side != "behind":
        return
    for spot in ground.spots:
        label = f"{template.name}, {spot}" if len(ground.spots) > 1 else template.name
        rig = _bound(template, ground, X=spot, X2=ground.winch_on, beyond=ground.winch_on)
        yield Draft(label, template.name, rig, (spot,))


def _apart(template: Template, ground: Ground) -> Iterator[Draft]:
    """Yield a rig whose drum and whose other parts stand at two anchors."""
    if _uses_x(template) < 2:
        return
    for spot in ground.spots:
        name = f"{template.name}, {ground.winch_on} and {spot}"
        rig = _bound(template, ground, drum=ground.winch_on, X=spot)
        yield Draft(name, f"{template.name}, parts to two anchors", rig, (spot,))


def _led(template: Template, ground: Ground) -> Iterator[Draft]:
    """Yield a rig whose fall is led round one more block, at the anchor it stands at or another, to a winch elsewhere."""
    if template.name.startswith("single line"):
        return  # that is the redirect, a rig of its own
    path = re.sub(r"^X\.drum > ", "W.drum > X > ", template.path)
    for spot in ground.spots:
        name = f"{template.name}, {spot}, led round it"
        rig = _bound(replace(template, path=path), ground, X=spot, W=ground.winch_on)
        yield Draft(name, f"{template.name}, led round an anchor", rig, (spot,))
    if _uses_x(template) > 1 and not template.several_lines:
        path = re.sub(r"^X\.drum > ", "W.drum > Y > ", template.path)
        for lead, spot in permutations(ground.ahead, 2):
            name = f"{template.name}, {spot}, led round {lead}"
            bound = _bound(replace(template, path=path), ground, X=spot, Y=lead, W=ground.winch_on)
            yield Draft(name, f"{template.name}, led round another anchor", bound, (lead, spot))


def _round_two(ground: Ground) -> Iterator[Draft]:
    """Yield the line led round blocks at two anchors: back to the load from its own winch, or on to it from another's."""
    family = "two-part/on-load, round two anchors" if ground.own else "redirect/off-load, round two anchors"
    path = f"!{ground.load}.drum > {{}} > {{}} > {ground.load}"
    if not ground.own:
        path = f"{ground.winch_on}.drum > {{}} > {{}} > !{ground.load}"
    pairs = combinations(ground.ahead, 2) if ground.own else permutations(ground.ahead, 2)
    for first, second in pairs:
        name = f"{family.partition(',')[0]}, round {first} and {second}"
        yield Draft(name, family, parse_notation(path.format(first, second), name), (first, second))


def _uses_x(template: Template) -> int:
    return len(re.findall(r"(?<!\w)X(?!\w)", template.path))


def _bound(template: Template, ground: Ground, *, last: str = "", drum: str = "", **names: str) -> Rig:
    """Return the rig of a template with the site's names; ``last`` takes the last X, ``drum`` the first."""
    path = template.path
    if drum:
        path = re.sub(r"^X\.drum", "W.drum", path)
        names["W"] = drum
    if last:
        head, _, tail = path.rpartition("X")
        path = f"{head}Y{tail}"
        names["Y"] = last
    rig = parse_notation(path, template.name)
    wanted = {"O": ground.load, **names}
    return bind(rig, {old: new for old, new in wanted.items() if old in rig.bodies})
