"""A kit in words and tables."""

from __future__ import annotations

from typing import TYPE_CHECKING

from haulwright.interfaces.cli.output import rows, table
from haulwright.publishing.wording import force, of_limit

if TYPE_CHECKING:
    from rich.console import Console

    from haulwright.workflows import KitCheck, KitItem, KitKinds, KitUse


def show_kit(out: Console, record: KitCheck, units: str) -> None:
    """Print every item with its mark, its limit, its dates, and what is not known."""
    _title(out, record, units)
    grid = table(
        "item", "kind<", f"mark, {units}", "basis<", f"limit, {units}", "condition<", "due<", "verdict<"
    )
    out.print(
        rows(
            grid,
            (
                (
                    i.item,
                    i.kind,
                    "–" if i.marked_N is None else force(i.marked_N, units, unit=False),
                    i.basis,
                    _limit(i, units),
                    i.condition,
                    _due(i),
                    i.verdict or "–",
                )
                for i in record.items
            ),
        )
    )
    _words(out, record)


def check_kit(out: Console, record: KitCheck, units: str) -> None:
    """Print every item in each use it could have, the weakest named first."""
    _title(out, record, units)
    weakest = next((i for i in record.items if i.item == record.weakest), None)
    if weakest is not None and weakest.utilisation is not None:
        out.print(
            f"Least margin: {weakest.item} ({weakest.name}), {of_limit(weakest.utilisation, ' of its limit')}.",
            style="bold",
        )
    grid = table("item", "use<", f"at stall, {units}", f"limit, {units}", "verdict<", "guidance<")
    lines = (
        (
            i.item,
            f"{use.use}, {' and '.join(winches)}",
            force(use.load_N, units, unit=False),
            "unknown" if use.limit_N is None else force(use.limit_N, units, unit=False),
            use.verdict if use.utilisation is None else f"{use.verdict} {of_limit(use.utilisation)}",
            use.guidance.verdict if use.guidance is not None else "–",
        )
        for i in record.items
        for use, winches in _together(i)
    )
    out.print(rows(grid, lines))
    _words(out, record)


def show_kinds(out: Console, record: KitKinds) -> None:
    """Print each kind with its mark, what the mark usually is, and when it is out of use."""
    grid = table("kind<", "mark<", "usually<", "out of use<")
    out.print(rows(grid, ((one.kind, one.mark, one.usual_basis, one.out) for one in record.kinds)))
    for one in record.bases:
        out.print(f"{one.basis}: {one.means}")
    out.print(f"An MBS without a factor is divided by {record.mbs_factor:g}: {record.mbs_factor_source}.")


def _together(item: KitItem) -> list[tuple[KitUse, list[str]]]:
    """Return the uses of an item, winches of the same stall together; only those of the pull where it is used there."""
    uses = [use for use in item.uses if use.pull is not None] or item.uses
    found: dict[tuple[str, float, str | None], tuple[KitUse, list[str]]] = {}
    for use in uses:
        found.setdefault((use.use, use.load_N, use.pull), (use, []))[1].append(use.winch)
    return list(found.values())


def _title(out: Console, record: KitCheck, units: str) -> None:
    stall = f"winch stall {force(record.stall_N, units)}" if record.stall_N else "no winch"
    pull = f", and in {', '.join(one.name for one in record.pulls)}" if record.pulls else ""
    out.print(f"{record.kit_name} on {record.day}: {stall}{pull}")
    for one in record.pulls:
        if one.rig is None:
            out.print(f"{one.name}: no rig. {one.lacked}")


def _limit(item: KitItem, units: str) -> str:
    return "unknown" if item.limit_N is None else force(item.limit_N, units, unit=False)


def _due(item: KitItem) -> str:
    return "–" if item.due is None else f"{item.due}{' OVERDUE' if item.overdue else ''}"


def _words(out: Console, record: KitCheck) -> None:
    for item in record.items:
        words = [item.note.rstrip(".")] if item.note else []
        words += [f"good for: {', '.join(item.good_for)}"] if item.good_for else []
        words += [f"not known: {', '.join(item.unknown)}"] if item.unknown else []
        words += item.to_do
        if words:
            out.print(f"{item.item}: {'; '.join(words)}.")
