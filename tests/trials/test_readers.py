"""Every dialect ends in the right channels and units; everything else in one helpful refusal."""

from __future__ import annotations

import hashlib
import random
from contextlib import suppress
from datetime import datetime, timedelta
from pathlib import Path

import numpy as np
import pytest
from damaged_logs import CHOICES, mutate, mutate_workbook, random_file
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from made_logs import dialects

from haulwright.errors import TrialRefusal
from haulwright.trials.log import ForceLog
from haulwright.trials.readers import read_log
from haulwright.trials.readers._clock import spread_ticks, undo_jumps
from haulwright.trials.readers._units import NEWTONS

KGF = 9.80665
COUNT = 60
LINE = [float(i % 17) + 0.5 * (i % 2) for i in range(COUNT)]
ANCHOR = [1.5 * value for value in LINE]
START = datetime(2025, 6, 22, 10, 0, 0)


def stamps(style: str, step: float = 1.0, start: datetime = START) -> list[str]:
    return [(start + timedelta(seconds=step * i)).strftime(style) for i in range(COUNT)]


def table(header: str, columns: list[list[str]], separator: str = ",") -> str:
    return "\n".join([header, *[separator.join(row) for row in zip(*columns, strict=True)]]) + "\n"


def texts(values: list[float], decimal: str = ".") -> list[str]:
    return [f"{value:.2f}".replace(".", decimal) for value in values]


def elapsed(step: float = 1.0) -> list[str]:
    return [f"{step * i:.3f}" for i in range(COUNT)]


def read(tmp_path: Path, text: str | bytes, **options: str) -> ForceLog:
    path = tmp_path / "log.csv"
    path.write_bytes(text.encode() if isinstance(text, str) else text)
    return read_log([path], **options)


def check(log: ForceLog, factor: float = KGF, step: float = 1.0) -> None:
    assert list(log.channels) == ["line", "anchor"]
    np.testing.assert_allclose(log.channels["line"].force_N, np.array(LINE) * factor, atol=1e-6)
    np.testing.assert_allclose(log.channels["anchor"].force_N, np.array(ANCHOR) * factor, atol=0.006 * factor)
    np.testing.assert_allclose(log.channels["line"].time_s, step * np.arange(COUNT), atol=1e-6)


PLAIN = table("time_s,line_kgf,anchor_kgf", [elapsed(), texts(LINE), texts(ANCHOR)])

DIALECTS: dict[str, str | bytes] = {
    "plain": PLAIN,
    "swapped columns": table("time_s,anchor_kgf,line_kgf", [elapsed(), texts(ANCHOR), texts(LINE)]),
    "byte-order mark": b"\xef\xbb\xbf" + PLAIN.encode(),
    "windows line ends": PLAIN.replace("\n", "\r\n"),
    "old line ends": PLAIN.replace("\n", "\r"),
    "utf-16 with mark": PLAIN.encode("utf-16"),
    "utf-16 without mark": PLAIN.encode("utf-16-le"),
    "utf-16 big-endian": PLAIN.encode("utf-16-be"),
    "blank lines at the end": PLAIN + "\n\n\n",
    "quoted fields": PLAIN.replace("time_s,line_kgf", '"time_s","line_kgf"'),
    "milliseconds": table(
        "time [ms],line [kgf],anchor [kgf]",
        [[str(1000 * i) for i in range(COUNT)], texts(LINE), texts(ANCHOR)],
    ),
    "seconds since 1970": table(
        "t,line (kgf),anchor (kgf)", [[str(1750586400 + i) for i in range(COUNT)], texts(LINE), texts(ANCHOR)]
    ),
    "spreadsheet days": table(
        "time,line (kgf),anchor (kgf)",
        [[f"{45830 + i / 86400:.12f}" for i in range(COUNT)], texts(LINE), texts(ANCHOR)],
    ),
    "iso with zone": table(
        "utc,line kgf,anchor kgf", [stamps("%Y-%m-%dT%H:%M:%SZ"), texts(LINE), texts(ANCHOR)]
    ),
    "german": table(
        "Zeit;Windenseil [kgf];Ankerpunkt [kgf]",
        [stamps("%d.%m.%Y %H:%M:%S,0"), texts(LINE, ","), texts(ANCHOR, ",")],
        ";",
    ),
    "german cp1252": table(
        "Zeit;Zugkraft Winde für Übung [kgf];Anker [kgf]",
        [stamps("%d.%m.%Y %H:%M:%S"), texts(LINE, ","), texts(ANCHOR, ",")],
        ";",
    ).encode("cp1252"),
    "day first by its days": table(
        "when,line (kgf),anchor (kgf)", [stamps("%d/%m/%Y %H:%M:%S"), texts(LINE), texts(ANCHOR)]
    ),
    "month first by its days": table(
        "when,line (kgf),anchor (kgf)", [stamps("%m/%d/%Y %I:%M:%S %p"), texts(LINE), texts(ANCHOR)]
    ),
    "date and time apart": table(
        "date,time,line (kgf),anchor (kgf)",
        [stamps("%Y-%m-%d"), stamps("%H:%M:%S"), texts(LINE), texts(ANCHOR)],
    ),
    "time of day": table("time,line (kgf),anchor (kgf)", [stamps("%H:%M:%S"), texts(LINE), texts(ANCHOR)]),
    "tab, preamble, counter": "Logger 7\nUnit: kgf\n"
    + table(
        "no\ttime\tline\tanchor",
        [[str(i) for i in range(1, COUNT + 1)], stamps("%H:%M:%S"), texts(LINE), texts(ANCHOR)],
        "\t",
    ),
    "row of units": "time,line,anchor\ns,kgf,kgf\n" + PLAIN.split("\n", 1)[1],
    "battery and temperature beside": table(
        "time_s,line_kgf,anchor_kgf,battery_V,temp [°C]",
        [
            elapsed(),
            texts(LINE),
            texts(ANCHOR),
            ["3.70"] * COUNT,
            [f"{20 + 0.01 * i:.2f}" for i in range(COUNT)],
        ],
    ),
    "unit behind the value": table(
        "time_s,line,anchor",
        [elapsed(), [f"{t} kgf" for t in texts(LINE)], [f"{t} kgf" for t in texts(ANCHOR)]],
    ),
    "spaces": table("time_s line_kgf anchor_kgf", [elapsed(), texts(LINE), texts(ANCHOR)], " "),
    "long": "Pull record\nwhen,sensor,force,unit\n"
    + "".join(
        f"{t},Winch line,{x},kgf\n{t},Anchor,{y},kgf\n"
        for t, x, y in zip(stamps("%Y-%m-%d %H:%M:%S"), texts(LINE), texts(ANCHOR), strict=True)
    ),
    "long with numbers for names": "time_s,sensor id,force (kgf)\n"
    + "".join(
        f"{t},4711,{x}\n{t},4712,{y}\n" for t, x, y in zip(elapsed(), texts(LINE), texts(ANCHOR), strict=True)
    ),
}


@pytest.mark.parametrize("name", DIALECTS)
def test_dialect(tmp_path: Path, name: str) -> None:
    check(read(tmp_path, DIALECTS[name]))


@pytest.mark.parametrize(
    ("unit", "newtons"),
    [
        ("kN", 1000.0),
        ("N", 1.0),
        ("kg", 9.80665),
        ("t", 9806.65),
        ("lbf", 4.4482216152605),
        ("lb", 4.4482216152605),
    ],
)
def test_units(tmp_path: Path, unit: str, newtons: float) -> None:
    """Factors: NIST SP 811 (2008), appendix B.8 (from memory; exact by definition)."""
    check(
        read(tmp_path, PLAIN.replace("line_kgf", f"line [{unit}]").replace("anchor_kgf", f"anchor [{unit}]")),
        newtons,
    )
    check(read(tmp_path, PLAIN.replace("_kgf", ""), unit=unit), newtons)


def test_units_agree_with_pint() -> None:
    pint = pytest.importorskip("pint")
    registry = pint.UnitRegistry()
    for ours, theirs in (
        ("kgf", "kilogram_force"),
        ("lbf", "pound_force"),
        ("kn", "kilonewton"),
        ("kip", "kip"),
    ):
        assert (
            pytest.approx(registry.Quantity(1.0, theirs).to("newton").magnitude, rel=1e-12) == NEWTONS[ours]
        )


def test_units_may_differ_by_channel_and_row(tmp_path: Path) -> None:
    log = read(tmp_path, PLAIN.replace("anchor_kgf", "anchor_kN"))
    assert {place: channel.unit_read for place, channel in log.channels.items()} == {
        "line": "kgf",
        "anchor": "kN",
    }
    mixed = "when,sensor,force,unit\n" + "".join(
        f"{i},line,1.0,{'kN' if i % 2 else 'kgf'}\n{i},anchor,2,kN\n" for i in range(COUNT)
    )
    np.testing.assert_allclose(read(tmp_path, mixed).channels["line"].force_N[:2], [KGF, 1000.0])


def test_two_files_line_first_unless_headers_differ(tmp_path: Path) -> None:
    one, two = tmp_path / "a.csv", tmp_path / "b.csv"
    one.write_text(table("time_s,force_kgf", [elapsed(), texts(LINE)]))
    two.write_text(table("time_s,force_kgf", [elapsed(), texts(ANCHOR)]))
    log = read_log([one, two])
    check(log)
    assert "ROLES" in [notice.code for notice in log.notices]
    one.write_text(table("time_s,anchor_kgf", [elapsed(), texts(ANCHOR)]))
    two.write_text(table("time_s,line_kgf", [elapsed(), texts(LINE)]))
    check(read_log([one, two]))


def test_columns_named_by_hand(tmp_path: Path) -> None:
    text = table("time_s,c1 [kgf],c2 [kgf],c3 [kgf]", [elapsed(), texts(ANCHOR), texts(LINE), texts(LINE)])
    log = read(tmp_path, text, line_column="c2", anchor_column="c1")
    assert list(log.channels) == ["line", "anchor", "c3"]
    with pytest.raises(TrialRefusal, match="Did you mean 'c2'"):
        read(tmp_path, text, line_column="cc2", anchor_column="c1")
    with pytest.raises(TrialRefusal, match="which of c1, c2, c3"):
        read(tmp_path, text)


def test_clocks_of_two_files_keep_their_difference(tmp_path: Path) -> None:
    one, two = tmp_path / "line.csv", tmp_path / "anchor.csv"
    one.write_text(table("utc,line_kgf", [stamps("%Y-%m-%d %H:%M:%S"), texts(LINE)]))
    late = stamps("%Y-%m-%d %H:%M:%S", start=START + timedelta(seconds=4))
    two.write_text(table("utc,anchor_kgf", [late, texts(ANCHOR)]))
    assert read_log([one, two]).channels["anchor"].time_s[0] == pytest.approx(4.0)
    zone = stamps("%Y-%m-%d %H:%M:%S", start=START + timedelta(hours=2, seconds=4))
    two.write_text(table("utc,anchor_kgf", [zone, texts(ANCHOR)]))
    log = read_log([one, two])
    assert log.channels["anchor"].time_s[0] == pytest.approx(4.0)
    assert any(notice.code == "CLOCK" and "+7200 s" in notice.message for notice in log.notices)


def test_every_reading_has_a_fate(tmp_path: Path) -> None:
    rows = PLAIN.splitlines()
    rows[10] = "9.000,,2.0"
    rows[20] = "19.000,OL,NA"
    rows[30] = "29.000,x7,3.0"
    rows.insert(41, rows[40])
    log = read(tmp_path, "\n".join(rows))
    counts = {fate: n for fate, n in log.rows.items() if n and not fate.endswith("_line")}
    assert counts == {"used": 2 * COUNT - 4, "blank": 2, "overload": 1, "unparsable": 1, "duplicate": 2}
    assert sum(counts.values()) == 2 * log.rows["data_line"]
    (notice,) = [n for n in log.notices if n.code == "ROWS"]
    assert "log.csv, line 31" in notice.message
    assert "'x7'" in notice.message


def test_midnight_and_daylight_saving(tmp_path: Path) -> None:
    night = datetime(2025, 6, 22, 23, 59, 40)
    check(
        read(
            tmp_path,
            table("time,line_kgf,anchor_kgf", [stamps("%H:%M:%S", start=night), texts(LINE), texts(ANCHOR)]),
        )
    )
    for hours in (-1, 1):
        changed = (
            stamps("%Y-%m-%d %H:%M:%S")[:30]
            + stamps("%Y-%m-%d %H:%M:%S", start=START + timedelta(hours=hours))[30:]
        )
        log = read(tmp_path, table("utc,line_kgf,anchor_kgf", [changed, texts(LINE), texts(ANCHOR)]))
        check(log)
        assert any(notice.code == "CLOCK" and "one hour" in notice.message for notice in log.notices)


def test_midnight_between_the_first_readings_of_two_cells(tmp_path: Path) -> None:
    first = datetime(2025, 6, 22, 23, 59, 59, 800000)
    times = [(first + timedelta(seconds=0.5 * i)).strftime("%H:%M:%S.%f") for i in range(2 * COUNT)]
    rows = [f"{t},{'line' if i % 2 == 0 else 'anchor'},{i},kgf" for i, t in enumerate(times)]
    log = read(tmp_path, "time,sensor,force,unit\n" + "\n".join(rows))
    np.testing.assert_allclose(log.channels["line"].time_s, np.arange(COUNT), atol=1e-6)
    np.testing.assert_allclose(log.channels["anchor"].time_s, 0.5 + np.arange(COUNT), atol=1e-6)


def test_whole_second_stamps_are_spread(tmp_path: Path) -> None:
    coarse = stamps("%Y-%m-%d %H:%M:%S", step=0.1)
    check(read(tmp_path, table("utc,line_kgf,anchor_kgf", [coarse, texts(LINE), texts(ANCHOR)])), step=0.1)


def test_first_tick_is_cut() -> None:
    true = 0.7 + 0.1 * np.arange(50, dtype=np.float64)
    spread, coarse = spread_ticks(np.floor(true + 1e-9))
    assert coarse
    np.testing.assert_allclose(spread, true, atol=1e-9)
    assert undo_jumps(true)[1] == []


def test_the_files_are_named_and_hashed(tmp_path: Path) -> None:
    log = read(tmp_path, PLAIN)
    assert log.files == ({"path": "log.csv", "sha256": hashlib.sha256(PLAIN.encode()).hexdigest()},)
    record = log.to_record().to_dict()
    assert record["kind"] == "log"
    assert record["format"]["separator"] == "comma"
    assert record["channels"]["anchor"]["rate_Hz"] == pytest.approx(1.0)


AMBIGUOUS = table(
    "when,line_kgf,anchor_kgf",
    [[f"03/04/2025 10:00:{i:02d}" for i in range(COUNT)], texts(LINE), texts(ANCHOR)],
)

REFUSED: dict[str, tuple[str | bytes, str, str]] = {
    "empty": ("", "EMPTY", "is empty"),
    "blank": ("\n \n\n", "EMPTY", "is empty"),
    "header only": ("time_s,line_kgf,anchor_kgf\n", "NO_ROWS", "header but no readings"),
    "one channel": (table("time_s,line_kgf", [elapsed(), texts(LINE)]), "ONE_CHANNEL", "other cell's log"),
    "prose": ("a story\n" * 40, "NO_NUMBERS", "no column of numbers"),
    "binary": (b"\x89PNG\r\n\x1a\n" + bytes(range(256)) * 40, "", "log.csv"),
    "no unit": (PLAIN.replace("_kgf", ""), "UNIT", "--unit"),
    "text in the numbers": (PLAIN.replace(".50,", "x,"), "UNPARSABLE", "cannot be read"),
    "both readings of a date": (AMBIGUOUS, "DATES", "day 03, month 04, 2025 or as month 03, day 04"),
    "both readings of a comma": (
        table("Zeit;Seil [N];Anker [N]", [elapsed(), ["1,234"] * COUNT, ["2,345"] * COUNT], ";").replace(
            ".000", ""
        ),
        "DECIMAL",
        "Decimal point: 0 | 1234 | 2345. Decimal comma: 0 | 1.234 | 2.345",
    ),
    "no time": (table("line_kgf,anchor_kgf", [texts(LINE), texts(ANCHOR)]), "NO_TIME", "no column of time"),
    "clock backwards": (
        table("time_s,line_kgf,anchor_kgf", [elapsed()[:30] + elapsed()[:30], texts(LINE), texts(ANCHOR)]),
        "CLOCK_BACKWARDS",
        "line 32",
    ),
    "a few rows": ("time_s,line_kgf,anchor_kgf\n0,1,2\n1,2,3\n2,3,4\n3,3,4\n", "TOO_FEW", "only 4 readings"),
    "dates that do not agree": (
        table(
            "w,line_kgf,anchor_kgf",
            [[f"31.02.2025 10:00:{i:02d}" for i in range(COUNT)], texts(LINE), texts(ANCHOR)],
        ),
        "DATES",
        "31.02.2025",
    ),
}


@pytest.mark.parametrize("name", REFUSED)
def test_refused_with_one_message(tmp_path: Path, name: str) -> None:
    text, code, words = REFUSED[name]
    with pytest.raises(TrialRefusal) as caught:
        read(tmp_path, text)
    assert not code or caught.value.code == code
    assert words in caught.value.message
    assert "log.csv" in caught.value.message


def test_ambiguous_dates_can_be_settled(tmp_path: Path) -> None:
    check(read(tmp_path, AMBIGUOUS, date_order="day-first"))
    assert read(tmp_path, AMBIGUOUS, date_order="month-first").format["clock"] == "month/day/year"


def test_missing_file_and_folder(tmp_path: Path) -> None:
    with pytest.raises(TrialRefusal, match=r"nowhere\.csv: there is no such file"):
        read_log([tmp_path / "nowhere.csv"])
    with pytest.raises(TrialRefusal, match="cannot be read"):
        read_log([tmp_path])


def test_unit_given_wins_over_the_header_and_says_so(tmp_path: Path) -> None:
    log = read(tmp_path, PLAIN, unit="lbf")
    check(log, 4.4482216152605)
    assert [notice.code for notice in log.notices] == ["UNIT_ASSUMED", "UNIT_ASSUMED"]
    with pytest.raises(TrialRefusal, match="'stone' is no unit of force"):
        read(tmp_path, PLAIN, unit="stone")


LOGS = [(name, *log) for name, log in dialects()]


@settings(max_examples=500, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(seed=st.integers(0, 2**32), log=st.sampled_from(LOGS), sense=st.integers(0, 9))
def test_a_damaged_log_ends_in_a_sound_log_or_a_refusal(
    tmp_path: Path, seed: int, log: tuple[str, dict[str, bytes], dict[str, str]], sense: int
) -> None:
    draw = random.Random(seed)
    _, files, options = log
    paths = []
    for name, data in files.items():
        spoilt = mutate_workbook(data, draw) if name.endswith("x") else mutate(data, draw)
        paths.append(tmp_path / name)
        paths[-1].write_bytes(random_file(draw) if sense == 0 else spoilt)
    with suppress(TrialRefusal):
        for channel in read_log(
            paths, both=sense > 4, **(options if sense > 2 else draw.choice(CHOICES))
        ).channels.values():
            assert (np.diff(channel.time_s) > 0.0).all()
            assert np.abs(channel.force_N).max() <= 1e9
