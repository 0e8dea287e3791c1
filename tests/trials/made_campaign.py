"""Campaign folders of made-up runs, for tests of what needs more than one run."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np

from haulwright.trials.log import Floats
from haulwright.trials.simulate import RunPlan, simulate_run

KGF = 9.80665
CELLS = "cells:\n  l: {capacity: 3 t, class: 0.5 %}\n  a: {capacity: 6 t, class: 0.5 %}\n"
DEVICES = "devices:\n  puck: {kind: pulley block}\n  hoop: {kind: ring}\n"
Extra = Callable[[Floats, Floats], Floats]


@dataclass(frozen=True)
class Pull:
    """One run to be made: name, rig, devices with their k, what the cells show of the true forces."""

    run: str
    rig: str
    ratios: Mapping[str, float] = field(default_factory=dict)
    devices: str = ""
    line_cell: str = "l"
    anchor_cell: str = "a"
    gains: tuple[float, float] = (1.0, 1.0)
    seed: int = 1
    extra: Extra | None = None  # a third column from the times and the line force
    more: Mapping[str, str] = field(default_factory=dict)


def log_text(pull: Pull) -> tuple[str, float]:
    """Return a joint log and the run's true advantage; clocks agree, so that a third column can stand beside."""
    names = [name for name in pull.devices.split(";") if name]
    ratios = tuple(pull.ratios[name] for name in names) or (1.0,)
    plan = RunPlan(rig=pull.rig, ratios=ratios, accuracy=1e-6, clock_s=0.0, steady_s=100.0)
    run = simulate_run(plan, seed=pull.seed)
    line, anchor = run.log.channels["line"], run.log.channels["anchor"]
    x = line.force_N / KGF * pull.gains[0]
    y = np.interp(line.time_s, anchor.time_s, anchor.force_N) / KGF * pull.gains[1]
    columns = [line.time_s, x, y]
    head = "time_s,line_kgf,anchor_kgf"
    if pull.extra is not None:
        columns.append(pull.extra(line.time_s, line.force_N / KGF))
        head += ",third_kgf"
    rows = [",".join(f"{value:.3f}" for value in row) for row in zip(*columns, strict=True)]
    return "\n".join([head, *rows]) + "\n", run.advantage


def made_campaign(
    folder: Path,
    pulls: Sequence[Pull],
    *,
    cells: str = CELLS,
    devices: str = DEVICES,
    columns: Sequence[str] = (),
) -> dict[str, float]:
    """Write a campaign folder; return the true advantage of each run."""
    (folder / "logs").mkdir(parents=True)
    head = ["run", "date", "rig", "devices", "line_log", "line_cell", "anchor_cell", *columns]
    rows, truth = [",".join(head)], {}
    for pull in pulls:
        text, truth[pull.run] = log_text(pull)
        (folder / "logs" / f"{pull.run}.csv").write_text(text, encoding="utf-8")
        told = {
            "run": pull.run,
            "date": "2025-06-02",
            "rig": pull.rig,
            "devices": pull.devices,
            "line_log": f"{pull.run}.csv",
            "line_cell": pull.line_cell,
            "anchor_cell": pull.anchor_cell,
            **pull.more,
        }
        rows.append(",".join(told.get(column, "") for column in head))
    (folder / "runs.csv").write_text("\n".join(rows) + "\n", encoding="utf-8")
    (folder / "campaign.yaml").write_text(f"name: made\ninvented: true\n{cells}{devices}", encoding="utf-8")
    return truth


def stepped_series(
    gain: float = 1.0, zero_kgf: float = 0.0, bend: float = 0.0, noise_kgf: float = 0.4, lag_kgf: float = 0.0
) -> str:
    """Return the log of both cells in one line, standing at five loads up and down; ``bend`` is per tonne of load."""
    draw = np.random.default_rng(5)
    levels = (0.0, 300.0, 700.0, 1100.0, 700.0, 300.0, 0.0)
    force = np.concatenate(
        [
            np.concatenate([np.full(30, a), np.linspace(a, b, 9)[1:-1]])
            for a, b in zip(levels, (*levels[1:], 0.0), strict=True)
        ]
    )
    time = np.arange(force.size, dtype=float)
    down = np.arange(force.size) > int(np.argmax(force)) + 29
    anchor = force * gain * (1.0 + bend * force / 1000.0) + zero_kgf + lag_kgf * down * (force > 50.0)
    x, y = (np.round(one + draw.normal(0.0, noise_kgf, force.size), 1) for one in (force, anchor))
    rows = [f"{t:.1f},{a:.1f},{b:.1f}" for t, a, b in zip(time, x, y, strict=True)]
    return "\n".join(["time_s,line_kgf,anchor_kgf", *rows]) + "\n"
