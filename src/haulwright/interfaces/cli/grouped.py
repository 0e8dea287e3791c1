"""Options that belong together, stated once for every command that takes them."""

from __future__ import annotations

import inspect
from collections.abc import Callable
from dataclasses import MISSING, Field, fields, is_dataclass
from functools import wraps
from typing import Any, TypeVar, get_type_hints

R = TypeVar("R")


def grouped(command: Callable[..., R]) -> Callable[..., R]:
    """Return a command that takes each option of its groups by itself.

    A group is a dataclass whose fields are annotated as options; a parameter of that type stands for all of them. The
    command library reads the signature, in which they stand one by one.

    Parameters
    ----------
    command : callable

    Examples
    --------
    >>> from dataclasses import make_dataclass
    >>> Pair = make_dataclass("Pair", [("left", int, 1), ("right", int, 2)])
    >>> def add(pair: Pair, more: int = 0) -> int:
    ...     return pair.left + pair.right + more
    >>> add.__annotations__["pair"] = Pair
    >>> list(inspect.signature(grouped(add)).parameters), grouped(add)(left=3, right=4, more=5)
    (['left', 'right', 'more'], 12)
    """
    types = get_type_hints(command, include_extras=True)
    groups: dict[str, type[Any]] = {
        name: kind for name, kind in types.items() if isinstance(kind, type) and is_dataclass(kind)
    }
    options: list[inspect.Parameter] = []
    for name, one in inspect.signature(command).parameters.items():
        if name in groups:
            kinds = get_type_hints(groups[name], include_extras=True)
            options += [_option(field, kinds[field.name]) for field in fields(groups[name])]
        else:
            options.append(one.replace(kind=inspect.Parameter.KEYWORD_ONLY, annotation=types[name]))

    @wraps(command)
    def flat(**given: Any) -> R:
        for name, group in groups.items():
            own = {field.name: given.pop(field.name) for field in fields(group)}
            given[name] = group(**own)
        return command(**given)

    flat.__signature__ = inspect.Signature(options)  # type: ignore[attr-defined]
    return flat


def _option(field: Field[Any], kind: Any) -> inspect.Parameter:
    default = inspect.Parameter.empty if field.default is MISSING else field.default
    return inspect.Parameter(field.name, inspect.Parameter.KEYWORD_ONLY, default=default, annotation=kind)
