"""Time a full plan of every shipped pull, stage by stage: all rigs, 2,000 likely conditions, the chosen one in 200 steps.

The reference is one rig of the plan solved once without friction, timed in the same run; ratios are medians over
rounds. Seconds are of processor time, which other work on the machine moves less than the clock; a plan runs on one core.
The first round pays for what is kept afterwards in a process (tables, the listing of tackles) and is shown apart.
"""

from __future__ import annotations

import statistics
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

from haulwright.files.pull import Pull, read_pull
from haulwright.mechanics.core import solve_core
from haulwright.planning.found import Planned, survey
from haulwright.planning.likely import DRAWS
from haulwright.planning.plan import planned
from haulwright.planning.pull_steps import step_pull
from haulwright.planning.rank import rank
from haulwright.planning.second_look import with_second_looks
from haulwright.workflows import examples, offered_tackles

ROUNDS = 5
STEPS = 200
BAR_S = 2.0
Times = dict[str, float]


@contextmanager
def clocked(times: Times, stage: str) -> Iterator[None]:
    """Add the seconds of a stage."""
    begun = time.process_time()
    yield
    times[stage] = times.get(stage, 0.0) + time.process_time() - begun


def full_plan(path: Path) -> tuple[Times, Planned]:
    """Return the seconds of every stage of one plan, and the plan; the stages are run again inside the whole."""
    times: Times = {}
    with clocked(times, "whole"):
        pull = read_pull(path)
        plan = planned(pull, tackles=offered_tackles(pull))
        step_pull(plan, steps=STEPS)
    return times, plan


def stages(path: Path) -> Times:
    """Return the seconds of every stage by itself."""
    times: Times = {}
    with clocked(times, "read the files"):
        pull: Pull = read_pull(path)
    with clocked(times, "list tackles"):
        tackles = offered_tackles(pull)
    with clocked(times, "every rig: place, solve, gear"):
        every = survey(pull, tackles.paths)
    with clocked(times, "rank"):
        ranked = rank([found.candidate for found in every.found])
    by_name = {found.candidate.rig: found for found in every.found}
    with clocked(times, f"{DRAWS} likely conditions, first rigs"):
        with_second_looks(ranked, by_name, DRAWS)
    begun = time.process_time()
    plan = planned(pull, tackles=tackles, draws=0)
    listed = time.process_time() - begun - times["every rig: place, solve, gear"] - times["rank"]
    times["intervals, zone, checklist, brief"] = max(listed, 0.0)
    with clocked(times, f"chosen rig in {STEPS} steps"):
        step_pull(plan, steps=STEPS)
    return times


def reference_s(plan: Planned, repeats: int = 200) -> float:
    """Return the seconds of one rig solved once."""
    rig = next(iter(plan.settings.values())).along[0].rig
    begun = time.process_time()
    for _ in range(repeats):
        solve_core(rig, 1.0, None, 1000.0, ())
    return (time.process_time() - begun) / repeats


def process_s(*words: str) -> float:
    """Return the seconds of one command in a process of its own."""
    begun = time.perf_counter()
    subprocess.run([sys.executable, "-m", "haulwright", *words], stdout=subprocess.DEVNULL, check=False)
    return time.perf_counter() - begun


def medians(found: list[Times]) -> Times:
    """Return the median of every stage."""
    return {stage: statistics.median(times[stage] for times in found) for stage in found[0]}


def main() -> None:
    """Print one block for every shipped pull."""
    measure: Callable[[Path], tuple[Times, Planned]] = full_plan
    for path in sorted((examples() / "pulls").glob("*.yaml")):
        first, plan = measure(path)
        rounds, parts, references = [], [], []
        for _ in range(ROUNDS):
            references.append(reference_s(plan))
            rounds.append(measure(path)[0])
            parts.append(stages(path))
        one = statistics.median(references)
        whole = medians(rounds)["whole"]
        looked, found = (
            (plan.plan.made.inputs["rigs_looked_at"] if plan.plan.made else 0),
            len(plan.plan.candidates),
        )
        print(f"{path.stem}: {looked} rigs looked at, {found} found, chosen {plan.plan.chosen}")
        print(
            f"  the whole in a running process {whole:.3f} s, first time {first['whole']:.3f} s; bar {BAR_S:g} s"
        )
        print(f"  = {whole / one:.0f} times one rig solved once ({1e6 * one:.0f} µs)")
        for stage, seconds in sorted(medians(parts).items(), key=lambda pair: -pair[1]):
            print(f"    {stage:38} {1e3 * seconds:7.1f} ms  {100 * seconds / whole:4.0f} % of the whole")
        command = process_s("plan", "make", str(path), "--json")
        print(
            f"  `haulwright plan make --json` in a process of its own {command:.2f} s by the clock (without the steps)"
        )


if __name__ == "__main__":
    main()
