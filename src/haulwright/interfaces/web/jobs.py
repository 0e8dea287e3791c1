"""The work behind each route: one verb of ``workflows``, its record as bytes.

Imported by the process that does the work, not by the one that listens.
"""

from __future__ import annotations

import contextlib
import datetime as dt
import tempfile
import threading
import traceback
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path
from typing import Any

from haulwright import workflows
from haulwright.errors import FileRefusal, Refusal
from haulwright.interfaces.ratio_text import ratio_of
from haulwright.interfaces.web.answers import PREFIX, Answer, answer, fault, refuse, without_paths
from haulwright.interfaces.web.job import Job
from haulwright.quantities.units import parse_fraction

Verb = Callable[..., Answer]
SVG, PDF, HTML = "image/svg+xml", "application/pdf", "text/html; charset=utf-8"
# a drawing or a report brings its own styles and typefaces; nothing in it may run or be fetched
INERT = "default-src 'none'; style-src 'unsafe-inline'; img-src data:; font-src data:; sandbox"
_ONE_FOLDER = threading.Lock()  # the present folder is one for the whole process


def perform(job: Job) -> Answer:
    """Do a job in its folder, and return what it answers or why it refuses."""
    try:
        with _inside(job.folder):
            said = VERBS[job.verb](**job.given)
    except Refusal as refusal:
        said = refuse(refusal)
    except Exception:
        traceback.print_exc()
        said = fault()
    if said.media not in (PDF, "application/octet-stream"):
        said = without_paths(said, [job.folder or ""])
    return said


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


def _ratio(given: Any) -> Any:
    if isinstance(given, Mapping):
        return {block: _ratio(one) for block, one in given.items()}
    return ratio_of(given, "ratio") if isinstance(given, str) else given


def _pull(given: Mapping[str, Any]) -> Mapping[str, Any]:
    """Return a pull that holds all it needs.

    Raises
    ------
    FileRefusal
        VALUE: it names a file.
    """
    for key in ("kit", "friction", "own"):
        if isinstance(given.get(key), str):
            raise FileRefusal(
                "VALUE",
                f"pull.{key} = {given[key]!r}: send what that file holds, not its path.",
                ("pull", key),
            )
    return given


def rig_solve(
    rig: Any, ratio: Any = None, stall: str | None = None, laws: Any = None, **choices: Any
) -> Answer:
    """Return every force in a rig."""
    read, k = _rig(rig, laws), _ratio(ratio)
    devices, seized = choices.get("devices"), choices.pop("seized", None) or ()
    solution = workflows.solve_rig(read, k, seized=seized, **choices)
    if stall is not None:
        at_stall = workflows.solve_at_stall(read, k, stall, devices, seized)
        solution = workflows.with_stall(solution, at_stall, read)
    return answer(solution)


def rig_draw(rig: Any, ratio: Any = None, laws: Any = None, seized: Any = None, **choices: Any) -> Answer:
    """Return the drawing of a rig."""
    read = _rig(rig, laws)
    with _results() as out:
        files = workflows.draw_rig(read, _ratio(ratio), seized=seized or (), out=out, **choices)
        return _file(files, SVG)


def rig_list() -> Answer:
    """Return every named rig."""
    return answer(workflows.list_rigs())


def rig_find(advantage: float | None = None, **choices: Any) -> Answer:
    """Return tackles by gear and wanted advantage."""
    return answer(workflows.find_tackles(advantage, **choices))


def trial_read(logs: list[str], **choices: Any) -> Answer:
    """Return what was understood of a log."""
    return answer(workflows.read_trial(logs, **choices))


def trial_measure(logs: Any, rig: Any, **choices: Any) -> Answer:
    """Return the advantage a run reached."""
    return answer(workflows.measure_trial(logs, rig=_rig(rig), **choices))


def campaign_check(campaign: str) -> Answer:
    """Return pass or redo for every run."""
    return answer(workflows.check_campaign(campaign, kept=True))


def campaign_measure(campaign: str) -> Answer:
    """Return every run measured, combined, fitted and compared."""
    return answer(workflows.kept_campaign(campaign))


def campaign_predict(campaign: str, rig: Any, devices: list[str] | None = None, load: Any = None) -> Answer:
    """Return the advantage of a rig from the friction a campaign found."""
    return answer(workflows.predict_campaign(campaign, _rig(rig), devices or (), load=load))


def campaign_design(campaign: str, rigs: list[str], **choices: Any) -> Answer:
    """Return a run sheet and what it will tell."""
    for name in ("difference", "scatter"):
        if choices.get(name) is not None:
            choices[name] = parse_fraction(choices[name], what=name)
    return answer(workflows.design_campaign(campaign, rigs, **choices))


def campaign_report(campaign: str, units: str = "kN") -> Answer:
    """Return the test report as one page."""
    result = workflows.kept_campaign(campaign)
    check = workflows.check_campaign(campaign, kept=True)
    with _results() as out:
        return _file(workflows.publish_report(result, out, units=units, check=check), HTML)


def resistance(pull: Mapping[str, Any], rule: str | None = None, own: Any = None) -> Answer:
    """Return the resistance of a stuck vehicle by several rules."""
    return answer(workflows.estimate_resistance(_pull(pull), rule=rule, own=own))


def kit_check(
    kit: Mapping[str, Any], pull: Mapping[str, Any] | None = None, day: str | None = None
) -> Answer:
    """Return a kit's items with verdicts."""
    asked = None if pull is None else _pull(pull)
    return answer(workflows.show_kit(kit, pull=asked, day=None if day is None else _day(day)))


def _day(text: str) -> dt.date:
    try:
        return dt.date.fromisoformat(text)
    except ValueError:
        raise FileRefusal("VALUE", f"day = {text!r}: there is no such day.", ("day",)) from None


def plan_make(pull: Mapping[str, Any], **choices: Any) -> Answer:
    """Return ranked rigs for a pull."""
    return answer(workflows.make_plan(_pull(pull), **choices))


def plan_pull(pull: Mapping[str, Any], **choices: Any) -> Answer:
    """Return one rig of a pull along its travel."""
    return answer(workflows.step_pull(_pull(pull), **choices))


def plan_check(pull: Mapping[str, Any], **choices: Any) -> Answer:
    """Return whether two readings fit the rig as drawn."""
    return answer(workflows.check_readings(_pull(pull), **choices))


def publish_card(
    pull: Mapping[str, Any], friction: Any = None, rig: str | None = None, **choices: Any
) -> Answer:
    """Return the field card of a pull's chosen rig."""
    plan = workflows.make_plan(_pull(pull), friction=friction, rig=rig)
    with _results() as out:
        return _file(workflows.publish_card(plan, out, **choices), PDF)


def published_check() -> Answer:
    """Return published values beside what this copy computes."""
    return answer(workflows.published_check())


@contextlib.contextmanager
def _results() -> Iterator[str]:
    with tempfile.TemporaryDirectory(prefix=PREFIX, ignore_cleanup_errors=True) as out:
        yield out


def _file(files: workflows.Files, media: str) -> Answer:
    """Return the bytes of the one file a verb wrote."""
    written = files.files[0]
    path = Path(written.path)
    headers = {"Content-Disposition": f'inline; filename="{path.name}"', "ETag": f'"{written.sha256}"'}
    if media != PDF:
        headers["Content-Security-Policy"] = INERT
    return Answer(200, media, path.read_bytes(), headers)


VERBS: dict[str, Verb] = {
    one.__name__: one
    for one in (
        rig_solve, rig_draw, rig_list, rig_find, trial_read, trial_measure, campaign_check, campaign_measure,
        campaign_predict, campaign_design, campaign_report, resistance, kit_check, plan_make, plan_pull, plan_check,
        publish_card, published_check,
    )
}  # fmt: skip
