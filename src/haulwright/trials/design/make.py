"""A campaign designed: the sheet, what it will tell, and how many pulls the question takes."""

from __future__ import annotations

import math
import statistics
from collections.abc import Mapping, Sequence

from haulwright.catalogue import row
from haulwright.errors import TrialRefusal
from haulwright.files.campaign import CampaignSpec
from haulwright.notices import Code, Notice
from haulwright.records import Made
from haulwright.trials.between_run import HOUSE_SCATTER
from haulwright.trials.campaign_runs import rig_of
from haulwright.trials.compare import runs_for_difference, runs_for_equivalence
from haulwright.trials.design.expected import Expected, expected_errors
from haulwright.trials.design.power import power_of_difference, power_of_equivalence
from haulwright.trials.design.pretend import Truth
from haulwright.trials.design.result import CampaignDesign, ExpectedFriction, PlannedRun, PullsNeeded
from haulwright.trials.design.sheet import configurations_of, make_sheet
from haulwright.trials.friction import RigModel, rig_model
from haulwright.trials.result import CampaignResult

RUN_SCATTER = (
    0.002  # ln R of one steady pull of two minutes, its own noise alone: 0.1 to 0.35 % in simulation
)
POOR_U = 0.02  # k known worse than this is said


def typical_ratio(kind: str) -> float:
    """Return a tension ratio to reckon with before anything is measured: that of the device's kind in the catalogue."""
    return float(row("sheaves", "ring" if "ring" in kind.lower() else "block-everyday").ratio().value)


def one_pull(between_run_sd: float = HOUSE_SCATTER, own: float = RUN_SCATTER) -> float:
    """Return the standard deviation of ln R of one pull: its own noise and the scatter between set-ups."""
    return math.hypot(between_run_sd, own)


def scatter_of(campaign: CampaignResult) -> float:
    """Return the standard deviation of ln R of one pull as an earlier campaign found it.

    Parameters
    ----------
    campaign : CampaignResult

    Notes
    -----
    Root sum of squares of the scatter between runs it reckons with and the median repeatability of its runs.
    """
    own = statistics.median(run.u_repeatability / run.advantage.value for run in campaign.runs)
    return one_pull(campaign.scatter.used if campaign.scatter else HOUSE_SCATTER, own)


def gain_sd(classes: Sequence[float]) -> float:
    """Return what is known of the gain of one cell over the other from two classes: root sum of squares of c / sqrt 3."""
    return math.hypot(*(value / math.sqrt(3.0) for value in classes))


def design_campaign(
    spec: CampaignSpec,
    rigs: Sequence[str],
    *,
    devices: Sequence[str] = (),
    repeats: int = 2,
    series: int = 3,
    seed: int = 1,
    difference: float | None = None,
    scatter: float | None = None,
    ratios: Mapping[str, float] | None = None,
) -> CampaignDesign:
    """Return a run sheet and what it will tell.

    Parameters
    ----------
    spec : CampaignSpec
        Cells, devices and margin of ``campaign.yaml``.
    rigs : sequence of str
        As :func:`configurations_of` takes them.
    devices : sequence of str
        Those of the campaign if none is given.
    repeats, series, seed : int
        As :func:`make_sheet` takes them.
    difference : float, optional
        Relative difference of advantages to be shown; the margin if not given.
    scatter : float, optional
        Relative standard deviation of one pull, from an earlier campaign; a house value if not given.
    ratios : mapping device -> k, optional
        Assumed tension ratios; those of its kind if not given.

    Returns
    -------
    CampaignDesign
        A device the sheet cannot tell has ``u`` None and a notice.

    Raises
    ------
    TrialRefusal
        ``DESIGN``, ``DEVICES`` or ``NUMBER``.
    """
    names = tuple(devices) or tuple(spec.devices)
    if unknown := [name for name in names if name not in spec.devices]:
        known = ", ".join(spec.devices) or "none"
        text = f"campaign.yaml has no device {unknown[0]!r}; there are: {known}. Describe it there first."
        raise TrialRefusal("DEVICES", text, tuple(unknown))
    configurations = configurations_of(rigs, names)
    runs = make_sheet(configurations, repeats=repeats, series=series, seed=seed)
    used = dict.fromkeys(name for _, on in configurations for name in on)
    k = {name: (ratios or {}).get(name) or _ratio_of(spec, name) for name in used}
    sd = one_pull() if scatter is None else scatter
    expected = expected_errors(
        models(runs), k, scatter=sd, series_scatter=min(sd, RUN_SCATTER), gain_sd=gain_sd(_classes(spec))
    )
    d = spec.margin if difference is None else difference
    pulls = PullsNeeded(
        scatter=sd,
        difference=d,
        margin=spec.margin,
        to_differ=runs_for_difference(sd, d),
        to_equal=runs_for_equivalence(sd, spec.margin),
        power_difference=power_of_difference(repeats, sd, d),
        power_equivalent=power_of_equivalence(repeats, sd, spec.margin),
    )
    return CampaignDesign(
        name=spec.name,
        seed=seed,
        repeats=repeats,
        runs=runs,
        devices={name: _expected(k[name], expected.u.get(name)) for name in k},
        pulls=pulls,
        notices=tuple(_notices(expected, runs, repeats, pulls, scatter is None)),
        made=Made(
            "randomised mirrored blocks; uncertainty of k from the information matrix of the fit; power by noncentral t",
            {"rigs": list(rigs), "devices": list(names), "repeats": repeats, "series": series, "seed": seed},
            ("Cochran & Cox, Experimental Designs, 1957 (from memory)", "JCGM 102:2011"),
        ),
    )


def _expected(k: float, u: float | None) -> ExpectedFriction:
    return ExpectedFriction(k, u, None if u is None else 2.0 * u)


def truth_of(spec: CampaignSpec, design: CampaignDesign, scatter: float | None = None) -> Truth:
    """Return what made-up campaigns of a design are to be: its assumed ratios, the cells' classes, the scatter.

    Parameters
    ----------
    spec : CampaignSpec
    design : CampaignDesign
    scatter : float, optional
        Between set-ups, of ln R; what is left of the design's scatter of one pull beside its own noise if not given.

    Raises
    ------
    TrialRefusal
        ``NUMBER``: a scatter below 0.
    """
    if scatter is not None and not scatter >= 0.0:
        raise TrialRefusal("NUMBER", f"A scatter of {scatter:g}: expected 0 or more.")
    own = min(design.pulls.scatter, RUN_SCATTER)
    tau = math.sqrt(max(design.pulls.scatter**2 - own**2, 0.0)) if scatter is None else scatter
    classes = _classes(spec)
    return Truth(
        {name: device.k for name, device in design.devices.items()}, tau, own, (classes[0], classes[1])
    )


def models(runs: Sequence[PlannedRun]) -> list[RigModel]:
    """Return the rig of each planned run."""
    made: dict[tuple[str, tuple[str, ...]], RigModel] = {}
    for run in runs:
        key = (run.rig, run.devices)
        if key not in made:
            made[key] = rig_model(rig_of(run.rig), run.devices)
    return [made[run.rig, run.devices] for run in runs]


def _ratio_of(spec: CampaignSpec, name: str) -> float:
    device = spec.devices.get(name)
    return typical_ratio(device.kind if device else "")


def _classes(spec: CampaignSpec) -> list[float]:
    """Return the limits of error of the two cells; the worse one twice where there are more, or one only."""
    known = [cell.class_ or (cell.expanded or 0.0) * math.sqrt(3.0) / 2.0 for cell in spec.cells.values()]
    return known if len(known) == 2 else [max(known)] * 2


def _notices(
    expected: Expected, runs: Sequence[PlannedRun], repeats: int, pulls: PullsNeeded, assumed: bool
) -> list[Notice]:
    notices = [Code.NOT_IDENTIFIED.notice((name,), what=name) for name in expected.unidentified]
    for name, u in expected.u.items():
        if u > POOR_U:
            text = f"{name}: k will be known to ± {2.0 * u:.3f} only. Add a rig with it on more blocks, or a series pull."
            notices.append(Code.ADVICE.notice((name,), text=text))
    if repeats < 2:
        text = (
            "One pull of each: the scatter between set-ups stays unknown, and no comparison can be decided."
        )
        notices.append(Code.ADVICE.notice((), text=text))
    if not any(run.role == "series" for run in runs):
        text = "No series pull: a gain error of the cells looks like friction. Put in one at the start and the end."
        notices.append(Code.ADVICE.notice((), text=text))
    if repeats < min(pulls.to_differ, pulls.to_equal):
        text = (
            f"{repeats} pulls of each are few for the question: {pulls.to_differ} show a difference of "
            f"{100.0 * pulls.difference:.2g} %, {pulls.to_equal} show that two are alike within "
            f"{100.0 * pulls.margin:.2g} % (80 % chance)."
        )
        notices.append(Code.ADVICE.notice((), text=text))
    if assumed:
        text = (
            f"The scatter of one pull is taken as {100.0 * pulls.scatter:.2f} % (house value): give your own."
        )
        notices.append(Code.ADVICE.notice((), text=text))
    return notices
