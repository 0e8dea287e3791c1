"""The exception tree: everything Haulwright refuses, and how it says so.

::

    HaulwrightError
    └── Refusal(ValueError)         an input was read and cannot be used; carries code, where, line
        ├── QuantityRefusal         a number or unit that is wrong or can be read two ways
        ├── CatalogueRefusal        a catalogue or devices file row that is incomplete or out of range
        ├── FileRefusal             a user's file: missing, unreadable, unknown key, wrong value
        ├── RigRefusal              a rig that cannot work, or cannot be solved
        ├── TrialRefusal            a log or run from which no honest number can be had
        ├── PlanRefusal             a pull that cannot be planned
        ├── BookRefusal             a book that cannot be opened, read or written, or what it cannot take in
        └── UsageRefusal            a wrong command or option

A message says which input, its value, what was expected and what to do.
"""

from __future__ import annotations

import re
from typing import Any

from haulwright.version import __version__

UNPRINTABLE = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\u2028\u2029\ud800-\udfff]")
_BREAKS = re.compile(f"{UNPRINTABLE.pattern}|[\t\n]")
_LONGEST = 1000  # of a message: what is pasted in by mistake must not bury what is said about it


def one_line(text: str) -> str:
    """Return a text as one printable line of bounded length: controls escaped, the middle of a long one left out.

    Examples
    --------
    >>> one_line("oak\\x1b[31m\\n")
    'oak\\\\x1b[31m\\\\n'
    """
    text = _BREAKS.sub(lambda found: found[0].encode("unicode_escape").decode("ascii"), text)
    return text if len(text) <= _LONGEST else f"{text[: _LONGEST // 2]} … {text[-_LONGEST // 2 :]}"


class HaulwrightError(Exception):
    """Base of every error raised on purpose."""


class Refusal(HaulwrightError, ValueError):  # noqa: N818 - the public name
    """An input that is refused: no number is given for it.

    Parameters
    ----------
    code : str
        Short upper-case code, e.g. ``"UNDER"``.
    message : str
        One or two sentences a trainer understands: which input, its value, what was expected, what to do.
    where : tuple of str
        Names of the parts, keys or files involved.
    line : int or None
        Line of the user's file, counted from 1.

    Examples
    --------
    >>> Refusal("RATIO", "k = 0.9 on B1: give 1 or more.", where=("B1",)).to_dict()["error"]["code"]
    'RATIO'
    """

    def __init__(
        self, code: str, message: str, where: tuple[str, ...] | list[str] = (), line: int | None = None
    ) -> None:
        message = one_line(message)
        super().__init__(message)
        self.code = code
        self.message = message
        self.where = tuple(one_line(name) for name in where)
        self.line = line

    def __reduce__(self) -> tuple[type[Refusal], tuple[str, str, tuple[str, ...], int | None]]:
        # An exception is rebuilt from its message alone, which would break off a pool of processes it crosses.
        return type(self), (self.code, self.message, self.where, self.line)

    def to_dict(self) -> dict[str, Any]:
        """Return the refusal as the record every interface prints."""
        return {
            "haulwright": __version__,
            "kind": "refusal",
            "notices": [],
            "error": {
                "code": self.code,
                "message": self.message,
                "where": list(self.where),
                "line": self.line,
            },
        }


class QuantityRefusal(Refusal):
    """A number or unit that is wrong, or that can be read in two ways."""


class CatalogueRefusal(Refusal):
    """A catalogue row without unit, range or source, or one that is not there."""


class FileRefusal(Refusal):
    """A file of the user's that is missing, unreadable or wrong."""


class RigRefusal(Refusal):
    """A rig that cannot work or cannot be solved."""


class TrialRefusal(Refusal):
    """A log or a run from which no honest number can be had."""


class PlanRefusal(Refusal):
    """A pull that cannot be planned."""


class BookRefusal(Refusal):
    """A book that cannot be opened, read or written, or what it cannot take in."""


class UsageRefusal(Refusal):
    """A wrong command, option or argument."""
