"""What was seen on a pull, kept in a file beside it: ``creek.yaml`` has ``creek.seen.yaml``.

The file only grows: an entry is added at its end, and what stands before it stays byte for byte. It is written whole
or not at all, and never while another writes it.
"""

from __future__ import annotations

import contextlib
import io
import os
import time
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Annotated, Any

from pydantic import Field
from ruamel.yaml import YAML

from haulwright.errors import FileRefusal
from haulwright.field.own_pulls import SeenPull
from haulwright.files.kit import Positive
from haulwright.files.stuck import Depth, Surface
from haulwright.files.yamlfile import FileModel, Force, read_yaml, validate_mapping
from haulwright.quantities.measured import Z95
from haulwright.records import write_whole

ENDING = ".seen.yaml"
HEAD = """\
# What was seen on this pull, against what the rules said. Entries are added at the end by "haulwright plan seen";
# earlier ones are never changed. Forces at the vehicle.
"""
MOST_WAITED_s = 5.0


class Predicted(FileModel):
    """What one rule said [N]."""

    low: Force
    likely: Force
    high: Force
    breakout: Force | None = None


class SeenEntry(FileModel):
    """One pull as it went.

    Attributes
    ----------
    when : str
        Date and time, ISO 8601.
    by, note : str
        Who entered it, and why or what was special.
    rig : str
        Rig that was used.
    surface, sunk : str
        Ground and depth in the words of the rules.
    line, anchor : float or None
        Readings of the cells while it moved [N].
    advantage, advantage_low, advantage_high : float
        Of the rig, with its 95 % interval.
    seen, seen_low, seen_high : float
        Resistance seen at the vehicle while it moved, with its 95 % interval [N].
    breakout : float or None
        What started it, at the vehicle [N].
    moved : bool
        False: it did not move; what was seen is a least value.
    predicted : mapping rule -> Predicted
    """

    when: str
    by: str = ""
    note: str = ""
    rig: str
    surface: Surface
    sunk: Depth
    line: Annotated[Force, Positive]
    anchor: Annotated[Force, Positive] | None = None
    advantage: Annotated[float, Positive]
    advantage_low: Annotated[float, Positive]
    advantage_high: Annotated[float, Positive]
    seen: Annotated[Force, Positive]
    seen_low: Force
    seen_high: Force
    breakout: Annotated[Force, Positive] | None = None
    moved: bool = True
    predicted: dict[str, Predicted]


class SeenFile(FileModel):
    """All that was seen on one pull."""

    pull: str
    seen: Annotated[tuple[SeenEntry, ...], Field(min_length=1)]


def beside(pull: str | Path) -> Path:
    """Return the file beside a pull file.

    Examples
    --------
    >>> beside("pulls/creek.yaml").name
    'creek.seen.yaml'
    """
    return Path(pull).with_name(Path(pull).stem + ENDING)


def add_seen(path: str | Path, pull: str, entry: Mapping[str, Any]) -> int:
    """Add one entry at the end of a file of what was seen.

    Parameters
    ----------
    path : path
        The file; made if it is not there.
    pull : str
        Name of the pull.
    entry : mapping
        As :class:`SeenEntry` reads it: forces as text with their unit.

    Returns
    -------
    int
        Entries in the file now.

    Raises
    ------
    FileRefusal
        ``BUSY`` where another is writing it; ``SEEN`` where an entry cannot be added at its end; ``OUT`` where the system
        does not write; as :func:`haulwright.files.yamlfile.read_yaml` where the file is wrong: then it is left alone.
    """
    path = Path(path)
    with _alone(path):
        before = path.read_bytes().decode("utf-8") if path.exists() else ""
        had = read_yaml(path, SeenFile).seen if before else ()
        text = (before or f"{HEAD}{_dump({'pull': pull})}seen:\n").removesuffix("\n") + "\n"
        body = "".join(f"    {line}\n" for line in _dump(dict(entry)).splitlines())
        _write(path, text + "  -" + body[3:], len(had) + 1)
    return len(had) + 1


def _write(path: Path, text: str, entries: int) -> None:
    """Write a file of entries once it is known that it reads back as that many."""
    trial = path.with_name(f"{path.name}.{os.getpid()}.trial")
    try:
        trial.write_text(text, encoding="utf-8")
        whole = len(read_yaml(trial, SeenFile).seen) == entries
    except OSError as err:
        raise FileRefusal("OUT", f"{path}: cannot be written ({err.strerror}).", (str(path),)) from None
    except FileRefusal as wrong:
        whole, why = False, wrong.message
    else:
        why = "something else stands after the list of entries"
    finally:
        with contextlib.suppress(OSError):
            trial.unlink()
    if not whole:
        raise FileRefusal(
            "SEEN",
            f"{path.name}: an entry cannot be added at its end ({why}). Nothing was changed; put 'seen:' last, its entries "
            "set in by two spaces.",
            (str(path),),
        )
    write_whole(path, text)


@contextlib.contextmanager
def _alone(path: Path) -> Iterator[None]:
    """Keep others from writing the same file meanwhile."""
    lock, until = path.with_name(f"{path.name}.lock"), time.monotonic() + MOST_WAITED_s
    while True:
        try:
            os.close(os.open(lock, os.O_CREAT | os.O_EXCL | os.O_WRONLY))
            break
        except FileExistsError:
            if time.monotonic() > until:
                raise FileRefusal(
                    "BUSY",
                    f"{path.name}: another program is writing it. If none is, delete {lock.name} and try again.",
                    (str(path),),
                ) from None
            time.sleep(0.02)
        except OSError as err:
            raise FileRefusal("OUT", f"{path}: cannot be written ({err.strerror}).", (str(path),)) from None
    try:
        yield
    except OSError as err:
        raise FileRefusal("OUT", f"{path}: cannot be written ({err.strerror}).", (str(path),)) from None
    finally:
        with contextlib.suppress(OSError):
            lock.unlink()


def _dump(mapping: Mapping[str, Any]) -> str:
    yaml, out = YAML(typ="safe", pure=True), io.StringIO()
    yaml.default_flow_style = False
    yaml.allow_unicode = True
    yaml.width = 4096
    yaml.sort_base_mapping_type_on_output = False  # type: ignore[assignment]
    yaml.dump(dict(mapping), out)
    return out.getvalue()


Given = str | Path | Mapping[str, Any]


def read_seen(given: Given | Sequence[Given]) -> tuple[SeenPull, ...]:
    """Return own past pulls from files of what was seen, or from every such file under a folder.

    Parameters
    ----------
    given : path, mapping, or sequence of either
        Files, or folders that are searched with all their folders for ``*.seen.yaml``; or the same as mappings.

    Returns
    -------
    tuple of SeenPull

    Raises
    ------
    FileRefusal
        ``NO_FILE`` where there is none; as :func:`haulwright.files.yamlfile.read_yaml` for one that is wrong.
    """
    every = [given] if isinstance(given, str | Path | Mapping) else list(given)
    paths = [Path(one) for one in every if not isinstance(one, Mapping)]
    read = [validate_mapping(one, SeenFile, "own") for one in every if isinstance(one, Mapping)]
    files = [
        file for path in paths for file in (sorted(path.rglob(f"*{ENDING}")) if path.is_dir() else [path])
    ]
    if paths and not files:
        raise FileRefusal(
            "NO_FILE",
            f"No file *{ENDING} under {', '.join(map(str, paths))}: 'haulwright plan seen' writes them beside a pull.",
            tuple(map(str, paths)),
        )
    read += [read_yaml(file, SeenFile) for file in dict.fromkeys(file.resolve() for file in files)]
    return tuple(_pull(one.pull, entry) for one in read for entry in one.seen)


def _pull(name: str, entry: SeenEntry) -> SeenPull:
    likely = {rule: said.likely for rule, said in entry.predicted.items()}
    share = max(0.0, entry.seen_high - entry.seen_low) / (2.0 * Z95 * entry.seen)
    day = f"{name}, {entry.when[:10]}"
    return SeenPull(entry.surface, entry.sunk, likely, entry.seen, entry.breakout, entry.moved, day, share)
