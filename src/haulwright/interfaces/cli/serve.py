"""``haulwright serve``: the verbs over HTTP on this machine."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer


def serve(
    port: Annotated[
        int, typer.Option("--port", help="Port; 0 takes any free one.", min=0, max=65535, metavar="N")
    ] = 8765,
    campaign: Annotated[
        list[Path] | None,
        typer.Option("--campaign", help="Campaign folder to serve by its name. Repeat it.", metavar="DIR"),
    ] = None,
    book: Annotated[
        str | None,
        typer.Option(
            "--book",
            help="The book: a file or postgresql:// address; else HAULWRIGHT_BOOK, else the user's data folder. Made on "
            "first use.",
            metavar="BOOK",
        ),
    ] = None,
    open_to_network: Annotated[
        bool,
        typer.Option(
            "--open-to-network", help="Let devices of the local network in, each by a code shown here."
        ),
    ] = False,
    get: Annotated[
        str | None,
        typer.Option(
            "--get", help="Print one answer's raw body and end, without a socket: /api/rigs.", metavar="PATH"
        ),
    ] = None,
) -> int:
    """The verbs over HTTP on this machine, the same records as --json; a plain first page lists the routes.

    Binds 127.0.0.1 only. Exit 2 with --get: refused, the refusal's record is printed.
    """
    from haulwright.interfaces.web.settings import Settings, book_place, named_campaigns

    settings = Settings(
        campaigns=named_campaigns(campaign or ()), open_to_network=open_to_network, book=book_place(book)
    )
    if get is None:
        from haulwright.interfaces.web.listen import listen

        listen(settings, port, lambda words: print(words, file=sys.stderr, flush=True))
        return 0
    from haulwright.interfaces.web.once import get as answered

    said = answered(get, settings)
    sys.stdout.flush()
    sys.stdout.buffer.write(said.body)
    sys.stdout.buffer.flush()
    return 0 if said.status < 400 else 2
