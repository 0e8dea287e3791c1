"""The connection to a book, its transactions, and what the database says in words of ours."""

from __future__ import annotations

import contextlib
import re
import sqlite3
from collections.abc import Iterator
from pathlib import Path
from typing import Any, cast
from urllib.parse import quote

import sqlalchemy as sa
from sqlalchemy import event

from haulwright.book.place import Place
from haulwright.errors import BookRefusal

WAIT_s = 10.0
"""How long a write waits for another to end."""
_LOCK = 0x48574278  # of PostgreSQL's advisory locks: one writer at a time, as SQLite has it anyway
_SAID = (
    (r"locked|lock timeout|lock_timeout|canceling statement due to lock", "busy"),
    (r"database or disk is full|No space left", "full"),
    (r"file is not a database", "other"),
    (r"malformed|disk image|corrupt", "damaged"),
    (r"readonly|read-only|attempt to write", "closed"),
    (r"unable to open|disk I/O|permission denied", "closed"),
)


def connect(place: Place, *, create: bool = False) -> sa.Engine:
    """Return the engine of a book; a file that is not there is made only where ``create`` says so.

    Raises
    ------
    BookRefusal
        NO_DRIVER: the driver of PostgreSQL is not installed.
    """
    if place.url is None:
        return _sqlite(place.path or Path(), "rwc" if create else "rw")
    try:
        engine = sa.create_engine(
            place.url,
            connect_args={"connect_timeout": int(WAIT_s), "options": f"-c lock_timeout={int(1000 * WAIT_s)}"},
            poolclass=sa.pool.NullPool,
        )
    except ModuleNotFoundError:
        raise BookRefusal(
            "NO_DRIVER",
            "A book on a PostgreSQL server needs the package psycopg, which is not installed: install psycopg[binary].",
            (place.shown,),
        ) from None
    return engine


def _sqlite(path: Path, mode: str) -> sa.Engine:
    def opened() -> sqlite3.Connection:
        address = f"file:{quote(str(path.absolute()))}?mode={mode}"
        # isolation_level None: the driver begins nothing by itself, so that tables too are made in one transaction
        return sqlite3.connect(
            address, uri=True, timeout=WAIT_s, isolation_level=None, check_same_thread=False
        )

    engine = sa.create_engine("sqlite://", creator=opened, poolclass=sa.pool.NullPool)

    @event.listens_for(engine, "connect")
    def _set(connection: sqlite3.Connection, _: Any) -> None:
        # FULL: what was told to be kept is on the disk, also if the power fails the moment after.
        # A file may come from anybody: nothing in it runs as code.
        for words in ("foreign_keys = ON", "synchronous = FULL", "trusted_schema = OFF"):
            connection.execute(f"PRAGMA {words}")

    @event.listens_for(engine, "begin")
    def _begin(connection: sa.Connection) -> None:
        write = connection.get_execution_options().get("writing", False)
        connection.exec_driver_sql("BEGIN IMMEDIATE" if write else "BEGIN")

    return engine


@contextlib.contextmanager
def reading(engine: sa.Engine, place: Place) -> Iterator[sa.Connection]:
    """Give a connection that sees one state of the book, whatever is written meanwhile."""
    with spoken(place), engine.connect() as connection:
        if place.engine == "postgresql":
            connection = connection.execution_options(isolation_level="REPEATABLE READ")
        with connection.begin():
            yield connection


@contextlib.contextmanager
def writing(engine: sa.Engine, place: Place) -> Iterator[sa.Connection]:
    """Give a connection that alone may write; all it writes is kept at the end, or nothing."""
    with spoken(place), engine.connect() as connection:
        if (
            place.engine == "sqlite"
        ):  # a backup that became the book is one plain file: readers would wait for writers
            cast(sqlite3.Connection, connection.connection.driver_connection).execute(
                "PRAGMA journal_mode = WAL"
            )
        alone = connection.execution_options(writing=True)
        with alone.begin():
            if place.engine == "postgresql":
                alone.execute(sa.text("SELECT pg_advisory_xact_lock(:key)"), {"key": _LOCK})
            yield alone


@contextlib.contextmanager
def spoken(place: Place) -> Iterator[None]:
    """Turn what the database refuses into words of ours.

    Raises
    ------
    BookRefusal
        BUSY, FULL, NOT_A_BOOK, DAMAGED, CLOSED, NO_SERVER or BOOK.
    """
    try:
        yield
    except (
        sa.exc.DBAPIError,
        sqlite3.Error,
        OverflowError,
    ) as error:  # OverflowError: no database holds that number
        raise _refusal(place, error) from None


def _refusal(place: Place, error: Exception) -> BookRefusal:
    said = str(getattr(error, "orig", None) or error)
    kind = next((kind for pattern, kind in _SAID if re.search(pattern, said, re.IGNORECASE)), "")
    where = (place.shown,)
    if kind == "busy":
        text = (
            f"{place.shown}: another program is writing in it (waited {WAIT_s:.0f} s). Try again in a moment."
        )
        return BookRefusal("BUSY", text, where)
    if kind == "full":
        text = f"{place.shown}: the disk is full. Nothing of this was kept; make room and try again."
        return BookRefusal("FULL", text, where)
    if kind == "other":
        return not_a_book(place)
    if kind == "damaged":
        text = f"{place.shown}: the file is damaged. Keep it, and go on with the newest backup."
        return BookRefusal("DAMAGED", text, where)
    if place.url is None and kind == "closed":
        text = (
            f"{place.shown}: cannot be opened or written ({_first(said)}). Check the folder and its rights."
        )
        return BookRefusal("CLOSED", text, where)
    if isinstance(error, sa.exc.OperationalError) and place.url is not None:
        text = f"{place.shown}: the server does not answer, or does not let this user in ({_first(said)})."
        return BookRefusal("NO_SERVER", _hidden(text, place), where)
    text = f"{place.shown}: the database refuses ({_first(said)})."
    return BookRefusal("BOOK", _hidden(text, place), where)


def not_a_book(place: Place) -> BookRefusal:
    """Return the refusal of a database that is something else."""
    return BookRefusal(
        "NOT_A_BOOK",
        f"{place.shown}: this is no book. Give the file or address of one, or make one with 'haulwright book new'.",
        (place.shown,),
    )


def _first(said: str) -> str:
    return (said.splitlines() or [""])[0].strip().rstrip(".")[:200]


def _hidden(text: str, place: Place) -> str:
    secret = None if place.url is None else place.url.password
    return text.replace(str(secret), "***") if secret else text
