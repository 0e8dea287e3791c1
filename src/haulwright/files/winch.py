"""The winches of a kit: drum, rope, maker's table, duty, and the battery and alternator that feed them.

What is not told stays unknown: without a table there is no time, without a state of charge no word on the battery.
"""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import AfterValidator, BeforeValidator, Field, model_validator

from haulwright.files.item import Item, Marked, Positive
from haulwright.files.yamlfile import FileModel, Force, Fraction, Length, Speed, Time


def _pair(value: Any) -> Any:
    """Return ``[low, high]`` of a figure given once or as a range."""
    return value if isinstance(value, list | tuple) else (value, value)


def _in_order(value: tuple[float, float]) -> tuple[float, float]:
    if value[1] < value[0]:
        raise ValueError("expected [low, high], the low end first")
    return value


Share = Annotated[Fraction, Field(ge=0, le=1)]
Amperes = Annotated[float, Field(ge=0)]
ShareRange = Annotated[tuple[Share, Share], BeforeValidator(_pair), AfterValidator(_in_order)]
AmpereRange = Annotated[tuple[Amperes, Amperes], BeforeValidator(_pair), AfterValidator(_in_order)]


class DrumSize(FileModel):
    """A drum.

    Attributes
    ----------
    barrel, width : float
        Barrel diameter and width between the flanges [m].
    flange : float or None
        Flange diameter [m]; without it, whether the rope fits under the flange is not checked.
    lead : float or None
        Drum to fairlead [m], for the angle of the line between them.
    """

    barrel: Annotated[Length, Positive]
    width: Annotated[Length, Positive]
    flange: Annotated[Length, Positive] | None = None
    lead: Annotated[Length, Positive] | None = None

    @model_validator(mode="after")
    def _flange_outside(self) -> DrumSize:
        if self.flange is not None and self.flange <= self.barrel:
            raise ValueError(
                f"flange {self.flange:g} m is not wider than the barrel, {self.barrel:g} m: both are diameters"
            )
        return self


class MakerRow(FileModel):
    """One row of a maker's table on the first layer: line pull [N], line speed [m/s], current [A].

    Between the first row and the last a speed or a current may be missing.
    """

    line_pull: Annotated[Force, Field(ge=0)]
    speed: Annotated[Speed, Field(ge=0)] | None = None
    current_A: Amperes | None = None


class Duty(FileModel):
    """The maker's duty: how long the motor may run at rated pull, and how long it then rests [s]; with its source."""

    run: Annotated[Time, Positive]
    rest: Annotated[Time, Positive]
    source: Annotated[str, Field(min_length=1)]


class BatterySize(FileModel):
    """The battery that feeds the winch, and the alternator that feeds the battery.

    Attributes
    ----------
    voltage_V : float
        Also the voltage of the maker's table.
    capacity_Ah : float or None
    state_of_charge : (float, float) or None
        Share of the capacity at the start, one figure or [low, high]; None is unknown.
    least_charge : float or None
        Share below which it is not to be drawn.
    alternator_A : (float, float) or None
        What is left of the alternator for the winch at the engine speed kept, one figure or [low, high].
    internal_resistance_ohm : float or None
        Of battery and cables, for the voltage at the motor.
    """

    voltage_V: Annotated[float, Positive] = 12.0
    capacity_Ah: Annotated[float, Positive] | None = None
    state_of_charge: ShareRange | None = None
    least_charge: Share | None = None
    alternator_A: AmpereRange | None = None
    internal_resistance_ohm: Annotated[float, Positive] | None = None


class Winch(FileModel):
    """One winch with its drum, rope and maker's table.

    Attributes
    ----------
    line_pull : float
        Rated line pull on the first layer [N].
    stall_factor : float
        Line pull at stall over rated pull, 1 or more; 1.0 unless told.
    stall_factor_high : float or None
        Upper end where it is known as a range only; verdicts take ``stall_factor``.
    drum, rope
        Size of the drum, the rope on it (id of a kit item, or a piece of its own).
    lay : str or None
        ``stacked`` or ``nested``; None: either, gear is judged at the harder line pull, the winch at the weaker.
    least_wraps : int or None
        Wraps that stay on the drum; None takes the strictest published figure for the rope.
    mount : Marked
        Marked rating of what holds the winch.
    table : tuple of MakerRow
        Maker's table on the first layer.
    motor : str or None
        ``permanent magnet`` or ``series wound``: its model fills the gaps between the rows of the table.
    duty : Duty or None
    battery : BatterySize or None
    photos : tuple of str
        Photographs of the plate: paths from the kit's folder.
    """

    id: Annotated[str, Field(min_length=1)]
    name: str = ""
    line_pull: Annotated[Force, Positive]
    stall_factor: Annotated[float, Field(ge=1)] = 1.0
    stall_factor_high: Annotated[float, Field(ge=1)] | None = None
    drum: DrumSize | None = None
    rope: str | Item | None = None
    lay: Literal["stacked", "nested"] | None = None
    least_wraps: Annotated[int, Field(ge=1)] | None = None
    mount: Marked = Marked()
    table: tuple[MakerRow, ...] = ()
    motor: Literal["permanent magnet", "series wound"] | None = None
    duty: Duty | None = None
    battery: BatterySize | None = None
    photos: tuple[str, ...] = ()

    @property
    def label(self) -> str:
        """Return the words for the screen."""
        return self.name or self.id
