"""A rehearsal: campaigns of known truth on a run sheet, put through everything that a real one goes through."""

from __future__ import annotations

import itertools
import math
import statistics
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from haulwright.errors import TrialRefusal
from haulwright.progress import Progress, Step
from haulwright.records import Made
from haulwright.trials.combine import Pooled, combine, log_of, pooled_between_run
from haulwright.trials.compare import compare, title
from haulwright.trials.design.make import models
from haulwright.trials.design.pretend import Truth, from_logs, made_directly
from haulwright.trials.design.result import CampaignRehearsal, PlannedRun, RehearsedPair, RehearsedValue
from haulwright.trials.fit import FitRun, fit_friction
from haulwright.trials.friction import RigModel
from haulwright.trials.prediction import FrictionFit
from haulwright.trials.result import Comparison, Configuration, TrialResult

MOST_CAMPAIGNS = 2000


@dataclass(frozen=True)
class Played:
    """One made-up campaign gone through: configurations, comparisons, fit."""

    configurations: tuple[Configuration, ...]
    comparisons: tuple[Comparison, ...]
    fit: FrictionFit
    pooled: Pooled


@dataclass
class _Tally:
    true: float
    errors: list[float] = field(default_factory=list)
    widths: list[float] = field(default_factory=list)
    held: int = 0

    def add(self, value: float, lo: float, hi: float) -> None:
        self.errors.append(value - self.true)
        self.widths.append(0.5 * (hi - lo))
        self.held += lo <= self.true <= hi

    def done(self) -> RehearsedValue:
        rmse = math.sqrt(statistics.fmean(error**2 for error in self.errors))
        return RehearsedValue(self.true, rmse, statistics.median(self.widths), self.held / len(self.errors))


def play(results: Sequence[TrialResult], rigs: Sequence[RigModel], margin: float) -> Played:
    """Return what a campaign concludes from these results, as a real one would.

    Parameters
    ----------
    results : sequence of TrialResult
    rigs : sequence of RigModel
        The rig of each.
    margin : float
    """
    groups: dict[tuple[str, tuple[str, ...]], list[TrialResult]] = {}
    for result, model in zip(results, rigs, strict=True):
        groups.setdefault((model.rig.path, model.devices), []).append(result)
    pooled = pooled_between_run(
        [[log_of(one)[:2] for one in group] for group in groups.values() if group[0].devices]
    )
    configurations = tuple(combine(group, pooled) for group in groups.values())
    comparisons = compare(configurations, {one.run: one for one in results}, pooled, margin=margin)
    fit = fit_friction([FitRun(result, model) for result, model in zip(results, rigs, strict=True)], pooled)
    return Played(configurations, comparisons, fit, pooled)


def rehearse(
    name: str,
    runs: Sequence[PlannedRun],
    truth: Truth,
    *,
    margin: float,
    campaigns: int = 60,
    seed: int = 1,
    logs: bool = False,
    progress: Progress | None = None,
) -> CampaignRehearsal:
    """Return how a run sheet does on campaigns of known truth.

    Parameters
    ----------
    name : str
        Of the campaign.
    runs : sequence of PlannedRun
    truth : Truth
    margin : float
        Largest relative difference that counts as the same.
    campaigns : int
        How many are made up.
    seed : int
    logs : bool
        Make up the logs as well and measure them: slower, about two runs a second.
    progress : callable, optional
        Is told each step in words.

    Returns
    -------
    CampaignRehearsal

    Raises
    ------
    TrialRefusal
        ``DESIGN``: a number of campaigns that makes no sense.
    """
    if not 1 <= campaigns <= MOST_CAMPAIGNS:
        raise TrialRefusal("DESIGN", f"campaigns {campaigns}: expected 1 to {MOST_CAMPAIGNS}.")
    rigs = models(runs)
    make = from_logs if logs else made_directly

    def every() -> Iterable[Played]:
        for number in range(campaigns):
            if progress:
                progress(Step(f"campaign {number + 1} of {campaigns}", number / campaigns))
            yield play(make(runs, rigs, truth, seed * 10_007 + number), rigs, margin)

    played = list(every())
    true = _true_advantages(runs, rigs, truth)
    return CampaignRehearsal(
        name=name,
        seed=seed,
        campaigns=campaigns,
        from_logs=logs,
        pairs=tuple(_pairs(played, true)),
        devices=_devices(played, truth.k),
        advantages=_advantages(played, true),
        made=Made(
            "campaigns of known truth on the run sheet, each combined, fitted and compared as a real one",
            {"k": dict(truth.k), "tau": truth.tau, "noise": truth.noise, "classes": list(truth.classes)},
        ),
    )


def _true_advantages(runs: Sequence[PlannedRun], rigs: Sequence[RigModel], truth: Truth) -> dict[str, float]:
    true: dict[str, float] = {}
    for run, model in zip(runs, rigs, strict=True):
        key = f"{run.rig}: {' + '.join(run.devices)}"
        if key not in true:
            true[key] = math.exp(truth.log_advantage(model))
    return true


def _pairs(played: Sequence[Played], true: Mapping[str, float]) -> Iterable[RehearsedPair]:
    for (a, b), group in itertools.groupby(
        sorted((one.a, one.b, one.verdict) for each in played for one in each.comparisons),
        key=lambda x: x[:2],
    ):
        verdicts = [verdict for _, _, verdict in group]
        shares = {word: verdicts.count(word) / len(verdicts) for word in set(verdicts)}
        yield RehearsedPair(
            a,
            b,
            true[a] / true[b],
            *(shares.get(word, 0.0) for word in ("different", "equivalent", "small_but_real", "undecided")),
        )


def _devices(played: Sequence[Played], k: Mapping[str, float]) -> dict[str, RehearsedValue]:
    tallies: dict[str, _Tally] = {}
    for each in played:
        for name, friction in each.fit.devices.items():
            tallies.setdefault(name, _Tally(k[name])).add(friction.k.value, friction.k.lo, friction.k.hi)
    return {name: tally.done() for name, tally in tallies.items()}


def _advantages(played: Sequence[Played], true: Mapping[str, float]) -> dict[str, RehearsedValue]:
    tallies: dict[str, _Tally] = {}
    for each in played:
        for one in each.configurations:
            key = title(one)
            tallies.setdefault(key, _Tally(true[key])).add(
                one.advantage.value, one.advantage.lo, one.advantage.hi
            )
    return {name: tally.done() for name, tally in tallies.items()}
