"""What is uncertain about a rig, each number with the distribution it is drawn from.

A distribution is held as its quantile function: a draw is its value at a random share, and the same function gives
evenly spread values where one number is varied alone.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from statistics import NormalDist

from haulwright.planning.candidates import Setting
from haulwright.planning.result import ResistanceSummary
from haulwright.quantities.measured import Measured

TAIL = 0.05  # house number: so much lies below "low" and above "high" of a resistance rule
_NORMAL = NormalDist()
_TAIL_Z = _NORMAL.inv_cdf(1.0 - TAIL)
RESISTANCE, SCATTER, STALL, TRAVEL, ALONG, ASIDE, FRICTION = (
    "resistance", "scatter", "stall", "travel", "along", "aside", "friction",
)  # fmt: skip
NO_LOSS = 1.0  # a sheave gives back no more than it gets


@dataclass(frozen=True)
class Input:
    """One uncertain number.

    Attributes
    ----------
    kind, of : str
        What it is, and of which device or anchor.
    what : str
        In words; inputs of the same words are one driver.
    drawn, source : str
        Its distribution in words, and where its width comes from.
    at : callable
        Its value at a share between 0 and 1 of its distribution.
    centre : float
        What the plan takes.
    step : float
        Its standard deviation.
    """

    kind: str
    of: str
    what: str
    drawn: str
    source: str
    at: Callable[[float], float]
    centre: float
    step: float

    @property
    def name(self) -> str:
        """Return the name its draws are seeded by, the same for every rig."""
        return f"{self.kind} {self.of}"


def inputs_of(setting: Setting, resistance: ResistanceSummary) -> list[Input]:
    """Return every uncertain number of a rig.

    Parameters
    ----------
    setting : Setting
    resistance : ResistanceSummary
        Of its way.

    References
    ----------
    JCGM 101:2008, 6.4.2 (rectangular: limits are all that is known), 6.4.7 (normal: best estimate and standard
    uncertainty).
    """
    found = [_resistance(resistance)]
    found += _frictions(setting)
    found += _places(setting)
    winch = setting.request.pull.winch
    if winch.stall_factor_high is not None and winch.stall_factor_high > winch.stall_factor:
        low, high = winch.stall_factor, winch.stall_factor_high
        words = f"evenly from {low:g} to {high:g} times the rated pull"
        found.append(_even(STALL, winch.id, "stall factor", low, high, low, words, "the kit"))
    return found


def _resistance(resistance: ResistanceSummary) -> Input:
    low, likely, high = resistance.low, resistance.likely, resistance.high
    if low > 0.0:
        below, above = math.log(likely / low) / _TAIL_Z, math.log(high / likely) / _TAIL_Z
        shape = "log-normal on either side of likely"

        def at(share: float) -> float:
            z = _NORMAL.inv_cdf(share)
            return likely * math.exp(z * (above if z > 0.0 else below))

    else:  # where it may run away by itself there is nothing to take a logarithm of
        less, more = (likely - low) / _TAIL_Z, (high - likely) / _TAIL_Z
        shape = "normal on either side of likely"

        def at(share: float) -> float:
            z = _NORMAL.inv_cdf(share)
            return max(likely + z * (more if z > 0.0 else less), 0.0)

    drawn = f"{shape}, low and high its {100 * TAIL:.0f} % and {100 * (1 - TAIL):.0f} % points (house)"
    step = (high - low) / (2.0 * _TAIL_Z)
    return Input(RESISTANCE, "", "resistance", drawn, f"low to high by {resistance.chosen}", at, likely, step)


def _frictions(setting: Setting) -> list[Input]:
    friction, found = setting.request.friction, {}
    scatter = 0.0
    for item in setting.geared.devices.values():
        one = friction[item.id]
        scatter = max(scatter, one.scatter)
        if one.k.u > 0.0 and one.device not in found:
            found[one.device] = _friction(one.device, one.k, one.source)
    inputs = list(found.values())
    if scatter > 0.0:
        inputs.append(
            Input(
                SCATTER,
                "",
                "set-up to set-up",
                f"effort log-normal, {100 * scatter:.2g} %",
                "the trials the friction comes from",
                lambda share: math.exp(scatter * _NORMAL.inv_cdf(share)),
                1.0,
                scatter,
            )
        )
    return inputs


def _friction(device: str, k: Measured, source: str) -> Input:
    spread = NormalDist(k.value, k.u)
    lost = spread.cdf(NO_LOSS)

    def at(share: float) -> float:
        return max(spread.inv_cdf(lost + share * (1.0 - lost)), NO_LOSS)

    drawn = f"k normal {k.value:.3f} ± {k.u:.3f}, cut off at 1; one value for all its blocks"
    return Input(FRICTION, device, f"friction of {device}", drawn, source, at, k.value, k.u)


def _places(setting: Setting) -> list[Input]:
    site, found = setting.request.pull.site, []
    within = site.within
    if within <= 0.0:
        return []
    drawn = f"evenly within ± {within:g} m each way"
    source = "the pull" if "within" in site.model_fields_set else "house number"
    for anchor in setting.anchors:
        for kind in (ALONG, ASIDE):
            found.append(_even(kind, anchor, f"place of {anchor}", -within, within, 0.0, drawn, source))
    if setting.layout.setups == 1:
        words = f"evenly within ± {within:g} m"
        found.append(_even(TRAVEL, "", "travel", -within, within, 0.0, words, source))
    return found


def _even(
    kind: str, of: str, what: str, low: float, high: float, centre: float, drawn: str, source: str
) -> Input:
    return Input(
        kind,
        of,
        what,
        drawn,
        source,
        lambda share: low + share * (high - low),
        centre,
        (high - low) / math.sqrt(12.0),
    )
