"""The record of one run in words: what its page shows, each figure as text beside the number it stands for."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import ClassVar

from haulwright.quantities.measured import Measured
from haulwright.records import Record
from haulwright.trials.result import Phase, TrialResult


@dataclass(frozen=True)
class Reason:
    """One choice behind the number: what was chosen, and why."""

    head: str
    text: str


@dataclass(frozen=True)
class Cut:
    """What is not averaged inside the steady stretch: its ends [s], a word for the drawing."""

    start_s: float
    end_s: float
    word: str


@dataclass(frozen=True)
class ShownFigure:
    """A figure of the run: a name that does not change, its label, its text with the uncertainty, the number."""

    name: str
    label: str
    text: str
    value: Measured


@dataclass(frozen=True)
class ShownTerm:
    """A term of the budget as printed: what it is, standard uncertainty, share of the variance; the share itself."""

    term: str
    u: str
    share: str
    part: float


@dataclass(frozen=True)
class ShownClock:
    """The clock of a channel against the line's: one sentence, how it was found, the offset [s]."""

    channel: str
    sentence: str
    found: str
    offset_s: Measured


@dataclass(frozen=True, kw_only=True)
class RunView(Record):
    """One run as its page shows it.

    Attributes
    ----------
    campaign : str
        Empty for a run of no campaign.
    run, title, note : str
        Its name; its heading; cells, rate and what was noted, in one line.
    invented : str
        The sentence that marks invented data, or empty.
    number : tuple of int
        Which run of how many on the sheet; 0, 0 for a run of no campaign.
    previous, next : str or None
        Its neighbours on the run sheet.
    verdict : str
        ``pass``, ``redo``, ``missing``, ``left_out``; empty for a run of no campaign.
    reasons : tuple of str
        Of the verdict.
    refusal : str
        Why there is no number; empty where there is one.
    result : TrialResult or None
    phases : tuple of Phase
        Hauls, rests and silences where no pull can be made out.
    cuts : tuple of Cut
    answer, spread : str
        The advantage as it stands alone, and its ± or range.
    figures : tuple of ShownFigure
        Winch share; efficiency and tension ratio k of each device.
    means : mapping place -> text
    budget : tuple of ShownTerm
    together : str
        Half the 95 % interval, as printed below the budget.
    stretch : tuple of Reason
        How the steady stretch was chosen.
    by_hand : bool
        Whether a stretch was set by hand.
    sensitivity : str
        What moving the stretch does to the result.
    clocks : tuple of ShownClock
    checks : tuple of Reason
        What series and swap checks say of its cells.
    decisions : tuple of Reason
        Everything that was decided by hand about it.
    """

    kind: ClassVar[str] = "run-view"
    campaign: str
    run: str
    title: str
    note: str
    invented: str = ""
    number: tuple[int, int] = (0, 0)
    previous: str | None = None
    next: str | None = None
    verdict: str = ""
    reasons: tuple[str, ...] = ()
    refusal: str = ""
    result: TrialResult | None = None
    phases: tuple[Phase, ...] = ()
    cuts: tuple[Cut, ...] = ()
    answer: str = ""
    spread: str = ""
    figures: tuple[ShownFigure, ...] = ()
    means: Mapping[str, str] = field(default_factory=dict)
    budget: tuple[ShownTerm, ...] = ()
    together: str = ""
    stretch: tuple[Reason, ...] = ()
    by_hand: bool = False
    sensitivity: str = ""
    clocks: tuple[ShownClock, ...] = ()
    checks: tuple[Reason, ...] = ()
    decisions: tuple[Reason, ...] = ()
