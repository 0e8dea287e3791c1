"""A one-hour log of two cells at 1 kHz, measured end to end, beside a plain polars read of the same file.

``python benchmarks/readers.py [hours] [pairs]``. Each turn runs two fresh processes: one that reads the file with
``polars.read_csv`` and prints the seconds of that call alone, one that is the whole command
``haulwright trial measure FILE --rig two-part --json``, start of the interpreter and imports included. Printed are
medians over the turns, the ratio, and the peak of resident memory of the command.
"""

from __future__ import annotations

import json
import os
import statistics
import subprocess
import sys
import tempfile
import time
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import numpy as np
import polars as pl

RATE_HZ = 1000
ADVANTAGE = 1.9
POLARS = (
    "import sys,time,polars;a=time.perf_counter();polars.read_csv(sys.argv[1]);print(time.perf_counter()-a)"
)


def write_log(path: Path, hours: float, *, stamped: bool = False) -> None:
    """Write a two-part pull: unloaded, light tension, ramp, a long haul, release, unloaded; in kgf."""
    rng = np.random.default_rng(7)
    count = int(hours * 3600 * RATE_HZ)
    time_s = np.arange(count) / RATE_HZ
    end = time_s[-1]
    marks = [0.0, 0.02, 0.025, 0.05, 0.06, 0.95, 0.955, 1.0]
    load = np.interp(time_s / end, marks, [0.0, 0.0, 90.0, 90.0, 800.0, 820.0, 0.0, 0.0])
    knots = np.arange(0.0, end + 2.0, 0.5)
    wave = 1.0 + 0.02 * np.interp(time_s, knots, rng.standard_normal(knots.size))
    line = load * wave + rng.standard_normal(count) * 1.5
    anchor = ADVANTAGE * load * wave + rng.standard_normal(count) * 2.0
    stamp = pl.Series(time_s)
    if stamped:
        first = datetime(2025, 6, 22, 10)
        last = first + timedelta(milliseconds=count - 1)
        stamp = pl.datetime_range(first, last, "1ms", eager=True).dt.strftime("%Y-%m-%dT%H:%M:%S%.3f")
    columns = {"time" if stamped else "time_s": stamp}
    columns |= {"line_kgf": pl.Series(line.round(1)), "anchor_kgf": pl.Series(anchor.round(1))}
    pl.DataFrame(columns).write_csv(path)


def polars_seconds(path: Path) -> float:
    """Return the time of one plain read in a process of its own [s]."""
    words = [sys.executable, "-c", POLARS, str(path)]
    return float(subprocess.run(words, check=True, capture_output=True, text=True).stdout)


def measure(path: Path) -> tuple[float, float, float, dict[str, Any]]:
    """Return wall and processor time of the whole command [s], its peak of resident memory [MiB] and its record."""
    words = [sys.executable, "-m", "haulwright", "trial", "measure", str(path), "--rig", "two-part", "--json"]
    with tempfile.TemporaryFile() as out:
        begun = time.perf_counter()
        child = subprocess.Popen(words, stdout=out)
        _, status, usage = os.wait4(child.pid, 0)
        spent = time.perf_counter() - begun
        child.returncode = os.waitstatus_to_exitcode(status)
        out.seek(0)
        text = out.read()
    if child.returncode:
        raise SystemExit(text.decode())
    return spent, usage.ru_utime + usage.ru_stime, usage.ru_maxrss / 1024.0, json.loads(text)


def main() -> None:
    """Run the turns and print the medians."""
    hours = float(sys.argv[1]) if len(sys.argv) > 1 else 1.0
    pairs = int(sys.argv[2]) if len(sys.argv) > 2 else 5
    with tempfile.TemporaryDirectory() as folder:
        for stamped in (False, True):
            path = Path(folder) / "pull.csv"
            write_log(path, hours, stamped=stamped)
            turns = [(polars_seconds(path), *measure(path)) for _ in range(pairs)]
            plain, ours, busy, peak = (statistics.median(turn[i] for turn in turns) for i in range(4))
            record = turns[-1][4]
            advantage = record["advantage"]
            rows = record["channels"]["line"]["n"]
            print(
                f"{'ISO stamps' if stamped else 'elapsed seconds'}: {rows} rows, {path.stat().st_size / 1e6:.0f} MB"
            )
            print(f"  plain polars read          {plain:7.2f} s")
            print(
                f"  trial measure, end to end  {ours:7.2f} s   allowed {3 * plain + 3:.2f} s (3 × polars + 3 s)"
            )
            print(
                f"  of it processor time       {busy:7.2f} s   (more than that is waiting for a busy machine)"
            )
            print(f"  ratio                      {ours / plain:7.1f}")
            print(f"  peak memory                {peak:7.0f} MiB   allowed 1024 MiB")
            print(f"  advantage {advantage['value']:.4f} ± {advantage['u']:.4f}, true {ADVANTAGE}")


if __name__ == "__main__":
    main()
