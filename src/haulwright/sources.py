"""Where a number comes from."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Source:
    """The published or measured origin of a number.

    Attributes
    ----------
    title : str
        Document, standard, handbook or campaign of pull tests.
    place : str
        Table, page, clause or run; may be empty.
    year : int or None
        Year of issue.
    flag : str
        ``found`` (read in the source), ``derived`` (computed from a stated formula), ``memory`` (recalled, check
        before quoting), ``common-practice`` (the trade's habit, no source), ``measured`` (by the user).

    Examples
    --------
    >>> Source("Wire Rope Users Manual, 4th ed.", place="p. 88").cite()
    'Wire Rope Users Manual, 4th ed., p. 88'
    """

    title: str
    place: str = ""
    year: int | None = None
    flag: str = "found"

    def cite(self) -> str:
        """Return the one-line citation, with its flag where it is not a plain find."""
        text = ", ".join(str(part) for part in (self.title, self.place, self.year) if part)
        words = {
            "memory": " (from memory, check before quoting)",
            "common-practice": " (common practice, no source)",
        }
        return text + words.get(self.flag, "")


FLAGS = ("found", "derived", "memory", "common-practice", "measured")
