"""A rig as far as it is written: what is there and where, before it works, or where it does not."""

from __future__ import annotations

import contextlib
from collections.abc import Mapping
from typing import Any

from haulwright.errors import RigRefusal
from haulwright.files import rig_ground
from haulwright.files.rig import _Builder, _free
from haulwright.files.rig_model import RigModel
from haulwright.files.yamlfile import validate_mapping
from haulwright.mechanics.rig import ANCHOR, FLOATING, LOAD, Rig


def sketch_rig(mapping: Mapping[str, Any]) -> Rig:
    """Return the rig of a mapping with what of it can be read; it is checked by nobody.

    Parameters
    ----------
    mapping : mapping
        As a rig file holds it; blocks and lines that lead nowhere are left out.

    Raises
    ------
    FileRefusal
        A wrong key or value.
    RigRefusal
        INPUT where some bodies have places and others have none.

    Examples
    --------
    >>> rig = sketch_rig({"anchors": {"oak": {"at": ["0 m", "0 m"]}}, "lines": {"a": {"standing": "oak", "to": "elm"}}})
    >>> list(rig.bodies), list(rig.lines)
    (['oak'], [])
    """
    model = validate_mapping(mapping, RigModel, "rig")
    return _Sketcher(model).sketch()


class _Sketcher(_Builder):
    """The builder of rigs without its checks."""

    def sketch(self) -> Rig:
        model = self.model
        self.roles = dict.fromkeys(model.anchors, ANCHOR)
        self.roles.update({name: FLOATING for name, block in model.blocks.items() if _free(block)})
        if model.load is not None:
            self.roles[model.load.name] = LOAD
        places, placed = self._places()
        rig = Rig(
            name=model.rig,
            bodies={n: self._body(n, role, places) for n, role in self.roles.items()},
            blocks={},
            lines={},
            direction=(-1.0, 0.0, 0.0),
            mode=model.mode,
            placed=placed,
        )
        blocks, lines = dict(rig.blocks), dict(rig.lines)
        for name, block in model.blocks.items():
            with contextlib.suppress(RigRefusal):
                blocks[name] = self._block(name, block)
                ends = [self._strap_end(strap.to, name) for strap in block.strap or ()]
                lines.update({strap.name: strap for strap in rig_ground.straps(name, block, ends)})
        for name, line in model.lines.items():
            with contextlib.suppress(RigRefusal):
                lines[name] = self._line(name, line)
        direction = rig.direction
        with contextlib.suppress(RigRefusal):
            direction = self._direction(places)
        return Rig(rig.name, rig.bodies, blocks, lines, direction, mode=rig.mode, placed=placed)
