"""A hand-written YAML file changed by a program: comments, order and layout of what did not change stay.

What a mapping says now is written into the text it was read from. Where a change cannot be made so that the text reads
back as that mapping to the last value, it is written anew, without comments: never wrongly.
"""

from __future__ import annotations

import datetime as dt
import io
import itertools
from collections.abc import Mapping, MutableMapping, MutableSequence
from typing import Any

from ruamel.yaml import YAML
from ruamel.yaml.error import YAMLError

from haulwright.errors import UNPRINTABLE

NAMES = ("id", "name", "run")
"""Keys that tell one entry of a list from another, wherever it stands."""


def plain_content(node: Any) -> Any:
    """Return what a YAML file holds in plain JSON types: days as text, keys as text.

    Examples
    --------
    >>> plain_content({"due": dt.date(2030, 2, 7), 1: [1.5]})
    {'due': '2030-02-07', '1': [1.5]}
    """
    if isinstance(node, Mapping):
        return {str(key): plain_content(value) for key, value in node.items()}
    if isinstance(node, list | tuple):
        return [plain_content(value) for value in node]
    if isinstance(node, dt.datetime | dt.date):
        return node.isoformat()
    for kind in (bool, int, float, str):
        if isinstance(node, kind):
            return kind(node)
    return None if node is None else str(node)


def rewritten(before: str | None, content: Mapping[str, Any]) -> str:
    """Return YAML that holds a mapping, as near to the text before as can be.

    Parameters
    ----------
    before : str or None
        The text of the earlier version; None where there is none.
    content : mapping
        Plain JSON types.

    Examples
    --------
    >>> print(rewritten("# ours\\nkit: club  # since 2024\\nmbs_factor: 2\\n", {"kit": "club", "mbs_factor": 3}), end="")
    # ours
    kit: club  # since 2024
    mbs_factor: 3
    """
    wanted = plain_content(content)
    if before is None:
        return _fresh(wanted)
    try:
        if _same(_read(before), wanted):
            return before
        text = _merged(before, wanted)
        if _same(_read(text), wanted):
            return text
    except (YAMLError, ValueError, TypeError, AttributeError, KeyError, IndexError):
        pass  # an anchor, a tag or a comment that cannot be kept: what counts is the content
    return _head(before) + _fresh(wanted)


def _head(before: str) -> str:
    """Return the comment that stands over all else."""
    lines = itertools.takewhile(lambda line: line.startswith("#"), before.splitlines())
    return "".join(f"{line}\n" for line in lines if not UNPRINTABLE.search(line))


def _yaml() -> YAML:
    yaml = YAML(typ="rt")
    yaml.preserve_quotes = True
    yaml.width = 120
    yaml.allow_unicode = True
    return yaml


def _read(text: str) -> Any:
    return plain_content(YAML(typ="rt").load(text))


def _merged(before: str, wanted: Mapping[str, Any]) -> str:
    yaml, out = _yaml(), io.StringIO()
    yaml.indent(mapping=2, sequence=4, offset=2)
    node = yaml.load(before)
    if not isinstance(node, MutableMapping):
        raise ValueError("no mapping")
    _into_mapping(node, wanted)
    yaml.dump(node, out)
    return out.getvalue()


def _into_mapping(node: MutableMapping[Any, Any], wanted: Mapping[str, Any]) -> None:
    for key in [key for key in node if str(key) not in wanted]:
        del node[key]
    had = {str(key): key for key in node}
    for name, value in wanted.items():
        key = had.get(name, name)
        node[key] = _into(node[key], value) if key in node else value


def _into(node: Any, wanted: Any) -> Any:
    """Return the node for a value: the one there is, changed inside, where it can be."""
    if _same(plain_content(node), wanted):
        return node
    if isinstance(node, MutableMapping) and isinstance(wanted, Mapping):
        _into_mapping(node, wanted)
        return node
    if isinstance(node, MutableSequence) and isinstance(wanted, list) and wanted:
        _into_list(node, wanted)
        return node
    return wanted


def _into_list(node: MutableSequence[Any], wanted: list[Any]) -> None:
    """Change a list in place: entries are known by their name, else by where they stand; what was added comes last."""
    old = list(node)
    by_name = {name: one for one in old if (name := _name(one)) is not None}
    kept = [
        _into(by_name[name], value) if (name := _name(value)) in by_name
        else _into(old[n], value) if name is None and n < len(old) and _name(old[n]) is None
        else value
        for n, value in enumerate(wanted)
    ]  # fmt: skip
    for n, one in enumerate(kept):
        if n < len(node):
            if node[n] is not one:
                node[n] = one
        else:
            node.append(one)
    while len(node) > len(kept):
        del node[len(node) - 1]


def _name(one: Any) -> str | None:
    if not isinstance(one, Mapping):
        return None
    return next((f"{key}={one[key]}" for key in NAMES if key in one), None)


def _same(a: Any, b: Any) -> bool:
    """Return whether two plain values are the same: true is not 1, and 2.0 is 2."""
    if isinstance(a, Mapping) and isinstance(b, Mapping):
        return a.keys() == b.keys() and all(_same(a[key], b[key]) for key in a)
    if isinstance(a, list) and isinstance(b, list):
        return len(a) == len(b) and all(_same(x, y) for x, y in zip(a, b, strict=True))
    return isinstance(a, bool) == isinstance(b, bool) and bool(a == b)


def _fresh(wanted: Mapping[str, Any]) -> str:
    yaml, out = _yaml(), io.StringIO()
    yaml.indent(mapping=2, sequence=4, offset=2)
    yaml.dump(dict(wanted), out)
    return out.getvalue()
