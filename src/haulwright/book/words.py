"""What an import brought, in a record and in words."""

from __future__ import annotations

from collections.abc import Sequence

from haulwright.book.opening import Book
from haulwright.book.result import BookImport, KeptDocument
from haulwright.notices import Code, Notice
from haulwright.records import Made

_MOST_NAMED = 5


def import_record(
    book: Book,
    documents: Sequence[KeptDocument],
    *,
    what: str,
    left_out: Sequence[str] = (),
    missing: Sequence[str] = (),
    remarks: Sequence[str] = (),
) -> BookImport:
    """Return the record of an import.

    Parameters
    ----------
    book : Book
    documents : sequence of KeptDocument
    what : str
        What was given, in the user's words.
    left_out, missing : sequence of str
        Files that are not kept; logs that a run sheet names and that are not there yet.
    remarks : sequence of str
        What is kept as bytes alone, as it could not be read.
    """
    notices = [notice for one in documents for notice in _of(one)]
    if missing:
        text = f"{len(missing)} logs of the run sheet are not there yet ({_few(missing)}): import again when they are."
        notices.append(Code.BOOK.notice((*missing,), text=text))
    if left_out:
        text = f"Not kept, as it is made anew at any time: {_few(left_out)}."
        notices.append(Code.BOOK.notice((*left_out,), text=text))
    notices += [Code.BOOK_CONFLICT.notice(text=text) for text in remarks]
    if book.copied is not None:
        text = f"The book was brought to a newer schema; as it was before, it lies beside it as {book.copied.name}."
        notices.append(Code.BOOK.notice(text=text))
    return BookImport(
        book=book.place.shown,
        documents=tuple(documents),
        left_out=tuple(left_out),
        notices=tuple(notices),
        made=Made("kept byte for byte", {"given": what}),
    )


def _of(one: KeptDocument) -> list[Notice]:
    found = []
    if one.files_gone:
        text = f"{one.kind} {one.name}: {_few(one.files_gone)} is not in it any more; the version before still has it."
        found.append(Code.BOOK.notice(one.files_gone, text=text))
    if one.apart:
        text = (
            f"{one.kind} {one.name} went another way in this book: the versions it had not were added behind its own, and "
            f"version {one.version} is current now. Look whether that is the one you want."
        )
        found.append(Code.BOOK_CONFLICT.notice((one.kind, one.name), text=text))
    return found


def _few(names: Sequence[str]) -> str:
    more = f" and {len(names) - _MOST_NAMED} more" if len(names) > _MOST_NAMED else ""
    return ", ".join(names[:_MOST_NAMED]) + more
