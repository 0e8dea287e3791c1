"""The verbs: everything an interface or a script can ask for. The only place where branches meet.

Heavy libraries are imported inside the verb that needs them, so that a script that only solves rigs starts at once.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from haulwright.errors import FileRefusal, PlanRefusal
from haulwright.publishing.output import Files as Files
from haulwright.publishing.output import output_folder, record_of
from haulwright.records import Made

if TYPE_CHECKING:  # the records are named here for the interfaces, which know no other layer
    from haulwright.checking import PublishedCheck as PublishedCheck
    from haulwright.field.result import Resistance as Resistance
    from haulwright.mechanics.batch.find import TackleList as TackleList
    from haulwright.mechanics.rig import Rig as Rig
    from haulwright.mechanics.rig_list import RigList as RigList
    from haulwright.mechanics.solution import RigSolution as RigSolution
    from haulwright.mechanics.statics import Ratio
    from haulwright.planning.kit_check import KitCheck as KitCheck
    from haulwright.planning.result import Candidate as Candidate
    from haulwright.planning.result import Plan as Plan
    from haulwright.trials.result import CampaignResult as CampaignResult
    from haulwright.trials.result import LogRecord as LogRecord
    from haulwright.trials.result import TrialResult as TrialResult

DEMO_PULL = "rutted-clearing.yaml"
Progress = Callable[[str], None]
Given = str | Path | Mapping[str, Any]


@dataclass(frozen=True, kw_only=True)
class Demo(Files):
    """Files of the demo, with the records they were written from."""

    _campaign: CampaignResult | None = None
    _plan: Plan | None = None


def read_rig(given: Given | Rig) -> Rig:
    """Return the rig of a file, a mapping, one-line notation or a name; see :func:`haulwright.files.rig.read_rig`."""
    from haulwright.files.rig import read_rig as read

    return read(given)


def solve_rig(
    rig: Given | Rig,
    ratio: Ratio | None = None,
    *,
    load: str | float | None = None,
    effort: str | float | None = None,
    letting_back: bool = False,
    seized: Collection[str] = (),
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
    seized : collection of str

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

    return solve(
        read_rig(rig),
        ratio,
        load_N=None if load is None else _newtons(load, "load"),
        effort_N=None if effort is None else _newtons(effort, "effort"),
        letting_back=letting_back,
        seized=seized,
    )


def solve_at_stall(
    rig: Given | Rig, ratio: Ratio | None, stall: str | float
) -> tuple[RigSolution, RigSolution]:
    """Return a rig at winch stall without friction and with every ratio at the upper end of its interval.

    The greater of the two is a piece's load at stall: friction never excuses smaller gear.
    """
    from haulwright.mechanics.stall import with_and_without_friction

    return with_and_without_friction(read_rig(rig), ratio, effort_N=_newtons(stall, "stall"))


def with_stall(solution: RigSolution, at_stall: Sequence[RigSolution], rig: Given | Rig) -> RigSolution:
    """Return a solution with the caution of its loads at winch stall, for a reader who sees the record alone."""
    from haulwright.mechanics.stall import with_stall as cautioned

    return cautioned(solution, at_stall, read_rig(rig))


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
    units: str = "kN",
    light: str = "paper",
    size: str = "laptop",
    out: str | Path = "haulwright-out",
) -> Files:
    """Write the drawing of a solved rig as SVG; ``stall`` is the line pull at winch stall, drawn as the outline."""
    from haulwright.publishing.diagram import rig_svg
    from haulwright.publishing.writing import write_drawing

    expected = solve_rig(rig, ratio, load=load)
    at_stall = None if stall is None else solve_at_stall(rig, ratio, stall)
    drawing = rig_svg(expected, stall=at_stall, units=units, light=light, size=size)
    with output_folder(out) as folder:
        return record_of([write_drawing(drawing, expected.rig, folder)])


def read_trial(logs: Sequence[str | Path], **choices: Any) -> LogRecord:
    """Return a log as understood: format, units, clocks, channels, every row's fate, phases."""
    from haulwright.trials.estimate import describe
    from haulwright.trials.readers import read_log

    return describe(read_log([Path(log) for log in logs], **choices))


def measure_trial(
    logs: Sequence[str | Path] | str | Path | Mapping[str, Mapping[str, Any]],
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
) -> TrialResult:
    """Return the advantage that one logged run really reached, with its uncertainty and its devices' friction.

    Parameters
    ----------
    logs : path, sequence of paths, or mapping
        One joint log, or line and anchor log; or the readings themselves:
        ``{"line": {"time_s": […], "force": […], "unit": "kgf"}, "anchor": {…}}``.
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

    Returns
    -------
    TrialResult

    Raises
    ------
    Refusal
        A log or rig that cannot be read, or a run from which no honest number can be had.
    """
    from haulwright.trials.arrays import log_from_arrays
    from haulwright.trials.cells import cell_specs
    from haulwright.trials.estimate import measure
    from haulwright.trials.friction import friction_of_run, rig_model
    from haulwright.trials.place import advantage_relation
    from haulwright.trials.readers import read_log

    model = rig_model(read_rig(rig), devices)
    if isinstance(logs, Mapping):
        name, log = "readings", log_from_arrays(logs)
    else:
        paths = [Path(one) for one in ([logs] if isinstance(logs, str | Path) else logs)]
        log = read_log(
            paths, line_column=line_column, anchor_column=anchor_column, unit=unit, date_order=date_order
        )
        name = paths[0].stem
    result = measure(
        log,
        run=run or name,
        rig_name=model.rig.name,
        frictionless=model.frictionless,
        lowest=model.lowest,
        devices=devices,
        cells=cell_specs(cells),
        advantage_per_ratio=advantage_relation(model, anchor_at),
        path=model.rig.path,
    )
    return friction_of_run(result, model)


def measure_campaign(folder: str | Path, *, progress: Progress | None = None) -> CampaignResult:
    """Return every run of a campaign folder measured, combined, fitted and compared."""
    from haulwright.files.campaign import read_campaign
    from haulwright.trials.campaign import measure_campaign as measure

    return measure(read_campaign(folder), progress=progress)


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


def estimate_resistance(pull: Given) -> Resistance:
    """Return the resistance of a pull's stuck vehicle by every published rule that covers it."""
    from haulwright.files.pull import read_pull
    from haulwright.planning.request import build_request

    return build_request(read_pull(pull)).resistance


def make_plan(
    pull: Given, *, kit: Given | None = None, friction: Given | None = None, rig: str | None = None
) -> Plan:
    """Return ranked rigs for a pull, with every item's margin at the expected load and at stall."""
    from haulwright.planning.plan import make_plan as make

    return make(pull, kit=kit, friction=friction, rig=rig)


def published_check() -> PublishedCheck:
    """Return every published value in the package beside what this copy computes."""
    from haulwright.checking import published_check as check

    return check()


def show_kit(kit: Given) -> KitCheck:
    """Return a kit's items, each with its working limit and a verdict against the greatest winch stall of the kit."""
    from haulwright.files.kit import read_kit
    from haulwright.planning.kit_check import check_kit

    return check_kit(read_kit(kit))


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


def publish_report(result: CampaignResult, out: str | Path, *, units: str = "kN") -> Files:
    """Write the test report."""
    from haulwright.publishing.writing import write_report

    with output_folder(out) as folder:
        return record_of([write_report(result, folder, units)])


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
    expected = solve_rig(chosen.path, ratios, load=plan.resistance_N.likely)
    stall = solve_at_stall(chosen.path, ratios, chosen.stall_N)
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


def examples() -> Path:
    """Return the folder of the shipped, invented examples."""
    for folder in (Path(__file__).parent / "examples", Path(__file__).parents[2] / "examples"):
        if (folder / "campaign" / "campaign.yaml").is_file():
            return folder
    raise FileRefusal(
        "NO_FILE", "The shipped examples are not there. Install Haulwright again.", ("examples",)
    )
