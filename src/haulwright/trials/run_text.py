"""A measured run as text and back, without loss: what the cache of a campaign keeps.

A run just measured goes through the same text as a kept one, so that both are the same to the last bit.
"""

from __future__ import annotations

import base64
import json
import types
import typing
from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from functools import lru_cache
from typing import Any, TypeVar

import numpy as np

from haulwright.records import plain

T = TypeVar("T")
_PACKED = "float64"


def to_text(value: object) -> str:
    """Return a frozen dataclass, nested ones included, as one line of JSON.

    Parameters
    ----------
    value : dataclass
        Of numbers, texts, tuples, mappings and dataclasses; fields that start with an underscore too.
    """
    return json.dumps(_down(value), ensure_ascii=False, separators=(",", ":"))


def from_text(kind: type[T], text: str) -> T:
    """Return the dataclass that :func:`to_text` wrote.

    Raises
    ------
    ValueError, KeyError, TypeError
        Text of another form.

    Examples
    --------
    >>> from haulwright.quantities.measured import Measured
    >>> from_text(Measured, to_text(Measured.normal(0.1 + 0.2, 0.01))) == Measured.normal(0.1 + 0.2, 0.01)
    True
    """
    return typing.cast("T", _up(kind, json.loads(text)))


def _down(value: Any) -> Any:
    if is_dataclass(value) and not isinstance(value, type):
        return {f.name: _down(getattr(value, f.name)) for f in fields(value)}
    if isinstance(value, tuple | list):
        if len(value) > 50 and all(isinstance(one, float) for one in value):
            packed = np.asarray(value, dtype="<f8").tobytes()
            return {_PACKED: base64.b64encode(packed).decode("ascii")}
        return [_down(one) for one in value]
    if isinstance(value, Mapping):
        return {str(key): _down(one) for key, one in value.items()}
    if isinstance(value, float):
        return float(value)
    return plain(value)


def _up(kind: Any, data: Any) -> Any:
    origin, arguments = typing.get_origin(kind), typing.get_args(kind)
    if kind is Any or kind is object:
        return data
    if origin in (typing.Union, types.UnionType):
        return (
            None if data is None else _up(next(one for one in arguments if one is not types.NoneType), data)
        )
    if origin is tuple:
        return _tuple(arguments, data)
    if origin is not None and issubclass(origin, Mapping):
        return {key: _up(arguments[1], one) for key, one in data.items()}
    if is_dataclass(kind) and isinstance(kind, type):
        hints = _hints(kind)
        return kind(**{name: _up(hints[name], one) for name, one in data.items()})
    return float(data) if kind is float else data


def _tuple(arguments: tuple[Any, ...], data: Any) -> tuple[Any, ...]:
    if isinstance(data, dict):
        return tuple(np.frombuffer(base64.b64decode(data[_PACKED]), dtype="<f8").tolist())
    if len(arguments) == 2 and arguments[1] is Ellipsis:
        return tuple(_up(arguments[0], one) for one in data)
    return tuple(_up(one, item) for one, item in zip(arguments, data, strict=True))


@lru_cache
def _hints(kind: type) -> Mapping[str, Any]:
    return typing.get_type_hints(kind)
