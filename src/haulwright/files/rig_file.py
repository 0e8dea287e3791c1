"""A rig as a file and as a line of notation, in one record."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, ClassVar

from haulwright.errors import RigRefusal
from haulwright.files.rig import read_rig
from haulwright.files.rig_layout import laid_out, named_mapping
from haulwright.files.rig_write import rig_yaml
from haulwright.mechanics import notation, tackles
from haulwright.mechanics.notation_write import notation_of
from haulwright.mechanics.rig import Rig
from haulwright.records import Made, Record


@dataclass(frozen=True, kw_only=True)
class RigFile(Record):
    """A rig as it is written.

    Attributes
    ----------
    rig : str
        Name.
    mapping : mapping
        What its file holds.
    yaml : str
        The text of its file.
    notation : str or None
        In one line: what is led where, without places, friction and gear.
    not_in_notation : str
        Why it cannot be said in one line; empty where it can.
    """

    kind: ClassVar[str] = "rig-file"
    rig: str
    mapping: Mapping[str, Any]
    yaml: str
    notation: str | None
    not_in_notation: str


def file_of(given: str | Mapping[str, Any], *, lay_out: bool = False) -> RigFile:
    """Return a rig as it is written.

    Parameters
    ----------
    given : str or mapping
        A named rig, one-line notation, or what a rig file holds.
    lay_out : bool
        Lay it out on the ground where it has no places.

    Raises
    ------
    Refusal
        It is no rig that can be read, or laid out.

    Examples
    --------
    >>> file_of("two-part", lay_out=True).notation
    '!truck.drum > B1@tree > truck'
    """
    rig = _rig(given)
    plain = dict(given) if isinstance(given, Mapping) else named_mapping(given, rig)
    mapping = laid_out(given) if lay_out else plain
    written = rig if isinstance(given, Mapping) and not lay_out else read_rig(mapping)
    try:
        said, why = notation_of(written), ""
    except RigRefusal as refusal:
        said, why = None, refusal.message
    return RigFile(
        rig=written.name,
        mapping=mapping,
        yaml=rig_yaml(mapping),
        notation=said,
        not_in_notation=why,
        made=Made("read and written again", {}),
    )


def _rig(given: str | Mapping[str, Any]) -> Rig:
    """The rig of a name, a notation or a mapping; never that of a path."""
    if isinstance(given, Mapping):
        return read_rig(given)
    return notation.parse_notation(given) if notation.looks_like_notation(given) else tackles.named_rig(given)
