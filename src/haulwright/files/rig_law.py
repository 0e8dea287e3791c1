"""Friction laws as a rig file writes them: a law and its numbers, with an interval or a published row where given."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from haulwright.errors import QuantityRefusal, RigRefusal
from haulwright.mechanics.names import nearest
from haulwright.mechanics.published import published_interval, published_law
from haulwright.mechanics.rig import Rig
from haulwright.mechanics.sheave import Law, law_from
from haulwright.mechanics.uncertain import LIMITS, Uncertain
from haulwright.quantities.measured import Z95, Measured
from haulwright.quantities.numerals import read_number

ALL = "*"


def read_law(spec: dict[str, Any], where: str = "sheaves") -> Law:
    """Return the law a rig file describes.

    Parameters
    ----------
    spec : dict
        As :func:`haulwright.mechanics.sheave.law_from` takes it; a number may be text such as ``1.07 ± 0.02``, its 95 %
        interval. ``{law: published, row: api-roller}`` takes a row of the catalogue.
    where : str
        Whose law it is, for the message.

    Raises
    ------
    RigRefusal
        INPUT, RATIO or UNKNOWN.

    Examples
    --------
    >>> read_law({"law": "by-wrap", "k": "1.07 ± 0.02"}).words
    'k 1.07 by wrap (k ± 0.02)'
    >>> round(read_law({"law": "published", "row": "crane-roller"}).ratio(0.0), 4)
    1.0204
    """
    if spec.get("law") == "published":
        return _published(spec, where)
    plain, measured = dict(spec), []
    for key, value in spec.items():
        if key in LIMITS and isinstance(value, str) and ("±" in value or "+-" in value):
            found = _measured(key, value, f"{where}: {key}")
            plain[key] = found.value
            measured.append((key, found))
    law = law_from(plain, where)
    return Uncertain(law, tuple(measured)) if measured else law


def with_laws(rig: Rig, laws: Mapping[str, Mapping[str, Any]]) -> Rig:
    """Return a rig with other laws: by block, or ``*`` for every block.

    Raises
    ------
    RigRefusal
        UNKNOWN for a block that is not in the rig, else as :func:`read_law`.

    Examples
    --------
    >>> from haulwright.mechanics.notation import parse_notation
    >>> rig = with_laws(parse_notation("!truck.drum > tree > truck"), {"tree": {"law": "capstan", "mu": 0.2}})
    >>> rig.blocks["tree"].law.words
    'capstan law, mu 0.2'
    """
    blocks, law = dict(rig.blocks), rig.law
    if ALL in laws:
        law = read_law(dict(laws[ALL]), "law")
        blocks = {name: replace(block, law=None) for name, block in blocks.items()}
    for name, spec in laws.items():
        if name != ALL and name not in blocks:
            known = nearest(name, list(blocks))
            raise RigRefusal("UNKNOWN", f"There is no block {name!r} in this rig.{known}", (name,))
        if name != ALL:
            blocks[name] = replace(blocks[name], law=read_law(dict(spec), name))
    return replace(rig, blocks=blocks, law=law)


def _published(spec: dict[str, Any], where: str) -> Law:
    if set(spec) != {"law", "row"}:
        raise RigRefusal("INPUT", f"{where}: law published takes row, such as row: api-roller.", (where,))
    id_ = str(spec["row"])
    law, interval = published_law(id_, where), published_interval(id_)
    return law if interval is None else Uncertain(law, (("k", interval),))


def _measured(key: str, text: str, what: str) -> Measured:
    """Return a number with its 95 % interval, cut at what the law allows."""
    value, _, half = text.replace("+-", "±").partition("±")
    try:
        found = Measured.normal(read_number(value), read_number(half) / Z95)
    except (QuantityRefusal, ValueError):
        raise RigRefusal(
            "INPUT", f"{what} = {text!r}: expected a number such as 1.07 ± 0.02.", (what,)
        ) from None
    least, most = LIMITS[key]
    return Measured(
        found.value, found.u, min(max(found.lo, least), found.value), max(min(found.hi, most), found.value)
    )
