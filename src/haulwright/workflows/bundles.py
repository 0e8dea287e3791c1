"""Verbs of open data: handed out, and reckoned again."""

from __future__ import annotations

import json
import os
import tempfile
import tomllib
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from haulwright.errors import FileRefusal
from haulwright.progress import Progress, Step, within
from haulwright.publishing.output import Files, output_folder, record_of
from haulwright.workflows.campaigns import reading_store, write_results

if TYPE_CHECKING:
    from haulwright.checking.recomputed import Counted, Recomputed
    from haulwright.files.campaign import CampaignFolder
    from haulwright.notices import Notice
    from haulwright.trials.result import CampaignResult
    from haulwright.trials.run_store import RunStore


def publish_bundle(
    folder: str | Path,
    out: str | Path,
    *,
    licence: str | None = None,
    progress: Progress | None = None,
    jobs: int = 1,
) -> Files:
    """Write a campaign's open data, as a folder and as a zip of it.

    The campaign's files go in byte for byte: campaign.yaml, run sheet, decisions, the logs and rig files that the run sheet
    names, nothing else. What is in it is measured, so that results and bytes belong together.

    Parameters
    ----------
    folder : path
        Campaign folder; runs that are kept there are taken up, none are added.
    out : path
        Folder that both are written into.
    licence : str or None
        In place of the one campaign.yaml states; ``none`` hands it out without one, and says so.
    progress : callable, optional
        Is told each step in words.
    jobs : int
        Processes that measure side by side.

    Raises
    ------
    Refusal
        A folder that cannot be read; LICENCE: none is stated; EXISTS: other files in the way.
    """
    from haulwright.files.bundled import campaign_files
    from haulwright.files.campaign import read_campaign
    from haulwright.kept.archives import pack
    from haulwright.publishing.bundle.licences import licence_of
    from haulwright.publishing.bundle.write import CAMPAIGN, write_papers, write_tables
    from haulwright.publishing.writing import file_name

    read = read_campaign(folder)
    chosen = licence_of(read.spec.licence, licence)
    name = f"{file_name(read.spec.name)}-data"
    with output_folder(out) as target, _made_beside(target, name) as part:
        for one in campaign_files(read):
            path = part / CAMPAIGN / one.path
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_bytes(one.read())
        (part / CAMPAIGN / "logs").mkdir(exist_ok=True)
        result = _measured(
            read_campaign(part / CAMPAIGN), reading_store(folder), within(progress, 0.0, 0.9), jobs
        )
        write_results(part / CAMPAIGN, result, part / "results")
        tables = write_tables(result, part)
        write_papers(result, part, tables, licence=chosen, software=list(_software().items()))
        _take_place(part, target / name)
        archive = target / f"{name}.zip"
        pack(target / name, part.with_suffix(".zip"), name)
        part.with_suffix(".zip").replace(archive)
        descriptor = target / name / "datapackage.json"
        written = [(descriptor, "open data: descriptor of all files"), (archive, "the same as one file")]
        return replace(record_of(written), notices=_told(read, chosen))


def recompute_bundle(given: str | Path, *, progress: Progress | None = None, jobs: int = 1) -> Recomputed:
    """Return how every number of open data compares with what this copy makes of the logs in it.

    Parameters
    ----------
    given : path
        Folder or zip that :func:`publish_bundle` wrote. Nothing is written into it.
    progress : callable, optional
        Is told each step in words.
    jobs : int
        Processes that measure side by side.

    Raises
    ------
    Refusal
        DAMAGED: a file is missing, changed or added; ARCHIVE, NAME, LINK, TOO_LARGE: an archive that is none, or leads
        elsewhere; NOT_OPEN_DATA; and what measuring refuses.
    """
    from haulwright.checking.recomputed import MOST_NAMED, Recomputed
    from haulwright.files.campaign import read_campaign
    from haulwright.files.open_data import read_open_data
    from haulwright.trials.run_store import RunStore

    with opened_bundle(given) as folder:
        data = read_open_data(folder)
        if progress:
            progress(Step(f"{data.files} files are what datapackage.json says", 0.05))
        result = _measured(read_campaign(data.campaign), RunStore(None), within(progress, 0.05, 0.95), jobs)
        counted = _compared(folder, data.campaign, result)
    return Recomputed(
        title=data.title,
        files=data.files,
        software=data.software,
        here=_software(),
        numbers=counted.numbers,
        same=counted.same,
        last_bits=counted.last_bits,
        different=len(counted.differences),
        differences=counted.differences[:MOST_NAMED],
        notices=result.notices,
        made=result.made,
    )


def recompute_exit_code(record: Recomputed) -> int:
    """Return 0, or 1 where a number or text differs."""
    return 0 if record.ok else 1


@contextmanager
def opened_bundle(given: str | Path) -> Iterator[Path]:
    """Give the folder of open data, unpacked for the time being where it is a zip.

    Raises
    ------
    Refusal
        ARCHIVE, NAME, LINK, TOO_LARGE.
    """
    from haulwright.kept.archives import unpack

    path = Path(given)
    if path.suffix.lower() != ".zip" or os.path.isdir(path):  # noqa: PTH112 - also False for a path no system takes
        yield path
        return
    with tempfile.TemporaryDirectory(prefix="haulwright-") as beside:
        out = Path(beside, "data")
        unpack(path, out)
        inner = [one for one in out.iterdir() if one.is_dir()]
        yield inner[0] if len(inner) == 1 and len(list(out.iterdir())) == 1 else out


def _measured(read: CampaignFolder, store: RunStore, progress: Progress, jobs: int) -> CampaignResult:
    from haulwright.trials.campaign import measure_campaign as measure

    return measure(read, progress=progress, store=store, jobs=jobs)


def _software() -> dict[str, str]:
    from haulwright.trials.run_store import software

    return {name: version for name, version in software().items() if name not in ("code", "machine")}


def _compared(folder: Path, campaign: Path, result: CampaignResult) -> Counted:
    """Compare the record, the devices and every table with what was handed out."""
    from haulwright.checking.recomputed import Counted, compare_tables, compare_trees
    from haulwright.publishing.bundle.tables import tables_of

    with tempfile.TemporaryDirectory(prefix="haulwright-") as beside:
        written = [Path(one.path) for one in write_results(campaign, result, beside).files]
        trees: Mapping[str, object] = {path.name: _tree(path) for path in written}
    counted = Counted()
    for name, tree in trees.items():
        counted += compare_trees(_tree(folder / "results" / name), tree, f"results/{name}")
    for table in tables_of(result):
        handed_out = _text(folder / table.path)
        counted += compare_tables(handed_out, table.text(), table.path)
    return counted


def _text(path: Path) -> str:
    if not path.is_file():
        return ""
    try:
        return path.read_text(encoding="utf-8")
    except UnicodeDecodeError:
        raise FileRefusal("ENCODING", f"{path.name}: cannot be read as UTF-8 text.", (path.name,)) from None


def _tree(path: Path) -> object:
    """Return a file of JSON or TOML in plain types; nothing where there is none."""
    text = _text(path)
    if not text:
        return None
    try:
        return tomllib.loads(text) if path.suffix == ".toml" else json.loads(text)
    except (ValueError, RecursionError):
        raise FileRefusal("SYNTAX", f"results/{path.name}: cannot be read.", (path.name,)) from None


@contextmanager
def _made_beside(target: Path, name: str) -> Iterator[Path]:
    """Give a folder to make open data in, which is gone afterwards if it has not taken its place."""
    with tempfile.TemporaryDirectory(prefix=f".{name}.", suffix=".part", dir=target) as beside:
        part = Path(beside, name)
        (part / "results").mkdir(parents=True)
        yield part


def _take_place(part: Path, target: Path) -> None:
    """Put what was made in its place; open data of before goes, other files of the user's never."""
    if target.is_symlink() or (target.exists() and not target.is_dir()):
        raise _in_the_way(target.name)
    if target.is_dir():
        new = {one.relative_to(part) for one in part.rglob("*") if one.is_file()}
        old = [one for one in target.rglob("*") if one.is_symlink() or one.is_file()]
        if other := sorted(str(one.relative_to(target)) for one in old if one.relative_to(target) not in new):
            raise _in_the_way(f"{target.name}/{other[0]}")
        target.rename(part.with_suffix(".before"))  # gone with the folder it was made in
    part.rename(target)


def _in_the_way(name: str) -> FileRefusal:
    return FileRefusal(
        "EXISTS", f"{name} is there and is not of this open data. Give another --out.", (name,)
    )


def _told(read: CampaignFolder, licence: str) -> tuple[Notice, ...]:
    from haulwright.files.bundled import machine_paths
    from haulwright.notices import Code

    told = [Code.ADVICE.notice((where,), text=f"{where} names a path of a machine ({path}): it is handed out as it is.")
            for where, path in machine_paths(read)]  # fmt: skip
    if not licence:
        text = "No licence: nobody but its owner may use this data. The README says so."
        told.append(Code.ADVICE.notice(("licence",), text=text))
    return tuple(told)
