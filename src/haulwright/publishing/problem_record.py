"""A sheet of worked problems: what is given, what is asked, and the answer with its working."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from haulwright.records import Record


@dataclass(frozen=True)
class Problem:
    """One problem.

    Attributes
    ----------
    number : int
    asks : str
        ``advantage``, ``friction``, ``anchors`` or ``fault``.
    rig, sentence : str
        Name of the rig; how it is led, in words.
    given : tuple of str
        What the student is told.
    question, answer : str
    working : tuple of str
        Step by step.
    """

    number: int
    asks: str
    rig: str
    sentence: str
    given: tuple[str, ...]
    question: str
    answer: str
    working: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class ProblemSheet(Record):
    """Problems drawn by a seed; the same seed draws the same."""

    kind: ClassVar[str] = "problem-sheet"
    seed: int
    problems: tuple[Problem, ...]
