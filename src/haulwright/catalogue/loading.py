"""Read the catalogue's own tables."""

from __future__ import annotations

import difflib
import tomllib
from collections.abc import Mapping
from functools import cache
from importlib.resources import files
from types import MappingProxyType
from typing import Any

from haulwright.catalogue.rows import Row
from haulwright.errors import CatalogueRefusal
from haulwright.sources import Source

NAMES = ("sheaves", "surfaces", "friction", "anchors", "shackles", "slings", "wire_rope", "fibre", "rules")
_OWN = (
    "name",
    "quantity",
    "unit",
    "valid",
    "value",
    "lo",
    "hi",
    "u",
    "points",
    "x_unit",
    "family",
    "valid_N",
)


def read_toml(name: str) -> dict[str, Any]:
    """Return a table of the package, e.g. ``published/tackle`` as plain mappings."""
    text = files("haulwright.catalogue").joinpath(f"{name}.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)


def source_from(given: Any, shared: Mapping[str, Any], where: str) -> Source:
    """Return the source of a row; ``of`` names one of the file's shared sources and may be narrowed.

    Raises
    ------
    CatalogueRefusal
        ``SOURCE`` if there is none, or it names an unknown one.

    Examples
    --------
    >>> source_from({"of": "gum", "place": "7.2.6"}, {"gum": {"title": "JCGM 100:2008"}}, "row").cite()
    'JCGM 100:2008, 7.2.6'
    """
    if not isinstance(given, Mapping):
        raise CatalogueRefusal(
            "SOURCE", f"Row {where!r} has no source: give title, place, year and flag.", (where,)
        )
    own = dict(given)
    of = own.pop("of", None)
    if of is not None and of not in shared:
        raise CatalogueRefusal("SOURCE", f"Row {where!r}: source {of!r} is not in this file.", (where,))
    merged = {**(shared[of] if of is not None else {}), **own}
    unknown = set(merged) - {"title", "place", "year", "flag"}
    if unknown or "title" not in merged:
        raise CatalogueRefusal(
            "SOURCE",
            f"Row {where!r}: a source has title, place, year and flag, not {', '.join(merged)}.",
            (where,),
        )
    return Source(**merged)


def row_from(id_: str, given: Mapping[str, Any], shared: Mapping[str, Any]) -> Row:
    """Return one row of a table."""
    source = source_from(given.get("source"), shared, id_)
    missing = [key for key in ("name", "quantity", "unit", "valid") if key not in given]
    if missing:
        raise CatalogueRefusal("MISSING", f"Row {id_!r} lacks {', '.join(missing)}.", (id_,))
    own = {key: given[key] for key in _OWN if key in given}
    for key in ("value", "lo", "hi", "u"):
        if key in own:
            own[key] = float(own[key])
    if "points" in own:
        own["points"] = tuple((float(x), float(y)) for x, y in own["points"])
    if "valid_N" in own:
        own["valid_N"] = (float(own["valid_N"][0]), float(own["valid_N"][1]))
    extra = {key: value for key, value in given.items() if key not in (*_OWN, "source")}
    return Row(id=id_, source=source, extra=MappingProxyType(extra), **own)


@cache
def _load(name: str) -> Mapping[str, Row]:
    if name not in NAMES:
        raise CatalogueRefusal(
            "UNKNOWN", f"There is no catalogue table {name!r}. Tables: {', '.join(NAMES)}.", (name,)
        )
    data = read_toml(name)
    shared = data.get("sources", {})
    return MappingProxyType({id_: row_from(id_, given, shared) for id_, given in data["rows"].items()})


def load(name: str) -> dict[str, Row]:
    """Return all rows of one table, by id.

    Parameters
    ----------
    name : str
        One of :data:`NAMES`.

    Raises
    ------
    CatalogueRefusal
        ``UNKNOWN`` for another name; a row's own fault otherwise.

    Examples
    --------
    >>> load("sheaves")["api-roller"].value
    1.04
    """
    return dict(_load(name))


def row(name: str, id_: str) -> Row:
    """Return one row of one table.

    Raises
    ------
    CatalogueRefusal
        ``UNKNOWN``, with the nearest spelling.

    Examples
    --------
    >>> row("rules", "tight-share").si
    0.8
    """
    rows = _load(name)
    if id_ not in rows:
        near = difflib.get_close_matches(id_, rows, n=1)
        hint = f" Did you mean {near[0]!r}?" if near else ""
        raise CatalogueRefusal(
            "UNKNOWN", f"There is no row {id_!r} in {name}.{hint} Rows: {', '.join(rows)}.", (name, id_)
        )
    return rows[id_]
