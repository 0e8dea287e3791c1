"""What stands in the open data to be read by people: what it is, what every column means, how to reckon it again."""

from __future__ import annotations

from collections.abc import Sequence

from haulwright.publishing.bundle.fields import Table
from haulwright.publishing.report_words import head, invented_mark
from haulwright.publishing.wording import NOT_STATED, cautions
from haulwright.trials.result import CampaignResult
from haulwright.version import __version__

README, RECIPE = "README.md", "RECOMPUTE.md"
_NO_LICENCE = (
    "No licence is stated: nobody but its owner may copy, change or hand on this data. Ask the owner for one."
)


def readme(campaign: CampaignResult, tables: Sequence[Table], licence: str) -> str:
    """Return what the open data is, with its cautions, licence, files and data dictionary."""
    every = [*campaign.notices, *(one for run in campaign.runs for one in run.notices)]
    mark = invented_mark(campaign)
    lines = [f"# {_line(campaign.about.get('title') or f'Pull test: {campaign.name}')}", ""]
    lines += [f"**{_line(mark)}**", ""] if mark else []
    lines += [f"- **Caution:** {_line(one.message)}" for one in cautions(every)]
    lines += [
        "",
        "## Licence",
        "",
        f"{_line(licence)}." if licence else _NO_LICENCE,
        "",
        "## Who and what",
        "",
    ]
    lines += [f"- {_line(what)}: {_line(text) or NOT_STATED}" for what, text in head(campaign.about)]
    lines += ["", "## Files", ""]
    lines += [
        "- `campaign/`: campaign.yaml, run sheet, decisions and logs as they came in, byte for byte. Nothing in it is ours.",
        f"- `results/campaign.json`: every result with its uncertainty, as Haulwright {__version__} reckoned it.",
        "- `results/*.csv`: the same as tables, described below; `results/devices.toml`: friction of the devices, to plan "
        "with.",
        f"- `datapackage.json`: every file with its hash (Data Package, version 1). `{RECIPE}`: how to reckon it again.",
        "",
        "Texts in the tables stand as people wrote them. A spreadsheet may take a text that begins with = + - or @ for a "
        "formula: import the columns as text.",
        "",
        "## Data dictionary",
        "",
        "SI throughout; unit 1 is a plain number, fractions included. `low95` and `high95` are the ends of the 95 % interval, "
        "`u` is a standard uncertainty. What is not known is empty.",
    ]
    for table in tables:
        lines += [
            "",
            f"### {table.path}",
            "",
            f"{table.title}.",
            "",
            "| column | unit | meaning |",
            "|---|---|---|",
        ]
        lines += [f"| `{one.name}` | {one.unit} | {_line(one.description)} |" for one in table.fields]
    return "\n".join(lines) + "\n"


def recipe(software: Sequence[tuple[str, str]]) -> str:
    """Return how every number is reckoned again.

    Parameters
    ----------
    software : sequence of (str, str)
        What it was reckoned with, and which version.
    """
    versions = "\n".join(f"- {name} {version}" for name, version in software)
    return f"""# How to reckon every number again

You need Haulwright; it was made with

{versions}

In one go, from the folder this file is in (or give the zip in place of the dot):

    haulwright publish recompute .

It compares every file with its hash in datapackage.json, measures the logs of `campaign/` again, and compares every
number with `results/`. It names the first number that differs, and then exits with 1; with 0 when none does. A number
that differs by less than one part in 10⁹ is counted apart: another processor or library may round the last bit otherwise.

Step by step, with a folder of your own for what is written:

    haulwright campaign measure campaign --out ../again
    haulwright campaign check campaign
    haulwright publish report campaign --out ../again
    haulwright publish workbook campaign --out ../again

`../again/campaign.json` and `results/campaign.json` are then the same. The workbook holds every reading and the formulas
of the means, so that no software of ours is needed to follow them.

To keep it in a book of your own:

    haulwright book import .
"""


def _line(text: str) -> str:
    """Return a text on one line, which no table or list of a page can be broken by."""
    return " ".join(text.split()).replace("|", "\\|")
