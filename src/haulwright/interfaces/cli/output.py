"""How a command answers: one record as JSON, or the same record in words; refusals and progress."""

from __future__ import annotations

import json
import sys
from collections.abc import Callable, Iterable
from typing import TYPE_CHECKING, Any, TypeVar

from haulwright.errors import Refusal
from haulwright.notices import Notice
from haulwright.publishing.wording import LEVEL_WORDS, cautions, others
from haulwright.records import Record

if TYPE_CHECKING:
    from rich.console import Console
    from rich.table import Table

R = TypeVar("R", bound=Record)
WIDTH = 108


def emit(record: R, as_json: bool, show: Callable[[Console, R], None]) -> None:
    """Print a record: as JSON, or in words with its notices beneath."""
    if as_json:
        print(json.dumps(record.to_dict(), ensure_ascii=False, allow_nan=False))
        return
    out = console()
    show(out, record)
    notices(out, record.notices)


def refuse(refusal: Refusal, as_json: bool) -> int:
    """Say a refusal, and return the exit code of all refusals."""
    if as_json:
        print(json.dumps(refusal.to_dict(), ensure_ascii=False, allow_nan=False))
    else:
        print(f"Refused ({refusal.code}): {refusal.message}", file=sys.stderr)
    return 2


def console() -> Console:
    """Return the console all words go to; a pipe gets lines of a fixed width."""
    from rich.console import Console

    width = None if sys.stdout.isatty() else WIDTH
    return Console(width=width, highlight=False, emoji=False, markup=False, soft_wrap=False)


def progress(words: str) -> None:
    """Say what is going on, on stderr, where a person watches."""
    if sys.stderr.isatty():
        print(f"  {words}", file=sys.stderr, flush=True)


def table(*columns: str, title: str = "") -> Table:
    """Return an empty table in the house style: hairline under the head, first column left, figures right."""
    from rich import box
    from rich.table import Table

    grid = Table(
        box=box.SIMPLE_HEAD, title=title or None, title_justify="left", title_style="bold", pad_edge=False
    )
    for i, name in enumerate(columns):
        words = name.endswith("<")
        grid.add_column(
            name.rstrip("<"),
            justify="left" if i == 0 or words else "right",
            overflow="fold",
            no_wrap=not (i == 0 or words),
            min_width=8 if i == 0 or words else None,
        )
    return grid


def rows(grid: Table, lines: Iterable[Iterable[Any]]) -> Table:
    """Fill a table."""
    for line in lines:
        grid.add_row(*(str(cell) for cell in line))
    return grid


def notices(out: Console, found: tuple[Notice, ...]) -> None:
    """Print warnings and notes first, then the cautions that always stand with the numbers."""
    for notice in (*others(found), *cautions(found)):
        out.print(
            f"{LEVEL_WORDS[notice.level]}: {notice.message}",
            style="bold" if notice.level == "warning" else None,
        )
