"""Feed every reader damaged and random files and count how each ends: a log, a refusal, or (never) anything else.

A sound log of two cells out of sixteen is measured as well, to a number or a refusal.

``python benchmarks/fuzz_readers.py [cases] [seed]`` runs 100 000 cases by default, in worker processes of its own.
Each case is timed and watched: an exception that is no refusal, a case over ten seconds or a peak of memory above ten
times its files plus 50 MB is a failure, and the seed of the case is printed so that it can be run again.
"""

from __future__ import annotations

import contextlib
import math
import multiprocessing
import random
import resource
import sys
import tempfile
import time
import traceback
import warnings
from collections import Counter
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
sys.path[:0] = [str(ROOT / "src"), str(ROOT / "tests" / "trials")]

from damaged_logs import CHOICES, mutate, mutate_workbook, random_file  # noqa: E402
from made_logs import dialects  # noqa: E402

from haulwright.errors import Refusal  # noqa: E402
from haulwright.trials.estimate import measure  # noqa: E402
from haulwright.trials.readers import read_log  # noqa: E402

SLOWEST_S = 10.0
SPARE_BYTES = 50_000_000
MEASURED = 1.0 / 16.0


def case(
    seed: int, logs: list[tuple[str, dict[str, bytes], dict[str, str]]], folder: Path
) -> tuple[str, float, float, str]:
    """Run one case; return how it ended, its seconds, its peak as a share of what is allowed, and the trace of a failure."""
    draw = random.Random(seed)
    name, files, options = draw.choice(logs)
    if draw.random() < 0.08:
        name, files = "random", {draw.choice(("log.csv", "log.xlsx")): random_file(draw)}
    else:
        hit = draw.choice(list(files))
        files = {
            file: data
            if file != hit
            else mutate_workbook(data, draw)
            if file.endswith("x")
            else mutate(data, draw)
            for file, data in files.items()
        }
    options = options if draw.random() < 0.5 else draw.choice(CHOICES)
    paths = []
    for file, data in files.items():
        paths.append(folder / file)
        paths[-1].write_bytes(data)
    watch = Watch()
    begun, end, trace = time.perf_counter(), "", ""
    try:
        log = read_log(paths, both=draw.random() < 0.7, **options)
        end = "log, with warnings" if log.notices else "log"
        sound = all(
            (c.time_s[1:] > c.time_s[:-1]).all() and abs(c.force_N).max() < 1e10
            for c in log.channels.values()
        )
        if not sound:
            end, trace = "FAILED: unsound log", name
        elif {"line", "anchor"} <= set(log.channels) and draw.random() < MEASURED:
            end = "log, refused when measured"
            result = measure(log, run=name, rig_name="two-part", frictionless=2.0, lowest=1.33)
            end = "log, measured" if math.isfinite(result.advantage.value) else "FAILED: no number"
    except Refusal as refusal:
        end = end if end.startswith("log") else f"refused {refusal.code}"
    except BaseException:
        end, trace = "FAILED: exception", traceback.format_exc()
    spent = time.perf_counter() - begun
    allowed = 10.0 * sum(len(data) for data in files.values()) + SPARE_BYTES
    peak = watch.grown() / allowed
    if spent > SLOWEST_S:
        end, trace = "FAILED: slow", f"{name}: {spent:.1f} s"
    elif peak > 1.0:
        end, trace = "FAILED: memory", f"{name}: {peak:.2f} of what is allowed"
    return end, spent, peak, trace


class Watch:
    """How far one case raises the resident memory of this process above what it is when the case begins [bytes]."""

    def __init__(self) -> None:
        with contextlib.suppress(OSError):
            Path("/proc/self/clear_refs").write_text("5")  # forgets the highest so far (Linux)
        self._begin = resident("VmRSS")

    def grown(self) -> int:
        """Return the highest since the beginning less what there was then."""
        return resident("VmHWM") - self._begin


def resident(which: str) -> int:
    """Return a line of this process's memory, VmRSS for now or VmHWM for the highest [bytes]; 0 where there is none."""
    try:
        lines = Path("/proc/self/status").read_text().splitlines()
    except OSError:
        return 1024 * resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return next((1024 * int(line.split()[1]) for line in lines if line.startswith(which)), 0)


def worker(first: int, count: int, step: int) -> tuple[Counter[str], float, float, list[str], int]:
    """Run every ``step``-th case; return the tally, the slowest, the greatest peak, the failures, and what was kept [bytes]."""
    logs = [(name, *log) for name, log in dialects()]
    books = [log for log in logs if "workbook" in log[0]]
    logs += books * 12  # workbooks are few among the dialects
    warnings.simplefilter("error")
    tally: Counter[str] = Counter()
    slowest = greatest = 0.0
    failures: list[str] = []
    with tempfile.TemporaryDirectory() as folder:
        # the sound logs first: what is loaded and cached for them is no case's doing
        for _, files, options in logs:
            for file, data in files.items():
                (Path(folder) / file).write_bytes(data)
            log = read_log([Path(folder) / file for file in files], **options)
            with contextlib.suppress(Refusal):
                measure(log, run="", rig_name="", frictionless=2.0, lowest=1.33)
        begin = resident("VmRSS")
        for seed in range(first, first + count, step):
            end, spent, peak, trace = case(seed, logs, Path(folder))
            tally[end] += 1
            slowest, greatest = max(slowest, spent), max(greatest, peak)
            if trace and len(failures) < 20:
                failures.append(f"seed {seed}: {end}\n{trace}")
        kept = resident("VmRSS") - begin
    return tally, slowest, greatest, failures, kept


def main() -> int:
    """Run the cases and print the tally; 1 if any failed."""
    cases = int(sys.argv[1]) if len(sys.argv) > 1 else 100_000
    seed = int(sys.argv[2]) if len(sys.argv) > 2 else 0
    workers = multiprocessing.cpu_count()
    begun = time.perf_counter()
    with multiprocessing.Pool(workers) as pool:
        jobs = [(seed + part, cases - part, workers) for part in range(workers)]
        found = pool.starmap(worker, jobs)
    tally = sum((one[0] for one in found), Counter())
    for end, count in tally.most_common():
        print(f"{count:8}  {end}")
    print(f"{sum(tally.values()):8}  cases in {time.perf_counter() - begun:.0f} s")
    print(f"slowest case {max(one[1] for one in found):.2f} s (allowed {SLOWEST_S:g} s)")
    print(
        f"greatest peak of memory {100 * max(one[2] for one in found):.0f} % of ten times the file plus 50 MB"
    )
    print(f"kept by a worker from its first case to its last: {max(one[4] for one in found) / 1e6:.0f} MB")
    failures = [failure for one in found for failure in one[3]]
    print("\n".join(failures))
    return int(any(end.startswith("FAILED") for end in tally))


if __name__ == "__main__":
    sys.exit(main())
