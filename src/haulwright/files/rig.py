"""The rig file: what a trainer would say of a rig, as YAML or a mapping, into a :class:`haulwright.mechanics.rig.Rig`.

Names and numbers only; whether the rig works is the solver's to say.
"""

from __future__ import annotations

import math
import os
from collections.abc import Iterator, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

from haulwright.errors import UNPRINTABLE, RigRefusal
from haulwright.files import rig_gear, rig_ground, rig_steps, rig_winches
from haulwright.files.faults import locate
from haulwright.files.rig_law import read_law
from haulwright.files.rig_model import AnchorModel, BlockModel, LineModel, RigModel, RopeModel
from haulwright.files.yamlfile import load_yaml, validate_mapping
from haulwright.mechanics import notation, tackles
from haulwright.mechanics.geometry import add, unit
from haulwright.mechanics.names import nearest
from haulwright.mechanics.rig import ANCHOR, FLOATING, LOAD, Block, Body, Line, Point, Rig, Rope, Vec
from haulwright.mechanics.sheave import Law


def read_rig(given: str | Path | Mapping[str, Any] | Rig) -> Rig:
    """Return the rig described by a file, a mapping, one-line notation or the name of a named rig.

    Parameters
    ----------
    given : path, str, mapping or Rig

    Returns
    -------
    Rig

    Raises
    ------
    FileRefusal
        A missing or wrong file, with line, key, value and nearest spelling.
    RigRefusal
        UNKNOWN names, NO_LOAD, NO_WINCH, LOOSE, OPEN_END, INPUT, RATIO, with the line where there is one.

    Examples
    --------
    >>> read_rig("!truck.drum > tree > truck").load.name
    'truck'
    >>> read_rig({"anchors": {"oak": {}}, "load": {"name": "truck"}, "blocks": {"B": {"on": "oak"}},
    ...           "lines": {"winch line": {"standing": "truck", "through": ["B"], "fall": "winch"}},
    ...           "winch": {"on": "truck"}}).contacts_from_drum
    ('B',)
    """
    if isinstance(given, Rig):
        return given
    if isinstance(given, Mapping):
        return rig_from_mapping(given, "rig")
    text = str(given)
    if notation.looks_like_notation(text):
        return notation.parse_notation(text)
    if isinstance(given, str) and tackles.find(text):
        return tackles.named_rig(text)
    if not text.strip() or UNPRINTABLE.search(text):
        raise RigRefusal(
            "UNKNOWN",
            f"{text!r} names no rig. Give a rig file, a name of 'haulwright rig list', or a path from the drum.",
        )
    if isinstance(given, Path) or text.endswith((".yaml", ".yml")) or os.path.exists(text):  # noqa: PTH110
        return rig_from_mapping(load_yaml(text), Path(text).name)
    return tackles.named_rig(text)


def rig_from_mapping(mapping: Mapping[str, Any], what: str) -> Rig:
    """Return the rig of a checked mapping; a mapping read from a file also gives line numbers."""
    model = validate_mapping(mapping, RigModel, what)
    try:
        return _Builder(model).build()
    except RigRefusal as err:
        line = next((n for name in err.where if (n := _line_of(mapping, name))), None)
        place = f"{what}, line {line}: " if line else f"{what}: "
        raise RigRefusal(err.code, place + err.message, err.where, line) from None


def _line_of(mapping: Mapping[str, Any], name: str) -> int | None:
    """Return the line of the key or word ``name``, wherever it stands first."""
    stack: list[tuple[tuple[str | int, ...], Any]] = [((), mapping)]
    while stack:
        path, node = stack.pop(0)
        items = (
            node.items() if isinstance(node, Mapping) else enumerate(node) if isinstance(node, list) else ()
        )
        for key, value in items:
            if key == name or value == name or (isinstance(value, str) and value.split(".")[0] == name):
                return locate(mapping, (*path, key))[1]
            stack.append(((*path, key), value))
    return None


def _free(block: BlockModel) -> bool:
    return block.floating or bool(block.strap)


class _Builder:
    """Turns the checked model into a Rig, step by step: bodies, places, blocks, lines."""

    def __init__(self, model: RigModel) -> None:
        self.model = model
        self.roles: dict[str, str] = {}
        self.winches = rig_winches.winches_of(model)

    def build(self) -> Rig:
        model = self.model
        rig_ground.check_blocks(model)
        if model.load is None:
            raise RigRefusal("NO_LOAD", "Nothing is connected to be pulled. Describe the load under load:.")
        rig_winches.check_load(model.load)
        self.roles = dict.fromkeys(model.anchors, ANCHOR)
        self.roles.update({name: FLOATING for name, block in model.blocks.items() if _free(block)})
        if model.load.name in self.roles:
            raise RigRefusal(
                "INPUT",
                f"{model.load.name} is the load and something else too: give two names.",
                (model.load.name,),
            )
        self.roles[model.load.name] = LOAD
        held = {n: [self._strap_end(strap.to, n) for strap in b.strap or ()] for n, b in model.blocks.items()}
        places, placed = self._places()
        bodies = {n: self._body(n, role, places) for n, role in self.roles.items()}
        law = read_law(model.sheaves, "sheaves") if model.sheaves is not None else None
        blocks = {n: self._block(n, b) for n, b in model.blocks.items()}
        rig_steps.check_ends(model, self.winches)
        lines = {n: self._line(n, line) for n, line in model.lines.items()}
        rig_winches.check_falls(model)
        for name, block in model.blocks.items():
            for strap in rig_ground.straps(name, block, held[name]):
                if strap.name in lines:
                    raise RigRefusal(
                        "INPUT", f"{strap.name} is the name of the strap of {name}: rename the line.", (name,)
                    )
                lines[strap.name] = strap
        resistance, pull_along = rig_winches.force_on(model.load)
        return Rig(
            name=model.rig,
            bodies=bodies,
            blocks=blocks,
            lines=lines,
            direction=self._direction(places),
            resistance_N=resistance,
            law=law,
            mode=model.mode,
            placed=placed,
            unused=tuple(self._unused(placed)),
            winches={n: rig_gear.winch(n, winch, lines) for n, winch in self.winches.items()},
            gaps=rig_gear.gaps(model),
            wanted=rig_gear.wanted(model),
            free_load=model.load.free,
            pull_along=pull_along,
        )

    def _body(self, name: str, role: str, places: Mapping[str, Vec]) -> Body:
        anchor = self.model.anchors.get(name) or AnchorModel()
        if (anchor.limit is None) != (anchor.source is None):
            raise RigRefusal(
                "INPUT",
                f"{name}: limit: and source: go together: limit: 60 kN, source: test pull. Give both or none.",
                (name,),
            )
        return Body(name, role, places[name], self._eyes(name), anchor.limit, anchor.source or "")

    def _unused(self, placed: bool) -> Iterator[str]:
        """Yield what is given for nothing: stretch and lengths need places, and no law asks for a diameter."""
        for name, line in self.model.lines.items():
            rope = line.rope or RopeModel()
            # more lines than bodies that move: their stretch decides what each of them carries
            sharing = len(self.model.lines) > len(self.roles) - len(self.model.anchors)
            if line.slack is not None and not sharing:
                yield f"slack of {name} (it shares no load)"
            if not (placed or sharing) and self._stated(line) is not None:
                yield f"length of {name} (needs places, at:)"
            if not (placed or sharing) and rope.EA is not None:
                yield f"EA of {name} (needs places, at:)"
            if rope.diameter is not None and not self._winds(line):
                yield f"diameter of {name}"

    def _winds(self, line: LineModel) -> bool:
        """Return whether a line goes on a drum whose barrel is known: then its diameter counts."""
        winch = self.winches.get(rig_steps.fall_of(line) or "")
        return winch is not None and winch.drum is not None and winch.drum.barrel is not None

    def _places(self) -> tuple[dict[str, Vec], bool]:
        given: dict[str, Vec] = {}
        for name in self.roles:
            at = self._at(name)
            if at is not None:
                given[name] = (at[0], at[1], at[2] if len(at) > 2 else 0.0)
        if not given:
            return self._stations(), False
        for name, anchor in self.model.anchors.items():
            if name not in given and anchor and anchor.beside:
                given[name] = given[self._known(anchor.beside, list(given), name)]
        given.update(rig_ground.starts(self.model, given))
        missing = [n for n in self.roles if n not in given]
        if missing:
            raise RigRefusal(
                "INPUT",
                f"{missing[0]} has no place, but others have. Give at: for every body, or order: for all.",
                (missing[0],),
            )
        return given, True

    def _at(self, name: str) -> tuple[float, ...] | None:
        model = self.model
        if model.load and name == model.load.name:
            return model.load.at
        if name in model.blocks:
            return model.blocks[name].at or model.blocks[name].near
        anchor = model.anchors[name]
        return anchor.at if anchor else None

    def _stations(self) -> dict[str, Vec]:
        model = self.model
        beside = {n: a.beside for n, a in model.anchors.items() if a and a.beside}
        order = [n for n in self.roles if n not in beside] if model.order is None else model.order
        for name in order:
            self._known(name, list(self.roles), "order")
            if order.count(name) > 1:
                raise RigRefusal("INPUT", f"order: names {name} twice. Name every body once.", (name,))
        stations = {name: (float(order.index(name)), 0.0, 0.0) for name in order}
        for name, other in beside.items():
            stations.setdefault(name, stations[self._known(other, list(stations), name)])
        missing = [n for n in self.roles if n not in stations]
        if missing:
            raise RigRefusal(
                "INPUT", f"order: leaves out {', '.join(missing)}. Name every body once.", tuple(missing)
            )
        return stations

    def _direction(self, places: dict[str, Vec]) -> Vec:
        load = self.model.load
        if load is None:
            raise RigRefusal("NO_LOAD", "Nothing is connected to be pulled. Describe the load under load:.")
        if load.direction:
            x = (*load.direction, 0.0)[:3]
            vector: Vec = (x[0], x[1], x[2])
            if not any(vector):
                raise RigRefusal(
                    "INPUT", "direction: zero has no direction. Give e.g. [-1, 0].", ("direction",)
                )
            return unit(vector)
        against = rig_winches.force_on(load)[1]
        if against is not None and load.toward is None:
            return against
        anchors = [n for n, role in self.roles.items() if role == ANCHOR]
        if not anchors:
            raise RigRefusal(
                "INPUT", "There is no anchor. Describe at least one under anchors:.", ("anchors",)
            )
        toward = (
            self._known(load.toward, list(self.roles), "toward") if load.toward is not None else anchors[0]
        )
        if toward in self.model.blocks and self.model.mode == "ground":
            raise RigRefusal(
                "INPUT",
                f"toward: {toward} finds its own place. Give an anchor, or direction: such as [-1, 0].",
                (toward,),
            )
        step = add(places[toward], places[load.name], -1.0)
        if not any(step):
            raise RigRefusal(
                "INPUT", f"toward: {toward} stands where the load is. Give a direction.", (toward,)
            )
        return unit(step)

    def _eyes(self, name: str) -> dict[str, Vec]:
        model = self.model
        if model.load and name == model.load.name:
            eyes = model.load.eyes
        elif name in model.blocks:
            eyes = model.blocks[name].eyes
        else:
            anchor = model.anchors[name]
            eyes = anchor.eyes if anchor else {}
        return {eye: (at[0], at[1], at[2] if len(at) > 2 else 0.0) for eye, at in eyes.items()}

    def _block(self, name: str, block: BlockModel) -> Block:
        body, eye = (name, None) if _free(block) else self._body_eye(block.on or "", name)
        own: Law | None = read_law(block.sheave, name) if block.sheave is not None else None
        turn = (
            block.wrap
            if block.wrap is not None
            else math.pi - block.between
            if block.between is not None
            else None
        )
        return rig_gear.geared(Block(name, body, eye, own, turn, wll_N=block.wll), block)

    def _line(self, name: str, line: LineModel) -> Line:
        if (line.fall is None) == (line.to is None):
            raise RigRefusal(
                "OPEN_END",
                f"Line {name} is made fast at one end only. Give fall: winch, or to: a point.",
                (name,),
            )
        if line.fall is not None:
            return self._hauled(name, line)
        points = [self._end(line.standing, name), *(self._contact(text, name) for text in line.through)]
        points.append(self._end(line.to or "", name))
        return replace(self._roped(name, points, line), length_m=self._length(line))

    def _hauled(self, name: str, line: LineModel) -> Line:
        """Return a line that falls to a drum; of a stepped one its standing end is wound on it too."""
        drum = rig_steps.fall_of(line) or ""
        winch = self.winches.get(drum)
        step = rig_steps.step_of(name, line, winch) if winch is not None else 0.0
        standing = None if step else self._end(line.standing, name)
        through = [self._contact(text, name) for text in line.through]
        if line.slack is not None:
            raise RigRefusal(
                "INPUT", f"{name} goes to a drum, which takes in its slack: leave slack out.", (name,)
            )
        winch = rig_winches.winch_of(drum, name, self.winches)
        body, eye = self._body_eye(winch.on, drum)
        small, large = Point(body, line.standing, eye=eye), Point(body, winch.on, eye=eye)
        return replace(self._roped(name, [standing or small, *through, large], line), drum=drum, step=step)

    def _roped(self, name: str, points: list[Point], line: LineModel) -> Line:
        rope = Rope(line.rope.EA, line.rope.break_, line.rope.diameter) if line.rope is not None else None
        return Line(
            name, tuple(points), rope=rope, stated_m=self._stated(line), slack_m=line.slack, tail_m=line.tail
        )

    @staticmethod
    def _stated(line: LineModel) -> float | None:
        """Return how much line there is: the lesser of what the line and its rope say."""
        given = [
            x for x in (line.length, line.rope.length if line.rope is not None else None) if x is not None
        ]
        return min(given, default=None)

    def _contact(self, text: str, line: str) -> Point:
        name = self._known(text, list(self.model.blocks), line)
        block = self.model.blocks[name]
        body = name if _free(block) else self._body_eye(block.on or "", name)[0]
        return Point(body, name, block=name)

    def _length(self, line: LineModel) -> float | None:
        """Return the length of a line where it counts: without a drum, among blocks that find their place."""
        counts = self.model.mode == "ground" and FLOATING in self.roles.values() and line.fall is None
        return line.length if counts else None

    def _strap_end(self, text: str, block: str) -> Point:
        body, eye = self._body_eye(text, f"The strap of {block}")
        if body == block:
            raise RigRefusal("INPUT", f"{block} hangs on a strap from itself: name another body.", (block,))
        return Point(body, text, eye=eye)

    def _end(self, text: str, line: str) -> Point:
        base, _, eye = text.partition(".")
        if base in self.model.blocks and base not in self.roles:
            if eye not in ("", "becket"):
                raise RigRefusal(
                    "UNKNOWN", f"Line {line} goes to {text!r}: a block has a becket, no eye {eye!r}.", (text,)
                )
            if eye == "becket" and self.model.blocks[base].becket is False:
                raise RigRefusal(
                    "INPUT",
                    f"Line {line} ends at the becket of {base}, which has none (becket: false).",
                    (base,),
                )
            body = self._body_eye(self.model.blocks[base].on or "", base)[0]
            return Point(body, text, block=base)
        if eye == "becket":
            return Point(self._known(base, list(self.roles), line), text, block=base)
        body, name = self._body_eye(text, line)
        return Point(body, text, eye=name)

    def _body_eye(self, text: str, user: str) -> tuple[str, str | None]:
        base, _, eye = text.partition(".")
        self._known(base, [*self.roles, *self.model.blocks], user)
        if base not in self.roles:
            raise RigRefusal(
                "UNKNOWN",
                f"{user} is on {base!r}, which is a block. Put it on a body: {', '.join(self.roles)}.",
                (user,),
            )
        if eye and eye not in self._eyes(base):
            raise RigRefusal(
                "UNKNOWN",
                f"{user} uses the eye {eye!r} of {base}, which has none of that name.{nearest(eye, list(self._eyes(base)))}",
                (text,),
            )
        return base, eye or None

    @staticmethod
    def _known(name: str, known: list[str], user: str) -> str:
        if name not in known:
            raise RigRefusal(
                "UNKNOWN", f"{user} goes to {name!r}, which is not in the rig.{nearest(name, known)}", (name,)
            )
        return name
