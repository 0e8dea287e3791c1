"""Time many samples of one rig, and the listing of all tackles: compiled, batched and one by one, turn by turn."""

from __future__ import annotations

import statistics
import time
from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from haulwright.mechanics.batch.compile import Program, compile_rig
from haulwright.mechanics.batch.find import find_tackles
from haulwright.mechanics.batch.reevings import reevings
from haulwright.mechanics.geometry import courses
from haulwright.mechanics.motion import find_motion, length_rates
from haulwright.mechanics.rig import Rig
from haulwright.mechanics.statics import solve_rig
from haulwright.mechanics.tackles import named_rig

SAMPLES = 1_000_000
LOOPED = 300  # samples of the Python loop, which is extrapolated from them
ROUNDS = 5
RIGS = ("four-part", "stacked two-parts", "double spanish burton", "luff on luff")
Floats = NDArray[np.float64]


def seconds(task: Callable[[], object]) -> float:
    """Return the time of one call [s]."""
    begun = time.perf_counter()
    task()
    return time.perf_counter() - begun


def batched(rig: Rig) -> Callable[[Floats, Floats], Floats]:
    """Return a function that assembles the balance of every sample and leaves the rest to ``numpy.linalg.solve``."""
    course_of = courses(rig)
    motion = find_motion(rig, course_of)
    lines = list(rig.lines.items())
    pulls = [-np.array(length_rates(rig, course_of[n], line, motion.freedoms)) for n, line in lines]
    sides = [np.sign(motion.flows[n][1:-1])[:, None] for n, _ in lines]
    hauling = next(i for i, (_, line) in enumerate(lines) if line.drum)
    ends = np.cumsum([len(line.contacts) for _, line in lines])[:-1]

    def efforts(ratios: Floats, loads: Floats) -> Floats:
        grown = [
            np.vstack([np.ones(k.shape[1]), np.cumprod(k**side, axis=0)])
            for k, side in zip(np.split(ratios, ends), sides, strict=True)
        ]
        balance = np.stack([pull.T @ g for pull, g in zip(pulls, grown, strict=True)], axis=-1)
        pull = np.zeros((ratios.shape[1], len(lines), 1))
        pull[:, 0, 0] = loads
        base = np.linalg.solve(balance.transpose(1, 0, 2), pull)
        return np.asarray(base[:, hauling, 0] * grown[hauling][-1])

    return efforts


def loop(rig: Rig, program: Program, ratios: Floats, loads: Floats) -> list[float]:
    """Return the effort of each sample, solved one by one."""
    blocks = [contact.at for contact in program.contacts]
    return [
        next(iter(solve_rig(rig, dict(zip(blocks, k, strict=True)), load_N=load).effort_N.values()))
        for k, load in zip(ratios.T.tolist(), loads.tolist(), strict=True)
    ]


def compare(name: str, rng: np.random.Generator) -> None:
    """Print one line for a rig: times of the three ways and their ratios, medians over the rounds."""
    rig = named_rig(name)
    program, solve = compile_rig(rig), batched(rig)
    ratios = rng.uniform(1.02, 1.15, (len(program.contacts), SAMPLES))
    loads = rng.uniform(1e4, 4e4, SAMPLES)
    few = slice(0, LOOPED)
    if len({contact.at for contact in program.contacts}) < len(program.contacts):
        ratios[:] = ratios[0]  # a block met twice has one ratio in the loop
    apart = np.abs(program.efforts(ratios, loads)[0] / solve(ratios, loads) - 1.0).max()
    timed = [
        (
            seconds(lambda: compile_rig(rig)),
            seconds(lambda: program.efforts(ratios, loads)),
            seconds(lambda: solve(ratios, loads)),
            seconds(lambda: loop(rig, program, ratios[:, few], loads[few])) * SAMPLES / LOOPED,
        )
        for _ in range(ROUNDS)
    ]
    compiling, compiled, together, one_by_one = (
        statistics.median(times) for times in zip(*timed, strict=True)
    )
    to_batched = statistics.median(b / a for _, a, b, _ in timed)
    to_loop = statistics.median(c / a for _, a, _, c in timed)
    print(
        f"{name:24}{1e3 * compiling:10.2f}{1e3 * compiled:12.2f}{1e3 * together:12.1f}{one_by_one:12.0f}"
        f"{to_batched:12.1f}{to_loop:12.0f}{apart:12.1e}",
        flush=True,
    )


def main() -> None:
    """Print efforts of a million samples for some rigs, then the listing of all tackles and a question to it."""
    print(f"efforts of {SAMPLES:,} samples; the loop of the solver is extrapolated from {LOOPED} of them")
    print(
        f"{'rig':24}{'compile,':>10}{'compiled,':>12}{'batched,':>12}{'loop,':>12}{'batched ÷':>12}{'loop ÷':>12}"
        f"{'greatest':>12}\n"
        f"{'':24}{'ms':>10}{'ms':>12}{'ms':>12}{'s':>12}{'compiled':>12}{'compiled':>12}{'difference':>12}"
    )
    rng = np.random.default_rng(2026)
    for name in RIGS:
        compare(name, rng)
    print("\nlisting every reeving, and the advantage of each at k = 1.1")
    for moving in range(3):
        reevings.cache_clear()
        listing = seconds(lambda moving=moving: reevings(moving))
        every = reevings(moving)
        solving = seconds(lambda every=every: every.advantages(1.1))
        print(
            f"{moving + 1} ropes: {len(every):6} in {listing:.3f} s, advantages in {solving:.4f} s",
            flush=True,
        )
    reevings.cache_clear()
    first = seconds(lambda: find_tackles(6.0, ratio=1.1))
    again = seconds(lambda: find_tackles(6.0, ratio=1.1))
    print(f"fewest sheaves for an advantage of 6: {first:.3f} s with the listing, {again:.3f} s again")


if __name__ == "__main__":
    main()
