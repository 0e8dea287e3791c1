"""A made-up run as CSV files, in the kinds of layout loggers write."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta
from pathlib import Path

import numpy as np

from haulwright.errors import TrialRefusal
from haulwright.trials.simulate.run import SimulatedRun, readings_kgf

_BEGIN = datetime(2024, 5, 14, 10, 12, 0)


def write_run(run: SimulatedRun, folder: Path, name: str, dialect: str = "joint") -> tuple[Path, ...]:
    """Write the log of a made-up run; existing files of that name are replaced.

    Parameters
    ----------
    run : SimulatedRun
    folder : Path
        Must be there.
    name : str
        Stem of the files.
    dialect : str
        ``joint``: one table, elapsed seconds, commas. ``semicolon``: one table, decimal commas, kN.
        ``split``: a file for each cell with ISO stamps. ``long``: a row for each reading with sensor and unit.
        ``whole-seconds``: a file for each cell, stamps cut to the second. ``milliseconds``: a file for each cell,
        milliseconds since its start, lbf.

    Returns
    -------
    tuple of Path
        The line's first.

    Raises
    ------
    TrialRefusal
        UNKNOWN for a dialect there is none of.
    """
    if dialect not in DIALECTS:
        raise TrialRefusal("UNKNOWN", f"No dialect {dialect!r}: there are {', '.join(DIALECTS)}.", (dialect,))
    written = []
    for suffix, rows in DIALECTS[dialect](run).items():
        path = folder / f"{name}{suffix}.csv"
        path.write_text("\n".join(rows) + "\n", encoding="utf-8")
        written.append(path)
    return tuple(written)


def _rows_of_both(run: SimulatedRun) -> list[tuple[float, float | None, float | None]]:
    """Return every reading in order of its stamp; readings of one stamp share a row."""
    table: dict[float, list[float | None]] = {}
    for index, place in enumerate(("line", "anchor")):
        for t, force in zip(*readings_kgf(run, place), strict=True):
            table.setdefault(round(float(t), 3), [None, None])[index] = float(force)
    return [(t, values[0], values[1]) for t, values in sorted(table.items())]


def _text(value: float | None, digits: int, factor: float = 1.0) -> str:
    return "" if value is None else f"{value * factor:.{digits}f}"


def _joint(run: SimulatedRun) -> dict[str, list[str]]:
    rows = [f"{t:.3f},{_text(x, 2)},{_text(y, 2)}" for t, x, y in _rows_of_both(run)]
    return {"": ["time_s,line [kgf],anchor [kgf]", *rows]}


def _semicolon(run: SimulatedRun) -> dict[str, list[str]]:
    rows = [
        f"{t:.3f};{_text(x, 4, 0.00980665)};{_text(y, 4, 0.00980665)}".replace(".", ",")
        for t, x, y in _rows_of_both(run)
    ]
    return {"": ["time_s;line [kN];anchor [kN]", *rows]}


def _per_cell(run: SimulatedRun, header: str, row: Callable[[float, float], str]) -> dict[str, list[str]]:
    files = {}
    for place in ("line", "anchor"):
        times, forces = readings_kgf(run, place)
        files[f"_{place}"] = [
            header.replace("PLACE", place),
            *(row(float(t), float(f)) for t, f in zip(times, forces, strict=True)),
        ]
    return files


def _split(run: SimulatedRun) -> dict[str, list[str]]:
    def row(t: float, force: float) -> str:
        stamp = (_BEGIN + timedelta(seconds=t)).isoformat(sep=" ", timespec="milliseconds")
        return f"{stamp},{force:.2f}"

    return _per_cell(run, "timestamp,PLACE (kgf)", row)


def _whole_seconds(run: SimulatedRun) -> dict[str, list[str]]:
    def row(t: float, force: float) -> str:
        return f"{(_BEGIN + timedelta(seconds=float(np.floor(t)))).isoformat(sep=' ')},{force:.2f}"

    return _per_cell(run, "timestamp,PLACE (kgf)", row)


def _long(run: SimulatedRun) -> dict[str, list[str]]:
    rows = []
    for t, x, y in _rows_of_both(run):
        stamp = (_BEGIN + timedelta(seconds=t)).isoformat(timespec="milliseconds")
        rows += [
            f"{stamp},{place},{value:.2f},kgf"
            for place, value in (("line", x), ("anchor", y))
            if value is not None
        ]
    return {"": ["time,sensor,force,unit", *rows]}


def _milliseconds(run: SimulatedRun) -> dict[str, list[str]]:
    """Each logger counts from its own start, so the clocks differ by what lies between the starts."""
    files = {}
    for place in ("line", "anchor"):
        times, forces = readings_kgf(run, place)
        rows = [
            f"{1000.0 * (t - times[0]):.0f},{force / 0.45359237:.1f}"
            for t, force in zip(times, forces, strict=True)
        ]
        files[f"_{place}"] = [f"time_ms,{place} [lbf]", *rows]
    return files


DIALECTS: dict[str, Callable[[SimulatedRun], dict[str, list[str]]]] = {
    "joint": _joint,
    "semicolon": _semicolon,
    "split": _split,
    "long": _long,
    "whole-seconds": _whole_seconds,
    "milliseconds": _milliseconds,
}
