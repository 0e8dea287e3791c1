"""From the errors of a model to one refusal: place, line, value, what was expected, nearest spelling."""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, get_args

import pydantic

from haulwright.errors import FileRefusal, QuantityRefusal

KeyPath = tuple[str | int, ...]


@dataclass(frozen=True)
class _Fault:
    code: str
    path: KeyPath
    line: int | None
    text: str  # the full sentence
    short: str  # for "and N more"


def collect(
    err: pydantic.ValidationError, mapping: Mapping[str, Any], model: type[pydantic.BaseModel], what: str
) -> FileRefusal:
    """Return one refusal for all faults, in the order of the file, one for each place."""
    faults: dict[KeyPath, _Fault] = {}
    for item in err.errors(include_url=False):
        fault = _fault(item, mapping, model)
        faults.setdefault(fault.path, fault)
    ordered = sorted(faults.values(), key=lambda f: (f.code == "MISSING_KEY", f.line or 0))
    first, more = ordered[0], ordered[1:]
    text = first.text
    if more:
        text += f" (and {len(more)} more: {'; '.join(f.short for f in more)})"
    return refusal(first.code, what, first.line, text, tuple(dotted(f.path) for f in ordered))


def _fault(item: Any, mapping: Mapping[str, Any], model: type[pydantic.BaseModel]) -> _Fault:
    """Return what is wrong at one place, in words."""
    kind, loc = str(item["type"]), tuple(item["loc"])
    path, line = locate(mapping, loc, missing=kind == "missing")
    name, at = dotted(path), "" if line is None else f"line {line}: "
    if kind == "extra_forbidden":
        known = _known_keys(model, loc[:-1])
        return _Fault(
            "UNKNOWN_KEY",
            path,
            line,
            f"unknown key {name}: {nearest(str(loc[-1]), known)}",
            f"{at}unknown key {name}",
        )
    if kind == "missing":
        return _Fault("MISSING_KEY", path, line, f"{name} is missing: give it a value.", f"{name} missing")
    value = _show(item.get("input"))
    cause = (item.get("ctx") or {}).get("error")
    if isinstance(cause, QuantityRefusal):  # its message tells the value and what was expected
        return _Fault("VALUE", path, line, f"{name}: {_stop(cause.message)}", f"{at}{name} = {value}")
    if not name:  # of the whole file: its value says nothing
        return _Fault("VALUE", path, line, _expected(item, kind), f"{at}{_expected(item, kind)}")
    return _Fault("VALUE", path, line, f"{name} = {value}: {_expected(item, kind)}", f"{at}{name} = {value}")


def _expected(item: Any, kind: str) -> str:
    """Return what was expected, from pydantic's error."""
    context = item.get("ctx") or {}
    if isinstance(context.get("error"), ValueError):
        return _stop(str(context["error"]))
    if kind in ("literal_error", "enum", "union_tag_invalid"):
        words = re.findall(r"'([^']*)'", str(context.get("expected") or context.get("expected_tags")))
        return nearest(str(item.get("input")), words)
    if kind == "string_type":
        return "expected a text (put numbers and yes/no words in quotes)."
    plain = {
        "model_type": "expected keys with values.",
        "dict_type": "expected keys with values.",
        "list_type": "expected a list (- one per line, or [a, b]).",
        "tuple_type": "expected a list.",
    }
    return plain.get(kind) or _stop(re.sub(r"^Input should be", "expected", str(item["msg"])))


def nearest(word: str, known: Iterable[str]) -> str:
    """Return "did you mean …?" or the list of what is known.

    Examples
    --------
    >>> nearest("ratting", ["rating", "basis"])
    'did you mean rating?'
    >>> nearest("colour", ["rating", "basis"])
    'expected one of rating, basis.'
    """
    names = list(known)
    close = difflib.get_close_matches(word, names, n=1, cutoff=0.6)
    if not close:
        folded = {name.lower(): name for name in names}
        close = [folded[n] for n in difflib.get_close_matches(word.lower(), list(folded), n=1, cutoff=0.6)]
    if close:
        return f"did you mean {close[0]}?"
    return f"expected one of {', '.join(names)}." if names else "nothing is expected here."


def locate(
    mapping: Mapping[str, Any], loc: Sequence[str | int], missing: bool = False
) -> tuple[KeyPath, int | None]:
    """Return the path of keys within ``mapping`` and its line (from 1), leaving out pydantic's union tags.

    ``missing``: the last item is a key that is not there; it gets the line where its part starts.
    """
    here: Any = mapping
    path: list[str | int] = []
    line: int | None = None
    for part in loc:
        if isinstance(here, Mapping):
            key = next((k for k in here if str(k) == str(part)), None)
            if key is None:
                continue
            line, here = _line(here, "key", key, line), here[key]
        elif isinstance(here, list | tuple) and isinstance(part, int) and part < len(here):
            line, here = _line(here, "item", part, line), here[part]
        else:
            continue
        path.append(part)
    if missing or not path:
        path.append(loc[-1] if loc else "")
    return tuple(path), line


def _line(node: Any, method: str, key: Any, before: int | None) -> int | None:
    try:
        return int(getattr(node.lc, method)(key)[0]) + 1
    except (AttributeError, KeyError, TypeError, IndexError):
        return before


def dotted(path: KeyPath) -> str:
    """Return a path of keys as text.

    Examples
    --------
    >>> dotted(("items", 2, "rating"))
    'items[3].rating'
    """
    out = ""
    for part in path:
        out += f"[{part + 1}]" if isinstance(part, int) else f".{part}" if out else str(part)
    return out


def _known_keys(model: Any, loc: KeyPath) -> list[str]:
    """Return the keys allowed at ``loc``: follow the annotations of the model."""
    models = [model]
    for part in loc:
        step: list[Any] = []
        for one in models:
            step += (part in one.model_fields and _models(one.model_fields[part].annotation)) or [one]
        models = step
    return [f.alias or name for one in models for name, f in one.model_fields.items()]


def _models(annotation: Any) -> list[Any]:
    """Return the models named anywhere in an annotation."""
    if isinstance(annotation, type) and issubclass(annotation, pydantic.BaseModel):
        return [annotation]
    return [one for arg in get_args(annotation) for one in _models(arg)]


def refusal(code: str, what: str, line: int | None, text: str, where: tuple[str, ...] = ()) -> FileRefusal:
    """Return the refusal of one place in a file."""
    place = what if line is None else f"{what}, line {line}"
    return FileRefusal(code, f"{place}: {text}", (what, *where), line)


def _show(value: Any) -> str:
    if isinstance(value, Mapping | list):
        return "{…}" if isinstance(value, Mapping) else "[…]"
    text = repr(value) if isinstance(value, str) else str(value)
    return text if len(text) <= 60 else text[:57] + "…"


def _stop(text: str) -> str:
    return text if text.endswith((".", "?", "!")) else text + "."
