"""On what terms something is kept: who, why, and changed from which version."""

from __future__ import annotations

from dataclasses import dataclass

ANY = -1
"""In place of a version: whichever the book has."""


def quarantine_of(piece: str) -> str:
    """Return what is said to be done when a piece is put out of every plan."""
    return f"quarantine of {piece}"


@dataclass(frozen=True)
class Terms:
    """On what terms documents are kept.

    Attributes
    ----------
    what : str
        What was given, in the user's words.
    who, why : str
        Who does it, and why.
    sure : bool
        The name was given on purpose: it is the same document, whatever they have in common.
    changed_from : int, None or :data:`ANY`
        The version that was read and changed; None: there was none of that name. Where the book has another by now,
        it is refused.
    again : bool
        A new version also where no file changed: something was done that is to be told. Told once more in the same
        words with nothing between, it is the same deed: an answer was lost on its way.
    """

    what: str
    who: str = ""
    why: str = ""
    sure: bool = False
    changed_from: int | None = ANY
    again: bool = False
