"""The work behind each route: one verb of ``workflows``, its record as bytes.

Imported by the process that does the work, not by the one that listens.
"""

from __future__ import annotations

import contextlib
import inspect
import threading
import traceback
from collections.abc import Callable, Iterator, Mapping
from typing import Any

from haulwright import workflows
from haulwright.errors import Refusal
from haulwright.interfaces.ratio_text import ratios_of
from haulwright.interfaces.web.answers import Answer, answer, fault, refuse, without_paths
from haulwright.interfaces.web.work.book_of_job import BookOfJob
from haulwright.interfaces.web.work.job import Job
from haulwright.interfaces.web.work.publish import PUBLISHING
from haulwright.interfaces.web.work.rig import RIGS
from haulwright.interfaces.web.work.written import HTML, SVG, day_of, file_of, is_text, pull_of, results
from haulwright.progress import Progress, silent, within
from haulwright.publishing.spelling import spelling
from haulwright.quantities.units import parse_fraction, speaking, spoken_unit

Verb = Callable[..., Answer]
_ONE_FOLDER = threading.Lock()  # the present folder is one for the whole process


def perform(job: Job, progress: Progress = silent) -> Answer:
    """Do a job in its folder and in its unit, and return what it answers or why it refuses."""
    book = BookOfJob(job)
    try:
        verb = _verb(job.verb)
        given = book.given(verb)
        with _inside(book.folder), speaking(job.unit), spelling(job.words):
            tells = "progress" in inspect.signature(verb).parameters
            said = verb(**given, **({"progress": progress} if tells else {}))
    except Refusal as refusal:
        said = refuse(refusal)
    except Exception:
        traceback.print_exc()
        said = fault()
    if is_text(said.media):
        said = without_paths(said, book.hidden)
    return said


def _verb(name: str) -> Verb:
    """Return a verb; those of the book bring the database with them, and are loaded when one is first asked for."""
    if name not in VERBS:
        from haulwright.interfaces.web.work.book import BOOK
        from haulwright.interfaces.web.work.day import DAY

        VERBS.update(BOOK | DAY)
    return VERBS[name]


@contextlib.contextmanager
def _inside(folder: str | None) -> Iterator[None]:
    """Stand in a folder, so that files go by their names alone in every record and refusal."""
    if folder is None:
        yield
        return
    with _ONE_FOLDER, contextlib.chdir(folder):
        yield


def _rig(given: str | Mapping[str, Any], laws: Mapping[str, Any] | None = None) -> workflows.Rig:
    """Return a rig by name, notation or mapping; a path of this machine is none of these."""
    words = workflows.rig_in_words(given) if isinstance(given, str) else given
    return workflows.read_rig(words, laws)


def rig_solve(
    rig: Any, ratio: Any = None, stall: str | None = None, laws: Any = None, **choices: Any
) -> Answer:
    """Return every force in a rig."""
    read, k = _rig(rig, laws), ratios_of(ratio)
    devices, seized = choices.get("devices"), choices.pop("seized", None) or ()
    solution = workflows.solve_rig(read, k, seized=seized, **choices)
    at_stall_N = workflows.stated_stall(read) if stall is None else stall
    if at_stall_N is not None:
        at_stall = workflows.solve_at_stall(read, k, at_stall_N, devices, seized)
        solution = workflows.with_stall(solution, at_stall, read)
    return answer(solution)


def rig_draw(rig: Any, ratio: Any = None, laws: Any = None, seized: Any = None, **choices: Any) -> Answer:
    """Return the drawing of a rig."""
    read = _rig(rig, laws)
    with results() as out:
        choices.setdefault("units", spoken_unit())
        files = workflows.draw_rig(read, ratios_of(ratio), seized=seized or (), out=out, **choices)
        return file_of(files, SVG)


def rig_list() -> Answer:
    """Return every named rig."""
    return answer(workflows.list_rigs())


def rig_find(advantage: float | None = None, **choices: Any) -> Answer:
    """Return tackles by gear and wanted advantage."""
    return answer(workflows.find_tackles(advantage, **choices))


def trial_read(logs: list[str], *, progress: Progress = silent, **choices: Any) -> Answer:
    """Return what was understood of a log."""
    return answer(workflows.read_trial(logs, progress=progress, **choices))


def trial_measure(logs: Any, rig: Any, *, progress: Progress = silent, **choices: Any) -> Answer:
    """Return the advantage a run reached."""
    return answer(workflows.measure_trial(logs, rig=_rig(rig), progress=progress, **choices))


def trial_show(logs: list[str], rig: Any, *, progress: Progress = silent, **choices: Any) -> Answer:
    """Return a run of no campaign as its page shows it."""
    view = workflows.show_trial(logs, rig=_rig(rig), units=spoken_unit(), progress=progress, **choices)
    return answer(view)


def trial_trace(logs: list[str], **choices: Any) -> Answer:
    """Return the traces of a run of no campaign within a span."""
    return answer(workflows.trace_trial(logs, **choices))


def run_show(campaign: str, run: str, *, progress: Progress = silent) -> Answer:
    """Return a run of a campaign as its page shows it."""
    return answer(workflows.show_run(campaign, run, units=spoken_unit(), progress=progress))


def run_try(campaign: str, run: str, steady: list[str]) -> Answer:
    """Return what a run would give with other steady stretches."""
    return answer(workflows.try_run(campaign, run, steady))


def run_trace(campaign: str, run: str, **choices: Any) -> Answer:
    """Return the traces of a run of a campaign within a span."""
    return answer(workflows.trace_run(campaign, run, **choices))


def campaign_check(campaign: str, *, progress: Progress = silent) -> Answer:
    """Return pass or redo for every run."""
    return answer(workflows.check_campaign(campaign, progress=progress, kept=True))


def campaign_measure(campaign: str, *, progress: Progress = silent) -> Answer:
    """Return every run measured, combined, fitted and compared."""
    return answer(workflows.kept_campaign(campaign, progress=progress))


def campaign_overview(campaign: str, *, progress: Progress = silent) -> Answer:
    """Return what the runs logged so far found, in words and figures."""
    return answer(workflows.overview_campaign(campaign, units=spoken_unit(), progress=progress))


def campaign_predict(
    campaign: str,
    rig: Any,
    devices: list[str] | None = None,
    load: Any = None,
    *,
    progress: Progress = silent,
) -> Answer:
    """Return the advantage of a rig from the friction a campaign found."""
    found = workflows.predict_campaign(campaign, _rig(rig), devices or (), load=load, progress=progress)
    return answer(found)


def campaign_design(campaign: str, rigs: list[str], **choices: Any) -> Answer:
    """Return a run sheet and what it will tell."""
    for name in ("difference", "scatter"):
        if choices.get(name) is not None:
            choices[name] = parse_fraction(choices[name], what=name)
    return answer(workflows.design_campaign(campaign, rigs, **choices))


def campaign_report(campaign: str, units: str | None = None, *, progress: Progress = silent) -> Answer:
    """Return the test report as one page."""
    result = workflows.kept_campaign(campaign, progress=within(progress, 0.0, 0.5))
    check = workflows.check_campaign(campaign, kept=True)
    unit, drawing = units or spoken_unit(), within(progress, 0.5, 1.0)
    with results() as out:
        page = workflows.publish_report(result, out, units=unit, check=check, progress=drawing)
        return file_of(page, HTML)


def resistance(pull: Mapping[str, Any], rule: str | None = None, own: Any = None) -> Answer:
    """Return the resistance of a stuck vehicle by several rules."""
    return answer(workflows.estimate_resistance(pull_of(pull), rule=rule, own=own))


def kit_check(kit: Mapping[str, Any], pull: Any = None, day: str | None = None) -> Answer:
    """Return a kit's items with verdicts."""
    asked = (
        [pull_of(one) for one in pull] if isinstance(pull, list) else None if pull is None else pull_of(pull)
    )
    return answer(workflows.show_kit(kit, pull=asked, day=None if day is None else day_of(day)))


def kit_kinds() -> Answer:
    """Return every kind of piece with its mark."""
    return answer(workflows.list_kit_kinds())


def plan_make(pull: Mapping[str, Any], *, progress: Progress = silent, **choices: Any) -> Answer:
    """Return ranked rigs for a pull."""
    return answer(workflows.make_plan(pull_of(pull), progress=progress, **choices))


def plan_kinds() -> Answer:
    """Return every word a pull can be told in."""
    return answer(workflows.list_pull_kinds())


def plan_sheet(pull: Mapping[str, Any], *, progress: Progress = silent, **choices: Any) -> Answer:
    """Return ranked rigs with the drawings of the chosen one."""
    choices.setdefault("units", spoken_unit())
    return answer(workflows.plan_sheet(pull_of(pull), progress=progress, **choices))


def plan_pull(pull: Mapping[str, Any], *, progress: Progress = silent, **choices: Any) -> Answer:
    """Return one rig of a pull along its travel."""
    return answer(workflows.step_pull(pull_of(pull), progress=progress, **choices))


def plan_check(pull: Mapping[str, Any], *, progress: Progress = silent, **choices: Any) -> Answer:
    """Return whether two readings fit the rig as drawn."""
    return answer(workflows.check_readings(pull_of(pull), progress=progress, **choices))


def published_check() -> Answer:
    """Return published values beside what this copy computes."""
    return answer(workflows.published_check())


VERBS: dict[str, Verb] = {
    one.__name__: one
    for one in (
        rig_solve, rig_draw, rig_list, rig_find, trial_read, trial_measure, trial_show, trial_trace, run_show, run_try, run_trace,
        campaign_check, campaign_measure, campaign_overview, campaign_predict, campaign_design, campaign_report,
        resistance, kit_check, kit_kinds, plan_make, plan_kinds, plan_sheet, plan_pull, plan_check, published_check,
    )
} | RIGS | PUBLISHING  # fmt: skip
