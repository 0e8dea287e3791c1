"""A stepped drum as a rig file describes it: ``steps`` of its winch, and the line that is wound on both."""

from __future__ import annotations

from collections.abc import Mapping

from haulwright.errors import RigRefusal
from haulwright.files.rig_model import LineModel, RigModel, WinchModel

LARGE, SMALL = "large", "small"


def fall_of(line: LineModel) -> str | None:
    """Return the winch a line falls to: ``winch.large`` says the same as ``winch``."""
    drum, _, step = (line.fall or "").rpartition(".")
    return drum if drum and step == LARGE else line.fall


def step_of(name: str, line: LineModel, winch: WinchModel) -> float:
    """Return small ÷ large of a line whose standing end is on the small step of its own winch, else 0.

    Raises
    ------
    RigRefusal
        INPUT where line and winch do not agree on the steps.

    Examples
    --------
    >>> winch = WinchModel.model_validate({"on": "oak", "steps": {"large": "0.30 m", "small": "0.20 m"}})
    >>> line = LineModel.model_validate({"standing": "winch.small", "through": ["B"], "fall": "winch"})
    >>> round(step_of("line", line, winch), 4)
    0.6667
    """
    drum = fall_of(line) or ""
    on_small = line.standing == f"{drum}.{SMALL}"
    if winch.steps is None:
        if on_small:
            text = f"{name} starts at {line.standing}, but {drum} has no steps: give {{large: 0.30 m, small: 0.20 m}}."
            raise RigRefusal("INPUT", text, (drum,))
        return 0.0
    if not on_small:
        text = (
            f"{drum} has steps, and its large one takes in: start {name} at {drum}.{SMALL}, so that both its ends are on "
            "the drum, or leave steps out."
        )
        raise RigRefusal("INPUT", text, (name, drum))
    large, small = winch.steps.large, winch.steps.small
    if not small < large:
        text = f"{drum}: the small step ({small:g} m) must be less than the large one ({large:g} m), else nothing is hauled."
        raise RigRefusal("INPUT", text, (drum,))
    if winch.drum is not None:
        text = f"{drum}: drum: tells of a drum with one end of a line on it; it is not known with steps. Leave it out."
        raise RigRefusal("UNSUPPORTED", text, (drum,))
    return small / large


def check_ends(model: RigModel, winches: Mapping[str, WinchModel]) -> None:
    """Refuse a step named where a line cannot end on it.

    Raises
    ------
    RigRefusal
        INPUT.
    """
    steps = {f"{drum}.{step}": drum for drum in winches for step in (LARGE, SMALL)}
    for name, line in model.lines.items():
        drum = fall_of(line)
        wrong = [end for end in (line.standing, line.to) if end in steps and end != f"{drum}.{SMALL}"]
        wrong += [line.fall] if line.fall in steps and fall_of(line) == line.fall else []
        if wrong:
            text = f"{name} ends at {wrong[0]}: of a stepped drum write standing: {steps[wrong[0]]}.small, fall: {steps[wrong[0]]}."
            raise RigRefusal("INPUT", text, (wrong[0], name))
