"""The user's own measured devices: one TOML file in catalogue form, written by a campaign, read by a plan."""

from __future__ import annotations

import difflib
import json
import math
import re
import tomllib
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

from haulwright.catalogue.loading import source_from
from haulwright.catalogue.rows import Row
from haulwright.errors import CatalogueRefusal
from haulwright.quantities.measured import Measured
from haulwright.records import write_whole
from haulwright.sources import Source

_KEYS = ("k", "u", "interval95", "valid_N", "source", "name", "valid", "scatter")
_NEEDED = ("k", "u", "interval95", "valid_N", "source")
_BARE = re.compile(r"^[A-Za-z0-9_-]+$")
_GREATEST_BYTES = 2_000_000
_LINE = re.compile(r"at line (\d+)")


def measured_row(
    id_: str,
    k: Measured,
    valid_N: tuple[float, float],
    source: Source,
    name: str = "",
    scatter: float | None = None,
) -> Row:
    """Return a measured device as a catalogue row.

    Parameters
    ----------
    id_ : str
        Name of the device.
    k : Measured
        Its tension ratio.
    valid_N : (float, float)
        Least and greatest line force of the runs [N].
    source : Source
        The campaign, flag ``measured``.
    name : str
        In words.
    scatter : float, optional
        Standard deviation of ln advantage from set-up to set-up.

    Examples
    --------
    >>> from haulwright.sources import Source
    >>> measured_row("ring-A", Measured.normal(1.3, 0.02), (5e3, 3e4), Source("Campaign", flag="measured")).value
    1.3
    """
    valid = f"this device with the rope tested, {valid_N[0] / 1000:.1f} to {valid_N[1] / 1000:.1f} kN"
    return Row(
        id=id_, name=name or id_, quantity="k", unit="1", valid=valid, source=source,
        value=k.value, lo=k.lo, hi=k.hi, u=k.u, valid_N=valid_N, scatter=scatter,
    )  # fmt: skip


def load_user(path: str | Path) -> dict[str, Row]:
    """Return the devices of a user's ``devices.toml``.

    Parameters
    ----------
    path : str or Path
        File with tables ``[devices.<name>]``: ``k``, ``u``, ``interval95``, ``valid_N``, ``source``, and
        where wanted ``scatter`` (of ln advantage from set-up to set-up), ``name`` and ``valid`` in words.

    Returns
    -------
    dict of Row
        By name.

    Raises
    ------
    CatalogueRefusal
        ``FILE`` (cannot be read), ``TOML`` (with its line), ``MISSING``, ``UNKNOWN_KEY``, ``NUMBER``,
        ``SOURCE`` or ``RATIO``.
    """
    file = Path(path)
    try:
        if file.stat().st_size > _GREATEST_BYTES:
            raise CatalogueRefusal(
                "TOO_LARGE",
                f"Devices file {file} is over 2 MB: give the devices.toml of a campaign.",
                (str(file),),
            )
        data = tomllib.loads(file.read_text(encoding="utf-8-sig"))
    except UnicodeDecodeError as error:
        raise CatalogueRefusal(
            "FILE",
            f"Devices file {file} is not UTF-8 text: give the devices.toml of a campaign.",
            (str(file),),
        ) from error
    except tomllib.TOMLDecodeError as error:
        found = _LINE.search(str(error))
        line = int(found[1]) if found else None
        raise CatalogueRefusal("TOML", f"Devices file {file}: {error}.", (str(file),), line) from error
    except (
        OSError,
        ValueError,
        RecursionError,
    ) as error:  # ValueError: a path no system takes, a huge number
        why = getattr(error, "strerror", None) or error
        raise CatalogueRefusal("FILE", f"Devices file {file} cannot be read: {why}.", (str(file),)) from error
    devices = data.get("devices")
    if not isinstance(devices, dict) or not devices:
        raise CatalogueRefusal(
            "MISSING",
            f"Devices file {file} has no table [devices.<name>]: nothing to take friction from.",
            (str(file),),
        )
    return {name: _device(name, given) for name, given in devices.items()}


def _device(name: str, given: Any) -> Row:
    if not isinstance(given, dict):
        raise CatalogueRefusal("MISSING", f"Device {name!r}: write a table [devices.{name}].", (name,))
    for key in given:
        if key not in _KEYS:
            near = difflib.get_close_matches(key, _KEYS, n=1)
            hint = f" Did you mean {near[0]}?" if near else ""
            raise CatalogueRefusal(
                "UNKNOWN_KEY", f"Device {name!r}: {key!r} is not known.{hint}", (name, key)
            )
    missing = [key for key in _NEEDED if key not in given]
    if missing:
        raise CatalogueRefusal("MISSING", f"Device {name!r} lacks {', '.join(missing)}.", (name, *missing))
    k, u = _number(name, "k", given["k"]), _number(name, "u", given["u"])
    lo, hi = _pair(name, "interval95", given["interval95"])
    low_N, high_N = _pair(name, "valid_N", given["valid_N"])
    if u < 0:
        raise CatalogueRefusal(
            "NUMBER", f"Device {name!r}: u = {u:g}: an uncertainty is 0 or more.", (name, "u")
        )
    scatter = _number(name, "scatter", given["scatter"]) if "scatter" in given else None
    if scatter is not None and not 0.0 <= scatter < 0.5:
        raise CatalogueRefusal(
            "NUMBER", f"Device {name!r}: scatter = {scatter:g}: a fraction from 0 to 0.5.", (name, "scatter")
        )
    for key in ("name", "valid"):
        if not isinstance(given.get(key, ""), str):
            raise CatalogueRefusal(
                "TEXT", f"Device {name!r}: {key} = {given[key]!r}: write it in quotes.", (name, key)
            )
    source = source_from(given["source"], {}, name)
    if not lo <= k <= hi:
        raise CatalogueRefusal(
            "NUMBER", f"Device {name!r}: k = {k:g} is outside {lo:g} … {hi:g}.", (name, "k")
        )
    row = measured_row(name, Measured(k, u, lo, hi), (low_N, high_N), source, given.get("name", ""), scatter)
    return replace(row, valid=given["valid"]) if "valid" in given else row


def _number(name: str, key: str, value: Any) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise CatalogueRefusal("NUMBER", f"Device {name!r}: {key} = {value!r} is not a number.", (name, key))
    try:
        number = float(value)
    except OverflowError:
        number = math.inf
    if not math.isfinite(number):
        raise CatalogueRefusal("NUMBER", f"Device {name!r}: {key} is not a finite number.", (name, key))
    return number


def _pair(name: str, key: str, value: Any) -> tuple[float, float]:
    if not isinstance(value, list) or len(value) != 2:
        raise CatalogueRefusal(
            "NUMBER", f"Device {name!r}: {key} = {value!r}: give two numbers.", (name, key)
        )
    low, high = (_number(name, key, end) for end in value)
    if not low <= high:
        raise CatalogueRefusal(
            "NUMBER", f"Device {name!r}: {key} = {value!r}: the lower comes first.", (name, key)
        )
    return low, high


def dump_devices(devices: Mapping[str, Row], path: str | Path) -> None:
    """Write measured devices as a ``devices.toml`` that :func:`load_user` reads back exactly.

    Parameters
    ----------
    devices : mapping of Row
        Rows of tension ratios with ``u``, interval and ``valid_N`` (see :func:`measured_row`), by name.
    path : str or Path
        File to write.

    Raises
    ------
    CatalogueRefusal
        ``MISSING`` if a row lacks one of these.
    """
    lines = [
        "# Measured friction of blocks and rings; k is the haul-side over the other-side tension, moving."
    ]
    for name, row in devices.items():
        if row.quantity != "k" or row.valid_N is None or None in (row.value, row.lo, row.hi, row.u):
            raise CatalogueRefusal(
                "MISSING", f"Device {name!r} needs k, u, interval and range to be written.", (name,)
            )
        lines += [
            "",
            f"[devices.{_key(name)}]",
            f"name = {_text(row.name)}",
            f"k = {row.value!r}",
            f"u = {row.u!r}",
        ]
        lines += [
            f"interval95 = [{row.lo!r}, {row.hi!r}]",
            f"valid_N = [{row.valid_N[0]!r}, {row.valid_N[1]!r}]",
        ]
        lines += [] if row.scatter is None else [f"scatter = {row.scatter!r}"]
        lines += [f"valid = {_text(row.valid)}", f"source = {_source(row.source)}"]
    write_whole(Path(path), "\n".join(lines) + "\n")


def _source(source: Source) -> str:
    year = "" if source.year is None else f"year = {source.year}, "
    return (
        f"{{title = {_text(source.title)}, place = {_text(source.place)}, {year}flag = {_text(source.flag)}}}"
    )


def _key(name: str) -> str:
    return name if _BARE.match(name) else _text(name)


def _text(text: str) -> str:
    """Return a TOML basic string: JSON's escapes, plus DEL which JSON leaves bare."""
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")
