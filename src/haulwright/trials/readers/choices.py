"""What a caller may decide about a log's format instead of leaving it to be found out."""

from __future__ import annotations

from dataclasses import dataclass

from haulwright.errors import TrialRefusal
from haulwright.trials.readers._units import newtons_per

SEPARATORS = {"tab": "\t", "semicolon": ";", "comma": ",", "bar": "|", "space": " "}
DECIMALS = {"point": ".", "comma": ","}
DATE_ORDERS = ("day-first", "month-first", "year-first")
SECONDS_PER = {"s": 1.0, "ms": 1e-3, "us": 1e-6, "min": 60.0, "h": 3600.0, "day": 86400.0}
CLOCKS = (*SECONDS_PER, "mm:ss", "hh:mm")


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

    def checked(self) -> Choices:
        """Return the choices if each is one that can be made.

        Raises
        ------
        TrialRefusal
            UNIT, DATES or CHOICE.
        """
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
        if self.encoding is not None:
            self._check_encoding(self.encoding)
        return self

    @staticmethod
    def _check_encoding(encoding: str) -> None:
        try:
            text = "12.3,845\n".encode(encoding).decode(encoding)
        except (LookupError, ValueError):
            text = None
        if text != "12.3,845\n":
            message = f"encoding {encoding!r} is not known: give for example utf-8, utf-16 or cp1252."
            raise TrialRefusal("CHOICE", message, (encoding,))

    def units(self) -> dict[str, str]:
        """Return the units given by place; the key is empty for a unit that holds for all.

        Examples
        --------
        >>> Choices(unit="kgf").units(), Choices(unit="line=kN, anchor=t").units()
        ({'': 'kgf'}, {'line': 'kN', 'anchor': 't'})
        """
        found: dict[str, str] = {}
        for part in (self.unit or "").split(",") if self.unit is not None else ():
            place, _, unit = part.rpartition("=")
            found[place.strip()] = unit.strip()
        return found

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
