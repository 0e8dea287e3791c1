"""Cautions, warnings and information that travel with every record.

A notice is one value of :class:`Code` with the advice that fits this input. Levels: ``caution`` is the
always-on safety talk, ``warning`` is about this input, ``info`` explains a choice.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum, StrEnum


class Level(StrEnum):
    """How loud a notice is."""

    CAUTION = "caution"
    WARNING = "warning"
    INFO = "info"


@dataclass(frozen=True)
class Notice:
    """One notice of a record.

    Attributes
    ----------
    code : str
        A name from :class:`Code`.
    level : str
        ``caution``, ``warning`` or ``info``.
    message : str
        One or two plain sentences.
    where : tuple of str
        The parts, items, runs or keys it speaks of.
    """

    code: str
    level: str
    message: str
    where: tuple[str, ...] = ()


class Code(Enum):
    """Every notice there is: its level and its sentence (``{…}`` is filled in by :meth:`notice`)."""

    # always-on safety
    ESTIMATE = (
        Level.CAUTION,
        "An estimate is not a rating. Gear is judged at winch stall, not at the estimate.",
    )
    STALL = (
        Level.CAUTION,
        "At stall the winch pulls {stall}; real winches can exceed their plate. Every item must stand that.",
    )
    FRICTION_NO_EXCUSE = (
        Level.CAUTION,
        "Friction never excuses smaller gear: loads are the greatest with or without it.",
    )
    NO_STANDING = (
        Level.CAUTION,
        "Nobody in line with any part, inside any bend, over or astride a line. Agree signals; anyone may stop.",
    )
    DEFER = (
        Level.CAUTION,
        "Local codes, the makers' ratings and licensed people come before any number here. No lifting, no people.",
    )
    TESTED_ONLY = (
        Level.CAUTION,
        "A measured friction belongs to the device, rope and load range tested, to nothing else.",
    )
    NO_PEAKS = (
        Level.CAUTION,
        "Peak forces are not measured: the numbers are means, and no reading shows what lies between two of them.",
    )
    ELASTIC = (Level.CAUTION, "Never an elastic part (snatch strap, kinetic rope) in a winch rig.")
    # rigs
    NO_FRICTION = (
        Level.WARNING,
        "No friction is given for {what}: solved without any. A real rig pulls less; give a ratio or a device.",
    )
    UNIT_LOAD = (Level.INFO, "No resistance is given: solved for 1 kN. Use the shares, not the forces.")
    STRAIGHT_THROUGH = (
        Level.WARNING,
        "The line passes {what} almost straight (wrap under 5 degrees): it is hardly a contact there.",
    )
    STILL_SHEAVE = (
        Level.INFO,
        "The line does not run over {what}: taken as frictionless there; its true ratio lies anywhere in {band}.",
    )
    STICKS = (
        Level.WARNING,
        "{what} hardly runs along {line} and may stick there: it may rest anywhere between {ends}, at an effort of "
        "{efforts}, with up to {most} in the line.",
    )
    SHARED_LINES = (Level.WARNING, "{text}")
    LAW_BAND = (
        Level.WARNING,
        "Published laws of friction differ by {share} in effort here: {laws}. Plan with the greater effort.",
    )
    SELF_HOLDING = (
        Level.WARNING,
        "Friction alone holds the load: letting back, the winch would have to push the line out.",
    )
    SIDE_PULL = (
        Level.WARNING,
        "The load is pulled {way} with {force}; its wheels or guide must carry that.",
    )
    WINCH_SPEEDS = (Level.WARNING, "{text}")
    STEPPED_DRUM = (Level.WARNING, "{text}")
    STORED_ENERGY = (
        Level.CAUTION,
        "Stretched by this load, {what} would let go {energy} at once if anything parts. Stand clear.",
    )
    SIMILAR_NAMES = (
        Level.WARNING,
        "{a} and {b} are two bodies in this rig. If one is a slip of the pen, mend it.",
    )
    # trials
    NOT_IDENTIFIED = (Level.WARNING, "{what}: friction cannot be told apart in this run, so none is given.")
    IMPOSSIBLE_HIGH = (
        Level.WARNING,
        "Advantage {value} is above the frictionless {limit}: wrong rig, swapped cells, lost zero or a wrong gain.",
    )
    IMPOSSIBLE_LOW = (
        Level.WARNING,
        "Advantage {value} is below {limit}, what this rig gives with every device at k = 3 (house limit).",
    )
    CLIPPED = (
        Level.WARNING,
        "{what} looks clipped at its top ({share} of the highest samples are equal): ratio biased low.",
    )
    UNCORRELATED = (
        Level.WARNING,
        "The two traces hardly resemble each other (correlation {r}): are they one run?",
    )
    NO_ZERO = (
        Level.WARNING,
        "{what} has no unloaded stretch: its zero is not corrected; the full-scale class enters the budget.",
    )
    CLASS_ASSUMED = (
        Level.WARNING,
        "No class is given for the {what} cell: {value} of reading is assumed. State the class.",
    )
    TYPED = (
        Level.WARNING,
        "Typed from the displays, not logged: a lower grade. Nothing shows that the rope moved, nor what the zeros were.",
    )
    UNIT_ASSUMED = (Level.WARNING, "{text}")
    ROLES = (Level.WARNING, "{text}")
    STOPS_CUT = (Level.INFO, "{text}")
    FEW_SAMPLES = (Level.WARNING, "{text}")
    TREND = (Level.WARNING, "{text}")
    ASSOCIATION = (Level.INFO, "{text}")
    ROWS = (Level.INFO, "{text}")
    CLOCK = (Level.INFO, "{text}")
    # field and plan
    UNKNOWN_RATING = (Level.WARNING, "{what} has no rating: unknown is never treated as inside.")
    UNCHECKED = (Level.WARNING, "{text}")
    OVERDUE = (Level.WARNING, "{what} was due for inspection on {due}: have it looked at before it is used.")
    STOP_PROFESSIONAL = (Level.CAUTION, "Stop and call a professional: {text}")
    OUT_OF_RANGE = (Level.WARNING, "{text}")
    RUNAWAY = (Level.WARNING, "{text}")
    TWO_BLOCKED = (Level.WARNING, "{text}")
    LINE_SHORT = (Level.WARNING, "{text}")
    DRUM_FULL = (Level.WARNING, "{text}")
    RULE_OF_THUMB = (Level.INFO, "{text}")
    ADVICE = (Level.INFO, "{text}")
    # book
    BOOK = (Level.INFO, "{text}")
    BOOK_CONFLICT = (Level.WARNING, "{text}")
    INVENTED = (Level.INFO, "Invented demo data: nothing here describes a real device, place or person.")

    level: Level
    sentence: str

    def __new__(cls, level: Level, sentence: str) -> Code:
        """Give each name a value of its own: equal sentences would make two names one."""
        code = object.__new__(cls)
        code._value_ = len(cls.__members__)
        code.level = level
        code.sentence = sentence
        return code

    def notice(self, where: tuple[str, ...] | list[str] = (), **words: str) -> Notice:
        """Return this notice with its sentence filled in.

        Examples
        --------
        >>> Code.UNKNOWN_RATING.notice(("oak",), what="oak").message
        'oak has no rating: unknown is never treated as inside.'
        """
        return Notice(self.name, self.level.value, self.sentence.format(**words), tuple(where))
