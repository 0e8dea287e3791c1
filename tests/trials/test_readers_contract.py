"""One contract for all readers: the same log from every dialect, every row counted, bytes untouched, all overridable."""

from __future__ import annotations

import hashlib
from pathlib import Path

import numpy as np
import pytest
from made_logs import ANCHOR, COUNT, LINE, NEWTONS, Log, dialects

from haulwright.trials.log import ForceLog
from haulwright.trials.readers import _table, read_log
from haulwright.trials.readers._open import open_table
from haulwright.trials.readers.choices import Choices

LOGS = dict(dialects())
FORMAT = {"layout", "separator", "decimal_mark", "encoding", "header", "columns", "unit", "clock"}
FATES = ("used", "blank", "overload", "formula", "unparsable", "duplicate", "backwards", "held", "spike")


def write(folder: Path, log: Log) -> list[Path]:
    paths = [folder / name for name in log[0]]
    for path, data in zip(paths, log[0].values(), strict=True):
        path.write_bytes(data)
    return paths


def same(log: ForceLog) -> None:
    """The pull of the made logs, within the rounding of the dialect."""
    assert list(log.channels) == ["line", "anchor"]
    for place, truth in (("line", LINE), ("anchor", ANCHOR)):
        channel = log.channels[place]
        np.testing.assert_allclose(channel.force_N, truth * NEWTONS["kgf"], atol=0.6)
        np.testing.assert_allclose(channel.time_s - channel.time_s[0], np.arange(COUNT), atol=2e-3)
    assert abs(log.channels["anchor"].time_s[0] - log.channels["line"].time_s[0]) < 2e-3


@pytest.mark.parametrize("name", LOGS)
def test_every_reader_keeps_the_contract(tmp_path: Path, name: str) -> None:
    paths = write(tmp_path, LOGS[name])
    options = LOGS[name][1]
    before = [path.read_bytes() for path in paths]
    log = read_log(paths, **options)
    same(log)
    # bytes hashed and untouched
    assert [path.read_bytes() for path in paths] == before
    assert [file["sha256"] for file in log.files] == [hashlib.sha256(data).hexdigest() for data in before]
    # every reading has a fate, every line a kind
    readings = 2 * log.rows["data_line"] if "wide" in log.format["layout"] else log.rows["data_line"]
    if len(paths) == 2:
        readings = log.rows["data_line"]
    assert sum(log.rows[fate] for fate in FATES) == readings
    kinds = {kind: n for kind, n in log.rows.items() if kind.endswith("_line")}
    if not log.format.get("sheet"):
        assert sum(kinds.values()) == sum(_lines(data) for data in before)
    # the decisions are shown
    assert set(log.format) >= FORMAT
    assert all(log.format[key] for key in FORMAT)
    # and each can be given instead of found, with the same outcome
    again = read_log(paths, **{**options, **_given(log, paths, options)})
    same(again)
    assert again.rows == log.rows


def _lines(data: bytes) -> int:
    encodings = {
        b"\xff\xfe\0\0": "utf-32",
        b"\xff\xfe": "utf-16",
        b"\xfe\xff": "utf-16",
        b"\xef\xbb\xbf": "utf-8-sig",
    }
    encoding = next((e for mark, e in encodings.items() if data.startswith(mark)), "latin-1")
    if b"\0" in data[:100] and encoding == "latin-1":
        encoding = "utf-16-le" if data[1] == 0 else "utf-16-be"
    text = data.decode(encoding).replace("\r\n", "\n").replace("\r", "\n").rstrip("\x1a")
    return text.count("\n") + (not text.endswith("\n"))


def _given(log: ForceLog, paths: list[Path], options: dict[str, str]) -> dict[str, str]:
    layout = open_table(paths[0], Choices(**options)).layout
    given = {"decimal": {".": "point", ",": "comma"}[log.format["decimal_mark"]]}
    if "sheet" in log.format:
        return {**given, "sheet": log.format["sheet"]}
    if "/" not in log.format["encoding"]:
        given["encoding"] = log.format["encoding"]
    return {**given, "separator": layout.separator}


@pytest.mark.parametrize("name", LOGS)
def test_the_fast_way_and_the_careful_way_agree(
    tmp_path: Path, name: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    paths = write(tmp_path, LOGS[name])
    fast = read_log(paths, **LOGS[name][1])
    monkeypatch.setattr(_table, "_NO_FAST_WAY", True)
    careful = read_log(paths, **LOGS[name][1])
    assert fast.rows == careful.rows
    assert fast.format == careful.format
    for place, channel in fast.channels.items():
        np.testing.assert_array_equal(channel.time_s, careful.channels[place].time_s)
        np.testing.assert_array_equal(channel.force_N, careful.channels[place].force_N)
