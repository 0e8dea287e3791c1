"""Write ``docs/commands.md`` from the command line's own ``--help``: ``python docs/make_commands.py``."""

from __future__ import annotations

import contextlib
import io
import os
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import typer

from haulwright.interfaces.cli.main import app, main

PAGE = Path(__file__).with_name("commands.md")
HEAD = """\
# Commands

This page is written by `docs/make_commands.py` from what `--help` prints; change the help text, not the page.

- `--json` prints one record and nothing else; its keys are in [records.md](records.md).
- `--units` changes what is shown, never what is in the JSON (always SI) nor what may be typed: every force that is
  typed carries its own unit, such as `26kN`, `2600kgf` or `9500lbf`.
- Exit code 0: done. 1: done, and the chosen rig's verdict is over or unknown, a published value or a number of open
  data differs, or a file of a book is not what it was. 2: refused, with one sentence on stderr, or with `--json` the
  refusal as a record on stdout. 130: stopped by hand.
- Refusals are explained in [refusals.md](refusals.md), files in [files.md](files.md).
- From a checkout, `python3 start.py` in place of `haulwright` sets up first and then does the same.
"""


def commands() -> Iterator[tuple[str, ...]]:
    """Yield the words of every command, groups before what is in them."""
    yield ()
    yield from _below(typer.main.get_command(app), ())


def _below(command: Any, words: tuple[str, ...]) -> Iterator[tuple[str, ...]]:
    for name, one in getattr(command, "commands", {}).items():
        yield (*words, name)
        yield from _below(one, (*words, name))


def help_text(words: tuple[str, ...]) -> str:
    """Return what ``haulwright … --help`` prints on a screen of 80 columns."""
    out, before = io.StringIO(), os.environ.get("COLUMNS")
    os.environ["COLUMNS"] = "80"
    try:
        with contextlib.redirect_stdout(out):
            main([*words, "--help"])
    finally:
        if before is None:
            del os.environ["COLUMNS"]
        else:
            os.environ["COLUMNS"] = before
    return "\n".join(line.rstrip() for line in out.getvalue().strip("\n").splitlines())


def page() -> str:
    """Return the page."""
    sections = [HEAD]
    for words in commands():
        level = "##" if len(words) < 2 else "###"
        sections.append(
            f"{level} haulwright {' '.join(words)}".rstrip() + f"\n\n```text\n{help_text(words)}\n```\n"
        )
    return "\n".join(sections)


if __name__ == "__main__":
    PAGE.write_text(page(), encoding="utf-8")
