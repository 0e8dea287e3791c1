"""Verbs of the kit."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from haulwright.errors import Refusal
from haulwright.publishing.output import Files, output_folder, record_of
from haulwright.workflows.given import Given
from haulwright.workflows.plans import make_plan

if TYPE_CHECKING:
    from haulwright.planning.kit_result import KitCheck, KitKinds


def show_kit(kit: Given, *, pull: Given | Sequence[Given] | None = None, day: date | None = None) -> KitCheck:
    """Return a kit's items, each with its working limit and a verdict against winch stall in every use it could have.

    Parameters
    ----------
    kit : path or mapping
    pull : path or mapping, or sequence of either, optional
        Pulls, planned with this kit: the places of their chosen rigs join the uses. Of several, one that cannot be
        planned is told with its reason; one alone is refused.
    day : date, optional
        What the due dates are held against; today.
    """
    from haulwright.files.kit import read_kit
    from haulwright.planning.kit_check import check_kit, not_planned

    gear = read_kit(kit)
    if pull is None or isinstance(pull, str | Path | Mapping):
        return check_kit(gear, day, () if pull is None else (make_plan(pull, kit=kit),))
    plans, unplanned = [], []
    for number, one in enumerate(pull, 1):
        try:
            plans.append(make_plan(one, kit=kit))
        except Refusal as refusal:
            named = one.get("pull") if isinstance(one, Mapping) else Path(one).name
            unplanned.append(not_planned(named if isinstance(named, str) else f"pull {number}", refusal))
    return check_kit(gear, day, plans, unplanned)


def publish_inspection_sheet(
    kit: Given, out: str | Path, *, units: str = "kN", day: date | None = None
) -> Files:
    """Write the inspection sheet of a kit as a page to print and to write on.

    Parameters
    ----------
    kit : path or mapping
    out : path
    units : str
    day : date, optional
        What the due dates are held against; today.

    Raises
    ------
    Refusal
        A kit that cannot be read; one without a piece (MISSING).
    """
    from haulwright.files.kit import read_kit
    from haulwright.planning.kit_check import check_kit
    from haulwright.publishing.writing import write_inspection_sheet

    gear = read_kit(kit)
    found = check_kit(gear, day)
    with output_folder(out) as folder:
        return record_of(
            [write_inspection_sheet(found, list_kit_kinds(), folder, units=units, invented=gear.invented)]
        )


def list_kit_kinds() -> KitKinds:
    """Return every kind of piece a kit can hold: its mark, what the mark usually means, when it is out of use."""
    from haulwright.planning.kit_kinds import list_kinds

    return list_kinds()


def kit_exit_code(record: KitCheck) -> int:
    """Return 0, or 1 where a piece is over or unknown; with pulls, a piece of a chosen rig, or where there is none."""
    none_left = any(pull.rig is None for pull in record.pulls)
    return 1 if none_left or any(verdict in ("over", "unknown") for verdict in record.verdicts) else 0
