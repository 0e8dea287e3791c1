"""Decisions about runs written into ``decisions.yaml``: one more, or one taken back; none is lost.

A decision that another takes the place of, or that is taken back, moves to ``withdrawn``, with who, when and why.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from typing import Any

from haulwright.errors import FileRefusal
from haulwright.files.rewriting import rewritten
from haulwright.files.yamlfile import parse_yaml

SECTIONS = {"stretch": "stretches", "offset": "offsets", "zero": "zeros", "exclusion": "exclusions"}
FILE = "decisions.yaml"
_SET = {
    "stretch": ("start", "end"),
    "offset": ("channel", "offset"),
    "zero": ("channel", "zero"),
    "exclusion": (),
}
_WHO = ("who", "when", "why")


def decided(before: str | None, what: str, given: Mapping[str, Any], *, also: bool = False) -> str:
    """Return the file with one more decision.

    Parameters
    ----------
    before : str or None
        The file as it stands.
    what : str
        ``stretch``, ``offset``, ``zero`` or ``exclusion``.
    given : mapping
        ``run``, ``who``, ``when``, ``why``, and what is set: quantities as text with their unit.
    also : bool
        Of a stretch: beside those the run has, not in their place.

    Examples
    --------
    >>> one = {"run": "a1", "who": "Kim", "when": "2025-06-03", "why": "a root"}
    >>> print(decided(None, "exclusion", one), end="")
    exclusions:
      - run: a1
        who: Kim
        when: '2025-06-03'
        why: a root
    """
    content = _content(before)
    if not also:
        _move(content, what, given)
    content.setdefault(SECTIONS[what], []).append(dict(given))
    return rewritten(before, content)


def withdrawn(before: str | None, what: str, given: Mapping[str, Any]) -> str:
    """Return the file with the decisions of one kind about a run taken back; of one channel, where that is given.

    Raises
    ------
    FileRefusal
        NO_DECISION: the run has none of that kind.
    """
    content = _content(before)
    if not _move(content, what, given):
        text = f"{FILE}: nothing of the kind {what} is decided about run {given['run']!r}: there is nothing to take back."
        raise FileRefusal("NO_DECISION", text, (str(given["run"]), what))
    return rewritten(before, content)


def _content(before: str | None) -> dict[str, Any]:
    found = {} if before is None or not before.strip() else parse_yaml(before, FILE, empty={})
    return {key: ([] if value is None else value) for key, value in found.items()}


def _move(content: dict[str, Any], what: str, given: Mapping[str, Any]) -> int:
    """Move the decisions that another takes the place of to those taken back; return how many."""
    section = SECTIONS[what]
    gone = [one for one in content.get(section, ()) if _meant(one, what, given)]
    if not gone:
        return 0
    content[section] = [one for one in content[section] if one not in gone]
    told = {"run": given["run"], "what": what, **{key: given[key] for key in _WHO}}
    moved = [{**told, "was": {key: one[key] for key in (*_WHO, *_SET[what]) if key in one}} for one in gone]
    content["withdrawn"] = [*content.get("withdrawn", ()), *moved]
    return len(gone)


def _meant(one: Mapping[str, Any], what: str, given: Mapping[str, Any]) -> bool:
    if str(one.get("run")) != str(given["run"]):
        return False
    channel = given.get("channel")
    if what not in ("offset", "zero") or channel is None:
        return True
    return str(one.get("channel", "anchor")) == str(channel)


def today() -> str:
    """Return today's date as a decision tells it."""
    return dt.date.today().isoformat()
