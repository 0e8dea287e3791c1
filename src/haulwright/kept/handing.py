"""What a reader of files hands to a book to be kept."""

from __future__ import annotations

from haulwright.book.deposit import Deposit, GivenFile, Told
from haulwright.files.kept import Kept


def deposit_of(kept: Kept) -> Deposit:
    """Return what was read as a book takes it in."""
    return Deposit(
        kind=kept.kind,
        name=kept.name,
        stored_as=kept.stored_as,
        files=tuple(GivenFile(one.path, one.sha256, one.size, one.read) for one in kept.files),
        folders=kept.folders,
        facts=kept.facts,
        marks=kept.marks,
        told=None if kept.told is None else Told(*kept.told),
    )
