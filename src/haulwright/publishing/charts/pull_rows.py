"""Charts of a pull's winch: its line pull on each drum layer; speed, current and time against the number of parts."""

from __future__ import annotations

from collections.abc import Callable

from haulwright.errors import UsageRefusal
from haulwright.planning.pull_result import PullSteps
from haulwright.publishing import look
from haulwright.publishing.charts.canvas import Chart
from haulwright.publishing.charts.rows import Panel, Row, rows_chart
from haulwright.publishing.pocket.record import PocketWinch
from haulwright.publishing.wording import count, force
from haulwright.quantities.measured import Measured
from haulwright.quantities.units import from_si


def drum_layers_chart(
    winch: PocketWinch,
    *,
    units: str = "kN",
    width_px: float = 700.0,
    light: look.Light = look.PAPER,
    title: bool = True,
    aspect: float | None = None,
) -> Chart:
    """Return the line pull a winch has on each layer of its drum, and what it pulls at stall on the first.

    Raises
    ------
    UsageRefusal
        CHART where the drum or its rope is not told, or the width is under 300 px.
    """
    if len(winch.layers_N) < 2:
        raise UsageRefusal(
            "CHART", f"{winch.name}: its drum or its rope is not told, so its layers are not known."
        )
    pulls = [from_si(pull, units, "force") for pull in winch.layers_N]
    rows = tuple(
        Row(f"layer {n}", Measured.exact(shown), force(pull, units), bar=True)
        for n, (shown, pull) in enumerate(zip(pulls, winch.layers_N, strict=True), 1)
    )
    stall = from_si(winch.stall_N, units, "force")
    panel = Panel(
        (f"line pull in {units}",),
        rows,
        (stall, f"at stall {force(winch.stall_N, units)}"),
        (0.0, 1.02 * max(stall, *pulls)),
    )
    key = (
        "By the plate and the size of drum and rope; of the two ways the rope may lie the weaker. Real winches can exceed "
        "their plate: gear is judged at stall on the lowest layer met."
    )
    name = f"Line pull on each layer: {winch.name}"
    return rows_chart(name, key, [panel], width_px=width_px, light=light, show_title=title, aspect=aspect)


def parts_chart(
    steps: PullSteps,
    *,
    units: str = "kN",
    width_px: float = 700.0,
    light: look.Light = look.PAPER,
    title: bool = True,
    aspect: float | None = None,
) -> Chart:
    """Return line pull, current, time and charge of one load with one, two and more parts, at the likely resistance.

    Raises
    ------
    UsageRefusal
        CHART where the pull has no such comparison, or the width is under 300 px.
    """
    if not steps.parts:
        raise UsageRefusal("CHART", f"{steps.pull}: nothing is told by number of parts.", (steps.pull,))
    scale = from_si(1.0, units, "force")
    told: tuple[tuple[str, str, float, Callable[[float], str]], ...] = (
        (f"line pull needed in {units}", "effort_N", scale, lambda v: f"{v:.4g}\u00a0{units}"),
        ("greatest current in A", "current_A", 1.0, lambda v: f"{v:.0f}\u00a0A"),
        ("running time in s", "time_s", 1.0, lambda v: f"{v:.0f}\u00a0s"),
        ("charge from the battery in A h", "charge_Ah", 1.0, lambda v: f"{v:.1f}\u00a0A\u00a0h"),
    )
    panels = [panel for one in told if (panel := _by_parts(steps, *one)) is not None]
    key = (
        f"{steps.pull}: {force(steps.resistance_N.likely, units)} likely, of {force(steps.resistance_N.low, units)} to "
        f"{force(steps.resistance_N.high, units)}; {steps.winch}, by its maker's table. {steps.parts_words}"
    )
    name = "The same load with more parts"
    return rows_chart(name, key, panels, width_px=width_px, light=light, show_title=title, aspect=aspect)


def _by_parts(
    steps: PullSteps, what: str, key: str, scale: float, words: Callable[[float], str]
) -> Panel | None:
    """Return the panel of one quantity; None where it is known of no number of parts."""
    drawn, most = [], 0.0
    for one in steps.parts:
        value, name = getattr(one, key), count(one.parts, "part")
        if value is None:
            drawn.append(Row(name, Measured.exact(0.0), one.lacks or "not known", bar=True))
            continue
        most = max(most, scale * value)
        drawn.append(Row(name, Measured.exact(scale * value), words(scale * value), one.lacks, bar=True))
    return Panel((what,), tuple(drawn), None, (0.0, 1.04 * most)) if most else None
