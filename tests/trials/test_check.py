"""Pass or redo on the day: seeded faults are each caught with their reason, good runs pass."""

from __future__ import annotations

import csv
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from haulwright.files.campaign import read_campaign
from haulwright.trials.check import CampaignCheck, RunVerdict, check_campaign
from haulwright.workflows import check_exit_code, examples

Rows = list[list[str]]


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Return a copy of the example with two of its runs, to keep it quick."""
    target = tmp_path / "campaign"
    shutil.copytree(examples() / "campaign", target, ignore=shutil.ignore_patterns("results"))
    head, *rows = (target / "runs.csv").read_text(encoding="utf-8").splitlines()
    kept = [row for row in rows if row.split(",")[0] in ("series", "two-b2")]
    (target / "runs.csv").write_text("\n".join([head, *kept]) + "\n", encoding="utf-8")
    for log in (target / "logs").iterdir():
        if log.name not in ("meadow-series.csv", "meadow-two-b2.csv"):
            log.unlink()
    return target


def checked(folder: Path) -> tuple[CampaignCheck, dict[str, RunVerdict]]:
    found = check_campaign(read_campaign(folder, logs_needed=False))
    return found, {run.run: run for run in found.runs}


def spoil(folder: Path, name: str, change: Callable[[Rows], Rows]) -> None:
    """Rewrite the rows of a log below its header."""
    path = folder / "logs" / name
    with path.open(encoding="utf-8", newline="") as file:
        head, *rows = list(csv.reader(file))
    with path.open("w", encoding="utf-8", newline="") as file:
        csv.writer(file).writerows([head, *change(rows)])


def scaled(column: int, factor: float) -> Callable[[Rows], Rows]:
    def change(rows: Rows) -> Rows:
        return [
            [f"{float(v) * factor:.2f}" if i == column and v else v for i, v in enumerate(row)]
            for row in rows
        ]

    return change


def test_good_runs_pass(folder: Path) -> None:
    found, runs = checked(folder)
    assert {run.verdict for run in runs.values()} == {"pass"}
    assert found.unmatched == ()
    assert check_exit_code(found) == 0


def test_missing_logs_and_files_of_no_run_are_named(folder: Path) -> None:
    logs = folder / "logs"
    (logs / "meadow-two-b2.csv").rename(logs / "Export 14.csv")
    found, runs = checked(folder)
    assert runs["two-b2"].verdict == "missing"
    assert runs["two-b2"].reasons == ("no log meadow-two-b2.csv",)
    assert found.unmatched == ("Export 14.csv",)
    assert check_exit_code(found) == 1


def loaded(rows: Rows) -> list[bool]:
    """Return, row by row, whether the line carries load; an empty cell is as the one before."""
    top, last, found = max(float(row[1] or 0) for row in rows), 0.0, []
    for row in rows:
        last = float(row[1]) if row[1] else last
        found.append(last > 0.4 * top)
    return found


def clipped(rows: Rows) -> Rows:
    values = sorted(float(row[2]) for row, on in zip(rows, loaded(rows), strict=True) if on and row[2])
    limit = values[int(0.6 * len(values))]
    return [[row[0], row[1], f"{min(float(row[2]), limit):.1f}" if row[2] else ""] for row in rows]


def no_zero(rows: Rows) -> Rows:
    on = loaded(rows)
    kept = rows[on.index(True) + 5 : len(rows) - on[::-1].index(True) - 5]
    return [[f"{float(t):.2f}", x, y] for t, x, y in kept]


def gaps(rows: Rows) -> Rows:
    return [row for i, row in enumerate(rows) if i % 12 < 7]


def unrelated(rows: Rows) -> Rows:
    on = loaded(rows)
    first, last = on.index(True) + 20, len(rows) - on[::-1].index(True) - 20
    middle = [row[2] for row in rows[first:last]][::-1]
    return [
        *rows[:first],
        *([r[0], r[1], v] for r, v in zip(rows[first:last], middle, strict=True)),
        *rows[last:],
    ]


def never_moving(rows: Rows) -> Rows:
    top = max(float(row[1] or 0) for row in rows)
    creep = [0.7 * top * (1.0 - 4e-5 * i) for i in range(len(rows))]
    return [
        [row[0], f"{x:.2f}", f"{1.8 * x:.2f}"] if on else row
        for row, x, on in zip(rows, creep, loaded(rows), strict=True)
    ]


def brief(rows: Rows) -> Rows:
    on = loaded(rows)
    return [*rows[: on.index(True) + 40], *rows[len(rows) - on[::-1].index(True) :]]


@pytest.mark.parametrize(
    ("change", "reason"),
    [
        (clipped, "clip"),
        (no_zero, "zero missing"),
        (never_moving, "stands still"),
        (scaled(2, 1.2), "more than without friction"),
        (scaled(2, 0.68), "less than any device"),
        (scaled(2, 0.5), "wrong rig"),
    ],
)
def test_seeded_faults_are_redone_with_the_reason(
    folder: Path, change: Callable[[Rows], Rows], reason: str
) -> None:
    spoil(folder, "meadow-two-b2.csv", change)
    found, runs = checked(folder)
    assert runs["two-b2"].verdict == "redo", runs["two-b2"]
    assert reason in " ".join(runs["two-b2"].reasons).lower(), runs["two-b2"].reasons
    assert runs["series"].verdict == "pass"
    assert check_exit_code(found) == 1


@pytest.mark.parametrize("change", [gaps, brief, unrelated])
def test_other_faults_are_redone_too(folder: Path, change: Callable[[Rows], Rows]) -> None:
    spoil(folder, "meadow-two-b2.csv", change)
    _, runs = checked(folder)
    assert runs["two-b2"].verdict == "redo", runs["two-b2"]
    assert runs["two-b2"].reasons[0]


def test_a_cell_over_its_class_is_caught_by_the_series_pull(folder: Path) -> None:
    spoil(folder, "meadow-series.csv", scaled(2, 1.03))
    _, runs = checked(folder)
    assert runs["series"].verdict == "redo"
    assert (
        "the cells differ by +3" in runs["series"].reasons[0]
        or "more than without" in runs["series"].reasons[0]
    )
    assert any("their classes allow ± 1.00 %" in why for why in runs["series"].reasons)


def test_a_run_left_out_by_decision_is_not_redone(folder: Path) -> None:
    (folder / "decisions.yaml").write_text(
        "exclusions:\n  - {run: two-b2, who: A. Sample, when: 2025-06-03, why: line crossed}\n",
        encoding="utf-8",
    )
    found, runs = checked(folder)
    assert runs["two-b2"].verdict == "left_out"
    assert runs["two-b2"].reasons == ("line crossed (A. Sample)",)
    assert found.done
