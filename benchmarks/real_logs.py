"""Read a folder of real logs and print what was understood of each; nothing is copied or written.

``python benchmarks/real_logs.py FOLDER [FILE=OPTION=VALUE …]``, for example
``python benchmarks/real_logs.py logs rope.csv=unit=lbf rope.csv=line_column=3``: what a log does not say is asked for
(its refusal is printed) and can be given so.
"""

from __future__ import annotations

import hashlib
import sys
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
sys.path.insert(0, str(ROOT / "src"))

import haulwright as hw  # noqa: E402

FATES = ("used", "blank", "overload", "formula", "unparsable", "duplicate", "backwards", "held", "spike")


def show(path: Path, options: dict[str, str]) -> bool:
    """Print one log; False if it is refused."""
    before = hashlib.sha256(path.read_bytes()).hexdigest()
    begun = time.perf_counter()
    try:
        record = hw.read_trial([path], **options)
    except hw.Refusal as refusal:
        print(f"{path.name} {options or ''}: asked for, {refusal.code}: {refusal.message}")
        return False
    spent = time.perf_counter() - begun
    lines = path.read_bytes().count(b"\n")
    kinds = sum(n for kind, n in record.rows.items() if kind.endswith("_line"))
    fates = sum(record.rows[fate] for fate in FATES)
    untouched = record.files[0]["sha256"] == before == hashlib.sha256(path.read_bytes()).hexdigest()
    print(f"{path.name} {options or ''}: read in {spent:.2f} s")
    print("  " + "; ".join(f"{key} {value}" for key, value in record.format.items()))
    for place, channel in record.channels.items():
        print(
            f"  {place}: {channel.unit_read}, {channel.n} readings, {channel.rate_Hz:.3f} per second, {channel.gaps} gaps"
        )
    print(f"  fates {fates} of {record.rows['data_line'] * len(record.channels)} readings; lines {kinds} of {lines}; "
          f"bytes {'untouched' if untouched else 'CHANGED'}")  # fmt: skip
    hauls = [p for p in record.phases if p.name.startswith("haul")]
    silences = [p for p in record.phases if p.name == "silence"]
    names = list(dict.fromkeys(p.name for p in hauls))
    print(
        f"  {len(names)} hauls, {len(silences)} silences of {sum(p.end_s - p.start_s for p in silences):.0f} s in all"
    )
    for name in names:
        parts = [p for p in hauls if p.name == name]
        print(f"    {name}: {parts[0].start_s:.0f} to {parts[-1].end_s:.0f} s")
    for notice in record.notices:
        print(f"  {notice.level} {notice.code}: {notice.message}")
    return True


def main() -> int:
    """Read every CSV and XLSX of a folder."""
    if len(sys.argv) < 2:
        print(__doc__)
        return 2
    given: dict[str, dict[str, str]] = {}
    for word in sys.argv[2:]:
        file, option, value = word.split("=", 2)
        given.setdefault(file, {})[option] = value
    for path in sorted(Path(sys.argv[1]).iterdir()):
        if path.suffix.lower() in (".csv", ".tsv", ".txt", ".xlsx"):
            show(path, {})
            if path.name in given:
                show(path, given[path.name])
    return 0


if __name__ == "__main__":
    sys.exit(main())
