"""``haulwright resistance`` and ``haulwright plan seen``: what is asked of the winch, and what was seen after."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Any

import typer

from haulwright import workflows
from haulwright.errors import UsageRefusal
from haulwright.interfaces.cli import options as o
from haulwright.interfaces.cli.output import emit
from haulwright.interfaces.cli.text_resistance import show_resistance, show_seen

Text = str | None


def _option(name: str, words: str, sign: str) -> Any:
    return typer.Option(name, help=words, metavar=sign)


def resistance(
    pull: Annotated[
        Path | None, typer.Argument(help="Pull file; or say the case in options.", metavar="[PULL]")
    ] = None,
    *,
    mass: Annotated[Text, _option("--mass", "Mass as it stands, without load and people.", "M")] = None,
    mass_low: Annotated[Text, _option("--mass-low", "What the mass may be at least.", "M")] = None,
    mass_high: Annotated[Text, _option("--mass-high", "What the mass may be at most.", "M")] = None,
    load: Annotated[Text, _option("--load", "Load in it.", "M")] = None,
    people: Annotated[
        Text, _option("--people", "People who stay in it: how many, or their mass.", "N")
    ] = None,
    trailer: Annotated[Text, _option("--trailer", "Mass of its trailer with what is on it.", "M")] = None,
    surface: Annotated[Text, _option("--surface", "Ground, in the words of the rules.", "WORD")] = None,
    slope: Annotated[Text, _option("--slope", "Slope along the pull: 8deg, '12 %' or 1:8.", "SLOPE")] = None,
    up: Annotated[bool, typer.Option("--up", help="The pull goes up that slope.")] = False,
    down: Annotated[bool, typer.Option("--down", help="The pull goes down that slope.")] = False,
    sunk: Annotated[Text, _option("--sunk", "How deep: a word of the rules, or e.g. 35cm.", "DEPTH")] = None,
    wheel_radius: Annotated[Text, _option("--wheel-radius", "Of a wheel with its tyre.", "R")] = None,
    wheels: Annotated[Text, _option("--wheels", "rolling, half locked or all locked.", "WORD")] = None,
    wheel: Annotated[
        list[str] | None,
        _option("--wheel", "One wheel: 'left front=locked', damaged or flat.", "WHEEL=STATE"),
    ] = None,
    step: Annotated[Text, _option("--step", "Height of a step or rut edge before two wheels.", "H")] = None,
    suction: Annotated[Text, _option("--suction", "Suction to break first, as you know it.", "F")] = None,
    lies: Annotated[Text, _option("--lies", "on its wheels, on its side or on its roof.", "WORD")] = None,
    drives: Annotated[bool, typer.Option("--drives", help="It drives along with the pull.")] = False,
    way_in: Annotated[bool, typer.Option("--way-in", help="It is pulled out the way it came in.")] = False,
    rule: Annotated[Text, _option("--rule", "The rule to go by, 'own pulls' among them.", "RULE")] = None,
    own: Annotated[
        list[Path] | None,
        _option("--own", "File of own pulls seen, or a folder with some; once for each.", "PATH"),
    ] = None,
    units: o.Units = "kN",
    as_json: o.AsJson = False,
) -> None:
    """The stuck vehicle's resistance by several published rules side by side.

    Either a pull file, or the case in options: --mass and --surface at least.
    """
    vehicle = {
        "mass": mass,
        "mass_low": mass_low,
        "mass_high": mass_high,
        "load": load,
        "people": people,
        "trailer": None if trailer is None else {"mass": trailer},
        "sunk": sunk,
        "wheel_radius": wheel_radius,
        "wheels": wheels,
        "each_wheel": _wheels(wheel),
        "suction": suction,
        "suction_source": None if suction is None else "typed with --suction",
        "lies": lies,
        "drive_helps": drives or None,
        "opposite_direction": way_in or None,
    }
    ground = {
        "surface": surface,
        "slope": slope,
        "direction": _direction(up, down),
        "step": None if step is None else {"height": step},
    }
    record = workflows.estimate_resistance(_case(pull, vehicle, ground), own=own or None, rule=rule)
    emit(record, as_json, lambda out, found: show_resistance(out, found, units))


def _wheels(given: list[str] | None) -> dict[str, str] | None:
    found: dict[str, str] = {}
    for text in given or ():
        name, equals, state = text.partition("=")
        if not (name.strip() and equals and state.strip()) or name.strip() in found:
            raise UsageRefusal(
                "USAGE", f"--wheel {text}: write 'left front=locked', each wheel once.", ("--wheel",)
            )
        found[name.strip()] = state.strip()
    return found or None


def _direction(up: bool, down: bool) -> str | None:
    if up and down:
        raise UsageRefusal("USAGE", "--up and --down are both given: keep one.", ("--up", "--down"))
    return "up" if up else "down" if down else None


def _case(pull: Path | None, vehicle: dict[str, Any], ground: dict[str, Any]) -> Path | dict[str, Any]:
    told = {
        part: {key: value for key, value in keys.items() if value is not None}
        for part, keys in (("vehicle", vehicle), ("ground", ground))
    }
    if pull is None:
        for option, part, key in (("--mass", "vehicle", "mass"), ("--surface", "ground", "surface")):
            if key not in told[part]:
                raise UsageRefusal(
                    "USAGE", f"Name a pull file, or say the case: {option} is missing.", ("PULL", option)
                )
        return told
    given = [key for keys in told.values() for key in keys]
    if given:
        raise UsageRefusal(
            "USAGE",
            f"A pull file and the case in options ({', '.join(given)}) are both given: keep one, or write it in the file.",
            ("PULL",),
        )
    return pull


def seen(
    pull: Annotated[Path, typer.Argument(help="Pull file.", metavar="PULL")],
    *,
    line: Annotated[str, _option("--line", "Line cell while it moved: 8.4kN, or '8.4 ± 0.2 kN'.", "F")],
    anchor: Annotated[Text, _option("--anchor", "Anchor cell while it moved.", "F")] = None,
    breakout: Annotated[Text, _option("--breakout", "Line cell when it started.", "F")] = None,
    rig: Annotated[
        Text, _option("--rig", "The rig used; the one the plan chooses if left out.", "RIG")
    ] = None,
    stuck: Annotated[
        bool, typer.Option("--did-not-move", help="It did not move: a least value, kept apart.")
    ] = False,
    by: Annotated[str, _option("--by", "Who enters it.", "NAME")] = "",
    note: Annotated[str, _option("--note", "What was special, and why it is entered.", "TEXT")] = "",
    units: o.Units = "kN",
    as_json: o.AsJson = False,
) -> None:
    """After the pull: what the cells read against what was foretold, entered in the file beside the pull."""
    record = workflows.record_seen(
        pull, line=line, anchor=anchor, breakout=breakout, rig=rig, moved=not stuck, by=by, note=note
    )
    emit(record, as_json, lambda out, found: show_seen(out, found, units))
