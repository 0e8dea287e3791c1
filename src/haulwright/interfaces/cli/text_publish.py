"""What was handed out and reckoned again, in words."""

from __future__ import annotations

from typing import TYPE_CHECKING

from haulwright.publishing.wording import count

if TYPE_CHECKING:
    from rich.console import Console

    from haulwright.workflows import Recomputed


def show_recomputed(out: Console, record: Recomputed) -> None:
    """Print what was compared, and what differs."""
    out.print(record.title, style="bold")
    out.print(
        f"{count(record.files, 'file')} compared, each with its hash: every one is what datapackage.json says."
    )
    words = f"{count(record.numbers, 'number')} reckoned again: {record.same} equal to the last digit"
    out.print(f"{words}, {record.last_bits} but for the last bits, {record.different} different.")
    for one in record.differences:
        out.print(f"  {one.where}: handed out {one.handed_out}, here {one.here}")
    if record.different > len(record.differences):
        out.print(f"  and {record.different - len(record.differences)} more")
    if other := [f"{name} {record.software.get(name, 'not told')} there, {version} here"
                 for name, version in record.here.items() if record.software.get(name) != version]:  # fmt: skip
        out.print(f"Reckoned with other software: {'; '.join(other)}.")
