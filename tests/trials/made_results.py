"""Run results made from a stated advantage, for tests of what comes after the measuring."""

from __future__ import annotations

from collections.abc import Sequence

from haulwright.quantities.measured import Measured
from haulwright.trials.result import TrialResult

LINE_N = 9000.0


def made(
    run: str,
    rig: str,
    devices: Sequence[str],
    advantage: float,
    u_repeat: float = 0.003,
    u_class: float = 0.0041,
    frictionless: float = 2.0,
) -> TrialResult:
    """Return a run with this advantage; ``u_repeat`` and ``u_class`` are relative."""
    u = advantage * (u_repeat**2 + u_class**2) ** 0.5
    total = Measured.normal(advantage, u)
    spread = 1.96 * advantage * u_repeat
    return TrialResult(
        run=run,
        rig=rig,
        devices=tuple(devices),
        frictionless=frictionless,
        channels={},
        phases=(),
        steady=(),
        mean_N={"line": Measured.normal(LINE_N, 10.0), "anchor": Measured.normal(LINE_N * advantage, 10.0)},
        ratio=total,
        advantage=total,
        u_repeatability=advantage * u_repeat,
        interval95_repeatability=(advantage - spread, advantage + spread),
        winch_share=Measured.normal(1.0 / advantage, u / advantage**2),
    )
