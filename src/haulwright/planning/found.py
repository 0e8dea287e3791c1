"""Everything a plan rests on: every rig with its setting and its solution, by name."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from haulwright.errors import PlanRefusal
from haulwright.files.pull import Pull
from haulwright.mechanics.names import nearest
from haulwright.mechanics.notation import looks_like_notation
from haulwright.mechanics.tackles import find
from haulwright.planning.candidates import Setting, settings
from haulwright.planning.choices import best_assessed
from haulwright.planning.lacking import Lacking
from haulwright.planning.options import check_asked, options_of, renamed
from haulwright.planning.request import Request, requests_of
from haulwright.planning.resistance import summary
from haulwright.planning.result import Candidate, Plan, Rejected, ResistanceSummary
from haulwright.planning.solved import Solved
from haulwright.planning.ways import BACK
from haulwright.progress import Progress, Step, silent, within


@dataclass(frozen=True)
class Found:
    """One candidate with what it rests on."""

    candidate: Candidate
    setting: Setting
    solved: Solved


@dataclass(frozen=True)
class Survey:
    """All rigs of a pull, not yet in order.

    Attributes
    ----------
    requests : tuple of Request
        One for each way and winch.
    found : tuple of Found
    rejected : tuple of Rejected
    looked_at : int
        Rigs that were looked at.
    """

    requests: tuple[Request, ...]
    found: tuple[Found, ...]
    rejected: tuple[Rejected, ...]
    looked_at: int

    @property
    def ways(self) -> dict[str, ResistanceSummary]:
        """Return the resistance of every way."""
        return {request.way: summary(request.resistance) for request in self.requests}


@dataclass(frozen=True)
class Planned:
    """A plan with the settings and solutions its candidates come from, by their names."""

    plan: Plan
    settings: Mapping[str, Setting]
    solved: Mapping[str, Solved]

    @property
    def chosen(self) -> Setting | None:
        """Return the setting of the chosen rig."""
        return self.settings.get(self.plan.chosen or "")


def survey(pull: Pull, tackles: Sequence[str] = (), progress: Progress = silent) -> Survey:
    """Return every rig that can be built and pulled here, and what the others lack.

    Parameters
    ----------
    pull : Pull
    tackles : sequence of str
        Tackles beside the named rigs, in one-line notation with X (and beyond) for anchors and O for the load.
    progress : callable
        Is told each rig as it is looked at.

    Notes
    -----
    The one rig to check may be a named rig, a path, or the name a plan gave to one of its own (``two-part/on-load, oak``).

    Raises
    ------
    PlanRefusal
        CANNOT_BUILD where the one rig to check cannot be built here; UNKNOWN_BODY or WINCH_PLACE for one that does not fit.
    RigRefusal
        A rig to check that is not known or cannot work.
    """
    if named_by_a_plan(pull.rig):
        return _only(survey(replace(pull, rig=None), tackles, progress), pull.rig or "")
    requests, rejected = requests_of(pull)
    check_asked(pull, requests)
    found: list[Found] = []
    looked_at = 0
    for turn, request in enumerate(requests):
        tell = within(progress, turn / len(requests), (turn + 1) / len(requests))
        options = options_of(request, tackles)
        drafted = renamed(options.drafts, _suffix(request, requests, pull))
        resistance = summary(request.resistance)
        asked = pull.rig is not None
        buildable, lacks = settings(drafted, request, options.shared, resistance.high, asked)
        rejected += [*options.rejected, *lacks]
        looked_at += len(drafted)
        for n, setting in enumerate(buildable):
            tell(Step(f"rig {n + 1} of {len(buildable)}: {setting.name}", n / len(buildable)))
            try:
                found.append(Found(*_assessed(setting, resistance, asked)))
            except Lacking as lack:
                rejected.append(Rejected(setting.name, str(lack), setting.named, _kind=lack.kind))
    if pull.rig is not None and not found:
        lacked = "; ".join(dict.fromkeys(one.lacked for one in rejected))
        raise PlanRefusal(
            "CANNOT_BUILD", f"rig: {pull.rig} cannot be built here. It lacks {lacked}.", ("rig", pull.rig)
        )
    return Survey(tuple(requests), tuple(found), tuple(rejected), looked_at)


def named_by_a_plan(rig: str | None) -> bool:
    """Return whether a name is one that a plan gives to a rig at its place, not that of a named rig or a path.

    Examples
    --------
    >>> named_by_a_plan("two-part/on-load, oak"), named_by_a_plan("two-part"), named_by_a_plan("!o.drum > x > o")
    (True, False, False)
    """
    if rig is None or looks_like_notation(rig):
        return False
    return " to 1 with " in rig or (", " in rig and find(rig) is None)


def _only(every: Survey, rig: str) -> Survey:
    """Return a survey with the one rig a plan would call so.

    Raises
    ------
    PlanRefusal
        CANNOT_BUILD, with what it lacks; UNKNOWN_RIG for a name no rig of this pull has, with the nearest.
    """
    found = tuple(one for one in every.found if one.candidate.rig == rig)
    if found:
        return replace(every, found=found)
    lacked = [one.lacked for one in every.rejected if one.rig == rig]
    if lacked:
        raise PlanRefusal(
            "CANNOT_BUILD", f"rig: {rig} cannot be built here. It lacks {lacked[0]}.", ("rig", rig)
        )
    names = [one.candidate.rig for one in every.found] + [one.rig for one in every.rejected]
    raise PlanRefusal(
        "UNKNOWN_RIG", f"rig: this pull has no rig named {rig!r}.{nearest(rig, names)}", ("rig", rig)
    )


def _assessed(
    setting: Setting, resistance: ResistanceSummary, asked: bool
) -> tuple[Candidate, Setting, Solved]:
    candidate, solved = best_assessed(setting, resistance, asked)
    return candidate, solved.setting, solved


def _suffix(request: Request, requests: Sequence[Request], pull: Pull) -> str:
    """Return what a rig's name says of its way and winch, where it must."""
    words = []
    if request.way == BACK:
        words.append("back")
    if len({one.pull.winch.id for one in requests}) > 1:
        words.append(f"{request.pull.winch.id} on {request.pull.winch_on}")
    return "".join(f", {word}" for word in words)
