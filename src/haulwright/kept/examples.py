"""Where the shipped, invented examples lie."""

from __future__ import annotations

from pathlib import Path

from haulwright.errors import FileRefusal


def examples() -> Path:
    """Return the folder of the shipped, invented examples."""
    package = Path(__file__).parents[1]
    for folder in (package / "examples", package.parents[1] / "examples"):
        if (folder / "campaign" / "campaign.yaml").is_file():
            return folder
    raise FileRefusal(
        "NO_FILE", "The shipped examples are not there. Install Haulwright again.", ("examples",)
    )
