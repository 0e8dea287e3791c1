"""Options that several commands share: one name, one help text."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from haulwright.errors import UsageRefusal
from haulwright.quantities.measured import Z95, Measured
from haulwright.quantities.numerals import read_number
from haulwright.quantities.units import FORCE_UNITS

AsJson = Annotated[bool, typer.Option("--json", help="Print one JSON record on stdout and nothing else.")]


def _unit(value: str) -> str:
    if value not in FORCE_UNITS:
        raise typer.BadParameter(f"{value!r} is not a unit of force. Give one of {', '.join(FORCE_UNITS)}.")
    return value


Units = Annotated[
    str,
    typer.Option(
        "--units", help=f"Force unit shown: {', '.join(FORCE_UNITS)}.", metavar="UNIT", callback=_unit
    ),
]
Out = Annotated[Path | None, typer.Option("--out", help="Folder for what is written.", metavar="DIR")]
Ratio = Annotated[
    list[str] | None,
    typer.Option(
        "--ratio",
        help="Tension ratio k of every block, or BLOCK=k; 1.10±0.02 carries its interval.",
        metavar="K",
    ),
]
Load = Annotated[
    str | None, typer.Option("--load", help="Resistance of the load, e.g. 26kN or 2600kgf.", metavar="F")
]

Ratios = float | Measured | dict[str, "float | Measured"] | None


def ratios(given: list[str] | None) -> Ratios:
    """Return the tension ratios of ``--ratio``: one for all blocks, or one per block named.

    Raises
    ------
    UsageRefusal
        A value that is no number, or one for all mixed with some by name.

    Examples
    --------
    >>> ratios(["B1=1.1", "B2=1.2"])
    {'B1': 1.1, 'B2': 1.2}
    """
    if not given:
        return None
    named = [text.rpartition("=") for text in given]
    if any(name for name, _, _ in named):
        if not all(name for name, _, _ in named):
            raise UsageRefusal(
                "USAGE", "--ratio: give one K for all blocks, or BLOCK=K for each, not both.", ("--ratio",)
            )
        names = [name for name, _, _ in named]
        if twice := sorted({name for name in names if names.count(name) > 1}):
            raise UsageRefusal("USAGE", f"--ratio {twice[0]} is given twice. Keep one.", ("--ratio",))
        return {name: _ratio(value) for name, _, value in named}
    if len(given) > 1:
        raise UsageRefusal(
            "USAGE", f"--ratio is given {len(given)} times without a block. Write BLOCK=K.", ("--ratio",)
        )
    return _ratio(given[0])


def _ratio(text: str) -> float | Measured:
    value, pm, half = text.replace("+-", "±").partition("±")
    try:
        if not pm:
            return read_number(value)
        width = read_number(half)
        if width < 0:
            raise ValueError
        return Measured.normal(read_number(value), width / Z95)
    except ValueError:
        raise UsageRefusal(
            "USAGE", f"--ratio {text}: expected a number such as 1.08 or 1.08±0.02.", ("--ratio",)
        ) from None


def cells(given: list[str] | None, cell_class: str | None) -> dict[str, dict[str, str]] | None:
    """Return the cells of ``--cell-class`` (both cells) and ``--cell`` (one each).

    Examples
    --------
    >>> cells(["line:class=0.5%,capacity=3t"], None)
    {'line': {'class': '0.5%', 'capacity': '3t'}}
    """
    found: dict[str, dict[str, str]] = {}
    if cell_class is not None:
        found = {place: {"class": cell_class} for place in ("line", "anchor")}
    for text in given or []:
        place, _, rest = text.partition(":")
        pairs = [pair.partition("=") for pair in rest.split(",")]
        keys = [key for key, _, _ in pairs] + list(found.get(place, {}) if not cell_class else ())
        if (
            place not in ("line", "anchor")
            or not all(key and value for key, _, value in pairs)
            or len(set(keys)) < len(keys)
        ):
            raise UsageRefusal(
                "USAGE",
                f"--cell {text}: write line:class=0.5%,of=reading,capacity=3t (or anchor: …), each once.",
                ("--cell",),
            )
        found.setdefault(place, {}).update({key: value for key, _, value in pairs})
    return found or None
