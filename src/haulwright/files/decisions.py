"""What was decided by hand about single runs (``decisions.yaml``), each with who, when and why."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Annotated, Any, Literal

from pydantic import Field, model_validator

from haulwright.errors import FileRefusal
from haulwright.files.faults import locate, nearest, refusal
from haulwright.files.runsheet import RunEntry
from haulwright.files.yamlfile import FileModel, Force, Time, load_yaml, validate_mapping

Told = Annotated[str, Field(min_length=1, pattern=r"\S")]
FURTHEST_S = 3600.0  # two clocks further apart are another fault than an offset
LARGEST_ZERO = 0.2  # of the capacity: more is no zero


class Decision(FileModel):
    """Who decided, when and why."""

    run: str
    who: Told
    when: dt.date
    why: Told

    @property
    def words(self) -> str:
        """Who decided and why, as the record tells it.

        Examples
        --------
        >>> Decision(run="a", who="Kim", when=dt.date(2025, 6, 3), why="a root").words
        'set by hand by Kim (2025-06-03) because: a root'
        """
        return by_hand_words(self.who, self.why, self.when.isoformat())


class Stretch(Decision):
    """A steady stretch set by hand; seconds on the line cell's clock from its first stamp."""

    start: Time
    end: Time

    @model_validator(mode="after")
    def _in_order(self) -> Stretch:
        if self.end <= self.start:
            raise ValueError(f"end ({self.end:g} s) must come after start ({self.start:g} s)")
        return self


class Offset(Decision):
    """A clock offset set by hand: the channel's stamp less the line's stamp of the same instant [s]."""

    channel: str = "anchor"
    offset: Annotated[Time, Field(gt=-FURTHEST_S, lt=FURTHEST_S)]


class Zero(Decision):
    """A zero set by hand: what the channel reads unloaded [N], to be taken off."""

    channel: str
    zero: Force


class Was(FileModel):
    """What a withdrawn decision had been: who, when and why, and what it set."""

    who: Told
    when: dt.date
    why: Told
    channel: str = ""
    start: Time | None = None
    end: Time | None = None
    offset: Time | None = None
    zero: Force | None = None


class Withdrawn(Decision):
    """A decision taken back; it counts no more, and stays to be read."""

    what: Literal["stretch", "offset", "zero", "exclusion"]
    was: Was

    @property
    def values(self) -> dict[str, Any]:
        """Return what it had set, by column of the book."""
        was = self.was
        set_by_hand = {"start_s": was.start, "end_s": was.end, "offset_s": was.offset, "zero_N": was.zero}
        return {"channel": was.channel, **set_by_hand}


class Decisions(FileModel):
    """``decisions.yaml``: stretches, clock offsets and zeros set by hand, runs left out, and what was taken back."""

    stretches: tuple[Stretch, ...] = ()
    offsets: tuple[Offset, ...] = ()
    zeros: tuple[Zero, ...] = ()
    exclusions: tuple[Decision, ...] = ()
    withdrawn: tuple[Withdrawn, ...] = ()


def by_hand_words(who: str, why: str, when: str = "") -> str:
    """Return the sentence of a choice by hand."""
    day = f" ({when})" if when else ""
    return f"set by hand by {who or 'nobody named'}{day} because: {why or 'no reason given'}"


def read_decisions(path: Path, runs: Sequence[RunEntry], capacities: Mapping[str, float]) -> Decisions:
    """Read the decisions, if the file is there.

    Parameters
    ----------
    path : path
    runs : sequence of RunEntry
        Each decision must speak of one of them, and of a channel it has.
    capacities : mapping cell -> float
        Capacity of each cell [N].

    Raises
    ------
    FileRefusal
        A wrong file, UNKNOWN_RUN, UNKNOWN_CHANNEL, DUPLICATE_DECISION, or VALUE for one that cannot be; with its line.
    """
    if not path.exists():
        return Decisions()
    try:
        mapping = load_yaml(path)
    except FileRefusal as refused:
        if refused.code == "EMPTY":
            return Decisions()
        raise
    decisions = validate_mapping(mapping, Decisions, path.name)
    by_run = {entry.run: entry for entry in runs}
    for section in Decisions.model_fields:
        seen: dict[tuple[str, str], int] = {}
        for index, item in enumerate(getattr(decisions, section)):
            check = _Check(path.name, mapping, section, index)
            entry = check.run(item, by_run)
            check.day(item, entry)
            if section == "withdrawn":
                continue
            if section == "exclusions":
                check.once(seen, (item.run, ""))
                continue
            if entry.typed:
                raise check.refusal(
                    "VALUE", "run", f"{item.run!r} is typed from the displays: there is no log to set."
                )
            if isinstance(item, Stretch):
                check.apart(item, decisions.stretches[:index])
            else:
                check.channel(item, entry, capacities)
                check.once(seen, (item.run, item.channel))
    return decisions


class _Check:
    """The checks of one decision, each refused with its line."""

    def __init__(self, name: str, mapping: Mapping[str, Any], section: str, index: int) -> None:
        self.name, self.mapping, self.section, self.index = name, mapping, section, index

    def refusal(self, code: str, key: str, text: str, where: str = "") -> FileRefusal:
        line = locate(self.mapping, (self.section, self.index, key))[1]
        return refusal(
            code,
            self.name,
            line,
            f"{self.section}[{self.index + 1}].{key} = {text}",
            (where,) if where else (),
        )

    def run(self, item: Decision, by_run: Mapping[str, RunEntry]) -> RunEntry:
        if item.run not in by_run:
            text = f"{item.run!r}: {nearest(item.run, sorted(by_run))}"
            raise self.refusal("UNKNOWN_RUN", "run", text, item.run)
        return by_run[item.run]

    def day(self, item: Decision, entry: RunEntry) -> None:
        if entry.date and item.when < entry.date:
            text = f"{item.when}: before the day of the run ({entry.date}). Which day was it decided?"
            raise self.refusal("VALUE", "when", text, item.run)

    def apart(self, item: Stretch, before: Sequence[Stretch]) -> None:
        for number, other in enumerate(before, 1):
            if other.run == item.run and other.start < item.end and item.start < other.end:
                text = f"{item.start:g} s: overlaps stretches[{number}] of this run ({other.start:g} to {other.end:g} s)."
                raise self.refusal("VALUE", "start", text, item.run)

    def once(self, seen: dict[tuple[str, str], int], key: tuple[str, str]) -> None:
        if key in seen:
            what = f"{key[1]} of " if key[1] else ""
            text = f"{key[0]!r}: {what}this run is decided in {self.section}[{seen[key]}] already. Keep one."
            raise self.refusal("DUPLICATE_DECISION", "run", text, key[0])
        seen[key] = self.index + 1

    def channel(self, item: Offset | Zero, entry: RunEntry, capacities: Mapping[str, float]) -> None:
        known = [place for place in entry.channels if place != "line" or isinstance(item, Zero)]
        if item.channel == "line" and isinstance(item, Offset):
            text = "'line': the offsets of the others count from the line's clock. Name another channel."
            raise self.refusal("UNKNOWN_CHANNEL", "channel", text, item.channel)
        if item.channel not in known:
            text = f"{item.channel!r}: run {entry.run!r} has no such channel: {nearest(item.channel, known)}"
            raise self.refusal("UNKNOWN_CHANNEL", "channel", text, item.channel)
        capacity = capacities.get(entry.channels[item.channel].cell)
        if isinstance(item, Zero) and capacity and abs(item.zero) > LARGEST_ZERO * capacity:
            text = f"{item.zero:.0f} N: above a fifth of the capacity of {entry.channels[item.channel].cell}: no zero is so large."
            raise self.refusal("VALUE", "zero", text, item.channel)
