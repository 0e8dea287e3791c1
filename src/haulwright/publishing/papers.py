"""The papers a card is laid out for, and what it can be written as."""

from __future__ import annotations

from typing import Final, Literal

Format = Literal["pdf", "svg", "png"]
PAPERS: Final = ("a6", "a5", "a4", "letter", "a6x4", "a6x2")
"""A page of its own; ``a6x4``: four A6 cards on an A4 sheet to cut; ``a6x2``: two on a US letter sheet, on its side."""
FORMATS: Final[tuple[Format, ...]] = ("pdf", "svg", "png")
