"""From an older schema to the newest: a copy first, then every step in one transaction."""

from __future__ import annotations

import logging
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import sqlalchemy as sa

from haulwright.book.backup import copy_file
from haulwright.book.connecting import not_a_book, reading, writing
from haulwright.book.place import Place
from haulwright.book.schema import SCHEMAS, VERSION_TABLE, metadata, schema_steps
from haulwright.errors import BookRefusal
from haulwright.version import __version__

SCRIPTS = Path(__file__).parent / "migrations"


def schema_of(connection: sa.Connection) -> str | None:
    """Return the schema a database has, None where it has none of ours."""
    if not sa.inspect(connection).has_table(VERSION_TABLE):
        return None
    found = connection.execute(sa.text(f"SELECT version_num FROM {VERSION_TABLE}")).scalars().all()
    return str(found[0]) if len(found) == 1 else None


def run_steps(connection: sa.Connection, to: str = "head") -> None:
    """Run the steps from the schema a database has to another, within the transaction of the connection."""
    from alembic.config import Config
    from alembic.runtime.environment import EnvironmentContext
    from alembic.script import ScriptDirectory

    scripts = ScriptDirectory(str(SCRIPTS), version_locations=[str(SCRIPTS)])

    def steps(revision: Any, _: Any) -> Any:
        return scripts._upgrade_revs(to, revision)

    logging.getLogger("alembic").setLevel(logging.WARNING)
    before = schema_of(connection)
    with EnvironmentContext(Config(), scripts, fn=steps) as environment:
        environment.configure(connection=connection, version_table=VERSION_TABLE)
        with environment.begin_transaction():
            environment.run_migrations()
    done = SCHEMAS[SCHEMAS.index(before) + 1 if before else 0 :]
    when = now()
    for revision in done if to == "head" else done[: done.index(to) + 1]:
        row = {"revision": revision, "at": when, "software": __version__}
        connection.execute(schema_steps.insert(), [row])


def now() -> str:
    """Return the present time, UTC, as it is written in the book."""
    return datetime.now(UTC).isoformat(timespec="seconds")


def up_to_date(engine: sa.Engine, place: Place, *, migrate: bool = False) -> Path | None:
    """Bring a book to the newest schema.

    Parameters
    ----------
    engine : sqlalchemy.Engine
    place : Place
    migrate : bool
        On a server: go on, a backup having been taken with the server's own tool. A file is copied before.

    Returns
    -------
    Path or None
        The copy that was made before, where one was needed.

    Raises
    ------
    BookRefusal
        NOT_A_BOOK; NEWER_BOOK, by the version that made it; OLDER_BOOK on a server, unless told to go on.
    """
    with reading(engine, place) as connection:
        if _known(connection, place) == SCHEMAS[-1]:
            return None
    with writing(engine, place) as connection:
        schema = _known(connection, place)  # another may have done it meanwhile
        if schema == SCHEMAS[-1]:
            return None
        copy = None
        if place.path is not None:
            copy = copy_file(
                place.path, beside(place.path, schema)
            )  # of the last state kept; nobody writes now
        elif not migrate:
            raise BookRefusal(
                "OLDER_BOOK",
                f"{place.shown} has schema {schema}, this copy writes {SCHEMAS[-1]}. Take a backup with the server's own tool "
                "(pg_dump), then run 'haulwright book show --migrate' once. Older copies cannot open it after that.",
                (place.shown,),
            )
        run_steps(connection)
    return copy


def beside(path: Path, schema: str) -> Path:
    """Return a name for the copy of a book before a migration that no file has yet."""
    for n in range(1, 10_000):
        found = path.with_name(f"{path.name}.schema-{schema}{'' if n == 1 else f'-{n}'}.backup")
        if not found.exists():
            return found
    raise BookRefusal(
        "EXISTS", f"{path.parent}: too many backups of {path.name}. Move them away.", (str(path),)
    )


def _known(connection: sa.Connection, place: Place) -> str:
    """Return the schema of a book that this copy knows."""
    schema = schema_of(connection)
    if schema is None or not sa.inspect(connection).has_table(schema_steps.name):
        raise not_a_book(place)
    if schema not in SCHEMAS:
        last = connection.execute(
            sa.select(schema_steps.c.software).order_by(schema_steps.c.id.desc())
        ).scalars()
        raise BookRefusal(
            "NEWER_BOOK",
            f"{place.shown} has schema {schema}, written by Haulwright {last.first() or 'of a later version'}; this copy "
            f"({__version__}) knows up to {SCHEMAS[-1]}. Bring Haulwright up to date; the book was not touched.",
            (place.shown,),
        )
    return schema


def taken(connection: sa.Connection) -> list[str]:
    """Return the names of our tables that a database has already."""
    names = {*metadata.tables, VERSION_TABLE}
    return sorted(names & set(sa.inspect(connection).get_table_names()))
