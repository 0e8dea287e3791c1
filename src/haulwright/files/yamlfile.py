"""Reading a user's YAML file into a checked record; a refusal has the line and the nearest spelling.

YAML 1.2 (``no`` is a word, ``1:30`` is not ninety, a key given twice is refused). Quantities carry their
unit (``2.5 t``); a plain number is taken only where a ``units:`` block at the top of the file names the unit
of its dimension. All errors of a file come in one :class:`~haulwright.errors.FileRefusal`, the first leading.
"""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Annotated, Any, TypeVar

import pydantic
from pydantic import BeforeValidator, ConfigDict, ValidationInfo
from ruamel.yaml import YAML
from ruamel.yaml.comments import TaggedScalar
from ruamel.yaml.constructor import DuplicateKeyError
from ruamel.yaml.error import MarkedYAMLError, YAMLError

from haulwright.errors import UNPRINTABLE, FileRefusal, QuantityRefusal
from haulwright.files.faults import collect, locate, nearest, refusal
from haulwright.files.rewriting import plain_content
from haulwright.quantities.unit_table import DIMENSIONS
from haulwright.quantities.units import parse

M = TypeVar("M", bound=pydantic.BaseModel)
GREATEST_BYTES = 2_000_000  # a hand-written file is a few kilobytes; more is a log or a picture
MOST_VALUES = 100_000


class FileModel(pydantic.BaseModel):
    """Base of the models of users' files: frozen, and no key passes unread."""

    model_config = ConfigDict(extra="forbid", frozen=True, allow_inf_nan=False, coerce_numbers_to_str=True)


def quantity(dimension: str, example: str) -> BeforeValidator:
    """Return the validator that turns ``"2.5 t"`` into an SI float of ``dimension``.

    Parameters
    ----------
    dimension : str
        A dimension of :func:`haulwright.quantities.units.parse`.
    example : str
        What a right value looks like, for the refusal.

    Examples
    --------
    >>> class Item(FileModel):
    ...     mass: Mass
    >>> validate_mapping({"mass": "2.5 t"}, Item, "item").mass
    2500.0
    """

    def check(value: Any, info: ValidationInfo) -> float:
        default = ((info.context or {}).get("units") or {}).get(dimension)
        if isinstance(value, bool) or not isinstance(value, str | int | float):
            raise ValueError(f"expected a {dimension} such as {example}")
        if not isinstance(value, str) and default is None and dimension != "fraction":
            raise ValueError(
                f"a {dimension} needs its unit, such as {example} (or a units: block at the top)"
            )
        return parse(value, dimension, default_unit=default)

    return BeforeValidator(check)


Force = Annotated[float, quantity("force", "12 kN or 1200 kgf")]
Mass = Annotated[float, quantity("mass", "2.5 t or 2500 kg")]
Length = Annotated[float, quantity("length", "25 m or 80 ft")]
Speed = Annotated[float, quantity("speed", "5 m/min")]
Angle = Annotated[float, quantity("angle", "30 deg")]
Slope = Annotated[float, quantity("slope", "8 deg or 14 %")]
Time = Annotated[float, quantity("time", "90 s or 3 min")]
Fraction = Annotated[float, quantity("fraction", "0.5 % or 0.005")]


def read_yaml(path: str | Path, model: type[M]) -> M:
    """Read a YAML file into ``model``.

    Parameters
    ----------
    path : path
        The file; UTF-8.
    model : type of pydantic model
        With ``extra="forbid"``; :class:`FileModel` is the usual base.

    Returns
    -------
    model

    Raises
    ------
    FileRefusal
        The file is missing, empty, no YAML, no mapping, has a key twice, an unknown key or a wrong value;
        with the file's name, line, key, value, what was expected and the nearest spelling.
    """
    path = Path(path)
    return validate_mapping(load_yaml(path), model, path.name)


def load_yaml(path: str | Path) -> Mapping[str, Any]:
    """Return the top mapping of a YAML file, unchecked; it knows the line of each of its keys.

    Raises
    ------
    FileRefusal
        As :func:`read_yaml`, but for the content of the mapping.
    """
    path = Path(path)
    return _parsed(_text(path), path.name)


def parse_yaml(text: str, name: str, *, empty: Mapping[str, Any] | None = None) -> dict[str, Any]:
    """Return the top mapping of a YAML text in plain JSON types; days as text.

    Parameters
    ----------
    text : str
    name : str
        Of the file, for the message.
    empty : mapping or None
        In place of a text that holds nothing; None refuses it.

    Raises
    ------
    FileRefusal
        As :func:`load_yaml`.
    """
    try:
        return dict(plain_content(_parsed(text, name)))
    except FileRefusal as refused:
        if refused.code == "EMPTY" and empty is not None:
            return dict(empty)
        raise


def _parsed(text: str, name: str) -> Mapping[str, Any]:
    try:
        doc = YAML(typ="rt").load(text)
    except DuplicateKeyError as err:
        key = re.search(r'duplicate key "?(.*?)"? with', str(err.problem))
        twice = key.group(1) if key else "a key"
        raise refusal(
            "DUPLICATE_KEY", name, _mark(err), f"{twice} is given twice. Keep one.", (twice,)
        ) from None
    except MarkedYAMLError as err:
        raise refusal("SYNTAX", name, _mark(err), _syntax(err, text)) from None
    except YAMLError as err:
        problem = str(err).splitlines()[0]
        raise refusal("SYNTAX", name, None, f"not readable as YAML ({problem}).") from None
    except RecursionError:
        raise refusal("SYNTAX", name, None, "nested too deep to be a file of this kind.") from None
    except (
        ValueError,
        OverflowError,
        TypeError,
    ) as err:  # a tag such as !!int, or a number of thousands of digits
        raise refusal("SYNTAX", name, None, f"a value cannot be read ({err}).") from None
    if doc is None:
        raise refusal("EMPTY", name, None, "the file is empty: expected keys with values.")
    if not isinstance(doc, Mapping):
        raise refusal("NOT_A_MAPPING", name, 1, "expected 'key: value' lines, not a list or a text.")
    return doc


def validate_mapping(mapping: Mapping[str, Any], model: type[M], what: str) -> M:
    """Check a mapping against ``model``; a mapping from :func:`load_yaml` also gives line numbers.

    Parameters
    ----------
    mapping : mapping
        As in the file. A ``units`` key holds default units by dimension, e.g. ``{"force": "kN"}``.
    model : type of pydantic model
    what : str
        What it is, for the message: the file's name or e.g. ``"kit"``.

    Returns
    -------
    model

    Raises
    ------
    FileRefusal
        Codes ``UNKNOWN_KEY``, ``MISSING_KEY``, ``VALUE``; all errors counted, the first told in full.

    Examples
    --------
    >>> class Winch(FileModel):
    ...     line_pull: Force
    >>> validate_mapping({"line_pul": "43 kN"}, Winch, "winch")
    Traceback (most recent call last):
    haulwright.errors.FileRefusal: winch: unknown key line_pul: did you mean line_pull? (and 1 more: ...)
    """
    if not isinstance(mapping, Mapping):
        raise refusal(
            "NOT_A_MAPPING", what, None, f"expected keys with values, not {type(mapping).__name__}."
        )
    try:
        data = _plain(mapping, itertools.count(), what)
    except RecursionError:
        raise refusal("SYNTAX", what, None, "nested too deep, or a part that holds itself.") from None
    units = _units(data.pop("units", {}) if "units" not in model.model_fields else {}, mapping, what)
    try:
        return model.model_validate(data, context={"units": units})
    except pydantic.ValidationError as err:
        raise collect(err, mapping, model, what) from None


def _text(path: Path) -> str:
    try:
        if path.stat().st_size > GREATEST_BYTES:
            raise refusal(
                "TOO_LARGE",
                path.name,
                None,
                f"over {GREATEST_BYTES // 10**6} MB: not a hand-written file.",
            )
        return path.read_text(encoding="utf-8-sig")
    except FileNotFoundError:
        found = [p.name for p in path.parent.glob("*.y*ml")] if path.parent.is_dir() else []
        hint = f" Here are: {', '.join(sorted(found)[:6])}." if found else ""
        raise refusal("NO_FILE", str(path), None, f"there is no such file.{hint}") from None
    except UnicodeDecodeError:
        raise refusal("ENCODING", path.name, None, "not UTF-8 text: save it as UTF-8.") from None
    except (OSError, ValueError) as err:
        why = getattr(err, "strerror", None) or err
        raise refusal("NO_FILE", str(path), None, f"cannot be read ({why}).") from None


def _plain(node: Any, counter: Iterator[int], what: str) -> Any:
    """Return plain mappings, lists and scalars with text keys; aliases are written out, up to a limit."""
    if next(counter) > MOST_VALUES:
        raise FileRefusal(
            "TOO_LARGE",
            f"{what}: over {MOST_VALUES} values: too many aliases, or no hand-written file.",
            (what,),
        )
    if isinstance(node, TaggedScalar):
        return f"!{node.tag.value.lstrip('!')} {node.value}".strip()
    if isinstance(node, Mapping):
        return {_printable(str(key), what): _plain(value, counter, what) for key, value in node.items()}
    if isinstance(node, list | tuple):
        return [_plain(value, counter, what) for value in node]
    return _printable(node, what) if isinstance(node, str) else node


def _printable(text: str, what: str) -> str:
    """Refuse control characters: they reach the terminal and the drawing from here."""
    if UNPRINTABLE.search(text):
        raise refusal("VALUE", what, None, f"{text!r} holds a control character: type it anew.")
    return text


def _units(block: Any, mapping: Mapping[str, Any], what: str) -> dict[str, str]:
    """Return the default units, each tried once so that a wrong one is told where it stands."""
    line = locate(mapping, ("units",))[1]
    if not isinstance(block, Mapping):
        raise refusal(
            "VALUE", what, line, "units: expected a mapping such as {force: kN, length: m}.", ("units",)
        )
    for dimension, unit in block.items():
        name, line = f"units.{dimension}", locate(mapping, ("units", dimension))[1]
        if dimension not in DIMENSIONS:
            raise refusal("UNKNOWN_KEY", what, line, f"{name}: {nearest(dimension, DIMENSIONS)}", (name,))
        try:
            parse(1.0, dimension, default_unit=str(unit), what=name)
        except QuantityRefusal as err:
            raise refusal("VALUE", what, line, err.message, (name,)) from None
    return {str(key): str(value) for key, value in block.items()}


def _mark(err: MarkedYAMLError) -> int | None:
    mark = err.problem_mark or err.context_mark
    return None if mark is None else int(mark.line) + 1


def _syntax(err: MarkedYAMLError, text: str) -> str:
    """Return the syntax error in words, with the one hint that helps most."""
    number = _mark(err)
    lines = text.splitlines()
    written = lines[number - 1].strip() if number and number <= len(lines) else ""
    problem = f"not readable as YAML ({err.problem})."
    if "\t" in (lines[number - 1] if number and number <= len(lines) else ""):
        return f"{problem} Use spaces, not tabs."
    if re.search(r":\s+[!>|@`%]", written):
        return f"{problem} Put quotes round a value that begins with a sign: {written[:60]}"
    return problem
