"""An invented campaign made by hand: records as the trials hand them over, with made-up traces."""

from __future__ import annotations

import dataclasses

import numpy as np

from haulwright.notices import Code
from haulwright.quantities.measured import Measured
from haulwright.records import Made
from haulwright.trials.result import (
    BlockHeat,
    BudgetTerm,
    CampaignCheck,
    CampaignResult,
    CellCheck,
    CellResult,
    ChannelInfo,
    CheckStep,
    Comparison,
    Configuration,
    DeviceFriction,
    LeftOut,
    MovedStretch,
    Phase,
    PlaceReading,
    RunScatter,
    RunVerdict,
    SteadyStretch,
    Traces,
    TrialResult,
)

EFFICIENCY = {"bearing block 100": 0.957, "bush block 80": 0.945, "ring 90": 0.830, "ring 65": 0.762}
FRICTIONLESS = {"two-part": 2.0, "three-part": 3.0, "series": 1.0}
PATHS = {"two-part": "!O.drum > X > O", "three-part": "!O.drum > X > O > X", "series": "!O.drum > X"}
PHASES = (
    Phase("zero", 0, 38),
    Phase("slack", 38, 70),
    Phase("light tension", 70, 104),
    Phase("ramp", 104, 140),
    Phase("settling", 140, 197),
    Phase("steady", 197, 311),
    Phase("release", 311, 325),
    Phase("zero", 325, 360),
)
STEADY = (
    SteadyStretch(197.0, 240.0, "rule", "from here settling adds less than 0.5 %"),
    SteadyStretch(264.0, 311.0, "rule", "left out 244 to 260 s, and 4 s each side: the line stood still"),
)


def advantage_of(rig: str, device: str) -> float:
    """Return load ÷ effort of a rig whose contacts all have this device's efficiency (geometric series)."""
    e = EFFICIENCY.get(device, 1.0)
    return sum(e**n for n in range(int(FRICTIONLESS[rig])))


def traces(ratio: float, seed: int, line_kN: float = 5.98) -> Traces:
    """Return two channels, one reading a second: slack, hold, ramp, pull with a stop, release."""
    rng = np.random.default_rng(seed)
    t = np.arange(0.0, 360.0, 1.0)
    shape = np.interp(
        t,
        [0, 38, 45, 55, 70, 74, 104, 140, 197, 311, 325, 360],
        [0, 0, 0.1, 0.02, 0.02, 0.4, 0.4, 1.04, 1, 1, 0, 0],
    )
    walk = np.cumsum(rng.normal(0, 0.012, t.size))
    wobble = np.where(
        shape > 0.5,
        1 + 0.03 * np.sin(t / 17.0) + 0.6 * (walk - np.convolve(walk, np.ones(31) / 31, "same")),
        1.0,
    )
    still = (t >= 244) & (t < 260)
    wobble[still] = wobble[still][0]
    line = line_kN * shape * wobble + rng.normal(0, 0.004, t.size)
    at_rest = 1 + 0.05 * still
    anchor = ratio * line_kN * shape * wobble * at_rest * (1 + rng.normal(0, 0.004, t.size)) + rng.normal(
        0, 0.006, t.size
    )
    return Traces(
        {"line": tuple(t), "anchor": tuple(t)},
        {"line": tuple(1000 * line), "anchor": tuple(1000 * anchor)},
    )


def channel(cell: str, offset: float) -> ChannelInfo:
    return ChannelInfo(cell, "kgf", 1.0, 360, 0, Measured.normal(offset, 0.03), Measured.normal(-12.0, 3.0))


def trial(run: str, rig: str, device: str, seed: int) -> TrialResult:
    """Return one run of a rig with one device at every contact."""
    ratio = advantage_of(rig, device) * (1 + 0.003 * np.random.default_rng(seed + 1000).normal())
    value = Measured.normal(float(ratio), 0.0053 * ratio)
    contacts = int(FRICTIONLESS[rig]) - 1
    devices = (device,) * contacts
    series = traces(float(ratio), seed)
    e = Measured.normal(EFFICIENCY.get(device, 1.0), 0.0097)
    friction = {device: DeviceFriction(inverse(e), e, (5600.0, 6400.0))} if contacts else {}
    return TrialResult(
        run=run,
        rig=rig,
        path=PATHS[rig],
        devices=devices,
        frictionless=FRICTIONLESS[rig],
        channels={"line": channel("3 t cell", 0.0), "anchor": channel("5 t cell", 2.36)},
        phases=PHASES,
        steady=STEADY,
        mean_N={"line": Measured.normal(5980.0, 16.0), "anchor": Measured.normal(5980.0 * ratio, 29.0)},
        ratio=value,
        advantage=value,
        u_repeatability=0.003,
        interval95_repeatability=(float(ratio) - 0.006, float(ratio) + 0.006),
        winch_share=inverse(value),
        friction=friction,
        budget=(
            BudgetTerm("scatter of this run", 0.0057, 0.34), BudgetTerm("line cell, class 0.5 %", 0.0053, 0.29),
            BudgetTerm("anchor cell, class 0.5 %", 0.0053, 0.29), BudgetTerm("zero, line cell", 0.0024, 0.06),
            BudgetTerm("clock offset", 0.0004, 0.004),
        ),
        quality={"stops": "1 stop of 16 s cut"},
        files=({"path": f"logs/{run}-line.csv", "sha256": "ab" * 32}, {"path": f"logs/{run}-anchor.csv", "sha256": "cd" * 32}),
        notices=(Code.NO_PEAKS.notice(("line", "anchor")), Code.TESTED_ONLY.notice(),
                 Code.STOPS_CUT.notice(text="The line stood still from 244 s to 260 s: cut, with 4 s each side.")),
        _traces=series,
    )  # fmt: skip


def inverse(m: Measured) -> Measured:
    return Measured(1 / m.value, m.u / m.value**2, 1 / m.hi, 1 / m.lo)


def campaign(pulls: int = 2, rename: dict[str, str] | None = None) -> CampaignResult:
    """Return four devices in two rigs, with a series check; names can be changed to test how they are shown."""
    names = rename or {}
    runs: list[TrialResult] = [trial("S1", "series", "", 1)]
    configurations: list[Configuration] = []
    for rig in ("two-part", "three-part"):
        for device in EFFICIENCY:
            block = [trial(f"{len(runs) + n}", rig, device, 40 * len(runs) + n) for n in range(pulls)]
            block = [dataclasses.replace(r, devices=tuple(names.get(d, d) for d in r.devices)) for r in block]
            runs += block
            value = Measured.normal(advantage_of(rig, device), 0.0052 * advantage_of(rig, device))
            configurations.append(
                Configuration(
                    rig,
                    block[0].devices,
                    pulls,
                    value,
                    inverse(value),
                    0.003,
                    FRICTIONLESS[rig],
                    tuple(r.run for r in block),
                )
            )
    devices = {}
    for name, e in EFFICIENCY.items():
        m = Measured.normal(e, 0.0095)
        devices[names.get(name, name)] = DeviceFriction(inverse(m), m, (5600.0, 6400.0))
    shown = [names.get(name, name) for name in EFFICIENCY]
    return CampaignResult(
        name="2026-11 gravel lane",
        runs=tuple(runs),
        configurations=tuple(configurations),
        devices=devices,
        comparisons=(
            Comparison(f"two-part, {shown[2]}", f"two-part, {shown[3]}", Measured.normal(1.0386, 0.006), "different", 0, 0.02),
            Comparison(f"two-part, {shown[0]}", f"two-part, {shown[1]}", Measured.normal(1.0062, 0.006), "undecided", 16, 0.02),
        Comparison(f"three-part, {shown[0]}", f"three-part, {shown[1]}", Measured.normal(1.0121, 0.003), "small_but_real", 0, 0.02),
        ),
        cells={
            "3 t cell": CellResult(Measured.exact(1.0), Measured.normal(-12.0, 3.0)),
            "5 t cell": CellResult(Measured.normal(1.002, 0.0015), Measured.normal(31.0, 4.0)),
        },
        about={
            "title": "Pull test of four devices in two rigs",
            "laboratory": "Example test lane (invented), 1 Sample Road, Nowhere",
            "customer": "own use",
            "site": "gravel lane, level, dry, 14 to 19 °C; 3 and 4 November 2026",
            "method": "moving pull, two cells, ratio of means over the steady stretch, pulls in mirrored order",
            "authorised_by": "A. Tester (invented)",
            "not_tested": "Strength of anything. Wet or muddy rope. Loads above 7 kN at the drum.",
            "invented": "yes",
        },
        excluded=({"run": "22", "why": "line crossed on the drum, noted on the day"},),
        notices=(Code.TESTED_ONLY.notice(), Code.NO_PEAKS.notice(), Code.DEFER.notice(),
                 Code.CLASS_ASSUMED.notice(("5 t cell",), what="anchor", value="1 %"), Code.INVENTED.notice()),
        made=Made("ratio of means over the steady stretch; runs combined with the cells’ class counted once",
                  {"folder": "examples/campaign"}, ("JCGM 100:2008 (GUM), clause 5.2",)),
    )  # fmt: skip


def beside() -> CampaignResult:
    """Return the campaign with all that can stand beside the forces: checks, further cells, heat, notes, changes."""
    base = campaign()
    gain = Measured.normal(1.0042, 0.0011)
    runs = [dataclasses.replace(base.runs[0], u_repeatability=0.001)]
    for n, run in enumerate(base.runs[1:], 1):
        heat = {
            f"X{i}": BlockHeat(
                device, 900.0 + 40 * n, 5400.0 + 240 * n, 60.0, 21.0 + n, 14.0, 19.0 + 2 * n, 0.12
            )
            for i, device in enumerate(run.devices, 1)
        }
        noted = {
            "temperature_before_C": (14.0,), "temperature_after_C": (19.0 + 2 * n,), "air_C": 12.0,
            "rope_state": "wet" if n % 2 else "dry", "rope_age": f"{10 + n} pulls", "layer": 1 + n % 3,
            "weather": "rain" if n % 2 else "overcast", "travel_m": 6.0, "line_speed_m_s": 0.05,
            "notes": {"gust": "strong"} if n == 3 else {},
        }  # fmt: skip
        runs.append(
            dataclasses.replace(
                run,
                gain=gain,
                heat=heat,
                conditions=noted,
                sensitivity=(MovedStretch("later by 5 s", -0.0007), MovedStretch("shorter by 5 s", 0.0011)),
            )
        )
    k = Measured.normal(1.201, 0.012)
    third = PlaceReading(inverse(k), 0.004, 1.0, k)
    channels = {**runs[5].channels, "standing part": channel("1 t cell", 1.1)}
    means = {**runs[5].mean_N, "standing part": Measured.normal(4980.0, 15.0)}
    runs[5] = dataclasses.replace(runs[5], readings={"standing part": third}, channels=channels, mean_N=means)
    runs[8] = dataclasses.replace(
        runs[8], grade="typed", steady=(), phases=(), heat={}, sensitivity=(), _traces=None
    )
    steps = tuple(
        CheckStep(load, Measured.normal(1.0042 + drift, 0.0009), way)
        for load, drift, way in ((2e3, 0.0006, "up"), (6e3, 0.0, "up"), (11e3, -0.0004, "up"), (6e3, 0.0004, "down"))
    )  # fmt: skip
    checks = (
        CellCheck("series", ("S1",), "2026-11-03", "3 t cell", "5 t cell", gain, steps, 0.0005, 0.0004),
        CellCheck("swap", ("4", "5"), "2026-11-03", "3 t cell", "5 t cell", Measured.normal(1.0035, 0.002)),
        CellCheck(
            "series",
            ("S2",),
            "2026-11-04",
            "3 t cell",
            "1 t cell",
            Measured.normal(1.092, 0.002),
            steps[:1],
            used=False,
        ),
    )
    name = "ring 65"
    devices = dict(base.devices)
    devices[name] = dataclasses.replace(devices[name], load_exponent=Measured.normal(0.21, 0.04), at_N=6000.0)
    about = {
        **base.about,
        "cell 3 t cell": "class 0.5 % of reading, certificate invented-17, due 2027-03-31",
        "cell 5 t cell": "class 0.5 % of reading, certificate invented-18, due 2026-10-31",
        "cell 1 t cell": "class 1 % of range",
    }
    trend = (
        "The advantage drifts by -0.08 % a run (± 0.05 %) over the session: warming, wetting or bedding in."
    )
    along = (
        "The advantage changes by -0.31 ± 0.12 % with rope state wet against dry (16 runs). An association, not a "
        "correction: nothing was taken off."
    )
    late = "The calibration of 5 t cell ran out on 2026-10-31: run 1 came after it."
    left_out = (
        LeftOut("two-part", ("ring 90",), Measured.normal(1.829, 0.006), 1.835, True),
        LeftOut("three-part", ("ring 65", "ring 65"), Measured.normal(2.343, 0.007), 2.369, False),
    )
    return dataclasses.replace(
        base, runs=tuple(runs), checks=checks, devices=devices, about=about, left_out=left_out,
        scatter=RunScatter(0.0021, 0.0048, 8, 0.0024),
        notices=(*base.notices, Code.TREND.notice((), text=trend), Code.ASSOCIATION.notice(("rope state",), text=along),
                 Code.UNCHECKED.notice(("5 t cell", "1"), text=late)),
    )  # fmt: skip


def day_check() -> CampaignCheck:
    """Return a same-day check in which one run is to be pulled again and one log is missing."""
    good = tuple(RunVerdict(str(n), "pass", (), Measured.normal(1.8, 0.01)) for n in range(1, 15))
    return CampaignCheck(
        name="2026-11 gravel lane",
        runs=(
            *good,
            RunVerdict("22", "left_out", ("line crossed on the drum (A. Tester)",)),
            RunVerdict("15", "redo", ("anchor: zero missing: start the loggers before tension",)),
            RunVerdict("16", "missing", ("no log 16-line.csv",)),
        ),
        unmatched=("test-of-logger.csv",),
    )
