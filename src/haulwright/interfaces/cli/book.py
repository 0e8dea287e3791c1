"""``haulwright book``: what is kept, byte for byte, over the years."""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from typing import Annotated

import typer

from haulwright import workflows
from haulwright.interfaces.cli import options as o
from haulwright.interfaces.cli.output import emit
from haulwright.interfaces.cli.text_book import show_book, show_import
from haulwright.interfaces.cli.text_pull import show_files

app = typer.Typer(
    help="The book: kit, cells, campaigns, devices and pulls, every file byte for byte.",
    rich_markup_mode=None,
)
BookAt = Annotated[
    str | None,
    typer.Option(
        "--book",
        help="File or postgresql:// address; else HAULWRIGHT_BOOK, else the user's data folder.",
        metavar="BOOK",
    ),
]


@app.command()
def new(
    at: Annotated[
        str | None,
        typer.Argument(
            help="File or postgresql:// address; else HAULWRIGHT_BOOK, else the user's data folder.",
            metavar="PATH_OR_URL",
            show_default=False,
        ),
    ] = None,
    as_json: o.AsJson = False,
) -> None:
    """Make an empty book. Nothing that is there is overwritten."""
    emit(workflows.new_book(at), as_json, show_book)


@app.command()
def show(
    book: BookAt = None,
    day: Annotated[
        dt.datetime | None,
        typer.Option(
            "--day", formats=["%Y-%m-%d"], help="Day the due dates are held against; today.", metavar="DATE"
        ),
    ] = None,
    verify: Annotated[
        bool, typer.Option("--verify", help="Read every file back and compare its hash.")
    ] = False,
    migrate: Annotated[
        bool,
        typer.Option("--migrate", help="On a server: bring an older book up to date, once it is backed up."),
    ] = False,
    as_json: o.AsJson = False,
) -> int:
    """What the book holds: counts, what is due, quarantine, last import. --json has friction, decisions, pulls too.

    Exit 1: with --verify, a file is not what it was.
    """
    record = workflows.show_book(
        book, day=None if day is None else day.date(), verify=verify, migrate=migrate
    )
    emit(record, as_json, show_book)
    return workflows.book_exit_code(record)


@app.command("import")
def import_(
    given: Annotated[
        Path,
        typer.Argument(
            help="Campaign folder or its open data, kit, pull (with its .seen.yaml), devices.toml, what export all wrote; "
            "or a zip.",
            metavar="FOLDER_OR_FILE",
        ),
    ],
    book: BookAt = None,
    name: Annotated[
        str | None,
        typer.Option("--as", help="Name it is kept under, in place of its own.", metavar="NAME"),
    ] = None,
    by: Annotated[str, typer.Option("--by", help="Who imports it.", metavar="NAME")] = "",
    as_json: o.AsJson = False,
) -> None:
    """Keep a folder or file, byte for byte.

    Twice the same is kept once. What changed becomes a new version; the earlier one stays and can be had again.
    """
    emit(workflows.import_to_book(given, book=book, name=name, by=by), as_json, show_import)


@app.command()
def export(
    name: Annotated[
        str,
        typer.Argument(help="Name of a campaign, kit, pull or devices file; or all.", metavar="CAMPAIGN"),
    ],
    out: Annotated[
        Path, typer.Option("--out", help="Folder it is written into; nothing is overwritten.", metavar="DIR")
    ],
    version: Annotated[int | None, typer.Option("--version", help="An earlier version.", metavar="N")] = None,
    book: BookAt = None,
    as_json: o.AsJson = False,
) -> None:
    """Write a campaign folder (or kit, pull, devices file) as it came in, byte for byte; or all, with every version."""
    emit(workflows.export_book(name, out, book=book, version=version), as_json, show_files)


@app.command()
def backup(
    out: Annotated[Path, typer.Option("--out", help="File that is not there yet.", metavar="FILE")],
    book: BookAt = None,
    as_json: o.AsJson = False,
) -> None:
    """Copy a book that is a file, while it is in use. Copying the file by hand can miss what was written last."""
    emit(workflows.backup_book(out, book=book), as_json, show_files)
