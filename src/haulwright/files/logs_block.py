"""What ``campaign.yaml`` says of the format of its logs: for all of them under ``default``, and by name or pattern."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from fnmatch import fnmatchcase
from typing import Annotated, Any, Literal

from pydantic import AfterValidator, Field

from haulwright.errors import Refusal
from haulwright.files.faults import locate, nearest, refusal
from haulwright.files.log_words import by_place, is_encoding, newtons_per
from haulwright.files.yamlfile import FileModel
from haulwright.files.zones import EXPECTED, read_zone

DEFAULT = "default"
_PATTERN = "*?["


def _each(check: Callable[[str], str]) -> AfterValidator:
    """Return the validator of a word, or of one for each channel; ``check`` returns what is wrong."""

    def validate(text: str) -> str:
        words = by_place(text)
        if len(words) < text.count(",") + 1:
            raise ValueError("expected one for all channels, or one for each, as line=…,anchor=…")
        for word in words.values():
            if wrong := check(word):
                raise ValueError(wrong)
        return text

    return AfterValidator(validate)


def _unit(word: str) -> str:
    return "" if newtons_per(word) else "expected kgf, t, kN, N or lbf, or one for each as line=kN,anchor=kgf"


def _zone(word: str) -> str:
    if word.isdecimal():  # YAML takes +02 for a number
        return f"{EXPECTED}; put an offset in quotes"
    try:
        read_zone(word)
    except Refusal as refused:
        return refused.message
    return ""


def _encoding(name: str) -> str:
    if not is_encoding(name):
        raise ValueError("expected a text encoding such as utf-8, utf-16 or cp1252")
    return name


Word = Annotated[str, Field(min_length=1)]


class LogFormat(FileModel):
    """The format of a log, where it is not to be found out; the words of ``trial read``.

    Attributes
    ----------
    line, anchor, time : str or None
        Columns by label or number; ``line_column`` and ``anchor_column`` of ``runs.csv`` stand over them.
    unit, zone : str or None
        For all channels, or for each: ``line=kN,anchor=kgf``.
    dates, clock, separator, decimal, encoding, sheet : str or None
    """

    line: Word | None = None
    anchor: Word | None = None
    time: Word | None = None
    unit: Annotated[str, _each(_unit)] | None = None
    dates: Literal["day-first", "month-first", "year-first"] | None = None
    clock: Literal["s", "ms", "us", "min", "h", "day", "mm:ss", "hh:mm"] | None = None
    zone: Annotated[str, _each(_zone)] | None = None
    separator: Literal["tab", "semicolon", "comma", "bar", "space", "\t", ";", ",", "|", " "] | None = None
    decimal: Literal["point", "comma", ".", ","] | None = None
    encoding: Annotated[str, AfterValidator(_encoding)] | None = None
    sheet: Word | None = None


def format_for(logs: Mapping[str, LogFormat], name: str) -> dict[str, str]:
    """Return what is said of one log: the default, then what fits its name, further down over further up.

    Parameters
    ----------
    logs : mapping
        The block ``logs:``.
    name : str
        Path within the folder ``logs/``.

    Examples
    --------
    >>> block = {"default": LogFormat(unit="kgf"), "hot-*.csv": LogFormat(unit="kN", decimal="comma")}
    >>> format_for(block, "hot-1.csv"), format_for(block, "cold.csv")
    ({'unit': 'kN', 'decimal': 'comma'}, {'unit': 'kgf'})
    """
    found: dict[str, str] = {}
    for key in sorted(logs, key=lambda one: one != DEFAULT):
        if key == DEFAULT or _fits(key, name):
            found.update(logs[key].model_dump(exclude_none=True))
    return found


def _fits(key: str, name: str) -> bool:
    pattern = key.removeprefix("logs/")
    return pattern == name or fnmatchcase(name, pattern)


def check_names(
    logs: Mapping[str, LogFormat], names: list[str], mapping: Mapping[str, Any], what: str
) -> None:
    """Refuse a name or pattern that is no log of the run sheet's.

    Parameters
    ----------
    logs : mapping
        The block ``logs:``.
    names : list of str
        Logs of the run sheet, by their path within ``logs/``.
    mapping : mapping
        The file as read, which knows its lines.
    what : str
        Name of the file.

    Raises
    ------
    FileRefusal
        UNKNOWN_LOG
    """
    for key in logs:
        if key == DEFAULT or any(_fits(key, name) for name in names):
            continue
        line = locate(mapping, ("logs", key))[1]
        kind = "pattern" if any(sign in key for sign in _PATTERN) else "name"
        hint = nearest(key.removeprefix("logs/"), [*names, DEFAULT])
        if hint.startswith("expected"):
            hint = f"expected {DEFAULT}, or logs of runs.csv such as {', '.join(names[:6]) or 'none'}."
        text = f"logs.{key}: no log of runs.csv has this {kind}: {hint}"
        raise refusal("UNKNOWN_LOG", what, line, text, (key,))
