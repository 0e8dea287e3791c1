"""The verbs: everything an interface or a script can ask for. The only place where branches meet.

Heavy libraries are imported inside the verb that needs them, so that a script that only solves rigs starts at once.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from haulwright.errors import FileRefusal, PlanRefusal, Refusal, UsageRefusal
from haulwright.kept.examples import examples as examples
from haulwright.progress import Progress, Step, silent, within
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
    from haulwright.files.campaign import CampaignFolder
    from haulwright.files.pull import Pull
    from haulwright.files.rig_file import RigFile as RigFile
    from haulwright.files.runsheet import RunEntry
    from haulwright.mechanics.batch.find import TackleList as TackleList
    from haulwright.mechanics.rig import Rig as Rig
    from haulwright.mechanics.rig_list import RigList as RigList
    from haulwright.mechanics.sheave_list import SheaveList as SheaveList
    from haulwright.mechanics.solution import BodySolution as BodySolution
    from haulwright.mechanics.solution import RigSolution as RigSolution
    from haulwright.mechanics.statics import Ratio
    from haulwright.planning.found import Planned
    from haulwright.planning.kit_kinds import KitKinds as KitKinds
    from haulwright.planning.kit_result import KitCheck as KitCheck
    from haulwright.planning.kit_result import KitItem as KitItem
    from haulwright.planning.kit_result import KitPull as KitPull
    from haulwright.planning.kit_result import KitUse as KitUse
    from haulwright.planning.pull_kinds import PullKinds as PullKinds
    from haulwright.planning.pull_result import PullStep as PullStep
    from haulwright.planning.pull_result import PullSteps as PullSteps
    from haulwright.planning.readings import ReadingsCheck as ReadingsCheck
    from haulwright.planning.result import Candidate as Candidate
    from haulwright.planning.result import Plan as Plan
    from haulwright.planning.seen import PullSeen as PullSeen
    from haulwright.planning.sibling_result import ManualStep as ManualStep
    from haulwright.planning.tackles import Tackles
    from haulwright.publishing.diagram.pull_page import PlanSheet as PlanSheet
    from haulwright.publishing.diagram.pull_words import DrawnPull
    from haulwright.publishing.overview_record import CampaignOverview as CampaignOverview
    from haulwright.publishing.rig_page import RigSheet as RigSheet
    from haulwright.publishing.rig_page import SheetChoices
    from haulwright.publishing.run_view_record import RunView as RunView
    from haulwright.trials.design.result import CampaignDesign as CampaignDesign
    from haulwright.trials.design.result import CampaignRehearsal as CampaignRehearsal
    from haulwright.trials.predict import Prediction as Prediction
    from haulwright.trials.result import CampaignCheck as CampaignCheck
    from haulwright.trials.result import CampaignResult as CampaignResult
    from haulwright.trials.result import LogRecord as LogRecord
    from haulwright.trials.result import Phase as Phase
    from haulwright.trials.result import TrialResult as TrialResult
    from haulwright.trials.run_store import RunStore
    from haulwright.trials.traces import RunTraces as RunTraces

DEMO_PULL = "rutted-clearing.yaml"
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


def list_sheaves() -> SheaveList:
    """Return every published tension ratio of one contact, with its source."""
    from haulwright.mechanics.sheave_list import list_sheaves as every

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
    format: str = "svg",
    out: str | Path = "haulwright-out",
) -> Files:
    """Write the drawing of a solved rig as SVG or PNG; ``stall`` is the line pull at winch stall, drawn as the outline.

    Where none is given the rig's own is taken, if it states one.
    """
    from haulwright.mechanics.stepped import refuse_stepped
    from haulwright.publishing.diagram import rig_svg
    from haulwright.publishing.writing import write_drawing

    read = read_rig(rig)
    refuse_stepped(read, "in drawings")
    expected = solve_rig(read, ratio, load=load, seized=seized, devices=devices)
    stall = stated_stall(read) if stall is None else stall
    at_stall = None if stall is None else solve_at_stall(read, ratio, stall, devices, seized)
    drawing = rig_svg(expected, stall=at_stall, units=units, light=light, size=size)
    with output_folder(out) as folder:
        return record_of([write_drawing(drawing, expected.rig, folder, format)])


def stated_stall(rig: Given | Rig) -> float | None:
    """Return the line pull at stall that a rig states of its winch, the greatest of several [N]; None without one."""
    return read_rig(rig).stated_stall


def show_rig(
    given: str | Mapping[str, Any],
    ratio: Ratio | None = None,
    *,
    load: str | float | None = None,
    stall: str | float | None = None,
    laws: Mapping[str, Mapping[str, Any]] | None = None,
    seized: Collection[str] | Mapping[str, float | None] = (),
    move: Mapping[str, Any] | None = None,
    lead: Sequence[str] = (),
    frame: Mapping[str, Any] | None = None,
    **drawn: Any,
) -> RigSheet:
    """Return a rig as a page shows it: solved, held against its limits, drawn; also one that is refused, without numbers.

    Parameters
    ----------
    given : str or mapping
        A named rig, one-line notation, or what a rig file holds.
    ratio, load, stall, laws, seized
        As :func:`solve_rig` and :func:`solve_at_stall` take them; no stall: the rig's own.
    move : mapping or None
        ``{"name": …, "to_m": [x, y]}``: that thing is put there first, and the record has the mapping after it.
    lead : sequence of str
        Bodies and blocks that one more line meets, from the drum where there is none yet; the same.
    frame : mapping or None
        Of the sheet before: scale and place stay.
    **drawn
        ``units``, ``size`` (``laptop`` or ``phone``), ``width`` [px], ``ghost`` (the rig without friction over it),
        ``draw`` (False: the numbers alone).

    Returns
    -------
    RigSheet

    Raises
    ------
    Refusal
        What is no matter of the rig: a unit, size, frame or move that is none, a wrong key or value of the mapping.

    Examples
    --------
    >>> sheet = show_rig("two-part", 1.1, load="20 kN", stall="42 kN")
    >>> sheet.notation, round(sheet.answer.advantage.value, 3), [row.of for row in sheet.loads][:2]
    ('!O.drum > X > O', 1.909, ['drum:winch', 'body:X'])
    """
    from haulwright.files.rig_edit import moved
    from haulwright.files.rig_law import with_laws
    from haulwright.files.rig_lead import led
    from haulwright.files.rig_sketch import sketch_rig
    from haulwright.mechanics.outline import outline_of
    from haulwright.publishing.diagram.frame import frame_of
    from haulwright.publishing.rig_page import SheetChoices, refused_sheet

    choices = SheetChoices(**drawn, frame=None if frame is None else frame_of(frame))
    changed = None
    if isinstance(given, Mapping) and move is not None:
        given = changed = moved(given, str(move["name"]), move["to_m"])
    if isinstance(given, Mapping) and lead:
        given = changed = led(given, lead)
    outline, said = None, None
    try:
        rig = with_laws(rig_in_words(given) if isinstance(given, str) else read_rig(given), laws or {})
        outline, said = outline_of(rig), _said(rig)
        return _solved_sheet(rig, ratio, load, stall, seized, choices, (said, changed))
    except Refusal as refusal:
        if isinstance(given, Mapping) and outline is None:
            outline = outline_of(sketch_rig(given))
        return refused_sheet(refusal, outline, choices, notation=said, mapping=changed)


def _solved_sheet(
    rig: Rig,
    ratio: Ratio | None,
    load: str | float | None,
    stall: str | float | None,
    seized: Collection[str] | Mapping[str, float | None],
    choices: SheetChoices,
    said: tuple[str | None, Mapping[str, Any] | None],
) -> RigSheet:
    """Return the sheet of a rig that can be solved."""
    from haulwright.mechanics.outline import outline_of
    from haulwright.mechanics.seized import with_seized
    from haulwright.mechanics.stall import with_and_without_friction
    from haulwright.planning.loads import load_rows
    from haulwright.publishing.rig_page import solved_sheet

    solution = solve_rig(rig, ratio, load=load, seized=seized)
    stall = rig.stated_stall if stall is None else stall
    at_stall = () if stall is None else solve_at_stall(rig, ratio, stall, seized=seized)
    at_load = with_and_without_friction(with_seized(rig, seized), ratio, load_N=solution.resistance_N)
    if at_stall:
        solution = with_stall(solution, at_stall, rig)
    return solved_sheet(
        solution,
        load_rows(rig, solution, at_load, at_stall),
        choices,
        at_stall=at_stall,
        ideal=at_load[0],
        outline=outline_of(rig),
        notation=said[0],
        mapping=said[1],
    )


def _said(rig: Rig) -> str | None:
    """Return a rig in one line, None where it cannot be said so."""
    from haulwright.mechanics.notation_write import notation_of

    try:
        return notation_of(rig)
    except Refusal:
        return None


def lay_out_rig(given: str | Mapping[str, Any]) -> dict[str, Any]:
    """Return a rig in line as a mapping on the ground; see :func:`haulwright.files.rig_layout.laid_out`.

    Examples
    --------
    >>> laid = lay_out_rig("stacked two-parts")
    >>> solve_rig(laid, 1.07).advantage - solve_rig("stacked two-parts", 1.07).advantage < 1e-9
    True
    """
    from haulwright.files.rig_layout import laid_out

    return laid_out(given)


def file_rig(given: str | Mapping[str, Any], *, lay_out: bool = False) -> RigFile:
    """Return a rig as a file and in one line; see :func:`haulwright.files.rig_file.file_of`.

    Examples
    --------
    >>> file_rig("two-part", lay_out=True).yaml.splitlines()[:2]
    ['rig: two-part', 'mode: ground']
    """
    from haulwright.files.rig_file import file_of

    return file_of(given, lay_out=lay_out)


def rig_of_text(text: str) -> dict[str, Any]:
    """Return what the text of a rig file holds, unchecked.

    Raises
    ------
    FileRefusal
        It is no YAML, or no mapping.

    Examples
    --------
    >>> rig_of_text("rig: two-part\\nload: {name: truck}")
    {'rig': 'two-part', 'load': {'name': 'truck'}}
    """
    from haulwright.files.yamlfile import parse_yaml

    return parse_yaml(text, "rig file")


def read_trial(logs: Sequence[str | Path], *, progress: Progress = silent, **choices: Any) -> LogRecord:
    """Return a log as understood: format, units, clocks, channels, every row's fate, phases.

    Parameters
    ----------
    logs : sequence of paths
        One joint log, a log for each cell, or the log of one cell.
    progress : callable
        Is told each step in words.
    **choices
        What is not to be found out: ``line_column``, ``anchor_column``, ``time_column``, ``unit``, ``date_order``,
        ``clock``, ``separator``, ``decimal``, ``encoding``, ``sheet``, ``zone``.
    """
    from haulwright.trials.estimate import describe
    from haulwright.trials.readers import read_log

    paths = [Path(log) for log in logs]
    progress(Step(_reading(paths), 0.0))
    log = read_log(paths, both=False, **choices)
    progress(Step("looking for the phases of the pull", 0.7))
    return describe(log)


def _reading(logs: Sequence[Path]) -> str:
    return f"reading {' and '.join(log.name for log in logs)}"


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
    progress: Progress = silent,
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
    progress : callable
        Is told each step in words.
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
        progress(Step(_reading(paths), 0.0))
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
    progress(Step("clocks, zeros, steady stretch, advantage", 0.4))
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


def show_trial(
    logs: Sequence[str | Path],
    *,
    rig: Given | Rig,
    keep: str | Path | None = None,
    units: str = "kN",
    progress: Progress = silent,
    **choices: Any,
) -> RunView:
    """Return one run of no campaign as its page shows it; of one that gives no number, why, if it can be drawn.

    Parameters
    ----------
    logs, rig
        As :func:`measure_trial`.
    keep : path or None
        Folder in which what is drawn of the logs is kept between questions.
    units : str
        Unit of the forces in sentences.
    progress : callable
        Is told each step in words.
    **choices
        As :func:`measure_trial`.

    Raises
    ------
    Refusal
        As :func:`measure_trial`, where the logs cannot even be drawn.
    """
    from haulwright.errors import TrialRefusal
    from haulwright.publishing.run_view import refused_view, view_of

    try:
        return view_of(measure_trial(logs, rig=rig, progress=progress, **choices), units=units)
    except TrialRefusal as refused:
        if refused.code not in _NO_NUMBER:
            raise
        format_of = {key: value for key, value in choices.items() if key not in _NO_FORMAT}
        try:
            trace_trial(logs, keep=keep, **choices)
            phases = read_trial(logs, **format_of).phases
        except TrialRefusal:
            raise refused from None
        return refused_view(choices.get("run") or Path(logs[0]).stem, refused.message, phases=phases)


_NO_NUMBER = ("NO_STEADY", "TOO_SHORT", "STATIC", "IMPOSSIBLE", "SWAPPED")  # of a log that can be drawn
# what is asked of a run beside the format of its logs
_NO_FORMAT = ("devices", "anchor_at", "cells", "run", "steady", "clock_offset", "zeros", "by", "why")


def trace_trial(
    logs: Sequence[str | Path],
    *,
    keep: str | Path | None = None,
    from_s: float | None = None,
    to_s: float | None = None,
    points: int = 3000,
    logged: bool = False,
    **choices: Any,
) -> RunTraces:
    """Return the traces of a run of no campaign within a span, at the level of detail asked for.

    Parameters
    ----------
    logs : sequence of paths
        One joint log, or line and anchor log.
    keep : path or None
        Folder in which they are kept between questions.
    from_s, to_s, points, logged
        As :func:`haulwright.trials.traces.traces_within`.
    **choices
        As :func:`measure_trial`; the stretches change nothing that is drawn.

    Raises
    ------
    Refusal
        Logs that cannot be read or laid on one clock.
    """
    from haulwright.trials.cells import cell_specs
    from haulwright.trials.prepare import choose_by_hand
    from haulwright.trials.trace_sources import traces_of_logs
    from haulwright.trials.trace_store import TraceStore
    from haulwright.trials.traces import traces_within

    paths = [Path(log) for log in logs]
    hand = choose_by_hand(
        (),
        choices.get("clock_offset"),
        choices.get("zeros") or {},
        choices.get("by", ""),
        choices.get("why", ""),
        "",
    )
    format_of = {key: value for key, value in choices.items() if key not in _NO_FORMAT}
    store = TraceStore(None if keep is None else Path(keep))
    whole = traces_of_logs(paths, cell_specs(choices.get("cells")), hand, store, format_of)
    name = choices.get("run") or paths[0].stem
    return traces_within(whole, name, from_s=from_s, to_s=to_s, points=points, logged=logged)


def show_run(
    folder: str | Path, run: str, *, units: str = "kN", progress: Progress | None = None, jobs: int = 1
) -> RunView:
    """Return one run of a campaign as its page shows it, with what the whole campaign says of its cells.

    Runs are kept as :func:`kept_campaign` keeps them. Runs whose logs are not there yet are passed over.

    Parameters
    ----------
    folder : path
    run : str
    units : str
        Unit of the forces in sentences.
    progress : callable, optional
        Is told each step in words.
    jobs : int
        Processes that measure side by side.

    Raises
    ------
    Refusal
        A folder that cannot be read; FileRefusal UNKNOWN_RUN.
    """
    from haulwright.errors import TrialRefusal
    from haulwright.files.campaign import read_campaign
    from haulwright.publishing.run_view import Neighbours, refused_view, view_in_campaign, view_of
    from haulwright.trials.campaign import measure_campaign as measure

    read = read_campaign(folder, logs_needed=False)
    entry, at = _entry(read, run), [one.run for one in read.runs].index(run)
    check = check_campaign(folder, progress=within(progress, 0.0, 0.8), jobs=jobs, kept=True)
    there = replace(read, runs=tuple(one for one in read.runs if all(log.is_file() for log in one.logs)))
    result: CampaignResult | None = None
    no_number = ""
    if there.runs:
        try:
            result = measure(
                there, progress=within(progress, 0.8, 1.0), store=_reading_store(folder), jobs=jobs
            )
        except TrialRefusal as refused:
            no_number = refused.message
    mine = next((one for one in result.runs if one.run == run), None) if result else None
    verdict = check.runs[at]
    if mine is not None:
        view = view_of(mine, units=units)
    else:
        why = "; ".join(verdict.reasons) or no_number
        view = refused_view(
            run,
            why,
            title=f"Run {run}, {entry.rig}",
            phases=_phases(read, entry),
            by_hand=read.stretches(run),
        )
    names = [one.run for one in read.runs]
    place = Neighbours((at + 1, len(names)), names[at - 1] if at else None, next(iter(names[at + 1 :]), None))
    return view_in_campaign(view, read.spec.name, verdict, place, result)


def try_run(folder: str | Path, run: str, steady: Sequence[str | tuple[float, float]]) -> TrialResult:
    """Return what a run of a campaign would give with other steady stretches; nothing is kept or decided.

    The gains of the cells, which follow from all runs, are not taken off.

    Parameters
    ----------
    folder : path
    run : str
    steady : sequence of str or (float, float)
        In seconds of the line's clock, as ``95:160``.

    Raises
    ------
    Refusal
        A folder that cannot be read, UNKNOWN_RUN, BAD_STRETCH, or a run that gives no number with them.
    """
    from haulwright.errors import TrialRefusal
    from haulwright.files.campaign import read_campaign
    from haulwright.trials.campaign_runs import measure_entry, with_stretches
    from haulwright.trials.prepare import choose_by_hand

    read = read_campaign(folder, logs_needed=False)
    entry = _entry(read, run)
    spans = choose_by_hand(steady, None, {}, "nobody", "a try", "").steady or ()
    found = measure_entry(with_stretches(read, run, spans), entry, entry.rig)
    if found.result is None:
        raise TrialRefusal("BAD_STRETCH", found.refusal, (run,))
    return found.result


def _phases(folder: CampaignFolder, entry: RunEntry) -> tuple[Phase, ...]:
    """Return the phases of a run that gives no number; none where its log cannot be read."""
    from haulwright.errors import TrialRefusal
    from haulwright.trials.campaign_runs import read_entry
    from haulwright.trials.estimate import describe

    if entry.typed or not all(log.is_file() for log in entry.logs):
        return ()
    try:
        return describe(read_entry(folder, entry)).phases
    except TrialRefusal:
        return ()


def trace_run(
    folder: str | Path,
    run: str,
    *,
    from_s: float | None = None,
    to_s: float | None = None,
    points: int = 3000,
    logged: bool = False,
) -> RunTraces:
    """Return the traces of one run of a campaign within a span, at the level of detail asked for.

    They are kept in ``results/cache/traces`` of the folder.

    Parameters
    ----------
    folder : path
    run : str
    from_s, to_s, points, logged
        As :func:`haulwright.trials.traces.traces_within`.

    Raises
    ------
    Refusal
        A folder that cannot be read; FileRefusal UNKNOWN_RUN; TrialRefusal NO_TRACES.
    """
    from haulwright.files.campaign import read_campaign
    from haulwright.trials.trace_sources import traces_of_entry
    from haulwright.trials.trace_store import TraceStore
    from haulwright.trials.traces import traces_within

    read = read_campaign(folder, logs_needed=False)
    store = TraceStore(Path(folder) / "results" / "cache" / "traces")
    whole = traces_of_entry(read, _entry(read, run), store)
    return traces_within(whole, run, from_s=from_s, to_s=to_s, points=points, logged=logged)


def _entry(folder: CampaignFolder, run: str) -> RunEntry:
    from haulwright.files.faults import nearest, refusal

    found = next((one for one in folder.runs if one.run == run), None)
    if found is None:
        known = [one.run for one in folder.runs]
        raise refusal("UNKNOWN_RUN", "runs.csv", None, f"no run {run!r}: {nearest(run, known)}", (run,))
    return found


def measure_campaign(
    folder: str | Path,
    *,
    progress: Progress | None = None,
    out: str | Path | None = None,
    jobs: int = 1,
    keep: bool = True,
    so_far: bool = False,
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
    so_far : bool
        Measure the runs whose logs are there, and say how many are to come; else a log that is missing is refused.

    Returns
    -------
    CampaignResult
        The same to the last bit with or without kept runs, by one process or several.

    Raises
    ------
    Refusal
        A folder that cannot be read, no run with a number, or a results folder that cannot be written.
    """
    from haulwright.trials.run_store import RunStore

    store = RunStore(None if out is None else Path(out) / "cache", write=keep)
    if out is not None and keep:
        with output_folder(out):
            pass
    return _measured(folder, store, progress, jobs, so_far)


def _measured(
    folder: str | Path, store: RunStore, progress: Progress | None, jobs: int, so_far: bool
) -> CampaignResult:
    """Return a campaign measured: all of it, or what there is so far with a notice of what is to come."""
    from haulwright.files.campaign import read_campaign
    from haulwright.trials.campaign import measure_campaign as measure
    from haulwright.trials.check import so_far as with_logs
    from haulwright.trials.check import still_to_come

    if not so_far:
        return measure(read_campaign(folder), progress=progress, store=store, jobs=jobs)
    read = read_campaign(folder, logs_needed=False, runs_needed=False)
    result = measure(with_logs(read), progress=progress, store=store, jobs=jobs)
    return replace(result, notices=(*result.notices, *still_to_come(read)))


def kept_campaign(
    folder: str | Path, *, progress: Progress | None = None, jobs: int = 1, so_far: bool = False
) -> CampaignResult:
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
    so_far : bool
        Measure the runs whose logs are there, and say how many are to come; else a log that is missing is refused.
    """
    return _measured(folder, _store(folder), progress, jobs, so_far)


def overview_campaign(
    folder: str | Path, *, units: str = "kN", progress: Progress | None = None, jobs: int = 1
) -> CampaignOverview:
    """Return what the runs logged so far found and what that rests on, in sentences, figures and tables.

    Parameters
    ----------
    folder : path
        Campaign folder; runs without logs are listed as missing.
    units : str
        Unit of the forces in words.
    progress : callable, optional
        Is told each step in words.
    jobs : int
        Processes that measure side by side.

    Raises
    ------
    Refusal
        A folder that cannot be read; NO_RUNS: not one run gives a number yet; UNITS.
    """
    from haulwright.publishing.overview import campaign_overview
    from haulwright.publishing.wording import check_units

    check_units(units)
    result = kept_campaign(folder, progress=progress, jobs=jobs, so_far=True)
    return campaign_overview(result, check_campaign(folder, kept=True), units=units)


def _store(folder: str | Path) -> RunStore:
    """Return the kept runs of a campaign folder."""
    from haulwright.trials.run_store import RunStore

    return RunStore(Path(folder) / "results" / "cache")


def _reading_store(folder: str | Path) -> RunStore:
    """Return the kept runs of a campaign folder, for a question that only takes them up."""
    from haulwright.trials.run_store import RunStore

    return RunStore(Path(folder) / "results" / "cache", write=False)


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


def sheet_of_design(
    folder: str | Path,
    design: CampaignDesign,
    *,
    one_log: bool = False,
    instead: bool = False,
    more: bool = False,
) -> dict[str, bytes]:
    """Return a design as the campaign's run sheet: what changes in its folder, by path; nothing is written.

    Parameters
    ----------
    folder : path
        Of the campaign.
    design : CampaignDesign
    one_log : bool
        One joint log a run, not one of each cell.
    instead : bool
        Put it in the place of a sheet whose runs have logs.
    more : bool
        Put its runs below those of the sheet that is there.

    Raises
    ------
    FileRefusal
        EXISTS: runs of the sheet that is there have logs.
    """
    from haulwright.files.campaign import read_campaign, read_spec
    from haulwright.files.field_day import below
    from haulwright.trials.check import so_far
    from haulwright.trials.design.sheet import sheet_csv

    cells = [*read_spec(folder).cells]
    pair = (cells[0], cells[1]) if len(cells) == 2 else ("", "")
    text = sheet_csv(design.runs, pair, one_log=one_log)
    if (Path(folder) / "runs.csv").is_file() and not instead:
        if more:
            return below(Path(folder), text)
        logged = so_far(read_campaign(folder, logs_needed=False, runs_needed=False)).runs
        if logged:
            raise FileRefusal(
                "EXISTS",
                f"{len(logged)} runs of the sheet that is there have logs. Put the new runs below them, or say that the new "
                "sheet is to stand in its place; the logs and the earlier sheet stay in the book.",
                ("runs.csv",),
            )
    return {"runs.csv": text.encode()}


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

    read = read_campaign(folder, logs_needed=False, runs_needed=False)
    return check(read, progress=progress, store=_store(folder) if kept else None, jobs=jobs)


def check_exit_code(check: CampaignCheck) -> int:
    """Return 0, or 1 where a run is to be redone or a log is missing."""
    return 0 if check.done else 1


def write_devices(folder: str | Path, result: CampaignResult, out: str | Path) -> Files:
    """Write the friction of a campaign's devices as ``devices.toml``, the form the catalogue and a plan read."""
    from haulwright.catalogue import dump_devices
    from haulwright.files.campaign import read_campaign
    from haulwright.trials.campaign import device_rows

    rows = device_rows(read_campaign(folder, logs_needed=False), result)
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
    pull: Given,
    *,
    kit: Given | None = None,
    friction: Given | None = None,
    rig: str | None = None,
    progress: Progress = silent,
) -> Plan:
    """Return ranked rigs for a pull, with every item's margin at the expected load and at stall."""
    return plan_pull(pull, kit=kit, friction=friction, rig=rig, progress=progress).plan


def plan_pull(
    pull: Given,
    *,
    kit: Given | None = None,
    friction: Given | None = None,
    rig: str | None = None,
    progress: Progress = silent,
) -> Planned:
    """Return a plan with what stands behind each of its rigs; tackles of the enumeration are looked at too."""
    from haulwright.files.pull import read_pull
    from haulwright.planning.plan import planned

    asked = read_pull(pull, kit=kit, friction=friction, rig=rig)
    progress(Step("tackles the kit could make", 0.0))
    return planned(asked, tackles=offered_tackles(asked), progress=progress)


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
    progress: Progress = silent,
) -> ReadingsCheck:
    """Return whether two readings under light tension fit the rig as drawn.

    See :func:`haulwright.planning.readings.check_readings`.
    """
    from haulwright.planning.readings import check_readings as check

    planned = plan_pull(pull, friction=friction, rig=rig, progress=within(progress, 0.0, 0.9))
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
    progress: Progress = silent,
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
    progress : callable
        Is told each step of the work in words.
    """
    from haulwright.planning.pull_steps import step_pull as step

    plan = plan_pull(pull, kit=kit, friction=friction, progress=within(progress, 0.0, 0.8))
    progress(Step("the pull, step by step", 0.8))
    if rig is None or rig in plan.settings:
        return step(plan, rig, steps)
    return step(plan_pull(pull, kit=kit, friction=friction, rig=rig), None, steps)


def published_check() -> PublishedCheck:
    """Return every published value in the package beside what this copy computes."""
    from haulwright.checking import published_check as check

    return check()


def show_kit(kit: Given, *, pull: Given | Sequence[Given] | None = None, day: date | None = None) -> KitCheck:
    """Return a kit's items, each with its working limit and a verdict against winch stall in every use it could have.

    Parameters
    ----------
    kit : path or mapping
    pull : path or mapping, or sequence of either, optional
        Pulls, planned with this kit: the places of their chosen rigs join the uses. Of several, one that cannot be
        planned is told with its reason; one alone is refused.
    day : date, optional
        What the due dates are held against; today.
    """
    from haulwright.errors import Refusal
    from haulwright.files.kit import read_kit
    from haulwright.planning.kit_check import check_kit, not_planned

    gear = read_kit(kit)
    if pull is None or isinstance(pull, str | Path | Mapping):
        return check_kit(gear, day, () if pull is None else (make_plan(pull, kit=kit),))
    plans, unplanned = [], []
    for number, one in enumerate(pull, 1):
        try:
            plans.append(make_plan(one, kit=kit))
        except Refusal as refusal:
            named = one.get("pull") if isinstance(one, Mapping) else Path(one).name
            unplanned.append(not_planned(named if isinstance(named, str) else f"pull {number}", refusal))
    return check_kit(gear, day, plans, unplanned)


def list_kit_kinds() -> KitKinds:
    """Return every kind of piece a kit can hold: its mark, what the mark usually means, when it is out of use."""
    from haulwright.planning.kit_kinds import list_kinds

    return list_kinds()


def list_pull_kinds() -> PullKinds:
    """Return every word a pull can be told in: surfaces, depths, kinds of anchor, hazards."""
    from haulwright.planning.pull_kinds import list_pull_kinds as listed

    return listed()


def kit_exit_code(record: KitCheck) -> int:
    """Return 0, or 1 where a piece is over or unknown; with pulls, a piece of a chosen rig, or where there is none."""
    none_left = any(pull.rig is None for pull in record.pulls)
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


def plan_sheet(
    pull: Given,
    *,
    kit: Given | None = None,
    friction: Given | None = None,
    rig: str | None = None,
    units: str = "kN",
    steps: int = 60,
    progress: Progress = silent,
) -> PlanSheet:
    """Return a plan with its drawings and the chosen rig along its travel, for a page.

    Parameters
    ----------
    pull, kit, friction
        As :func:`make_plan`.
    rig : str or None
        The rig to choose: one of the plan by its name, or one rig to check; None takes the first.
    units : str
        Of the figures in the drawings.
    steps : int
        Of the travel.

    Returns
    -------
    PlanSheet
        Also where no rig can be used here: then only what is said of the pull.
    """
    from haulwright.errors import Refusal
    from haulwright.planning.pull_steps import step_pull as step
    from haulwright.planning.told import choose
    from haulwright.publishing.diagram.pull_page import PlanSheet, glyphs, page_words, pull_drawings
    from haulwright.publishing.writing import card_title

    found = plan_pull(pull, kit=kit, friction=friction, progress=progress)
    if rig is not None and rig in found.settings:
        found = choose(found, rig)
    elif rig is not None:
        found = plan_pull(pull, kit=kit, friction=friction, rig=rig, progress=progress)
    titles = {one.rig: card_title(one.rig) for one in found.plan.candidates}
    undrawn = unstepped = ""
    drawings, walked = glyphs(found.plan), None
    words: tuple[tuple[str, ...], ...] = ((), (), ())
    try:
        drawn = _drawn_pull(found)
        words = page_words(drawn, units)
        drawings += pull_drawings(drawn, titles[drawn.candidate.rig], units)
    except Refusal as refused:
        undrawn = refused.message
    try:
        walked = step(found, None, steps)
    except Refusal as refused:
        unstepped = refused.message
    return PlanSheet(
        plan=found.plan, titles=titles, drawings=drawings, undrawn=undrawn, steps=walked, unstepped=unstepped,
        lead=words[0], zone_words=words[1], cautions=words[2], notices=found.plan.notices,
        made=Made("a plan with its drawings", {"rig": rig, "units": units, "steps": steps}),
    )  # fmt: skip


def plan_rig(
    pull: Given, *, kit: Given | None = None, friction: Given | None = None, rig: str | None = None
) -> Planned:
    """Return a plan whose chosen rig is the one asked for, with the zone, checklist and brief of that rig.

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
    from haulwright.planning.told import choose

    found = plan_pull(pull, kit=kit, friction=friction)
    if rig is not None and rig not in found.settings:
        found = plan_pull(pull, kit=kit, friction=friction, rig=rig)
    elif rig is not None:
        found = choose(found, rig)
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
    return DrawnPull(plan, chosen, expected, stalls, bridles)


def _level(solution: RigSolution, body: str) -> tuple[float, float]:
    x, y, *_ = solution.bodies[body].vector_N or (0.0, 0.0)
    return x, y


def publish_report(
    result: CampaignResult,
    out: str | Path,
    *,
    units: str = "kN",
    check: CampaignCheck | None = None,
    progress: Progress = silent,
) -> Files:
    """Write the test report; ``check`` is what :func:`check_campaign` says of the same folder."""
    from haulwright.publishing.writing import write_report

    with output_folder(out) as folder:
        return record_of([write_report(result, folder, units, check, progress)])


def publish_chart(
    result: CampaignResult, out: str | Path, *, run: str | None = None, units: str = "kN"
) -> Files:
    """Write the trace of one run, or the comparison of all configurations, as SVG and PNG.

    Parameters
    ----------
    result : CampaignResult
    out : path
    run : str or None
        Of the campaign; None is the comparison.
    units : str

    Raises
    ------
    FileRefusal
        UNKNOWN_RUN; TRACE for a run that was typed from the displays or left out.
    """
    from haulwright.publishing.writing import write_comparison, write_trace

    found = None if run is None else next((one for one in result.runs if one.run == run), None)
    if run is not None and found is None:
        known = ", ".join(one.run for one in result.runs)
        raise FileRefusal(
            "UNKNOWN_RUN", f"There is no run {run!r} with a number here. There is: {known}.", (run,)
        )
    if found is not None and found.grade != "logged":
        raise FileRefusal(
            "TRACE", f"{run}: its forces were typed from the displays, so it has no trace.", (found.run,)
        )
    with output_folder(out) as folder:
        return record_of(
            write_comparison(result, folder) if found is None else write_trace(found, folder, units)
        )


def publish_run_sheet(campaign: str | Path, out: str | Path) -> Files:
    """Write the run sheet of a campaign folder as a page to print and to write on.

    Parameters
    ----------
    campaign : path
        Its ``runs.csv`` gives the order; runs whose logs are there are ticked.
    out : path

    Raises
    ------
    Refusal
        A folder that cannot be read; a sheet without a run.
    """
    from haulwright.files.campaign import read_campaign
    from haulwright.publishing.run_sheet_page import SheetRow
    from haulwright.publishing.writing import write_run_sheet
    from haulwright.trials.check import so_far

    read = read_campaign(campaign, logs_needed=False)
    logged = {entry.run for entry in so_far(read).runs}
    rows = [
        SheetRow(entry.run, entry.rig, entry.devices, entry.run in logged, entry.notes) for entry in read.runs
    ]
    with output_folder(out) as folder:
        return record_of([write_run_sheet(read.spec.name, rows, folder, invented=read.spec.invented)])


def publish_card(
    plan: Plan,
    out: str | Path,
    *,
    units: str = "kN",
    paper: str = "a6",
    date: str | None = None,
    format: str = "pdf",
) -> Files:
    """Write the field card of a plan's chosen rig.

    Parameters
    ----------
    plan : Plan
    out : path
    units, paper, format : str
        As :func:`haulwright.publishing.card.card_page` takes them.
    date : str or None
        Printed on it; today if not given.

    Raises
    ------
    PlanRefusal
        NO_RIG where the plan chose none.
    UsageRefusal
        PAPER, FORMAT or UNITS.
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
            plan,
            chosen,
            (expected, stall),
            folder,
            units=units,
            paper=paper,
            stamp=stamp,
            ratios=ratios,
            as_=format,
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
    given: str | Path,
    *,
    book: str | Path | None = None,
    name: str | None = None,
    by: str = "",
    progress: Progress = silent,
) -> BookImport:
    """Keep a campaign folder, a kit, a pull with what was seen on it, a rig or a devices file, byte for byte.

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
    progress : callable
        Is told each file that is kept.

    Raises
    ------
    Refusal
        What cannot be read; SAME_NAME: another thing of that name; nothing is kept then.
    """
    from haulwright.book.keeping import keep
    from haulwright.book.opening import opened
    from haulwright.book.place import place_of
    from haulwright.book.terms import Terms
    from haulwright.book.words import import_record
    from haulwright.files.kept import read_kept
    from haulwright.files.kept_index import has_index, read_export
    from haulwright.kept.handing import deposit_of

    progress(Step(f"reading {Path(given).name}", 0.0))
    if has_index(given):
        if name is not None:
            raise UsageRefusal("USAGE", f"--as is of one thing, and {given} holds a whole book.", ("--as",))
        every = read_export(given)
    else:
        every = [[read_kept(given, name=name or "")]]
    what = Path(given).resolve().name
    with opened(place_of(book)) as found:
        deposits = [[deposit_of(kept) for kept in history] for history in every]
        terms = Terms(what, by, sure=name is not None)
        documents = keep(found, deposits, terms, within(progress, 0.3, 1.0))
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
