"""The verbs: everything an interface or a script can ask for. The only place where branches meet.

Heavy libraries are imported inside the verb that needs them, so that a script that only solves rigs starts at once.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from haulwright.errors import FileRefusal, PlanRefusal, UsageRefusal
from haulwright.publishing.output import Files as Files
from haulwright.publishing.output import output_folder, record_of
from haulwright.records import Made

if TYPE_CHECKING:  # the records are named here for the interfaces, which know no other layer
    from haulwright.book.result import BookImport as BookImport
    from haulwright.book.result import BookState as BookState
    from haulwright.book.result import DueDate as DueDate
    from haulwright.book.result import KeptDocument as KeptDocument
    from haulwright.checking import PublishedCheck as PublishedCheck
    from haulwright.field.result import Resistance as Resistance
    from haulwright.field.result import ResistanceRule as ResistanceRule
    from haulwright.files.pull import Pull
    from haulwright.mechanics.batch.find import TackleList as TackleList
    from haulwright.mechanics.rig import Rig as Rig
    from haulwright.mechanics.rig_list import RigList as RigList
    from haulwright.mechanics.solution import BodySolution as BodySolution
    from haulwright.mechanics.solution import RigSolution as RigSolution
    from haulwright.mechanics.statics import Ratio
    from haulwright.planning.found import Planned
    from haulwright.planning.kit_result import KitCheck as KitCheck
    from haulwright.planning.kit_result import KitItem as KitItem
    from haulwright.planning.kit_result import KitUse as KitUse
    from haulwright.planning.pull_result import PullStep as PullStep
    from haulwright.planning.pull_result import PullSteps as PullSteps
    from haulwright.planning.readings import ReadingsCheck as ReadingsCheck
    from haulwright.planning.result import Candidate as Candidate
    from haulwright.planning.result import Plan as Plan
    from haulwright.planning.seen import PullSeen as PullSeen
    from haulwright.planning.sibling_result import ManualStep as ManualStep
    from haulwright.planning.tackles import Tackles
    from haulwright.publishing.diagram.pull_words import DrawnPull
    from haulwright.trials.design.result import CampaignDesign as CampaignDesign
    from haulwright.trials.design.result import CampaignRehearsal as CampaignRehearsal
    from haulwright.trials.predict import Prediction as Prediction
    from haulwright.trials.result import CampaignCheck as CampaignCheck
    from haulwright.trials.result import CampaignResult as CampaignResult
    from haulwright.trials.result import LogRecord as LogRecord
    from haulwright.trials.result import TrialResult as TrialResult
    from haulwright.trials.run_store import RunStore

DEMO_PULL = "rutted-clearing.yaml"
Progress = Callable[[str], None]
Given = str | Path | Mapping[str, Any]


@dataclass(frozen=True, kw_only=True)
class Demo(Files):
    """Files of the demo, with the records they were written from."""

    _campaign: CampaignResult | None = None
    _plan: Plan | None = None


def read_rig(given: Given | Rig, laws: Mapping[str, Mapping[str, Any]] | None = None) -> Rig:
    """Return the rig of a file, a mapping, one-line notation or a name; see :func:`haulwright.files.rig.read_rig`.

    Parameters
    ----------
    given : path, mapping, notation, name or Rig
    laws : mapping block -> law, or None
        Friction laws as a rig file writes them, in place of the rig's own; ``*`` stands for every block.

    Examples
    --------
    >>> rig = read_rig("two-part", {"*": {"law": "bearing", "f": 0.03, "c": 0.012}})
    >>> round(solve_rig(rig).advantage, 3)
    1.931
    """
    from haulwright.files.rig import read_rig as read
    from haulwright.files.rig_law import with_laws

    return with_laws(read(given), laws or {})


def rig_in_words(text: str) -> Rig:
    """Return the rig of one-line notation or of a name; no file is looked for, whatever the text.

    Raises
    ------
    RigRefusal
        A text that is neither.

    Examples
    --------
    >>> rig_in_words("!truck.drum > oak > truck").load.name
    'truck'
    >>> rig_in_words("rig.yaml")
    Traceback (most recent call last):
    haulwright.errors.RigRefusal: There is no rig named 'rig.yaml'...
    """
    from haulwright.mechanics import notation, tackles

    return notation.parse_notation(text) if notation.looks_like_notation(text) else tackles.named_rig(text)


def solve_rig(
    rig: Given | Rig,
    ratio: Ratio | None = None,
    *,
    load: str | float | None = None,
    effort: str | float | None = None,
    letting_back: bool = False,
    seized: Collection[str] | Mapping[str, float | None] = (),
    devices: Mapping[str, str] | None = None,
    travel: str | float | None = None,
    monte_carlo: int | None = None,
    seed: int = 1,
) -> RigSolution:
    """Return every force in a rig.

    Parameters
    ----------
    rig : path, mapping, notation, name or Rig
    ratio : float, Measured, mapping block -> either, or None
        Per-contact tension ratio k in place of the file's law.
    load, effort : str or float or None
        Resistance of the load, or line pull at the drum: text with its unit, or newtons; not both.
    letting_back : bool
    seized : collection of str, or mapping block -> mu
        Blocks whose sheave does not turn; mu None is the middle of the published range.
    devices : mapping block -> device name, or None
        Blocks of one device share its error; a device may stand for its blocks in ``ratio``.
    travel : str or float or None
        Travel of the load wanted, in place of that of the file: text with its unit, or metres.
    monte_carlo : int or None
        Number of random draws the intervals come from; None carries them to first order.
    seed : int
        Of the draws; the same seed gives the same answer.

    Returns
    -------
    RigSolution

    Raises
    ------
    Refusal
        A rig that cannot be read, cannot work or cannot be solved.

    Examples
    --------
    >>> solution = solve_rig("three-part", 1.07, load="26 kN")
    >>> round(solution.effort_N["winch"])
    9259
    """
    from haulwright.mechanics.statics import solve_rig as solve
    from haulwright.mechanics.uncertain import with_devices

    read = _wanting(with_devices(read_rig(rig), devices or {}), travel)
    load_N = None if load is None else _newtons(load, "load")
    effort_N = None if effort is None else _newtons(effort, "effort")
    if monte_carlo is None:
        return solve(read, ratio, load_N=load_N, effort_N=effort_N, letting_back=letting_back, seized=seized)
    from haulwright.mechanics.batch.monte_carlo import solve_rig_by_draws

    return solve_rig_by_draws(
        read,
        ratio,
        draws=monte_carlo,
        seed=seed,
        load_N=load_N,
        effort_N=effort_N,
        letting_back=letting_back,
        seized=seized,
    )


def solve_at_stall(
    rig: Given | Rig,
    ratio: Ratio | None,
    stall: str | float,
    devices: Mapping[str, str] | None = None,
    seized: Collection[str] | Mapping[str, float | None] = (),
) -> tuple[RigSolution, RigSolution]:
    """Return a rig at winch stall without friction and with every ratio at the upper end of its interval.

    The greater of the two is a piece's load at stall: friction never excuses smaller gear.
    """
    from haulwright.mechanics.seized import with_seized
    from haulwright.mechanics.stall import with_and_without_friction
    from haulwright.mechanics.uncertain import with_devices

    read = with_seized(with_devices(read_rig(rig), devices or {}), seized)
    return with_and_without_friction(read, ratio, effort_N=_newtons(stall, "stall"))


def with_stall(solution: RigSolution, at_stall: Sequence[RigSolution], rig: Given | Rig) -> RigSolution:
    """Return a solution with the caution of its loads at winch stall, for a reader who sees the record alone."""
    from haulwright.mechanics.stall import with_stall as cautioned

    return cautioned(solution, at_stall, read_rig(rig))


def _wanting(rig: Rig, travel: str | float | None) -> Rig:
    """Return a rig with a travel of its load wanted, given as text with its unit or in metres."""
    if travel is None:
        return rig
    from haulwright.errors import RigRefusal
    from haulwright.quantities.units import parse_length

    wanted_m = parse_length(travel, default_unit=None if isinstance(travel, str) else "m", what="travel")
    if not wanted_m > 0.0:
        raise RigRefusal("INPUT", f"travel = {wanted_m:g} m: give a length above 0.", ("travel",))
    return replace(rig, wanted=replace(rig.wanted, travel_m=wanted_m))


def _newtons(force: str | float, what: str) -> float:
    """Return a force given as text with its unit, or in newtons."""
    from haulwright.quantities.units import parse_force

    return parse_force(force, default_unit=None if isinstance(force, str) else "N", what=what)


def list_rigs() -> RigList:
    """Return every named rig with its path from the drum."""
    from haulwright.mechanics.rig_list import list_rigs as every

    return every()


def find_tackles(
    at_least: float | None = None,
    *,
    ratio: float = 1.0,
    blocks: int | None = None,
    ropes: int | None = None,
    winch: str | None = None,
    limit: int = 10,
) -> TackleList:
    """Return the tackles that reach an advantage with the gear there is, fewest sheaves first.

    Parameters
    ----------
    at_least : float or None
        Wanted actual advantage; None lists the greatest first.
    ratio : float
        Tension ratio k of every contact; 1 is no friction.
    blocks, ropes : int or None
        Single blocks there are, and lines with the winch's.
    winch : str or None
        ``on-load`` or ``off-load``.
    limit : int
        Tackles listed.

    Returns
    -------
    TackleList

    Raises
    ------
    Refusal
        A value that makes no sense.

    Examples
    --------
    >>> [tackle.name for tackle in find_tackles(3.5, ratio=1.1, blocks=2, ropes=2).tackles]
    ['stacked two-parts/off-load', 'stacked two-parts/on-load']
    """
    from haulwright.mechanics.batch.find import find_tackles as find

    return find(at_least, ratio=ratio, blocks=blocks, ropes=ropes, winch=winch, limit=limit)


def draw_rig(
    rig: Given | Rig,
    ratio: Ratio | None = None,
    *,
    load: str | float | None = None,
    stall: str | float | None = None,
    seized: Collection[str] | Mapping[str, float | None] = (),
    devices: Mapping[str, str] | None = None,
    units: str = "kN",
    light: str = "paper",
    size: str = "laptop",
    out: str | Path = "haulwright-out",
) -> Files:
    """Write the drawing of a solved rig as SVG; ``stall`` is the line pull at winch stall, drawn as the outline."""
    from haulwright.mechanics.stepped import refuse_stepped
    from haulwright.publishing.diagram import rig_svg
    from haulwright.publishing.writing import write_drawing

    read = read_rig(rig)
    refuse_stepped(read, "in drawings")
    expected = solve_rig(read, ratio, load=load, seized=seized, devices=devices)
    at_stall = None if stall is None else solve_at_stall(read, ratio, stall, devices, seized)
    drawing = rig_svg(expected, stall=at_stall, units=units, light=light, size=size)
    with output_folder(out) as folder:
        return record_of([write_drawing(drawing, expected.rig, folder)])


def read_trial(logs: Sequence[str | Path], **choices: Any) -> LogRecord:
    """Return a log as understood: format, units, clocks, channels, every row's fate, phases.

    Parameters
    ----------
    logs : sequence of paths
        One joint log, a log for each cell, or the log of one cell.
    **choices
        What is not to be found out: ``line_column``, ``anchor_column``, ``time_column``, ``unit``, ``date_order``,
        ``clock``, ``separator``, ``decimal``, ``encoding``, ``sheet``, ``zone``.
    """
    from haulwright.trials.estimate import describe
    from haulwright.trials.readers import read_log

    return describe(read_log([Path(log) for log in logs], both=False, **choices))


def measure_trial(
    logs: Sequence[str | Path] | str | Path | Mapping[str, Mapping[str, Any] | str],
    *,
    rig: Given | Rig,
    devices: Sequence[str] = (),
    line_column: str | None = None,
    anchor_column: str | None = None,
    anchor_at: str | None = None,
    unit: str | None = None,
    date_order: str | None = None,
    cells: Mapping[str, Any] | None = None,
    run: str = "",
    steady: Sequence[str | tuple[float, float]] = (),
    clock_offset: str | float | Mapping[str, str | float] | None = None,
    zeros: Mapping[str, str | float] | None = None,
    by: str = "",
    why: str = "",
    **choices: Any,
) -> TrialResult:
    """Return the advantage that one logged run really reached, with its uncertainty and its devices' friction.

    Parameters
    ----------
    logs : path, sequence of paths, or mapping
        One joint log, or line and anchor log; or the readings themselves:
        ``{"line": {"time_s": […], "force": […], "unit": "kgf"}, "anchor": {…}}``; or two forces typed from the displays,
        ``{"line": "612 kgf", "anchor": "1120 ± 10 kgf"}``: a run of lower grade.
    rig : path, mapping, notation, name or Rig
    devices : sequence of str
        From the drum, one per block.
    line_column, anchor_column : str or None
        Columns, where the headers do not tell.
    anchor_at : str or None
        Place of the anchor channel in the rig: a body or a block; None: it reads the whole load.
    unit : str or None
        Unit of the forces, where the file does not tell.
    date_order : str or None
        ``day-first`` or ``month-first``, where the stamps can be read both ways.
    cells : mapping place -> CellSpec or mapping, or None
        ``{"line": {"class": "0.5 %", "of": "reading", "capacity": "3 t"}}``; places ``line`` and ``anchor``.
    run : str
        Name of the run; the first log's name if empty.
    steady : sequence of str or (float, float)
        Steady stretches by hand, in seconds of the line's clock, as ``95:160``.
    clock_offset : str, float, mapping place -> either, or None
        Clock offset by hand, of the anchor or of each channel named: its stamp minus the line's stamp of the same
        instant [s].
    zeros : mapping place -> force, or None
        Zeros to take off by hand, as ``{"line": "2 kgf"}``.
    by, why : str
        Who chose by hand, and why: needed with any of the three; kept in the record with today's date.
    **choices
        Further decisions about the format of the logs, as in :func:`read_trial`.

    Returns
    -------
    TrialResult

    Raises
    ------
    Refusal
        A log or rig that cannot be read, or a run from which no honest number can be had.
    """
    from haulwright.trials.arrays import log_from_arrays
    from haulwright.trials.cells import calibrated, cell_specs
    from haulwright.trials.estimate import measure
    from haulwright.trials.friction import friction_of_run, rig_model
    from haulwright.trials.place import advantage_relation
    from haulwright.trials.plausible import judged
    from haulwright.trials.prepare import choose_by_hand
    from haulwright.trials.readers import read_log

    hand = choose_by_hand(steady, clock_offset, zeros or {}, by, why, date.today().isoformat())
    model = rig_model(read_rig(rig), devices)
    if isinstance(logs, Mapping) and any(isinstance(one, str) for one in logs.values()):
        from haulwright.errors import TrialRefusal
        from haulwright.trials.typed import typed_run

        if hand.anything:
            text = "Forces typed from the displays have no stretch, clock or zero to set by hand."
            raise TrialRefusal("BAD_CHOICE", text, ("steady", "clock_offset", "zeros"))
        typed = typed_run(logs, model, devices, cell_specs(cells), advantage_relation(model, anchor_at), run)
        return friction_of_run(judged(typed, model), model)
    if isinstance(logs, Mapping):
        arrays = {place: one for place, one in logs.items() if not isinstance(one, str)}
        name, log = "readings", log_from_arrays(arrays)
    else:
        paths = [Path(one) for one in ([logs] if isinstance(logs, str | Path) else logs)]
        log = read_log(
            paths,
            line_column=line_column,
            anchor_column=anchor_column,
            unit=unit,
            date_order=date_order,
            **choices,
        )
        name = paths[0].stem
    specs = cell_specs(cells)
    result = measure(
        calibrated(log, specs),
        run=run or name,
        rig_name=model.rig.name,
        frictionless=model.frictionless,
        lowest=model.lowest,
        devices=devices,
        cells=specs,
        steady=hand.steady,
        offsets_s=hand.offsets_s,
        zeros_N=hand.zeros_N,
        chosen_by=hand.who,
        why=hand.why,
        advantage_per_ratio=advantage_relation(model, anchor_at),
        path=model.rig.path,
    )
    return friction_of_run(judged(result, model), model)


def measure_campaign(
    folder: str | Path,
    *,
    progress: Progress | None = None,
    out: str | Path | None = None,
    jobs: int = 1,
    keep: bool = True,
) -> CampaignResult:
    """Return every run of a campaign folder measured, combined, fitted and compared.

    Parameters
    ----------
    folder : path
    progress : callable, optional
        Is told each step in words.
    out : path or None
        Results folder; measured runs are kept in its ``cache`` and only what changed is measured again. None keeps none.
    jobs : int
        Processes that measure side by side. From a script, call it below ``if __name__ == "__main__":``.
    keep : bool
        False uses what is kept and writes nothing.

    Returns
    -------
    CampaignResult
        The same to the last bit with or without kept runs, by one process or several.

    Raises
    ------
    Refusal
        A folder that cannot be read, no run with a number, or a results folder that cannot be written.
    """
    from haulwright.files.campaign import read_campaign
    from haulwright.trials.campaign import measure_campaign as measure
    from haulwright.trials.run_store import RunStore

    read = read_campaign(folder)
    store = RunStore(None if out is None else Path(out) / "cache", write=keep)
    if out is not None and keep:
        with output_folder(out):
            pass
    return measure(read, progress=progress, store=store, jobs=jobs)


def kept_campaign(folder: str | Path, *, progress: Progress | None = None, jobs: int = 1) -> CampaignResult:
    """Return every run of a campaign measured, for a page or a question about it.

    Runs are kept in ``results/cache`` of the folder, as ``campaign measure`` keeps them; where nothing can be written,
    they are measured anew each time.

    Parameters
    ----------
    folder : path
    progress : callable, optional
        Is told each step in words.
    jobs : int
        Processes that measure side by side.
    """
    from haulwright.files.campaign import read_campaign
    from haulwright.trials.campaign import measure_campaign as measure

    return measure(read_campaign(folder), progress=progress, store=_store(folder), jobs=jobs)


def _store(folder: str | Path) -> RunStore:
    """Return the kept runs of a campaign folder."""
    from haulwright.trials.run_store import RunStore

    return RunStore(Path(folder) / "results" / "cache")


def predict_campaign(
    folder: str | Path,
    rig: Given | Rig,
    devices: Sequence[str] = (),
    *,
    load: str | float | None = None,
    progress: Progress | None = None,
    jobs: int = 1,
) -> Prediction:
    """Return the advantage of a rig that need not have been tested, from the friction a campaign found.

    Parameters
    ----------
    folder : path
        Campaign folder.
    rig : path, mapping, notation, name or Rig
        With one winch; a file is looked for in the present folder, then in the campaign's.
    devices : sequence of str
        Of the campaign, one for each block from the drum.
    load : str or float or None
        Resistance of the load: text with its unit, or newtons.
    progress : callable, optional
        Is told each step in words.
    jobs : int
        Processes that measure side by side.

    Returns
    -------
    Prediction

    Raises
    ------
    Refusal
        A rig or campaign that cannot be read; a device the campaign says nothing of, by name.
    """
    from haulwright.files.campaign import read_campaign
    from haulwright.trials.campaign import measure_campaign as measure
    from haulwright.trials.predict import predict_rig, refuse_early

    load_N = None if load is None else _newtons(load, "load")
    found = read_rig(_rig_beside(folder, rig))
    read = read_campaign(folder)
    refuse_early(read, found, devices, load_N)
    result = measure(read, progress=progress, store=_store(folder), jobs=jobs)
    return predict_rig(read, result, found, devices, load_N=load_N)


def _rig_beside(folder: str | Path, rig: Given | Rig) -> Given | Rig:
    """Return a rig as given, or the file of that name in a folder where the present one has none."""
    if not (isinstance(rig, str) and rig.endswith((".yaml", ".yml"))):
        return rig
    try:
        beside = Path(folder) / rig
        return beside if beside.is_file() and not Path(rig).is_file() else rig
    except OSError:  # no name of a file; the reader will tell
        return rig


def design_campaign(
    folder: str | Path, rigs: Sequence[str], *, like: str | Path | None = None, **choices: Any
) -> CampaignDesign:
    """Return a run sheet for a campaign's devices and what it will tell.

    Parameters
    ----------
    folder : path
        Holds ``campaign.yaml``; a run sheet need not be there.
    rigs : sequence of str
        Names or paths, each device in turn on all blocks; or ``rig=device;device`` from the drum.
    like : path or None
        An earlier campaign whose scatter of one pull is reckoned with.
    **choices
        ``devices``, ``repeats``, ``series``, ``seed``, ``difference``, ``scatter``, ``ratios`` as
        :func:`haulwright.trials.design.design_campaign` takes them.
    """
    from haulwright.files.campaign import read_spec
    from haulwright.trials.design import design_campaign as design
    from haulwright.trials.design.make import scatter_of

    spec = read_spec(folder)
    if like is not None:
        choices["scatter"] = scatter_of(measure_campaign(like, out=Path(like) / "results", keep=False))
    return design(spec, rigs, **choices)


def write_design(
    folder: str | Path, design: CampaignDesign, out: str | Path, *, one_log: bool = False
) -> Files:
    """Write a design as ``runs.csv``, as a sheet to print and as its record; a ``runs.csv`` that is there stays.

    Raises
    ------
    FileRefusal
        EXISTS: there is a run sheet in that folder already.
    """
    from haulwright.files.campaign import read_spec
    from haulwright.publishing.run_sheet import run_sheet_text
    from haulwright.publishing.writing import write_record
    from haulwright.trials.design.sheet import sheet_csv

    cells = [*read_spec(folder).cells]
    pair = (cells[0], cells[1]) if len(cells) == 2 else ("", "")
    with output_folder(out) as target:
        sheet, paper = target / "runs.csv", target / "run-sheet.txt"
        if sheet.exists():
            raise FileRefusal(
                "EXISTS",
                f"{sheet} is there already and is not overwritten. Give another --out.",
                (str(sheet),),
            )
        sheet.write_text(sheet_csv(design.runs, pair, one_log=one_log), encoding="utf-8")
        paper.write_text(run_sheet_text(design), encoding="utf-8")
        written = [(sheet, "run sheet, to be filled on the day"), (paper, "run sheet to print")]
        return record_of(
            [*written, write_record(design, target / "design.json", "the design, machine-readable")]
        )


def simulate_campaign(
    folder: str | Path,
    design: CampaignDesign,
    *,
    campaigns: int = 60,
    seed: int = 1,
    logs: bool = False,
    progress: Progress | None = None,
) -> CampaignRehearsal:
    """Return how a design does on made-up campaigns of known truth: will it answer the question?

    Parameters
    ----------
    folder : path
        Holds ``campaign.yaml``, for the cells.
    design : CampaignDesign
    campaigns, seed : int
    logs : bool
        Make up the logs as well and measure them.
    progress : callable, optional
    """
    from haulwright.files.campaign import read_spec
    from haulwright.trials.design import rehearse
    from haulwright.trials.design.make import truth_of

    spec = read_spec(folder)
    return rehearse(
        design.name,
        design.runs,
        truth_of(spec, design),
        margin=spec.margin,
        campaigns=campaigns,
        seed=seed,
        logs=logs,
        progress=progress,
    )


def check_campaign(
    folder: str | Path, *, progress: Progress | None = None, jobs: int = 1, kept: bool = False
) -> CampaignCheck:
    """Return pass or redo for every run of a campaign, with the reason, while it can still be pulled again.

    ``kept`` takes up the runs that are kept in its ``results/cache`` and keeps the others there.
    """
    from haulwright.files.campaign import read_campaign
    from haulwright.trials.check import check_campaign as check

    read = read_campaign(folder, logs_needed=False)
    return check(read, progress=progress, store=_store(folder) if kept else None, jobs=jobs)


def check_exit_code(check: CampaignCheck) -> int:
    """Return 0, or 1 where a run is to be redone or a log is missing."""
    return 0 if check.done else 1


def write_devices(folder: str | Path, result: CampaignResult, out: str | Path) -> Files:
    """Write the friction of a campaign's devices as ``devices.toml``, the form the catalogue and a plan read."""
    from haulwright.catalogue import dump_devices
    from haulwright.files.campaign import read_campaign
    from haulwright.trials.campaign import device_rows

    rows = device_rows(read_campaign(folder), result)
    with output_folder(out) as target:
        path = target / "devices.toml"
        dump_devices(rows, path)
        return record_of([(path, "friction of the devices, in catalogue form")])


def estimate_resistance(
    pull: Given, *, own: Given | Sequence[Given] | None = None, rule: str | None = None
) -> Resistance:
    """Return the resistance of a stuck vehicle by every published rule that covers it.

    Parameters
    ----------
    pull : path or mapping
        A pull; or its ``vehicle`` and ``ground`` alone.
    own : path, mapping, or sequence of either
        Files of what was seen on own pulls, or folders that hold some; in place of what the pull names.
    rule : str or None
        The rule to use, in place of what the pull names.

    Returns
    -------
    Resistance

    Raises
    ------
    Refusal
        A pull that is wrong, or that no rule covers.

    Examples
    --------
    >>> case = {"vehicle": {"mass": "2.6 t", "load": "480 kg", "sunk": "wheel"}, "ground": {"surface": "bog"}}
    >>> found = estimate_resistance(case)
    >>> found.chosen, [rule.name for rule in found.rules]
    ('fractions and mire', ['military mire and grade', 'training fractions', 'fractions and mire'])
    """
    from haulwright.files.seen import read_seen
    from haulwright.planning.resistance import estimate_stuck
    from haulwright.planning.stuck import read_stuck

    name, vehicle, ground, named, seen = read_stuck(pull)
    past = seen if own is None else read_seen(own)
    return estimate_stuck(name, vehicle, ground, named if rule is None else rule, past)


def record_seen(
    pull: Given,
    *,
    line: str | float,
    anchor: str | float | None = None,
    breakout: str | float | None = None,
    rig: str | None = None,
    moved: bool = True,
    by: str = "",
    note: str = "",
) -> PullSeen:
    """Enter what the cells read on a pull in the file beside it, with today's date and time.

    See :func:`haulwright.planning.seen.record_seen`.
    """
    from haulwright.planning.seen import record_seen as record

    when = datetime.now().astimezone().isoformat(timespec="seconds")
    return record(
        pull, line=line, anchor=anchor, breakout=breakout, rig=rig, moved=moved, by=by, note=note, when=when
    )


def make_plan(
    pull: Given, *, kit: Given | None = None, friction: Given | None = None, rig: str | None = None
) -> Plan:
    """Return ranked rigs for a pull, with every item's margin at the expected load and at stall."""
    return plan_pull(pull, kit=kit, friction=friction, rig=rig).plan


def plan_pull(
    pull: Given, *, kit: Given | None = None, friction: Given | None = None, rig: str | None = None
) -> Planned:
    """Return a plan with what stands behind each of its rigs; tackles of the enumeration are looked at too."""
    from haulwright.files.pull import read_pull
    from haulwright.planning.plan import planned

    asked = read_pull(pull, kit=kit, friction=friction, rig=rig)
    return planned(asked, tackles=offered_tackles(asked))


def offered_tackles(pull: Pull) -> Tackles:
    """Return the tackles the blocks and ropes of a pull's kit could make, those that lead among all there are."""
    from haulwright.mechanics.batch.leading import leading_tackles
    from haulwright.mechanics.batch.reevings import MOST_MOVING, MOST_SHEAVES
    from haulwright.mechanics.tackles import OFF, ON
    from haulwright.planning.found import named_by_a_plan
    from haulwright.planning.tackles import LEADING, gear_for_tackles
    from haulwright.planning.tackles import Tackles as Offered

    if pull.rig is not None and not named_by_a_plan(pull.rig):
        return Offered()
    blocks, ropes, on_load = gear_for_tackles(pull)
    blocks, ropes = min(blocks, MOST_SHEAVES), min(ropes, MOST_MOVING + 1)
    found = [leading_tackles(blocks, ropes, ON if on else OFF) for on in sorted(on_load)]
    paths = tuple(tackle.path for one in found for tackle in one.tackles)
    return Offered(paths, sum(one.looked_at for one in found), LEADING)


def check_readings(
    pull: Given,
    *,
    line: str | float,
    anchor: str | float,
    at: str | None = None,
    rig: str | None = None,
    friction: Given | None = None,
    moving: bool = False,
    zero: str | float | None = None,
) -> ReadingsCheck:
    """Return whether two readings under light tension fit the rig as drawn.

    See :func:`haulwright.planning.readings.check_readings`.
    """
    from haulwright.planning.readings import check_readings as check

    planned = plan_pull(pull, friction=friction, rig=rig)
    return check(planned, line=line, anchor=anchor, at=at, moving=moving, zero=zero)


def readings_exit_code(check: ReadingsCheck) -> int:
    """Return 0 where the rig is as drawn and the line carries no more than planned, else 1."""
    return 0 if check.verdict == "as drawn" and check.against_plan not in ("above", "near stall") else 1


def step_pull(
    pull: Given,
    *,
    kit: Given | None = None,
    friction: Given | None = None,
    rig: str | None = None,
    steps: int = 200,
) -> PullSteps:
    """Return one rig of a pull along its travel: what the winch does at every step, peaks and stop points.

    Parameters
    ----------
    pull, kit, friction
        As :func:`make_plan`.
    rig : str or None
        Name of a rig in the plan, a named rig, or a path in one-line notation; None takes the one the plan chose.
    steps : int
        Of the whole travel.
    """
    from haulwright.planning.pull_steps import step_pull as step

    plan = plan_pull(pull, kit=kit, friction=friction)
    if rig is None or rig in plan.settings:
        return step(plan, rig, steps)
    return step(plan_pull(pull, kit=kit, friction=friction, rig=rig), None, steps)


def published_check() -> PublishedCheck:
    """Return every published value in the package beside what this copy computes."""
    from haulwright.checking import published_check as check

    return check()


def show_kit(kit: Given, *, pull: Given | None = None, day: date | None = None) -> KitCheck:
    """Return a kit's items, each with its working limit and a verdict against winch stall in every use it could have.

    Parameters
    ----------
    kit : path or mapping
    pull : path or mapping, optional
        A pull, planned with this kit: the places of its chosen rig join the uses.
    day : date, optional
        What the due dates are held against; today.
    """
    from haulwright.files.kit import read_kit
    from haulwright.planning.kit_check import check_kit

    gear = read_kit(kit)
    return check_kit(gear, day, make_plan(pull, kit=kit) if pull is not None else None)


def kit_exit_code(record: KitCheck) -> int:
    """Return 0, or 1 where a piece is over or unknown; with a pull, a piece of its chosen rig, or where there is none."""
    none_left = record.pull is not None and not record.verdicts
    return 1 if none_left or any(verdict in ("over", "unknown") for verdict in record.verdicts) else 0


def plan_exit_code(plan: Plan) -> int:
    """Return 0, or 1 where the chosen rig is over or unknown or none is left."""
    return 1 if plan.best is None or plan.best.verdict in ("over", "unknown") else 0


def write_results(folder: str | Path, result: CampaignResult, out: str | Path) -> Files:
    """Write a campaign's record as JSON and its devices in catalogue form."""
    from haulwright.publishing.writing import write_record

    with output_folder(out) as target:
        what = "every result of the campaign, machine-readable"
        written = [write_record(result, target / "campaign.json", what)]
        if result.devices:
            written += [(Path(f.path), f.what) for f in write_devices(folder, result, out).files]
        return record_of(written)


def publish_charts(result: CampaignResult, out: str | Path, *, units: str = "kN") -> Files:
    """Write the trace of every run and the comparison of all configurations."""
    from haulwright.publishing.writing import write_charts

    with output_folder(out) as folder:
        return record_of(write_charts(result, folder, units))


def publish_pull(
    pull: Given | Planned,
    out: str | Path,
    *,
    kit: Given | None = None,
    friction: Given | None = None,
    rig: str | None = None,
    units: str = "kN",
    light: str = "paper",
    size: str = "laptop",
) -> Files:
    """Write the sheet of a planned pull and the chart of it along its travel.

    Parameters
    ----------
    pull, kit, friction, rig
        As :func:`plan_rig`; or what it returned.
    out : path
    units, light, size : str
        ``size`` is ``laptop`` or ``phone``, ``light`` is ``paper``, ``sun``, ``night`` or ``print``.

    Raises
    ------
    PlanRefusal
        NO_RIG where no rig can be used here.
    UsageRefusal
        SIZE, LIGHT or UNITS.
    """
    from haulwright.planning.pull_steps import step_pull as step
    from haulwright.publishing.writing import write_pull

    if isinstance(pull, str | Path | Mapping):
        pull = plan_rig(pull, kit=kit, friction=friction, rig=rig)
    drawn, steps = _drawn_pull(pull), step(pull)
    with output_folder(out) as folder:
        return record_of(write_pull(drawn, steps, folder, units=units, light=light, size=size))


def plan_rig(
    pull: Given, *, kit: Given | None = None, friction: Given | None = None, rig: str | None = None
) -> Planned:
    """Return a plan whose chosen rig is the one asked for, with the zone of that rig.

    Parameters
    ----------
    pull, kit, friction
        As :func:`make_plan`.
    rig : str or None
        As :func:`step_pull`: a rig of the plan by its name, or one rig to check; None takes the chosen one.

    Raises
    ------
    PlanRefusal
        NO_RIG where no rig can be used here.
    """
    from haulwright.planning.zone import zone_of

    found = plan_pull(pull, kit=kit, friction=friction)
    if rig is not None and rig not in found.settings:
        found = plan_pull(pull, kit=kit, friction=friction, rig=rig)
    elif rig is not None:
        setting = found.settings[rig]
        found = replace(found, plan=replace(found.plan, chosen=rig, zone=zone_of(setting.request, setting)))
    if found.plan.best is None:
        lacked = "; ".join(f"{r.rig} lacks {r.lacked}" for r in found.plan.rejected)
        raise PlanRefusal(
            "NO_RIG",
            f"{found.plan.pull}: no rig is chosen, so there is none to draw. {lacked}",
            (found.plan.pull,),
        )
    return found


def _drawn_pull(found: Planned) -> DrawnPull:
    """Return the chosen rig solved where the pull begins, at the likely resistance of its way and at stall."""
    from haulwright.planning.drawing import ratios_of
    from haulwright.publishing.diagram.legs import BridleLeg
    from haulwright.publishing.diagram.pull_words import DrawnPull

    plan, setting = found.plan, found.chosen
    chosen = plan.best
    if chosen is None or setting is None or chosen.ground_rig is None:
        raise PlanRefusal("NO_RIG", f"{plan.pull}: no rig is chosen, so there is none to draw.", (plan.pull,))
    ratios = ratios_of(plan, chosen)
    likely = chosen.resistance_N or plan.resistance_N
    expected = solve_rig(chosen.ground_rig, ratios, load=likely.likely)
    stalls = solve_at_stall(chosen.ground_rig, ratios, chosen.stall_N)
    bridles = {}
    for body in chosen.bridles:
        shared = setting.request.shared[body]
        first, *others = ([leg.vector_N for leg in shared.legs(_level(r, body))] for r in (expected, *stalls))
        most = [max(vectors, key=lambda v: math.hypot(*v)) for vectors in zip(*others, strict=True)]
        bridles[body] = tuple(
            BridleLeg(name, (at.along_m, at.aside_m), pull, stall)
            for name, at, pull, stall in zip(shared.anchors, shared.at, first, most, strict=True)
        )
    asked = setting.request.pull
    rise = -asked.ground.slope if asked.ground.direction == "down" else asked.ground.slope
    return DrawnPull(plan, chosen, expected, stalls, asked.vehicle.name, asked.ground.surface, rise, bridles)


def _level(solution: RigSolution, body: str) -> tuple[float, float]:
    x, y, *_ = solution.bodies[body].vector_N or (0.0, 0.0)
    return x, y


def publish_report(
    result: CampaignResult, out: str | Path, *, units: str = "kN", check: CampaignCheck | None = None
) -> Files:
    """Write the test report; ``check`` is what :func:`check_campaign` says of the same folder."""
    from haulwright.publishing.writing import write_report

    with output_folder(out) as folder:
        return record_of([write_report(result, folder, units, check)])


def publish_card(
    plan: Plan, out: str | Path, *, units: str = "kN", paper: str = "a6", date: str | None = None
) -> Files:
    """Write the field card of a plan's chosen rig; ``date`` is printed on it, today if not given.

    Raises
    ------
    PlanRefusal
        NO_RIG where the plan chose none.
    """
    from haulwright.planning.drawing import ratios_of
    from haulwright.publishing.writing import card_stamp, write_card

    chosen = plan.best
    if chosen is None:
        lacked = "; ".join(f"{r.rig} lacks {r.lacked}" for r in plan.rejected)
        raise PlanRefusal(
            "NO_RIG", f"{plan.pull}: no rig is chosen, so there is no card. {lacked}", (plan.pull,)
        )
    ratios = ratios_of(plan, chosen)
    rig = chosen.ground_rig or chosen.path
    expected = solve_rig(rig, ratios, load=plan.resistance_N.likely)
    stall = solve_at_stall(rig, ratios, chosen.stall_N)
    stamp = card_stamp(date)
    with output_folder(out) as folder:
        written = write_card(
            plan, chosen, (expected, stall), folder, units=units, paper=paper, stamp=stamp, ratios=ratios
        )
        return record_of([written])


def demo(out: str | Path, *, units: str = "kN", progress: Progress = lambda words: None) -> Demo:
    """Run the main job on the shipped, invented example.

    Parameters
    ----------
    out : path
        Folder for everything that is written; the example itself is only read.
    units : str
    progress : callable
        Told what is being done.

    Returns
    -------
    Demo
    """
    with output_folder(out) as folder:
        pass  # refused before the work, not after it
    progress("measuring the campaign")
    source = examples() / "campaign"
    campaign = measure_campaign(source, progress=progress)
    written = [*write_results(source, campaign, folder).files]
    progress("planning the pull with the friction just measured")
    plan = make_plan(examples() / "pulls" / DEMO_PULL, friction=folder / "devices.toml")
    written += write_plan(plan, folder).files
    progress("drawing the charts")
    written += publish_charts(campaign, folder, units=units).files
    progress("writing the report and the card")
    written += publish_report(campaign, folder, units=units).files
    written += publish_card(plan, folder, units=units).files
    return Demo(
        files=tuple(written),
        _campaign=campaign,
        _plan=plan,
        made=Made("the shipped example, measured and planned", {}),
    )


def write_plan(plan: Plan, out: str | Path) -> Files:
    """Write a plan's record as JSON."""
    from haulwright.publishing.writing import write_record

    with output_folder(out) as folder:
        what = "the plan with every item's margin, machine-readable"
        return record_of([write_record(plan, folder / "plan.json", what)])


def new_book(at: str | Path | None = None) -> BookState:
    """Make an empty book, and return what it holds.

    Parameters
    ----------
    at : path, str or None
        A file, or ``postgresql://user@host/database``; None: as HAULWRIGHT_BOOK says, else in the user's data folder.

    Raises
    ------
    BookRefusal
        EXISTS where there is one, or anything else of that name.
    """
    from haulwright.book.opening import new_book as make
    from haulwright.book.place import place_of

    make(place_of(at))
    return show_book(at)


def show_book(
    book: str | Path | None = None, *, day: date | None = None, verify: bool = False, migrate: bool = False
) -> BookState:
    """Return what a book holds: counts, due dates, quarantine, friction, decisions, pulls as they went, last import.

    Parameters
    ----------
    book : path, str or None
        As in :func:`new_book`.
    day : date, optional
        What the due dates are held against; today.
    verify : bool
        Read every file back and compare its hash.
    migrate : bool
        On a server: bring an older book to the newest schema, a backup having been taken. A file is copied and brought
        there in any case.
    """
    from haulwright.book.opening import opened
    from haulwright.book.place import place_of
    from haulwright.book.state import state

    with opened(place_of(book), migrate=migrate) as found:
        return state(found, day or date.today(), verify=verify)


def import_to_book(
    given: str | Path, *, book: str | Path | None = None, name: str | None = None, by: str = ""
) -> BookImport:
    """Keep a campaign folder, a kit, a pull with what was seen on it, or a devices file, byte for byte.

    What is there already is not kept twice; what changed is a new version, and the earlier stays.

    Parameters
    ----------
    given : path
        Also a folder that :func:`export_book` wrote all into.
    book : path, str or None
        As in :func:`new_book`.
    name : str or None
        The name it is kept under, in place of its own.
    by : str
        Who imports it.

    Raises
    ------
    Refusal
        What cannot be read; SAME_NAME: another thing of that name; nothing is kept then.
    """
    from haulwright.book.deposit import Deposit, GivenFile
    from haulwright.book.keeping import keep
    from haulwright.book.opening import opened
    from haulwright.book.place import place_of
    from haulwright.book.words import import_record
    from haulwright.files.kept import Kept, read_kept
    from haulwright.files.kept_index import has_index, read_export

    if has_index(given):
        if name is not None:
            raise UsageRefusal("USAGE", f"--as is of one thing, and {given} holds a whole book.", ("--as",))
        every = read_export(given)
    else:
        every = [[read_kept(given, name=name or "")]]

    def deposit(kept: Kept) -> Deposit:
        files = tuple(GivenFile(one.path, one.sha256, one.size, one.read) for one in kept.files)
        return Deposit(
            kept.kind, kept.name, kept.stored_as, files, kept.folders, kept.facts, kept.marks
        )  # fmt: skip

    what = Path(given).resolve().name
    with opened(place_of(book)) as found:
        documents = keep(
            found,
            [[deposit(kept) for kept in history] for history in every],
            what=what,
            who=by,
            sure=name is not None,
        )
        newest = [history[-1] for history in every]
        return import_record(
            found,
            documents,
            what=what,
            left_out=[path for kept in newest for path in kept.left_out],
            missing=[path for kept in newest for path in kept.missing],
            remarks=[words for kept in newest for words in kept.remarks],
        )


def export_book(
    name: str, out: str | Path, *, book: str | Path | None = None, version: int | None = None
) -> Files:
    """Write a document of a book as it came in, or ``all`` of them with every version and an index.

    Parameters
    ----------
    name : str
        Of a campaign, kit, pull or devices file, with its kind before it where two have that name (``kit:club``); or
        ``all``.
    out : path
        Folder it is written into; nothing in it is overwritten.
    book : path, str or None
        As in :func:`new_book`.
    version : int or None
        An earlier one; None is the current one.

    Raises
    ------
    Refusal
        A name the book does not have; EXISTS where another file is in the way, and nothing is written.
    """
    from haulwright.book.opening import opened
    from haulwright.book.place import place_of
    from haulwright.book.taking_out import take_all, take_out

    if name == "all" and version is not None:
        raise UsageRefusal("USAGE", "all has every version in it: leave --version out.", ("--version",))
    with opened(place_of(book)) as found, output_folder(out) as folder:
        return record_of(take_all(found, folder) if name == "all" else take_out(found, name, folder, version))


def book_exit_code(record: BookState) -> int:
    """Return 0, or 1 where a file of the book is not what it was when it came in."""
    return 1 if record.verified is not None and record.verified.damaged else 0


def backup_book(out: str | Path, *, book: str | Path | None = None) -> Files:
    """Copy a book that is a file, while it is in use; a server has its own tool for that.

    Parameters
    ----------
    out : path
        File that is not there yet.
    book : path, str or None
        As in :func:`new_book`.

    Raises
    ------
    BookRefusal
        NOT_HERE for a server; EXISTS; what cannot be read or written.
    """
    from haulwright.book.backup import backup
    from haulwright.book.opening import looked_at
    from haulwright.book.place import place_of

    place = looked_at(place_of(book))
    return record_of([(backup(place, Path(out)), "copy of the book")])


def examples() -> Path:
    """Return the folder of the shipped, invented examples."""
    for folder in (Path(__file__).parent / "examples", Path(__file__).parents[2] / "examples"):
        if (folder / "campaign" / "campaign.yaml").is_file():
            return folder
    raise FileRefusal(
        "NO_FILE", "The shipped examples are not there. Install Haulwright again.", ("examples",)
    )
