"""Templates of pages: names and notes go in as text, and what a template misses is an error."""

from __future__ import annotations

from pathlib import Path

from jinja2 import Environment, FileSystemLoader, StrictUndefined

FOLDER = Path(__file__).with_name("templates")


def templates(folder: Path = FOLDER) -> Environment:
    """Return the templates of a folder; the shared ones unless told."""
    return Environment(
        loader=FileSystemLoader(folder),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
