"""Making a book, and opening one."""

from __future__ import annotations

import contextlib
import os
import sqlite3
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import cast

import sqlalchemy as sa

from haulwright.book.backup import clear_leftovers, fresh_file
from haulwright.book.connecting import connect, not_a_book, reading, spoken, writing
from haulwright.book.migrating import run_steps, taken, up_to_date
from haulwright.book.place import Place
from haulwright.book.schema import APPLICATION_ID
from haulwright.errors import BookRefusal


@dataclass(frozen=True)
class Book:
    """An opened book.

    Attributes
    ----------
    place : Place
    engine : sqlalchemy.Engine
    copied : Path or None
        The copy that was made before it was brought to the newest schema.
    """

    place: Place
    engine: sa.Engine
    copied: Path | None = None

    @contextlib.contextmanager
    def reading(self) -> Iterator[sa.Connection]:
        """Give a connection that sees one state of the book."""
        with reading(self.engine, self.place) as connection:
            yield connection

    @contextlib.contextmanager
    def writing(self) -> Iterator[sa.Connection]:
        """Give a connection that alone may write: all of it is kept at the end, or nothing."""
        with writing(self.engine, self.place) as connection:
            yield connection


def new_book(place: Place) -> None:
    """Make an empty book where there is none.

    Raises
    ------
    BookRefusal
        EXISTS where there is a file, or a database that has tables of these names.
    """
    if place.path is None:
        with _engine(place) as engine, writing(engine, place) as connection:
            if clash := taken(connection):
                raise BookRefusal(
                    "EXISTS",
                    f"{place.shown} has tables of a book already ({', '.join(clash[:3])}): nothing was changed. Give a database "
                    "of its own.",
                    (place.shown,),
                )
            run_steps(connection)
        return
    with fresh_file(place.path) as part:
        made = Place(path=part)
        with _engine(made, create=True) as engine:
            with engine.connect() as bare:
                mark = f"PRAGMA application_id = {APPLICATION_ID}"
                cast(sqlite3.Connection, bare.connection.driver_connection).execute(mark)
            with writing(engine, made) as connection:
                run_steps(connection)


@contextlib.contextmanager
def opened(place: Place, *, migrate: bool = False) -> Iterator[Book]:
    """Open a book, bring it to the newest schema if it is older, and close it at the end.

    Raises
    ------
    BookRefusal
        NO_BOOK; NOT_A_BOOK; and as :func:`haulwright.book.migrating.up_to_date`.
    """
    found = looked_at(place)
    if found.path is not None:
        clear_leftovers(found.path)
    with _engine(found) as engine:
        yield Book(place, engine, up_to_date(engine, place, migrate=migrate))


def made_on_first_use(place: Place) -> None:
    """Make an empty book where there is none yet; one that is there is left as it is.

    Raises
    ------
    BookRefusal
        As :func:`new_book`, but for a book that another made meanwhile.
    """
    if place.path is not None:
        if os.path.lexists(place.path):
            return
    else:
        with _engine(place) as engine, reading(engine, place) as connection:
            if taken(connection):
                return
    try:
        new_book(place)
    except BookRefusal as refusal:
        if refusal.code != "EXISTS":
            raise


def looked_at(place: Place) -> Place:
    """Return the place of a book; a file that is not there, or is none, is refused before the database touches it.

    Raises
    ------
    BookRefusal
        NO_BOOK, NOT_A_BOOK or CLOSED.
    """
    path = place.path
    if path is None:
        return place
    try:
        if not path.is_file():
            raise BookRefusal(
                "NO_BOOK",
                f"{path}: there is no book. Make one with 'haulwright book new', or say where it lies with --book.",
                (str(path),),
            )
        with path.open("rb") as file:
            head = file.read(100)
    except (OSError, ValueError) as error:
        if isinstance(error, BookRefusal):
            raise
        why = getattr(error, "strerror", None) or error
        raise BookRefusal("CLOSED", f"{path}: cannot be read ({why}).", (str(path),)) from None
    if head[:16] != b"SQLite format 3\0" or head[68:72] != APPLICATION_ID.to_bytes(4, "big"):
        raise not_a_book(place)
    return place


@contextlib.contextmanager
def _engine(place: Place, *, create: bool = False) -> Iterator[sa.Engine]:
    engine = connect(place, create=create)
    try:
        with spoken(place):
            yield engine
    finally:
        engine.dispose()
