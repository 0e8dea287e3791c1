"""Measured frictions given with a pull: a devices file, or the same as a mapping."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Annotated, Any

from pydantic import Field, model_validator

from haulwright.catalogue import Row, load_user, measured_row
from haulwright.files.faults import refusal
from haulwright.files.yamlfile import FileModel, validate_mapping
from haulwright.quantities.measured import Measured
from haulwright.sources import Source

Ends = Annotated[tuple[float, float], Field()]


class DeviceFriction(FileModel):
    """Friction of one device: tension ratio, its uncertainty, where it holds and where it comes from.

    Attributes
    ----------
    k : float
        Tension ratio of one contact, 1 or more.
    u : float
        Standard uncertainty.
    interval95 : (float, float)
        95 % interval.
    valid_N : (float, float)
        Line tensions it was measured at [N].
    source : str
        Campaign or test it comes from.
    scatter : float or None
        Standard deviation of ln advantage from set-up to set-up.
    """

    k: Annotated[float, Field(ge=1)]
    u: Annotated[float, Field(ge=0)]
    interval95: Ends
    valid_N: Ends
    source: Annotated[str, Field(min_length=1)]
    name: str = ""
    scatter: Annotated[float, Field(ge=0, lt=0.5)] | None = None

    @model_validator(mode="before")
    @classmethod
    def _k_with_uncertainty(cls, value: Any) -> Any:
        """Take ``k: {value, u, interval95}`` as a campaign's record holds it."""
        if isinstance(value, Mapping) and isinstance(value.get("k"), Mapping):
            inner = value["k"]
            rest = {
                key: item
                for key, item in value.items()
                if key not in ("k", "efficiency", "load_exponent", "at_N")
            }
            return {
                **rest,
                "k": inner.get("value"),
                "u": inner.get("u"),
                "interval95": inner.get("interval95"),
            }
        return value

    @model_validator(mode="after")
    def _ends(self) -> DeviceFriction:
        if not self.interval95[0] <= self.k <= self.interval95[1]:
            raise ValueError(
                f"k = {self.k:g} does not lie in its interval {self.interval95[0]:g} … {self.interval95[1]:g}"
            )
        return self


def read_friction(source: str | Path | Mapping[str, Any]) -> dict[str, Row]:
    """Return measured frictions by device.

    Parameters
    ----------
    source : path or mapping
        A ``devices.toml``, or a mapping device -> ``{k, u, interval95, valid_N, source}``.

    Returns
    -------
    dict of Row

    Raises
    ------
    CatalogueRefusal
        A devices file that cannot be used.
    FileRefusal
        A mapping that is not of this form.

    Examples
    --------
    >>> row = {"k": 1.09, "u": 0.01, "interval95": [1.07, 1.11], "valid_N": [5e3, 20e3], "source": "own trial"}
    >>> read_friction({"puck-A": row})["puck-A"].value
    1.09
    """
    if not isinstance(source, Mapping):
        return load_user(source)
    rows = {}
    for name, given in source.items():
        if not isinstance(given, Mapping):
            raise refusal(
                "VALUE",
                f"friction.{name}",
                None,
                "expected k, u, interval95, valid_N and source.",
                (str(name),),
            )
        one = validate_mapping(given, DeviceFriction, f"friction.{name}")
        k = Measured(one.k, one.u, *one.interval95)
        rows[str(name)] = measured_row(
            str(name), k, one.valid_N, Source(one.source, flag="measured"), one.name, one.scatter
        )
    return rows
