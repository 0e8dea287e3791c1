"""The work of a campaign's day: the book's campaign changed, and its runs checked at once."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from haulwright import workflows
from haulwright.interfaces.web.answers import Answer, answer
from haulwright.interfaces.web.work.written import results
from haulwright.kept import days
from haulwright.kept.where import Where
from haulwright.kept.work_folder import campaign_folder
from haulwright.progress import Progress, silent
from haulwright.quantities.units import parse_fraction


def _checked(where: Where, name: str, progress: Progress) -> Answer:
    """Return pass or redo for every run as the campaign stands now; only what is new is measured."""
    return answer(workflows.check_campaign(campaign_folder(where, name), progress=progress, kept=True))


def campaign_note(
    where: Where, name: str, run: str, cells: Mapping[str, str], by: str = "", *, progress: Progress = silent
) -> Answer:
    """Keep what was noted of a run."""
    days.note_run(where, name, run, cells, by=by)
    return _checked(where, name, progress)


def campaign_attach(
    where: Where,
    name: str,
    run: str,
    place: str,
    sent: str,
    by: str = "",
    instead: bool = False,
    *,
    progress: Progress = silent,
) -> Answer:
    """Keep a log of a run; it lies in the present folder."""
    days.attach_log(where, name, run, place, Path(sent).name, Path(sent), by=by, instead=instead)
    return _checked(where, name, progress)


def campaign_again(
    where: Where, name: str, run: str, by: str, why: str, *, progress: Progress = silent
) -> Answer:
    """Keep a run as one to be pulled again."""
    days.pull_again(where, name, run, by=by, why=why)
    return _checked(where, name, progress)


def campaign_sheet(
    where: Where,
    name: str,
    rigs: list[str],
    one_log: bool = False,
    instead: bool = False,
    more: bool = False,
    by: str = "",
    *,
    progress: Progress = silent,
    **choices: Any,
) -> Answer:
    """Keep a design as the run sheet."""
    for word in ("difference", "scatter"):
        if choices.get(word) is not None:
            choices[word] = parse_fraction(choices[word], what=word)

    def designed(folder: Path) -> Mapping[str, bytes]:
        design = workflows.design_campaign(folder, rigs, **choices)
        return workflows.sheet_of_design(folder, design, one_log=one_log, instead=instead, more=more)

    days.change_campaign(where, name, "run sheet", designed, by=by)
    return _checked(where, name, progress)


def campaign_use(where: Where, name: str, by: str = "", *, progress: Progress = silent) -> Answer:
    """Keep the friction a campaign found, for pulls to choose."""
    folder = campaign_folder(where, name)
    result = workflows.kept_campaign(folder, progress=progress, so_far=True)
    with results() as out:
        files = workflows.write_devices(folder, result, out)
        return answer(days.keep_devices(where, name, Path(files.files[0].path), by=by))


DAY = {
    one.__name__: one
    for one in (campaign_note, campaign_attach, campaign_again, campaign_sheet, campaign_use)
}
