"""The record of a campaign in words: what its page shows, each figure as text beside the number it stands for."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import ClassVar

from haulwright.quantities.measured import Measured
from haulwright.records import Record


@dataclass(frozen=True)
class ShownTable:
    """A table as printed: caption, heads, rows of text; the first ``words`` columns are words, the others figures."""

    caption: str
    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    words: int = 1
    same: str = ""


@dataclass(frozen=True)
class ShownConfiguration:
    """All runs of one rig with the same devices.

    ``devices`` from the drum, ``words`` the same said; ``text`` has ``advantage``, ``winch_share`` with two figures of the
    uncertainty, ``advantage_answer``, ``winch_share_answer``, ``rig_efficiency`` with one.
    """

    devices: tuple[str, ...]
    words: str
    n: int
    runs: tuple[str, ...]
    advantage: Measured
    winch_share: Measured
    rig_efficiency: Measured
    text: Mapping[str, str]


@dataclass(frozen=True)
class ShownRig:
    """A rig with every configuration pulled in it: advantage and winch share without friction, one sentence."""

    rig: str
    frictionless: float
    frictionless_share: float
    sentence: str
    configurations: tuple[ShownConfiguration, ...]


@dataclass(frozen=True)
class ShownDevice:
    """Friction of one device; ``text`` has ``k``, ``efficiency``, ``valid``; ``usable``: a plan may take it."""

    device: str
    what: str
    k: Measured
    efficiency: Measured
    valid_N: tuple[float, float] | None
    text: Mapping[str, str]
    with_load: str
    usable: bool


@dataclass(frozen=True)
class ShownComparison:
    """Two configurations of one rig: verdict, its word, one sentence with what would settle it; how thin it stands."""

    rig: str
    a: str
    b: str
    verdict: str
    word: str
    sentence: str
    evidence: str
    runs_needed: int
    ratio: Measured


@dataclass(frozen=True)
class ShownRun:
    """One run of the sheet.

    ``verdict`` and ``reasons`` are those of the same-day check; ``text`` has ``advantage``, ``line``, ``anchor`` and
    ``moved``, what moving the steady stretch does; it is empty where there is no number. ``sensitivity`` says the last as
    a sentence, ``stretch`` how the stretch was chosen.
    """

    run: str
    rig: str
    devices: tuple[str, ...]
    words: str
    verdict: str
    reasons: tuple[str, ...]
    grade: str
    advantage: Measured | None
    frictionless: float | None
    text: Mapping[str, str]
    stretch: str
    sensitivity: str


@dataclass(frozen=True, kw_only=True)
class CampaignOverview(Record):
    """What a campaign found and what that rests on, in words and figures.

    ``sentences`` are what was found, one for each rig; ``basis`` how much was measured; ``about`` the head of the report;
    ``cells`` and ``predicted`` are tables with the sentences that belong to them; ``day`` what changed over it.
    """

    kind: ClassVar[str] = "campaign-overview"
    name: str
    title: str
    invented: str
    sentences: tuple[str, ...]
    basis: str
    rigs: tuple[ShownRig, ...]
    devices: tuple[ShownDevice, ...]
    comparisons: tuple[ShownComparison, ...]
    margin: float
    runs: tuple[ShownRun, ...]
    counts: Mapping[str, int]
    unmatched: tuple[str, ...] = ()
    tables: Mapping[str, ShownTable] = field(default_factory=dict)
    levels: tuple[ShownTable, ...] = ()
    of_cells: tuple[str, ...] = ()
    day: tuple[str, ...] = ()
    predicted: str = ""
    not_tested: str = ""
    about: tuple[tuple[str, str], ...] = ()
