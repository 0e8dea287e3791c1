"""Readings a caller already holds, as a log: no file, the same chain afterwards."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from haulwright.errors import TrialRefusal
from haulwright.quantities.units import to_si, unit_name
from haulwright.trials.log import Channel, Floats, ForceLog

KEYS = ("time_s", "force", "unit")


def log_from_arrays(readings: Mapping[str, Mapping[str, Any]]) -> ForceLog:
    """Return readings given as ``{"line": {"time_s": […], "force": […], "unit": "kgf"}, "anchor": {…}}`` as a log.

    Parameters
    ----------
    readings : mapping place -> {time_s, force, unit}
        Seconds on each cell's own clock, rising; forces in ``unit``; missing readings as NaN. ``line`` and ``anchor``
        must be there, other places may.

    Returns
    -------
    ForceLog

    Raises
    ------
    TrialRefusal
        READINGS for a place or key that is missing or unknown, lengths that differ, times that do not rise.
    QuantityRefusal
        An unknown unit of force.

    Examples
    --------
    >>> half = {"time_s": [0, 1, 2], "force": [1.0, 2.0, 3.0], "unit": "kN"}
    >>> log_from_arrays({"line": half, "anchor": half}).channels["line"].force_N.tolist()
    [1000.0, 2000.0, 3000.0]
    """
    missing = [place for place in ("line", "anchor") if place not in readings]
    if missing:
        raise TrialRefusal(
            "READINGS",
            f"Readings of {' and '.join(missing)} are missing: give line and anchor.",
            tuple(missing),
        )
    channels = {place: _channel(place, given) for place, given in readings.items()}
    origin = float(channels["line"].time_s[0])
    counted = {
        p: Channel(p, p, c.file, c.unit_read, c.time_s - origin, c.force_N) for p, c in channels.items()
    }
    digest = hashlib.sha256(b"".join(a.tobytes() for c in channels.values() for a in (c.time_s, c.force_N)))
    used = sum(int(c.time_s.size) for c in channels.values())
    blank = sum(len(given["time_s"]) for given in readings.values()) - used
    return ForceLog(
        files=({"path": "readings given by the caller", "sha256": digest.hexdigest()},),
        format={"layout": "arrays", "unit": ", ".join(dict.fromkeys(c.unit_read for c in channels.values()))},
        channels=counted,
        rows={"used": used, "blank": blank},
    )


def _channel(place: str, given: Mapping[str, Any]) -> Channel:
    if not isinstance(given, Mapping) or sorted(given) != sorted(KEYS):
        raise TrialRefusal("READINGS", f"{place}: give {', '.join(KEYS)}, nothing else.", (place,))
    time_s, force = _floats(place, "time_s", given["time_s"]), _floats(place, "force", given["force"])
    if time_s.size != force.size or time_s.size < 2:
        text = f"{place}: {time_s.size} times and {force.size} forces: give as many of each, two or more."
        raise TrialRefusal("READINGS", text, (place,))
    there = np.isfinite(time_s) & np.isfinite(force)
    time_s, force = time_s[there], force[there]
    if time_s.size < 2 or not np.all(np.diff(time_s) > 0.0):
        raise TrialRefusal("READINGS", f"{place}: the times must rise from reading to reading.", (place,))
    unit = str(given["unit"])
    newtons = to_si(1.0, unit, "force", what=f"unit of {place}")
    return Channel(place, place, "readings", unit_name(unit, "force"), time_s, force * newtons)


def _floats(place: str, key: str, values: Sequence[float]) -> Floats:
    try:
        return np.asarray(values, dtype=np.float64).ravel()
    except (TypeError, ValueError):
        raise TrialRefusal("READINGS", f"{place}.{key}: expected a list of numbers.", (place, key)) from None
