"""Time the measuring of a made-up campaign: how it grows with the runs, what processes and kept runs save.

``python benchmarks/campaign_speed.py [--runs N] [--rate HZ]``. Ratios are what to compare; the seconds depend on the
machine. Nothing passes or fails here.
"""

from __future__ import annotations

import argparse
import json
import os
import tempfile
import time
from pathlib import Path

import haulwright as hw
from haulwright.trials.simulate import RunPlan, simulate_run, write_run

_DEVICES = {"a": 1.08, "b": 1.16, "c": 1.3}
_RIGS = ("two-part", "three-part", "series")
_A_DAY = 20


def make(folder: Path, runs: int, rate_Hz: float) -> Path:
    """Write a campaign of made-up runs: two rigs with three devices, and series checks."""
    logs = folder / "logs"
    logs.mkdir(parents=True)
    sheet = ["run,date,rig,devices,line_log,line_cell,anchor_cell"]
    for i in range(runs):
        rig, (device, k) = _RIGS[i % 3], list(_DEVICES.items())[(i // 3) % 3]
        run = simulate_run(RunPlan(rig=rig, ratios=(k,), rate_Hz=rate_Hz), seed=i)
        (log,) = write_run(run, logs, f"r{i}")
        devices = {"series": "", "two-part": device, "three-part": f"{device};{device}"}[rig]
        sheet.append(f"r{i},2025-06-{1 + i // _A_DAY:02d},{rig},{devices},{log.name},l,a")
    (folder / "runs.csv").write_text("\n".join(sheet) + "\n", encoding="utf-8")
    (folder / "campaign.yaml").write_text(
        "name: made-up\ninvented: true\ncells:\n  l: {capacity: 3 t, class: 0.5 %}\n  a: {capacity: 6 t, class: 0.5 %}\n"
        "devices:\n" + "".join(f"  {name}: {{kind: pulley block}}\n" for name in _DEVICES),
        encoding="utf-8",
    )
    return folder


def timed(folder: Path, out: Path | None, jobs: int) -> tuple[float, str]:
    """Return the seconds of one measuring, and the record as text."""
    begun = time.perf_counter()
    result = hw.measure_campaign(folder, out=out, jobs=jobs)
    return time.perf_counter() - begun, json.dumps(result.to_dict())


def main() -> None:
    """Time and print."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--runs", type=int, default=200)
    parser.add_argument("--rate", type=float, default=1.0)
    given = parser.parse_args()
    cores = os.cpu_count() or 1
    with tempfile.TemporaryDirectory() as scratch:
        whole = make(Path(scratch) / "whole" / "made-up", given.runs, given.rate)
        part = make(Path(scratch) / "part" / "made-up", given.runs // 4, given.rate)
        out = Path(scratch) / "out"
        quarter, _ = timed(part, None, 1)
        alone, plain = timed(whole, None, 1)
        side, kept = timed(whole, out, cores)
        warm, again = timed(whole, out, 1)
        log = whole / "logs" / "r1.csv"
        log.write_bytes(log.read_bytes() + b"\n")
        one, _ = timed(whole, out, 1)
    print(f"{given.runs} runs at {given.rate:g} Hz, {cores} processors")
    print(f"{given.runs // 4} runs, one process      {quarter:7.1f} s")
    print(
        f"{given.runs} runs, one process     {alone:7.1f} s   {alone / quarter:.2f} times that of a quarter of the runs"
    )
    print(f"{given.runs} runs, {cores} processes    {side:7.1f} s   {side / alone:.2f} of one process")
    print(f"all kept                  {warm:7.1f} s   {warm / alone:.2f} of measuring")
    print(f"one log changed           {one:7.1f} s   {one / alone:.2f} of measuring")
    print(f"same record by all three: {plain == kept == again}")


if __name__ == "__main__":
    main()
