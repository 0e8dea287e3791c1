"""Campaigns of known truth written as folders of CSV logs and measured through the whole chain, for ``campaigns.py``."""

from __future__ import annotations

import math
import tempfile
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np

from haulwright.files.campaign import read_campaign
from haulwright.trials.campaign import fit_campaign, measure_campaign
from haulwright.trials.design.pretend import Truth, draw_gain
from haulwright.trials.design.result import PlannedRun
from haulwright.trials.design.sheet import sheet_csv
from haulwright.trials.friction import RigModel
from haulwright.trials.prediction import FrictionFit
from haulwright.trials.result import CampaignResult
from haulwright.trials.simulate import RunPlan, simulate_run, write_run

DIALECTS = ("joint", "semicolon", "split", "long", "milliseconds")


def measured_from_files(
    runs: Sequence[PlannedRun], rigs: Sequence[RigModel], truth: Truth, seed: int
) -> tuple[CampaignResult, FrictionFit]:
    """Write a campaign folder, read it back and measure it as anyone's would be.

    Parameters
    ----------
    runs, rigs
        The sheet, and the rig of each of its runs.
    truth : Truth
    seed : int
        Also picks the layout of the logs.
    """
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        dialect = DIALECTS[seed % len(DIALECTS)]
        (folder / "logs").mkdir()
        write_logs(folder / "logs", runs, rigs, truth, seed, dialect)
        one_log = dialect in ("joint", "semicolon", "long")
        (folder / "runs.csv").write_text(sheet_csv(runs, ("l", "a"), one_log=one_log), encoding="utf-8")
        (folder / "campaign.yaml").write_text(_sheet(truth), encoding="utf-8")
        read = read_campaign(folder)
        result = measure_campaign(read)
        return result, fit_campaign(read, result)


def write_logs(
    folder: Path, runs: Sequence[PlannedRun], rigs: Sequence[RigModel], truth: Truth, seed: int, dialect: str
) -> None:
    """Write the log of each run: one gain of the anchor cell for all, a set-up and a load of its own for each."""
    draw = np.random.default_rng((seed, 9))
    gain = draw_gain(truth, draw)
    for number, (run, model) in enumerate(zip(runs, rigs, strict=True)):
        off = gain + (draw.normal(0.0, truth.tau) if model.unknowns else 0.0)
        plan = RunPlan(
            rig=run.rig,
            ratios=tuple(truth.k[name] for name in run.devices) or (1.0,),
            load_kgf=model.frictionless * float(draw.uniform(600.0, 1100.0)),
            accuracy=1e-9,
        )
        made = simulate_run(plan, seed * 1000 + number)
        anchor = made.log.channels["anchor"]
        anchor = replace(anchor, force_N=anchor.force_N * math.exp(off))
        log = replace(made.log, channels={**made.log.channels, "anchor": anchor})
        write_run(replace(made, log=log), folder, run.run, dialect)


def _sheet(truth: Truth) -> str:
    cells = zip(("l", "a"), ("3 t", "8 t"), truth.classes, strict=True)
    rows = [
        f"  {name}: {{capacity: {capacity}, class: {100 * limit:g} %}}" for name, capacity, limit in cells
    ]
    devices = [f"  {name}: {{kind: pulley block}}" for name in truth.k]
    return "\n".join(["name: made", "invented: true", "cells:", *rows, "devices:", *devices]) + "\n"
