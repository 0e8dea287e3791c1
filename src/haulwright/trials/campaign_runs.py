"""The runs of a campaign, each measured by itself as its line of the run sheet and the decisions say."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from pathlib import Path

from haulwright.errors import Refusal, TrialRefusal
from haulwright.files import campaign as files
from haulwright.files.campaign import CampaignFolder
from haulwright.files.runsheet import RunEntry
from haulwright.mechanics.notation import looks_like_notation, parse_notation
from haulwright.mechanics.rig import Rig
from haulwright.mechanics.tackles import named_rig
from haulwright.notices import Code, Notice
from haulwright.trials.cells import CellSpec
from haulwright.trials.estimate import measure
from haulwright.trials.friction import RigModel, friction_of_run, rig_model
from haulwright.trials.log import ForceLog
from haulwright.trials.readers import read_log
from haulwright.trials.result import TrialResult

LINE, ANCHOR = "line", "anchor"


@dataclass(frozen=True)
class MeasuredRun:
    """One measured run with its line of the run sheet and its rig."""

    entry: RunEntry
    result: TrialResult
    model: RigModel


def rig_of(text: str) -> Rig:
    """Return the rig of the run sheet: a named rig, or a path such as ``!truck.drum > tree > truck``."""
    return parse_notation(text) if looks_like_notation(text) else named_rig(text)


def measure_runs(
    folder: CampaignFolder, tell: Callable[[str], None]
) -> tuple[list[MeasuredRun], list[Mapping[str, str]], list[Notice]]:
    """Return the measured runs, those left out with the reason, and the notices about them."""
    measured: list[MeasuredRun] = []
    excluded: list[Mapping[str, str]] = []
    notices: list[Notice] = []
    spelling: dict[str, str] = {}
    for number, entry in enumerate(folder.runs, 1):
        tell(f"run {number} of {len(folder.runs)}: {entry.run}")
        decision = folder.exclusion(entry.run)
        if decision:
            excluded.append(
                {
                    "run": entry.run,
                    "why": decision.why,
                    "who": decision.who,
                    "when": decision.when.isoformat(),
                }
            )
            continue
        try:
            rig = rig_of(entry.rig)
            measured.append(_measure_run(folder, entry, rig, spelling.setdefault(rig.path, entry.rig)))
        except Refusal as refusal:
            excluded.append({"run": entry.run, "why": refusal.message})
            text = f"Run {entry.run} (runs.csv, line {entry.line}) gives no number: {refusal.message}"
            notices.append(Code.UNCHECKED.notice((entry.run,), text=text))
    return measured, excluded, notices


def _measure_run(folder: CampaignFolder, entry: RunEntry, rig: Rig, name: str) -> MeasuredRun:
    """Measure one run; its friction too, where its devices are named and one run can tell it."""
    model = rig_model(rig, entry.devices)
    by_hand = folder.stretches(entry.run)
    log = read_log(
        entry.logs,
        line_column=entry.channels[LINE].column or None,
        anchor_column=entry.channels[ANCHOR].column or None,
    )
    result = measure(
        _placed(log, entry),
        run=entry.run,
        rig_name=name,
        path=rig.path,
        frictionless=model.frictionless,
        lowest=model.lowest,
        devices=entry.devices,
        cells={
            place: _cell(channel.cell, folder.spec.cells)
            for place, channel in entry.channels.items()
            if channel.cell
        },
        steady=[(one.start, one.end) for one in by_hand] or None,
        chosen_by=", ".join(dict.fromkeys(one.who for one in by_hand)),
        why="; ".join(f"{one.why} ({one.when.isoformat()})" for one in by_hand),
    )
    result = replace(result, files=_within(folder, entry, result.files))
    if entry.devices or not model.unknowns:
        return MeasuredRun(entry, friction_of_run(result, model), model)
    text = f"Run {entry.run} names no device: its advantage is given, but no friction."
    return MeasuredRun(
        entry,
        replace(result, notices=(*result.notices, Code.UNCHECKED.notice((entry.run,), text=text))),
        model,
    )


def _within(
    folder: CampaignFolder, entry: RunEntry, files: tuple[Mapping[str, str], ...]
) -> tuple[Mapping[str, str], ...]:
    """Name the logs by their path within the folder, so that a result does not depend on where the folder lies."""
    logs = dict.fromkeys(Path(log).resolve() for log in entry.logs)
    root = folder.path.resolve()
    names = [log.relative_to(root).as_posix() if log.is_relative_to(root) else log.name for log in logs]
    return tuple({**file, "path": name} for file, name in zip(files, names, strict=True))


def _placed(log: ForceLog, entry: RunEntry) -> ForceLog:
    """Return the log with the further channels of the run sheet under the places it gives them."""
    channels = dict(log.channels)
    for place, wanted in entry.channels.items():
        if place in (LINE, ANCHOR):
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


def _cell(name: str, cells: Mapping[str, files.CellSpec]) -> CellSpec:
    spec = cells[name]
    return CellSpec(name, spec.capacity, spec.class_, spec.class_of)


def cells_of(entry: RunEntry) -> tuple[str, str]:
    """Return the names of the line cell and the anchor cell; a name of its place for a cell not told."""
    return entry.channels[LINE].cell or f"{LINE} cell", entry.channels[ANCHOR].cell or f"{ANCHOR} cell"
