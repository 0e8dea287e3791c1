"""The campaign folder (``campaign.yaml``, ``runs.csv``, ``decisions.yaml``, ``logs/``), read and cross-checked.

Nothing here writes into the folder. Every name in ``runs.csv`` and ``decisions.yaml`` must be one that
``campaign.yaml`` (cells, devices) or ``runs.csv`` (runs) knows, and every log must be there; what is not is
refused with its line.
"""

from __future__ import annotations

import datetime as dt
import os
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Annotated, Any, Literal

from pydantic import Field, model_validator

from haulwright.errors import FileRefusal
from haulwright.files.decisions import Decision, Decisions, Offset, Stretch, Zero, read_decisions
from haulwright.files.faults import nearest, refusal
from haulwright.files.logs_block import LogFormat, check_names, format_for
from haulwright.files.runsheet import RunEntry, read_run_sheet
from haulwright.files.yamlfile import (
    FileModel,
    Force,
    Fraction,
    Length,
    Mass,
    load_yaml,
    validate_mapping,
)

_SPEC = "campaign.yaml"


class CellSpec(FileModel):
    """A load cell.

    Attributes
    ----------
    capacity : float
        Full scale [N].
    class_ : float or None
        Accuracy class, the limit of error as a fraction of ``class_of``; may be left out where ``expanded`` is given.
    class_of : str
        ``reading`` or ``range``.
    certificate : str
        Number of the calibration certificate.
    factor : float
        From the certificate: true force ÷ reading.
    expanded : float or None
        From the certificate: expanded uncertainty (k = 2) as a fraction of reading; it stands in place of the class.
    calibrated, due : date or None
        Day of the calibration, and the day it runs out.
    resolution : float or None
        Step of the display [N]; for readings typed from it.
    """

    capacity: Annotated[Force, Field(gt=0)]
    class_: Annotated[Fraction, Field(gt=0, lt=0.2)] | None = Field(default=None, alias="class")
    class_of: Literal["reading", "range"] = "reading"
    certificate: str = ""
    factor: float = Field(default=1.0, gt=0.8, lt=1.25)
    expanded: Annotated[Fraction, Field(gt=0, lt=0.2)] | None = None
    calibrated: dt.date | None = None
    due: dt.date | None = None
    resolution: Annotated[Force, Field(gt=0)] | None = None

    @model_validator(mode="after")
    def _known_error(self) -> CellSpec:
        if self.class_ is None and self.expanded is None:
            raise ValueError("expected class, as 0.5 %, or expanded from the certificate, as 0.3 %")
        if (self.factor != 1.0 or self.expanded is not None) and not self.certificate:
            raise ValueError("factor and expanded come from a certificate: name it under certificate")
        if self.calibrated and self.due and self.due < self.calibrated:
            raise ValueError(f"due ({self.due}) comes before calibrated ({self.calibrated})")
        return self


class DeviceSpec(FileModel):
    """A device under test: what it is, so that the result belongs to it and to nothing else."""

    kind: str
    description: str = ""
    diameter: Annotated[Length, Field(gt=0)] | None = None
    mass: Annotated[Mass, Field(gt=0)] | None = None
    material: Literal["steel", "aluminium"] | None = None
    wll: Annotated[Force, Field(gt=0)] | None = None
    condition: str = ""
    supplied_by: str = ""
    rope: str = ""


class RopeSpec(FileModel):
    """A rope the devices were tested with."""

    material: str
    diameter: Annotated[Length, Field(gt=0)]
    length: Annotated[Length, Field(gt=0)] | None = None
    condition: str = ""
    conditioning_pulls: int | None = Field(default=None, ge=0)


class ReportSpec(FileModel):
    """Who answers for the report, and what it does not say."""

    title: str = ""
    number: str = ""
    issued: dt.date | None = None
    customer: str = ""
    laboratory: str = ""
    method: str = ""
    authorised_by: str = ""
    interests: str = ""
    not_tested: str = ""


class CampaignSpec(FileModel):
    """``campaign.yaml``.

    Attributes
    ----------
    logs : mapping of str to LogFormat
        Format of the logs where it is not to be found out: ``default``, and by name or pattern.
    margin : float
        Largest relative difference of advantages that still counts as the same; chosen before the test.
    invented : bool
        True for made-up training data: every result says so.
    licence : str
        Under which others may use the data, as ``CC-BY-4.0``; empty where none is stated.
    """

    name: str
    invented: bool = False
    licence: str = ""
    margin: Annotated[Fraction, Field(gt=0, lt=0.5)] = 0.02
    cells: dict[str, CellSpec] = Field(min_length=1)
    devices: dict[str, DeviceSpec] = Field(default_factory=dict)
    ropes: dict[str, RopeSpec] = Field(default_factory=dict)
    site: dict[str, str] = Field(default_factory=dict)
    logs: dict[str, LogFormat] = Field(default_factory=dict)
    report: ReportSpec = ReportSpec()


@dataclass(frozen=True)
class CampaignFolder:
    """A campaign as its folder describes it.

    Attributes
    ----------
    path : Path
    spec : CampaignSpec
    runs : tuple of RunEntry
        In the order of ``runs.csv``.
    decisions : Decisions
    unread : tuple of str
        Columns of ``runs.csv`` that are kept as notes of the runs, nothing being computed with them.
    """

    path: Path
    spec: CampaignSpec
    runs: tuple[RunEntry, ...]
    decisions: Decisions = field(default_factory=Decisions)
    unread: tuple[str, ...] = ()

    def stretches(self, run: str) -> tuple[Stretch, ...]:
        """Return the stretches set by hand for a run."""
        return tuple(one for one in self.decisions.stretches if one.run == run)

    def offsets(self, run: str) -> dict[str, Offset]:
        """Return the clock offsets set by hand for a run, by channel."""
        return {one.channel: one for one in self.decisions.offsets if one.run == run}

    def zeros(self, run: str) -> dict[str, Zero]:
        """Return the zeros set by hand for a run, by channel."""
        return {one.channel: one for one in self.decisions.zeros if one.run == run}

    def format_of(self, log: Path) -> dict[str, str]:
        """Return what ``campaign.yaml`` says of the format of a log."""
        return format_for(self.spec.logs, log_name(self.path, log))

    def exclusion(self, run: str) -> Decision | None:
        """Return the decision to leave a run out, if there is one."""
        return next((one for one in self.decisions.exclusions if one.run == run), None)


def log_name(folder: Path, log: Path) -> str:
    """Return the path of a log within the folder ``logs/``."""
    return log.relative_to(folder / "logs").as_posix()


def read_spec(folder: str | Path) -> CampaignSpec:
    """Read ``campaign.yaml`` of a folder alone, before there is a run sheet.

    Parameters
    ----------
    folder : path

    Raises
    ------
    FileRefusal
        No such folder, or a file that is missing or wrong.
    """
    return _spec(Path(folder))[0]


def _spec(folder: Path) -> tuple[CampaignSpec, Mapping[str, Any]]:
    """Return the campaign as described, and the file as read, which knows its lines."""
    if not os.path.isdir(folder):  # noqa: PTH112 - also False for a path that no system takes
        raise refusal("NO_FILE", str(folder), None, "there is no such folder. Give a campaign's folder.")
    mapping = load_yaml(folder / _SPEC)
    return validate_mapping(mapping, CampaignSpec, _SPEC), mapping


def read_campaign(
    folder: str | Path, *, logs_needed: bool = True, runs_needed: bool = True
) -> CampaignFolder:
    """Read a campaign folder.

    Parameters
    ----------
    folder : path
        Holds ``campaign.yaml``, ``runs.csv``, ``logs/`` and, where anything was decided by hand,
        ``decisions.yaml``.
    logs_needed : bool
        False where a log that is not there is no fault: pulls may still be to come.
    runs_needed : bool
        False where there need be no run sheet yet, or none with runs.

    Returns
    -------
    CampaignFolder

    Raises
    ------
    FileRefusal
        A file is missing or wrong, or names a run, cell, device, channel or log that is not known; with file and line.
    """
    folder = Path(folder)
    spec, mapping = _spec(folder)
    runs = _runs(folder, logs_needed, runs_needed)
    for entry in runs:
        _known(entry, spec)
    names = list(dict.fromkeys(log_name(folder, log) for entry in runs for log in entry.logs))
    check_names(spec.logs, names, mapping, _SPEC)
    capacities = {name: cell.capacity for name, cell in spec.cells.items()}
    decisions = read_decisions(folder / "decisions.yaml", runs, capacities)
    unread = tuple(dict.fromkeys(column for entry in runs for column in entry.unread))
    return CampaignFolder(folder, spec, runs, decisions, unread)


def _runs(folder: Path, logs_needed: bool, runs_needed: bool) -> tuple[RunEntry, ...]:
    sheet = folder / "runs.csv"
    if not runs_needed and not sheet.exists():
        return ()
    try:
        return read_run_sheet(sheet, folder / "logs", logs_needed=logs_needed)
    except FileRefusal as refused:
        if refused.code == "EMPTY" and not runs_needed:
            return ()
        raise


def _known(entry: RunEntry, spec: CampaignSpec) -> None:
    """Refuse a device or cell that ``campaign.yaml`` does not have."""
    named: list[tuple[str, str, Mapping[str, object]]]
    named = [("devices", name, spec.devices) for name in entry.devices]
    named += [(f"{place}_cell", one.cell, spec.cells) for place, one in entry.channels.items() if one.cell]
    for column, name, known in named:
        if name not in known:
            kind = "device" if column == "devices" else "cell"
            raise refusal(
                f"UNKNOWN_{kind.upper()}",
                "runs.csv",
                entry.line,
                f"{column} = {name!r}: campaign.yaml has no such {kind}: {nearest(name, known)}",
                (entry.run, name),
            )
