"""Books as earlier schemas had them, with rows in every table that schema had."""

import sqlalchemy as sa

from haulwright.book.connecting import connect, writing
from haulwright.book.deposit import tree_sha256
from haulwright.book.history import write_histories
from haulwright.book.migrating import run_steps
from haulwright.book.place import place_of
from haulwright.book.schema import APPLICATION_ID
from haulwright.files.kept import read_kept

SOFTWARE = "0.0.9"


def make_old_book(at, schema, given):
    """Make a book of an earlier schema and keep documents in it the way that schema did; ``given`` are paths in order."""
    place = place_of(at)
    engine = connect(place, create=True)
    try:
        with writing(engine, place) as connection:
            run_steps(connection, schema)
            tables = sa.MetaData()
            tables.reflect(bind=connection)
            for number, path in enumerate(given, 1):
                _keep(connection, tables.tables, number, read_kept(path))
        if place.path is not None:
            with engine.connect() as connection:
                connection.connection.driver_connection.execute(f"PRAGMA application_id = {APPLICATION_ID}")
                connection.connection.driver_connection.execute("PRAGMA journal_mode = WAL")
    finally:
        engine.dispose()


def _keep(connection, tables, number, kept):
    def insert(name, row):
        return connection.execute(tables[name].insert().values(**row)).inserted_primary_key[0]

    at = f"2025-01-{number:02d}T10:00:00+00:00"
    entry = insert("imports", {"at": at, "what": kept.stored_as, "who": "Kim", "software": SOFTWARE})
    held = tables["documents"]
    same = (held.c.kind == kept.kind) & (held.c.name == kept.name)
    document = connection.execute(sa.select(held.c.id).where(same)).scalar()
    if document is None:
        document = insert("documents", {"kind": kept.kind, "name": kept.name, "stored_as": kept.stored_as})
    versions = tables["versions"]
    had = connection.execute(
        sa.select(sa.func.count()).select_from(versions).where(versions.c.document_id == document)
    ).scalar()
    tree = {one.path: one.sha256 for one in kept.files}
    row = {"document_id": document, "number": had + 1, "import_id": entry, "marks": list(kept.marks)}
    version = insert("versions", {**row, "tree_sha256": tree_sha256(tree)})
    for one in kept.files:
        files = tables["files"]
        if connection.execute(sa.select(files.c.size).where(files.c.sha256 == one.sha256)).first() is None:
            insert("files", {"sha256": one.sha256, "size": one.size, "content": one.read()})
        insert("version_files", {"version_id": version, "path": one.path, "sha256": one.sha256})
    for name, rows in kept.facts.items():
        for fact in rows if name in tables else ():
            insert(name, {"version_id": version, **fact})
    if "inspections" in tables:  # since 0002
        write_histories(connection, document, entry, kept.facts)
