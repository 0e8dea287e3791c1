"""The runs of a campaign, each measured by itself as its line of the run sheet and the decisions say."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from haulwright.errors import Refusal, TrialRefusal
from haulwright.files import campaign as files
from haulwright.files.campaign import CampaignFolder
from haulwright.files.decisions import Stretch
from haulwright.files.rig import read_rig
from haulwright.files.runsheet import RunEntry
from haulwright.mechanics.notation import looks_like_notation, parse_notation
from haulwright.mechanics.rig import Rig
from haulwright.mechanics.tackles import named_rig
from haulwright.notices import Code, Notice
from haulwright.trials.cells import CellSpec, calibrated
from haulwright.trials.estimate import measure
from haulwright.trials.friction import LOWEST_AT_K, RigModel, friction_of_run, invert, rig_model
from haulwright.trials.log import ForceLog
from haulwright.trials.place import advantage_relation, is_place, placed
from haulwright.trials.plausible import judged
from haulwright.trials.readers import Choices, read_log
from haulwright.trials.result import CheckStep, PlaceReading, TrialResult
from haulwright.trials.run_store import key_of, sha256_of
from haulwright.trials.series import series_steps
from haulwright.trials.typed import TypedForce, measure_typed

LINE, ANCHOR = "line", "anchor"
_SLIDING = (
    "ring",
    "shackle",
    "tree",
    "post",
    "bar",
)  # kinds of device a line slides over: k follows the wrap
_RIG_FILES = (".yaml", ".yml")


@dataclass(frozen=True)
class MeasuredRun:
    """One measured run with its line of the run sheet and its rig.

    Attributes
    ----------
    entry : RunEntry
    result : TrialResult
        As measured; no gain is taken off yet.
    model : RigModel
    others : mapping place -> TrialResult
        The same run measured with each further cell in place of the anchor's.
    steps : tuple of CheckStep
        Levels, if both cells hung in one line.
    cells : mapping place -> CellSpec
    """

    entry: RunEntry
    result: TrialResult
    model: RigModel
    others: Mapping[str, TrialResult] = field(default_factory=dict)
    steps: tuple[CheckStep, ...] = ()
    cells: Mapping[str, CellSpec] = field(default_factory=dict)

    @property
    def rig_key(self) -> tuple[str, ...]:
        """What tells its rig and devices from others."""
        rig = self.model.rig
        return (rig.path or f"{rig.name} ({self.entry.rig})", *self.entry.devices)

    @property
    def session(self) -> str:
        """The day, empty if not told."""
        return self.entry.date.isoformat() if self.entry.date else ""


@dataclass(frozen=True)
class Outcome:
    """What the cache keeps of a run: its results, or the refusal; a series check may have both levels and a refusal.

    The friction of its device comes after the gain of its cells, and so is not in it.
    """

    result: TrialResult | None = None
    others: Mapping[str, TrialResult] = field(default_factory=dict)
    steps: tuple[CheckStep, ...] = ()
    refusal: str = ""


def rig_of(text: str, folder: Path | None = None) -> Rig:
    """Return the rig of the run sheet: a named rig, a path such as ``!truck.drum > tree > truck``, or a rig file.

    Parameters
    ----------
    text : str
        A rig file by its path within the campaign folder, ``rigs/two-legs.yaml``.
    folder : Path, optional
        The campaign folder.
    """
    if folder is not None and text.endswith(_RIG_FILES):
        path = folder / text
        if not path.resolve().is_relative_to(folder.resolve()):
            raise TrialRefusal(
                "RIG_FILE", f"rig = {text!r}: a rig file must lie in the campaign folder.", (text,)
            )
        return read_rig(path)
    return parse_notation(text) if looks_like_notation(text) else named_rig(text)


def model_of(folder: CampaignFolder, entry: RunEntry) -> RigModel:
    """Return the rig of a run with its devices; the k of those a line slides over follows the wrap."""
    sliding = {
        name
        for name in entry.devices
        if any(kind in folder.spec.devices[name].kind.lower().split() for kind in _SLIDING)
    }
    return rig_model(rig_of(entry.rig, folder.path), entry.devices, sliding)


def specs_of(folder: CampaignFolder, entry: RunEntry) -> dict[str, CellSpec]:
    """Return what is known of the cells of a run, by place.

    A certificate that has run out counts no longer than the class does: the greater uncertainty of the two is taken.
    """
    found = {}
    for place, channel in entry.channels.items():
        if channel.cell:
            told = folder.spec.cells[channel.cell]
            late = bool(told.due and entry.date and entry.date > told.due)
            keep = told.expanded is not None and not (late and told.class_ is not None)
            found[place] = CellSpec(
                channel.cell,
                told.capacity,
                told.class_,
                told.class_of,
                told.factor,
                told.expanded if keep else None,
            )
    return found


def run_key(folder: CampaignFolder, entry: RunEntry, name: str) -> str:
    """Return the hash of everything the measuring of a run depends on."""
    return key_of(
        run=entry.run,
        rig=entry.rig,
        rig_name=name,
        rig_file=sha256_of(folder.path / entry.rig) if entry.rig.endswith(_RIG_FILES) else "",
        devices={device: folder.spec.devices[device].kind for device in entry.devices},
        logs=[sha256_of(log) for log in entry.logs],
        names=_names(folder, entry),
        channels={
            place: {"log": one.log.name if one.log else "", "column": one.column, "reading": one.reading}
            for place, one in entry.channels.items()
        },
        formats=[folder.format_of(log) for log in entry.logs],
        at=entry.at,
        tugs=entry.tugs,
        cells=specs_of(folder, entry),
        resolution=_steps(folder.spec.cells, entry),
        by_hand=[
            one.model_dump(mode="json")
            for one in (
                *folder.stretches(entry.run),
                *folder.offsets(entry.run).values(),
                *folder.zeros(entry.run).values(),
            )
        ],
    )


def _steps(cells: Mapping[str, files.CellSpec], entry: RunEntry) -> dict[str, float | None]:
    return {
        place: cells[one.cell].resolution if one.cell else None
        for place, one in entry.channels.items()
        if one.reading
    }


def measure_entry(folder: CampaignFolder, entry: RunEntry, name: str) -> Outcome:
    """Return what a run gives; a refusal is an outcome too.

    Parameters
    ----------
    folder : CampaignFolder
    entry : RunEntry
    name : str
        What the record calls the rig.
    """
    steps: tuple[CheckStep, ...] = ()
    log: ForceLog | None = None
    try:
        model, cells = model_of(folder, entry), specs_of(folder, entry)
        if entry.typed:
            return Outcome(judged(_typed(folder, entry, model, name), model))
        log = read_entry(folder, entry)
        result = _measured(folder, entry, model, name, log)
        if not model.unknowns and model.frictionless == 1.0:
            steps = series_steps(log, result)
        others, told = _others(entry, model, log, result, cells, by_hand_of(folder, entry))
        result = replace(result, notices=(*result.notices, *told), readings=_readings(others, model))
        return Outcome(judged(result, model), others, steps)
    except Refusal as refusal:
        if log is not None and not model.unknowns and model.frictionless == 1.0:
            steps = series_steps(log, None)
        return Outcome(steps=steps, refusal=_without_folder(folder, entry, refusal.message))


def with_friction(result: TrialResult, entry: RunEntry, model: RigModel) -> TrialResult:
    """Return the run with the friction of its devices, where they are named and one run can tell it."""
    if entry.devices or not model.unknowns:
        return friction_of_run(result, model)
    text = f"Run {entry.run} names no device: its advantage is given, but no friction."
    return replace(result, notices=(*result.notices, Code.UNCHECKED.notice((entry.run,), text=text)))


def with_stretches(folder: CampaignFolder, run: str, spans: Sequence[tuple[float, float]]) -> CampaignFolder:
    """Return a campaign as it would be with these stretches of one run set by hand in place of its own [s]."""
    others = tuple(one for one in folder.decisions.stretches if one.run != run)
    told: dict[str, Any] = {"run": run, "who": "nobody", "when": dt.date.today(), "why": "a try"}
    tried = tuple(Stretch.model_construct(start=start, end=end, **told) for start, end in spans)
    decisions = folder.decisions.model_copy(update={"stretches": (*others, *tried)})
    return replace(folder, decisions=decisions)


def read_entry(folder: CampaignFolder, entry: RunEntry) -> ForceLog:
    """Return the log of a run, its channels under the places of the run sheet, cells with a factor corrected."""
    return calibrated(logged_entry(folder, entry), specs_of(folder, entry))


def logged_entry(folder: CampaignFolder, entry: RunEntry) -> ForceLog:
    """Return the log of a run as it stands, its channels under the places of the run sheet."""
    return _placed(_read(folder, entry), entry)


def _read(folder: CampaignFolder, entry: RunEntry) -> ForceLog:
    """Read the logs of a run as ``campaign.yaml`` says of each; the columns of ``runs.csv`` stand over its own."""
    said = {log: folder.format_of(log) for log in entry.logs}
    columns = {}
    for place in (LINE, ANCHOR):
        channel = entry.channels[place]
        columns[place] = channel.column or (said[channel.log].get(place) if channel.log else None) or None
    return read_log(
        entry.logs,
        of_file={log: _choices(words) for log, words in said.items()},
        line_column=columns[LINE],
        anchor_column=columns[ANCHOR],
    )


def _choices(words: Mapping[str, str]) -> Choices:
    """Return the words of ``campaign.yaml`` as a reader's choices."""
    names = {"time": "time_column", "dates": "date_order"}
    return Choices(**{names.get(key, key): word for key, word in words.items() if key not in (LINE, ANCHOR)})


def by_hand_of(folder: CampaignFolder, entry: RunEntry) -> dict[str, Any]:
    """Return the clock offsets and zeros set by hand, as the measuring takes them."""
    offsets, zeros = folder.offsets(entry.run), folder.zeros(entry.run)
    return {
        "offsets_s": {place: one.offset for place, one in offsets.items()},
        "zeros_N": {place: one.zero for place, one in zeros.items()},
        "said": {
            **{f"clock offset of the {place}": one.words for place, one in offsets.items()},
            **{f"zero of the {place}": one.words for place, one in zeros.items()},
        },
    }


def _measured(
    folder: CampaignFolder, entry: RunEntry, model: RigModel, name: str, log: ForceLog
) -> TrialResult:
    by_hand = folder.stretches(entry.run)
    result = measure(
        log,
        run=entry.run,
        rig_name=name,
        path=model.rig.path,
        frictionless=model.frictionless,
        lowest=model.lowest,
        devices=entry.devices,
        cells=specs_of(folder, entry),
        steady=[(one.start, one.end) for one in by_hand] or None,
        chosen_by=", ".join(dict.fromkeys(one.who for one in by_hand)),
        why="; ".join(f"{one.why} ({one.when.isoformat()})" for one in by_hand),
        advantage_per_ratio=relation_of(entry, model),
        tugs=entry.tugs,
        **by_hand_of(folder, entry),
    )
    names = _names(folder, entry)
    logs = tuple({**file, "path": name} for file, name in zip(result.files, names, strict=True))
    return replace(result, files=logs)


def relation_of(entry: RunEntry, model: RigModel) -> Any:
    """Return the advantage as a function of the ratio of the cells; None where the two are the same."""
    return advantage_relation(model, entry.at.get(ANCHOR), entry.at.get(LINE))


def _typed(folder: CampaignFolder, entry: RunEntry, model: RigModel, name: str) -> TrialResult:
    steps, cells = _steps(folder.spec.cells, entry), specs_of(folder, entry)
    forces = {}
    for place, one in entry.channels.items():
        if one.reading is not None:
            factor, reading = cells.get(place, CellSpec()).factor, one.reading
            swing = None if reading.scatter_N is None else factor * reading.scatter_N
            forces[place] = TypedForce(
                factor * reading.force_N, swing, steps[place] or reading.step_N, reading.unit
            )
    return measure_typed(
        forces,
        run=entry.run,
        rig_name=name,
        path=model.rig.path,
        frictionless=model.frictionless,
        lowest=model.lowest,
        devices=entry.devices,
        cells=cells,
        advantage_per_ratio=relation_of(entry, model),
    )


def _others(
    entry: RunEntry,
    model: RigModel,
    log: ForceLog,
    result: TrialResult,
    cells: Mapping[str, CellSpec],
    by_hand: Mapping[str, Any],
) -> tuple[dict[str, TrialResult], list[Notice]]:
    """Measure the run with each further cell in place of the anchor's, over the same steady stretch."""
    found: dict[str, TrialResult] = {}
    told: list[Notice] = []
    for place in entry.channels:
        if place in (LINE, ANCHOR) or place not in result.mean_N:
            continue
        if not is_place(model, place):
            text = f"Run {entry.run}: {place} is no place of {result.rig}. Its force is kept; nothing is computed with it."
            told.append(Code.ADVICE.notice((entry.run, place), text=text))
            continue
        there = placed(model, place, entry.at.get(LINE))
        limits = [
            there.ratio_of(there.solution(dict.fromkeys(model.unknowns, x)))
            for x in (0.0, math.log(LOWEST_AT_K))
        ]
        try:
            one = measure(
                log,
                run=entry.run,
                rig_name=result.rig,
                path=result.path,
                anchor=place,
                frictionless=limits[0],
                lowest=limits[1],
                devices=entry.devices,
                cells=cells,
                steady=[(stretch.start_s, stretch.end_s) for stretch in result.steady],
                chosen_by="rule",
                why="steady stretch of line and anchor",
                **by_hand,
            )
        except TrialRefusal as refusal:
            told.append(
                Code.UNCHECKED.notice((entry.run, place), text=f"{place} is left out: {refusal.message}")
            )
            continue
        found[place] = replace(one, channels={}, phases=(), steady=(), notices=(), _traces=None)
        if not min(limits) <= one.ratio.hi or not one.ratio.lo <= max(limits):
            text = (
                f"Run {entry.run}: {place} ÷ line is {one.ratio.value:.3f}; this rig gives {min(limits):.3g} to "
                f"{max(limits):.3g} there. Check place, cells and zero."
            )
            told.append(Code.OUT_OF_RANGE.notice((entry.run, place), text=text))
    return found, told


def _readings(others: Mapping[str, TrialResult], model: RigModel) -> dict[str, PlaceReading]:
    found = {}
    for place, one in others.items():
        k = invert(one.ratio, placed(model, place)) if len(model.unknowns) == 1 else None
        found[place] = PlaceReading(one.ratio, one.u_repeatability, one.frictionless, k)
    return found


def _names(folder: CampaignFolder, entry: RunEntry) -> list[str]:
    """Name the logs by their path within the folder, so that a result does not depend on where the folder lies."""
    root = folder.path.resolve()
    logs = dict.fromkeys(log.resolve() for log in entry.logs)
    return [log.relative_to(root).as_posix() if log.is_relative_to(root) else log.name for log in logs]


def _without_folder(folder: CampaignFolder, entry: RunEntry, message: str) -> str:
    for log, name in zip(entry.logs, _names(folder, entry), strict=False):
        message = message.replace(str(log), name)
    return message.replace(f"{folder.path}/", "")


def _placed(log: ForceLog, entry: RunEntry) -> ForceLog:
    """Return the log with the further channels of the run sheet under the places it gives them."""
    channels = dict(log.channels)
    for place, wanted in entry.channels.items():
        if place in (LINE, ANCHOR) or wanted.log is None:
            continue
        hits = [
            key
            for key, channel in channels.items()
            if (key not in entry.channels or key == place)  # a column may bear the name of its place
            and Path(channel.file).name == wanted.log.name
            and wanted.column.lower().startswith(channel.label.lower() if wanted.column else "")
        ]
        if len(hits) != 1:
            free = ", ".join(key for key in channels if key not in entry.channels) or "none"
            text = f"{place}: column {wanted.column!r} of {wanted.log.name} is not one of the channels left ({free})."
            raise TrialRefusal("NO_CHANNEL", text, (entry.run, place))
        channels[place] = replace(channels.pop(hits[0]), place=place)
    return replace(log, channels=channels)


def cells_of(entry: RunEntry) -> tuple[str, str]:
    """Return the names of the line cell and the anchor cell; a name of its place for a cell not told."""
    return entry.channels[LINE].cell or f"{LINE} cell", entry.channels[ANCHOR].cell or f"{ANCHOR} cell"
