"""A process that is killed in the middle: run as a script, it forks children that work on a book and kills them.

Words: what to do (``import``, ``put`` or ``migrate``), the book, a folder to import, how to kill. ``every:N`` kills a
child before its first commit, the next before its second, then one before its first statement, the next before its
N-th after that, and so on until one comes through; ``random:N`` kills N children after random times. After each, one
line of JSON tells what the child had acknowledged and what the book has.
"""

from __future__ import annotations

import json
import os
import random
import signal
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import sqlalchemy as sa
from alembic import op  # noqa: F401 - loaded once here, not in every child

import haulwright as hw
from haulwright.book import keeping, migrating, state, taking_out, words  # noqa: F401
from haulwright.book import schema as t
from haulwright.book.deposit import tree_sha256
from haulwright.book.opening import opened
from haulwright.book.place import place_of
from haulwright.files import kept  # noqa: F401
from haulwright.kept.documents import put_document
from haulwright.kept.where import Where

WHAT, AT, FOLDER, HOW = (*sys.argv[1:5], "", "", "", "")[:4]


def change(number: int) -> None:
    """Make the folder another one: two logs no import has had, and a line of the sheet."""
    (Path(FOLDER) / "README.md").write_text(f"state {number}\n", "utf-8")
    for name in ("extra-1.bin", "extra-2.bin"):
        (Path(FOLDER) / name).write_bytes(random.Random(f"{name}{number}").randbytes(200_000))


def work(acknowledge: int) -> None:
    """Import again and again, or open an older book; tell each thing that is done."""
    if WHAT == "migrate":
        hw.show_book(AT, migrate=True)
        os.write(acknowledge, b"done\n")
        return
    if WHAT == "put":
        put(acknowledge)
        return
    for _ in range(100 if HOW.startswith("random") else 1):
        number = time.monotonic_ns()
        change(number)
        record = hw.import_to_book(FOLDER, book=AT)
        os.write(acknowledge, f"{record.documents[0].version}\n".encode())


def put(acknowledge: int) -> None:
    """Change a kit again and again; tell each version."""
    with opened(place_of(AT)) as book, book.reading() as connection:
        had = connection.execute(sa.select(sa.func.max(t.versions.c.number))).scalar()
    for _ in range(100 if HOW.startswith("random") else 1):
        content = {"kit": "small", "items": [{"id": f"S-{time.monotonic_ns()}", "kind": "shackle"}]}
        had = put_document(Where(at=AT), "kit", "small", content, version=had).version
        os.write(acknowledge, f"{had}\n".encode())


def die_before(event: str, number: int) -> None:
    """Kill this process before its n-th commit or statement, counted from 0; nothing of it is tidied up."""
    left = number

    def count(*_: object) -> None:
        nonlocal left
        left -= 1
        if left < 0:
            os.kill(os.getpid(), signal.SIGKILL)

    sa.event.listen(sa.Engine, event, count)


def child(point: tuple[str, int] | None, delay_s: float | None) -> tuple[bool, list[str]]:
    """Run one child; return whether it was killed, and what it had acknowledged."""
    read, write = os.pipe()
    number = os.fork()
    if number == 0:
        code = 1
        try:
            if point is not None:
                die_before(*point)
            work(write)
            code = 0
        finally:
            os._exit(code)
    os.close(write)
    first = b""
    if delay_s is not None:
        if WHAT == "put":  # however busy the machine is: in the middle of what follows the first
            first = os.read(read, 1)
        time.sleep(delay_s)
        os.kill(number, signal.SIGKILL)
    with os.fdopen(read) as told:
        acknowledged = (first.decode() + told.read()).split()
    _, status = os.waitpid(number, 0)
    if not os.WIFSIGNALED(status) and os.WEXITSTATUS(status):
        raise SystemExit("the child failed by itself")
    return os.WIFSIGNALED(status), acknowledged


def look() -> dict[str, object]:
    """Return what the book has: opened as anybody would, or as it stands where it is to be migrated by a child."""
    if WHAT == "migrate":
        engine = sa.create_engine(place_of(AT).url or f"sqlite:///{AT}", poolclass=sa.pool.NullPool)
        with engine.connect() as connection:
            tables = set(sa.inspect(connection).get_table_names())
            schema = connection.execute(sa.text(f"SELECT version_num FROM {t.VERSION_TABLE}")).scalar()
            files = connection.execute(sa.select(sa.func.count()).select_from(t.files)).scalar()
            return {"schema": schema, "tables": sorted(tables), "files": files}
    with opened(place_of(AT)) as book, book.reading() as connection:
        told = state.state(book, state.dt.date(2026, 1, 1), verify=True)
        numbers = connection.execute(sa.select(t.versions.c.number).order_by(t.versions.c.id)).scalars().all()
        whole = (
            connection.exec_driver_sql("PRAGMA integrity_check").scalar() if told.engine == "sqlite" else "ok"
        )
        trees: dict[int, dict[str, str | None]] = {}
        for row in connection.execute(sa.select(t.version_files)):
            trees.setdefault(row.version_id, {})[row.path] = row.sha256
        told_trees = connection.execute(sa.select(t.versions.c.id, t.versions.c.tree_sha256)).all()
        torn = [row.id for row in told_trees if tree_sha256(trees.get(row.id, {})) != row.tree_sha256]
        runs = connection.execute(sa.select(sa.func.count()).select_from(t.runs)).scalar()
        torn += [] if WHAT == "put" or runs == len(numbers) else ["runs"]
        return {"torn": torn, "numbers": [*numbers], "damaged": [*told.verified.damaged], "whole": whole}


def rounds() -> Iterator[tuple[tuple[str, int] | None, float | None]]:
    """Yield where, or after how long, each child is killed."""
    word, _, number = HOW.partition(":")
    if word == "random":
        yield from ((None, random.Random(n).uniform(0.0, 0.4)) for n in range(int(number)))
        return
    yield from ((("commit", n), None) for n in range(2))
    yield from ((("before_cursor_execute", n), None) for n in range(0, 10_000, int(number)))


def main() -> None:
    """Kill, look, tell; again and again."""
    for point, delay_s in rounds():
        killed, acknowledged = child(point, delay_s)
        print(json.dumps({"killed": killed, "acknowledged": acknowledged, **look()}), flush=True)
        if not killed and HOW.startswith("every"):
            return


if __name__ == "__main__":
    main()
