"""``haulwright check`` and ``haulwright demo``."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

from haulwright import workflows
from haulwright.interfaces.cli import options as o
from haulwright.interfaces.cli.output import emit
from haulwright.interfaces.cli.text_pull import show_check, show_demo


def check(as_json: o.AsJson = False) -> int:
    """Published values against what this copy computes: source, printed, computed, difference, tolerance."""
    record = workflows.published_check()
    emit(record, as_json, show_check)
    return 0 if all(row.ok is not False for row in record.rows) else 1


def demo(
    out: Annotated[Path, typer.Option("--out", help="Folder for what is written.", metavar="DIR")] = Path(
        "haulwright-out"
    ),
    units: o.Units = "kN",
    as_json: o.AsJson = False,
) -> None:
    """The main job on the shipped, invented example: logs in, friction measured, pull planned, card written."""

    def say(words: str) -> None:
        print(f"  {words}", file=sys.stderr, flush=True)

    record = workflows.demo(out, units=units, progress=say)
    emit(record, as_json, lambda screen, result: show_demo(screen, result, units))
