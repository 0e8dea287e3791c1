"""How long work tells what it is at: words, and where it is known the share that is done.

A listener is any callable that takes the words; who only shows words needs to know nothing of shares.
"""

from __future__ import annotations

from collections.abc import Callable

Progress = Callable[[str], None]
"""Is told each step in words; the words may be a :class:`Step`."""


class Step(str):
    """Words about a step that also know how much of the work is done.

    Parameters
    ----------
    words : str
    share : float
        Of the whole work [1], 0 to 1; what lies beyond is taken as the nearer end.

    Examples
    --------
    >>> step = Step("run 3 of 8", 0.25)
    >>> step, step.share
    ('run 3 of 8', 0.25)
    """

    __slots__ = ("share",)
    share: float

    def __new__(cls, words: str, share: float) -> Step:
        """Return the words with their share."""
        step = super().__new__(cls, words)
        step.share = min(max(share, 0.0), 1.0)
        return step


def share_of(words: str) -> float | None:
    """Return the share that words carry; None for words alone.

    Examples
    --------
    >>> share_of(Step("half-way", 0.5)), share_of("somewhere")
    (0.5, None)
    """
    return words.share if isinstance(words, Step) else None


def silent(words: str) -> None:
    """Listen to nothing."""


def within(progress: Progress | None, low: float, high: float) -> Progress:
    """Return a listener for one part of some work: its shares become shares of the whole.

    Parameters
    ----------
    progress : callable or None
        Listens to the whole; None is nobody.
    low, high : float
        Where the part begins and ends [1].

    Examples
    --------
    >>> said = []
    >>> within(said.append, 0.5, 1.0)(Step("run 1 of 2", 0.5))
    >>> said[0].share
    0.75
    """
    if progress is None:
        return silent

    def tell(words: str) -> None:
        share = share_of(words)
        progress(words if share is None else Step(words, low + (high - low) * share))

    return tell
