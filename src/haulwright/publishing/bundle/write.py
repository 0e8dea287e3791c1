"""Open data written into a folder that holds the campaign's own files already."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping, Sequence
from pathlib import Path

from haulwright.data_package import DESCRIPTOR, OPEN_DATA, Package, Resource, descriptor
from haulwright.publishing.bundle.fields import FOLDER, Table
from haulwright.publishing.bundle.licences import described
from haulwright.publishing.bundle.papers import README, RECIPE, readme, recipe
from haulwright.publishing.bundle.tables import tables_of
from haulwright.publishing.writing import file_name
from haulwright.trials.result import CampaignResult

CAMPAIGN = "campaign"
RECORD = f"{FOLDER}/campaign.json"
_CHUNK = 1 << 20


def write_tables(campaign: CampaignResult, folder: Path) -> dict[str, Table]:
    """Write the tables of a campaign; return each by its path."""
    tables = {one.path: one for one in tables_of(campaign)}
    for path, table in tables.items():
        (folder / path).write_text(table.text(), encoding="utf-8", newline="")
    return tables


def write_papers(
    campaign: CampaignResult,
    folder: Path,
    tables: Mapping[str, Table],
    *,
    licence: str,
    software: Sequence[tuple[str, str]],
) -> None:
    """Write what is read by people, then the descriptor of all there is.

    Parameters
    ----------
    campaign : CampaignResult
    folder : Path
        Holds the campaign's files in ``campaign`` and its results in ``results``.
    tables : mapping path -> Table
        As :func:`write_tables` returned them.
    licence : str
        Empty for none.
    software : sequence of (str, str)
        What it was reckoned with, and which version.
    """
    (folder / README).write_text(
        readme(campaign, list(tables.values()), licence), encoding="utf-8", newline=""
    )
    (folder / RECIPE).write_text(recipe(software), encoding="utf-8", newline="")
    paths = sorted(one.relative_to(folder).as_posix() for one in folder.rglob("*") if one.is_file())
    found = [_resource(folder, path, tables) for path in paths if path != DESCRIPTOR]
    about = campaign.about
    package = Package(
        name=file_name(campaign.name),
        title=about.get("title") or f"Pull test {campaign.name}",
        description=f"Pull-test campaign {campaign.name}: logs and run sheet as they came in, and every result with its "
        f"uncertainty. {RECIPE} says how to reckon them again.",
        licences=described(licence),
        more={"kind": OPEN_DATA, "software": dict(software)},
    )
    text = json.dumps(descriptor(package, found), ensure_ascii=False, indent=1) + "\n"
    (folder / DESCRIPTOR).write_text(text, encoding="utf-8", newline="")


def _resource(folder: Path, path: str, tables: Mapping[str, Table]) -> Resource:
    hashed, size = hashlib.sha256(), 0
    with (folder / path).open("rb") as given:
        while chunk := given.read(_CHUNK):
            hashed.update(chunk)
            size += len(chunk)
    table = tables.get(path)
    title = table.title if table else _WHAT.get(path) or _what(path)
    return Resource(path, title, size, hashed.hexdigest(), schema=table.schema() if table else None)


_WHAT = {
    RECORD: "Every result of the campaign, machine-readable",
    f"{FOLDER}/devices.toml": "Friction of the devices, to plan with",
    README: "What this is, with cautions, licence and data dictionary",
    RECIPE: "How every number is reckoned again",
    f"{CAMPAIGN}/campaign.yaml": "Cells, devices, site and who answers, as it came in",
    f"{CAMPAIGN}/runs.csv": "Run sheet, as it came in",
    f"{CAMPAIGN}/decisions.yaml": "What was decided by hand, as it came in",
}


def _what(path: str) -> str:
    return (
        "Log, as it came in"
        if path.startswith(f"{CAMPAIGN}/logs/")
        else "File of the campaign, as it came in"
    )
