"""What a caller may decide about a log's format instead of leaving it to be found out."""

from __future__ import annotations

from dataclasses import dataclass, replace

from haulwright.errors import TrialRefusal
from haulwright.files.log_words import (
    CLOCKS,
    DATE_ORDERS,
    DECIMALS,
    SECONDS_PER,
    SEPARATORS,
    by_place,
    is_encoding,
    newtons_per,
)
from haulwright.files.zones import Zone, read_zone

__all__ = ["SECONDS_PER", "Choices"]


@dataclass(frozen=True)
class Choices:
    """Decisions about a log's format; what is None is found out.

    Attributes
    ----------
    line_column, anchor_column, time_column : str or None
        Label of the column or sensor, or its number counted from 1.
    unit : str or None
        Unit of force of all channels, or for each place: ``line=kN,anchor=kgf``.
    date_order : str or None
        ``day-first``, ``month-first`` or ``year-first``.
    separator : str or None
        tab, semicolon, comma, bar, space, or the mark itself.
    decimal : str or None
        ``point`` or ``comma``.
    encoding : str or None
        Any text encoding Python knows.
    clock : str or None
        Unit of a plain time column (s, ms, us, min, h, day), or ``mm:ss``, ``hh:mm``.
    sheet : str or None
        Sheet of a workbook: its name, or its number counted from 1.
    zone : str or None
        Zone of stamps that state none, of all channels or for each place: ``Europe/Paris``, ``line=UTC,anchor=+02:00``.
    """

    line_column: str | None = None
    anchor_column: str | None = None
    time_column: str | None = None
    unit: str | None = None
    date_order: str | None = None
    separator: str | None = None
    decimal: str | None = None
    encoding: str | None = None
    clock: str | None = None
    sheet: str | None = None
    zone: str | None = None

    def checked(self) -> Choices:
        """Return the choices if each is one that can be made.

        Raises
        ------
        TrialRefusal
            UNIT, DATES, ZONE or CHOICE.
        """
        for what, text in (("unit", self.unit), ("zone", self.zone)):
            if len(by_place(text)) < (text or "").count(",") + (text is not None):
                message = f"{what} {text!r}: give one for all channels, or one for each, as line=…,anchor=…."
                raise TrialRefusal("CHOICE", message, (str(text),))
        for unit in self.units().values():
            if newtons_per(unit) is None:
                raise TrialRefusal(
                    "UNIT", f"{unit!r} is no unit of force: expected kgf, t, kN, N or lbf.", (unit,)
                )
        if self.date_order not in (None, *DATE_ORDERS):
            message = (
                f"date order {self.date_order!r} is not known: give day-first, month-first or year-first."
            )
            raise TrialRefusal("DATES", message, (str(self.date_order),))
        _one_of("decimal mark", self.decimal, (*DECIMALS, *DECIMALS.values()))
        _one_of("clock", self.clock, CLOCKS)
        _one_of("separator", self.separator, (*SEPARATORS, *SEPARATORS.values()))
        if self.encoding is not None and not is_encoding(self.encoding):
            message = f"encoding {self.encoding!r} is not known: give for example utf-8, utf-16 or cp1252."
            raise TrialRefusal("CHOICE", message, (self.encoding,))
        for zone in by_place(self.zone).values():
            read_zone(zone)
        return self

    def units(self) -> dict[str, str]:
        """Return the units given by place; the key is empty for a unit that holds for all."""
        return by_place(self.unit)

    def zone_of(self, place: str) -> Zone | None:
        """Return the zone given for a place, None if none was."""
        zones = by_place(self.zone)
        text = zones.get(place, zones.get(""))
        return None if text is None else read_zone(text)

    def places(self) -> set[str]:
        """Return the places that a unit or a zone is given for."""
        return {place for place in (*self.units(), *by_place(self.zone)) if place}

    def over(self, common: Choices) -> Choices:
        """Return these choices where they are made, else the common ones."""
        mine = {key: value for key, value in vars(self).items() if value is not None}
        return replace(common, **mine)

    def words(self) -> str:
        """Return what is given, in words.

        Examples
        --------
        >>> Choices(decimal="comma", date_order="day-first").words()
        'date order day-first, decimal comma'
        """
        given = ((key, value) for key, value in vars(self).items() if value is not None)
        return ", ".join(f"{key.replace('_', ' ')} {value}" for key, value in given)

    def unit_of(self, place: str) -> str | None:
        """Return the unit given for a place, None if none was."""
        units = self.units()
        return units.get(place, units.get(""))

    @property
    def separator_mark(self) -> str | None:
        """The separator itself."""
        return None if self.separator is None else SEPARATORS.get(self.separator, self.separator)

    @property
    def decimal_mark(self) -> str | None:
        """The decimal mark itself."""
        return None if self.decimal is None else DECIMALS.get(self.decimal, self.decimal)


def _one_of(what: str, given: str | None, known: tuple[str, ...]) -> None:
    if given is not None and given not in known:
        words = ", ".join(word for word in known if word.strip())
        raise TrialRefusal("CHOICE", f"{what} {given!r} is not known: give one of {words}.", (given,))
