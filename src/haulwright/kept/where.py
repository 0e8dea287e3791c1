"""Which book is meant: the user's own, made when it is first used, or the one beside it that holds the invented examples."""

from __future__ import annotations

import contextlib
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from haulwright.book.backup import fresh_file
from haulwright.book.keeping import keep
from haulwright.book.opening import Book, made_on_first_use, new_book, opened
from haulwright.book.place import Place, default_path, place_of
from haulwright.book.terms import Terms
from haulwright.errors import BookRefusal, UsageRefusal
from haulwright.files.kept import read_kept
from haulwright.kept.examples import examples
from haulwright.kept.handing import deposit_of

OWN, DEMO = "own", "demo"
_DEMO_FILES = ("demo.sqlite", "invented.sqlite")


@dataclass(frozen=True)
class Where:
    """A book.

    Attributes
    ----------
    which : str
        ``own`` or ``demo``.
    at : str or None
        File or address of the own one; None: as the command line finds it.
    """

    which: str = OWN
    at: str | None = None

    @property
    def place(self) -> Place:
        """Return where it lies.

        Raises
        ------
        UsageRefusal
            VALUE: no book of that word.
        """
        own = place_of(self.at)
        if self.which == OWN:
            return own
        if self.which != DEMO:
            raise UsageRefusal("VALUE", f"book = {self.which!r}: expected own or demo.", ("book",))
        beside = own.path or default_path()
        name = next(name for name in _DEMO_FILES if name != beside.name)
        return Place(path=beside.with_name(name))

    @property
    def work(self) -> Path:
        """Return the folder its campaigns are worked on in: what is in it can be made anew at any time."""
        path = self.place.path or default_path()
        return path.with_name(f"{path.name}.work")


@contextlib.contextmanager
def book_of(where: Where) -> Iterator[Book]:
    """Open a book; one that is not there yet is made first.

    Raises
    ------
    BookRefusal
        As :func:`haulwright.book.opening.opened`.
    """
    place = where.place
    if where.which == DEMO:
        _fill_demo(place)
    else:
        made_on_first_use(place)
    with opened(place) as book:
        yield book


def _fill_demo(place: Place) -> None:
    """Make the book of the invented examples, whole or not at all, where it is not there."""
    path = place.path
    if path is None or path.exists():
        return
    folder = examples()
    given = [folder / "campaign", *sorted(folder.glob("*kit.yaml")), *sorted(folder.glob("pulls/*.yaml"))]
    given += sorted(folder.glob("rigs/*.yaml"))
    documents = [[deposit_of(read_kept(one))] for one in given]
    try:
        with fresh_file(path) as part:
            new_book(Place(path=part))
            with opened(Place(path=part)) as book:
                keep(book, documents, Terms("the shipped examples", why="Invented: nothing here is real."))
    except BookRefusal as refusal:
        if refusal.code != "EXISTS":  # another made it meanwhile
            raise
