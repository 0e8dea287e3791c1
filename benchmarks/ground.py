"""Time rigs on the ground, a pull step by step, random draws, and the compiling of rigs: each against a reference, turn by turn."""

from __future__ import annotations

import math
import statistics
import time
from collections.abc import Callable

import numpy as np
from scipy.optimize import root

from haulwright.files.rig import read_rig
from haulwright.mechanics.batch.compile import compile_rig
from haulwright.mechanics.batch.geometry import compile_ground
from haulwright.mechanics.batch.monte_carlo import solve_rig_by_draws
from haulwright.mechanics.core import solve_core
from haulwright.mechanics.rig import Rig
from haulwright.mechanics.statics import solve_rig
from haulwright.mechanics.tackles import NAMES, named_rig
from haulwright.mechanics.travel import pull_along
from haulwright.quantities.measured import Measured

CASES = 20_480
LOOPED = 60  # cases of the ways that go one by one
ROUNDS = 5
DRAWS = 10_000
LOAD_N = 20e3
TRUCK, HELPER, OAK, STRAP_M = np.array([16.0, -2.0]), np.array([3.0, 11.0]), np.array([0.0, 0.0]), 2.0
CORNER = {
    "rig": "floating corner",
    "mode": "ground",
    "units": {"force": "kN", "length": "m"},
    "sheaves": {"law": "by-wrap", "k": 1.08},
    "anchors": {"oak": {"at": [0, 0]}, "helper": {"at": [3, 11]}},
    "load": {"name": "truck", "at": [16, -2], "direction": [-1, 0], "resistance": 20},
    "blocks": {"corner": {"strap": {"to": "oak", "length": STRAP_M}, "near": [1.5, 1.2]}},
    "lines": {"winch line": {"standing": "truck", "through": ["corner"], "fall": "winch"}},
    "winch": {"on": "helper"},
}


def seconds(task: Callable[[], object]) -> float:
    """Return the time of one call [s]."""
    begun = time.perf_counter()
    task()
    return time.perf_counter() - begun


def generic(k: float) -> float:
    """Return the effort of the floating corner from the same four equations and a general root finder."""

    def equations(z: np.ndarray) -> np.ndarray:
        at, strap, line = z[:2], z[2], z[3]
        to_truck, to_helper, to_oak = TRUCK - at, HELPER - at, OAK - at
        units = [x / math.hypot(*x) for x in (to_truck, to_helper, to_oak)]
        before, after = -units[0], units[1]
        wrap = math.atan2(abs(before[0] * after[1] - before[1] * after[0]), before @ after)
        balance = line * units[0] + line * k ** (wrap / math.pi) * units[1] + strap * units[2]
        return np.array([*balance, line * units[0][0] - 1.0, math.hypot(*to_oak) - STRAP_M])

    found = root(equations, [1.5, 1.2, 1.4, 1.0], tol=1e-13)
    at = found.x[:2]
    before, after = (at - TRUCK) / math.hypot(*(at - TRUCK)), (HELPER - at) / math.hypot(*(HELPER - at))
    wrap = math.atan2(abs(before[0] * after[1] - before[1] * after[0]), before @ after)
    return float(LOAD_N * found.x[3] * k ** (wrap / math.pi))


def corners() -> None:
    """Print the time of one case of the floating corner three ways, and how far their efforts are apart."""
    rig = read_rig(CORNER)
    program, ks = compile_ground(rig), np.random.default_rng(2026).uniform(1.0, 1.25, (1, CASES))
    few = ks[0, :LOOPED].tolist()

    rigs = [read_rig({**CORNER, "sheaves": {"law": "by-wrap", "k": k}}) for k in few]

    def solver() -> list[float]:
        return [solve_core(one, None, LOAD_N, None, ()).found["winch line"][-1] for one in rigs]

    efforts = program(ks, LOAD_N).effort_N
    apart = np.abs(efforts[:LOOPED] / np.array(solver()) - 1.0).max()
    from_root = np.abs(efforts[:LOOPED] / np.array([generic(k) for k in few]) - 1.0).max()
    timed = [
        (
            seconds(lambda: program(ks, LOAD_N)) / CASES,
            seconds(solver) / LOOPED,
            seconds(lambda: [generic(k) for k in few]) / LOOPED,
        )
        for _ in range(ROUNDS)
    ]
    batch, one, general = (1e6 * statistics.median(times) for times in zip(*timed, strict=True))
    print(
        f"floating corner, microseconds a case: batch of {CASES} {batch:.1f}, solver {one:.0f}, scipy root {general:.0f}"
    )
    print(
        f"  solver ÷ batch {statistics.median(b / a for a, b, _ in timed):.0f}, greatest difference {apart:.1e}"
    )
    print(
        f"  scipy root ÷ batch {statistics.median(c / a for a, _, c in timed):.0f}, greatest difference {from_root:.1e}"
    )


def pulls() -> None:
    """Print the time of a pull of 200 steps against 201 rigs solved from where they are drawn."""
    rig = read_rig(CORNER)

    def drawn(x: float) -> Rig:
        return read_rig({**CORNER, "load": {**CORNER["load"], "at": [16.0 - x, -2]}})  # type: ignore[dict-item]

    rigs = [drawn(10.0 * i / 200) for i in range(201)]
    timed = [
        (
            seconds(lambda: pull_along(rig, 10.0, 200)),
            seconds(lambda: [solve_core(one, None, None, None, ()) for one in rigs]),
        )
        for _ in range(ROUNDS)
    ]
    pull, each = (statistics.median(times) for times in zip(*timed, strict=True))
    print(f"pull of 200 steps: {pull:.2f} s; 201 rigs solved as drawn {each:.2f} s; ratio {pull / each:.2f}")


def draws() -> None:
    """Print the time of random draws against the law of propagation."""
    k = Measured.normal(1.09, 0.01)
    rigs = [(name, named_rig(name)) for name in ("four-part", "luff on luff")]
    for name, rig in [*rigs, ("floating corner", read_rig(CORNER))]:

        def by_draws(rig: Rig = rig) -> object:
            return solve_rig_by_draws(rig, k, draws=DRAWS, load_N=LOAD_N)

        def linear(rig: Rig = rig) -> object:
            return solve_rig(rig, k, load_N=LOAD_N)

        timed = [(seconds(by_draws), seconds(linear)) for _ in range(ROUNDS)]
        drawn, carried = (1e3 * statistics.median(times) for times in zip(*timed, strict=True))
        print(
            f"{DRAWS} draws, every interval of a {name}: {drawn:.0f} ms; linear {carried:.1f} ms; ratio {drawn / carried:.0f}"
        )


def compiling() -> None:
    """Print the time the named rigs and the floating corner take to compile, against one solution of each."""
    timed = []
    for name in NAMES:
        rig = named_rig(name)
        one = statistics.median(seconds(lambda rig=rig: compile_rig(rig)) for _ in range(ROUNDS))  # type: ignore[misc]
        other = statistics.median(seconds(lambda rig=rig: solve_rig(rig, 1.1)) for _ in range(ROUNDS))  # type: ignore[misc]
        timed.append((one, one / other, name))
    most = max(timed)
    print(
        f"compiling {len(timed)} named rigs: most {1e3 * most[0]:.2f} ms ({most[2]}); compiling ÷ solving, median "
        f"{statistics.median(ratio for _, ratio, _ in timed):.2f}"
    )
    rig = read_rig(CORNER)
    ground = statistics.median(seconds(lambda: compile_ground(rig)) for _ in range(ROUNDS))
    print(f"compiling the floating corner: {1e3 * ground:.2f} ms")


def main() -> None:
    """Print all of it."""
    corners()
    pulls()
    draws()
    compiling()


if __name__ == "__main__":
    main()
