"""Write ``docs/validation.md`` from the check of published values: ``python docs/make_validation.py``."""

from __future__ import annotations

import textwrap
from pathlib import Path

from haulwright.checking import PublishedCheck, published_check

PAGE = Path(__file__).with_name("validation.md")
HEAD = """\
# Validation

This page is written by `docs/make_validation.py` from the record of `haulwright check`; run that command to see every
row with what is printed, what is computed, their difference and the tolerance.

A row is a number printed somewhere else: in a standard, a handbook, a maker's table or a worked example. It is computed
by the same functions that answer for a rig or a pull. The tolerance is half a unit of the last printed digit; where the
print itself is cut or rounded on the way, the row says so and why. Rows from memory are shown and never counted: they
prove nothing until someone has read the source.

What this does not prove: that a formula suits your gear. A table that repeats the same formula agrees with itself;
the closed forms and exact identities below guard the arithmetic, the printed tables guard the choice of formula.
"""


def page(record: PublishedCheck) -> str:
    """Return the page for a record."""
    rows = ["| source | rows | agree | differ | from memory |", "|---|---|---|---|---|"]
    for source in dict.fromkeys(row.source for row in record.rows):
        own = [row.ok for row in record.rows if row.source == source]
        counts = (len(own), own.count(True), own.count(False), own.count(None))
        rows.append(f"| {source} | {' | '.join(str(count) for count in counts)} |")
    tally = (
        f"{record.checked} values checked: {record.agreeing} agree, {record.differing} differ. "
        f"{record.carried} of them hold the print against the catalogue's own entry: they guard the copying, not a "
        f"computation. {record.from_memory} more are from memory, shown only."
    )
    return "\n".join([HEAD, textwrap.fill(tally, 118), "", *rows, ""])


if __name__ == "__main__":
    PAGE.write_text(page(published_check()), encoding="utf-8")
