"""A stuck vehicle read for its resistance: from a whole pull, or from its vehicle and ground alone."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from haulwright.field.own_pulls import SeenPull
from haulwright.files.pull import read_pull
from haulwright.files.stuck import Ground, Stuck, StuckFile
from haulwright.files.yamlfile import load_yaml, validate_mapping

_OF_A_PULL = ("site", "winch", "kit")


def read_stuck(
    source: str | Path | Mapping[str, Any],
) -> tuple[str, Stuck, Ground, str | None, tuple[SeenPull, ...]]:
    """Return name, vehicle, ground, rule named and own pulls.

    Parameters
    ----------
    source : path or mapping
        A pull; or only ``vehicle`` and ``ground`` (and ``pull``, ``rule``), where it has no site, winch or kit.

    Returns
    -------
    tuple

    Raises
    ------
    FileRefusal
        A file or mapping that is wrong, with line and nearest spelling.
    """
    doc = source if isinstance(source, Mapping) else load_yaml(source)
    if doc and any(key in doc for key in _OF_A_PULL):
        pull = read_pull(source)
        return pull.name, pull.vehicle, pull.ground, pull.rule, pull.own
    what = "stuck vehicle" if isinstance(source, Mapping) else Path(source).name
    alone = validate_mapping(doc, StuckFile, what)
    return alone.pull, alone.vehicle, alone.ground, alone.rule, ()
