"""The zone of stamps that state none: two cells in two zones, and hours that come twice or not at all.

The changes of daylight-saving time are those of the IANA time zone database: in Europe/Paris 2025-10-26 03:00 back to
02:00 and 2025-03-30 02:00 on to 03:00; in America/New_York 2025-11-02 02:00 back to 01:00; in Australia/Lord_Howe
half an hour, 2025-04-06 02:00 back to 01:30.
"""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from made_logs import ANCHOR, COUNT, LINE, fixed, rows, stamps, wide

import haulwright as hw
from haulwright.errors import TrialRefusal
from haulwright.trials.readers import Choices, read_log

ISO = "%Y-%m-%dT%H:%M:%S"


def local(first: datetime, zone: str, step_s: float = 1.0) -> list[str]:
    """Return stamps a clock of a zone shows from an instant (UTC) on, without its offset."""
    instants = (first + timedelta(seconds=step_s * i) for i in range(COUNT))
    return [one.astimezone(ZoneInfo(zone)).strftime(ISO) for one in instants]


def two_files(folder: Path, line: list[str], anchor: list[str]) -> list[Path]:
    (folder / "line.csv").write_text("when,line_kgf\n" + rows(line, fixed(LINE)))
    (folder / "anchor.csv").write_text("when,anchor_kgf\n" + rows(anchor, fixed(ANCHOR)))
    return [folder / "line.csv", folder / "anchor.csv"]


def joint(folder: Path, times: list[str]) -> Path:
    path = folder / "log.csv"
    path.write_text(wide("when,line [kgf],anchor [kgf]", times=times))
    return path


@pytest.mark.parametrize(
    "zone", ["line=UTC,anchor=Europe/Paris", "anchor=+02:00,line=Z", "anchor=UTC+2, line=+0000"]
)
def test_two_cells_in_two_zones(tmp_path: Path, zone: str) -> None:
    first = datetime(2025, 6, 22, 10, tzinfo=UTC)
    files = two_files(tmp_path, stamps(ISO), local(first + timedelta(seconds=7), "Europe/Paris"))
    guessed = read_log(files)
    assert any("laid together" in n.message for n in guessed.notices)
    log = read_log(files, zone=zone)
    np.testing.assert_allclose(log.channels["anchor"].time_s, np.arange(COUNT) + 7.0)
    assert not any("laid together" in n.message for n in log.notices)
    assert "zone UTC" in log.format["clock"]
    assert "+02:00" in log.format["clock"]


def test_a_zone_tells_apart_what_a_guess_cannot(tmp_path: Path) -> None:
    """Without zones a difference of whole hours is taken for one of zones; with them it is not one run."""
    later = local(datetime(2025, 6, 22, 13, tzinfo=UTC), "Europe/Paris")
    files = two_files(tmp_path, stamps(ISO), later)
    assert not any(n.level == "warning" for n in read_log(files).notices)
    told = read_log(files, zone="line=UTC,anchor=Europe/Paris").notices
    assert any(
        n.level == "warning" and "both are known in UTC" in n.message and "+10800 s" in n.message
        for n in told
    )


@pytest.mark.parametrize(
    ("zone", "middle", "hour"),
    [
        ("Europe/Paris", datetime(2025, 10, 26, 1, tzinfo=UTC), "+01:00 / +02:00"),
        ("Europe/Paris", datetime(2025, 3, 30, 1, tzinfo=UTC), "+01:00 / +02:00"),
        ("America/New_York", datetime(2025, 11, 2, 6, tzinfo=UTC), "-05:00 / -04:00"),
        ("Australia/Lord_Howe", datetime(2025, 4, 5, 15, tzinfo=UTC), "+10:30 / +11:00"),
    ],
)
def test_across_the_change_of_clocks(tmp_path: Path, zone: str, middle: datetime, hour: str) -> None:
    """From the change of the clock in the middle of the log every instant comes out as it was."""
    for step in (1.0, 120.0):
        times = local(middle - timedelta(seconds=step * COUNT / 2), zone, step)
        log = read_log([joint(tmp_path, times)], zone=zone)
        for channel in log.channels.values():
            np.testing.assert_allclose(channel.time_s, step * np.arange(COUNT))
        assert hour in log.format["clock"]


def test_against_a_log_in_utc_across_the_change(tmp_path: Path) -> None:
    first = datetime(2025, 10, 26, 0, 59, tzinfo=UTC)
    line = [(first + timedelta(seconds=i)).strftime(ISO + "Z") for i in range(COUNT)]
    log = read_log(two_files(tmp_path, line, local(first, "Europe/Paris")), zone="anchor=Europe/Paris")
    np.testing.assert_allclose(log.channels["anchor"].time_s, log.channels["line"].time_s)


def test_one_pass_of_an_hour_that_comes_twice(tmp_path: Path) -> None:
    """Readings that lead into the hour, or out of it, tell the pass; a log inside it is asked about."""
    into = datetime(2025, 10, 25, 23, 59, tzinfo=UTC)  # 01:59 to 02:01, first pass
    out_of = datetime(2025, 10, 26, 1, 59, tzinfo=UTC)  # 02:59 to 03:01, second pass
    for first in (into, out_of):
        log = read_log([joint(tmp_path, local(first, "Europe/Paris"))], zone="Europe/Paris")
        np.testing.assert_allclose(log.channels["line"].time_s, np.arange(COUNT))
    path = joint(tmp_path, local(datetime(2025, 10, 26, 0, 30, tzinfo=UTC), "Europe/Paris"))
    with pytest.raises(TrialRefusal, match=r"once as UTC\+02:00 and once as UTC\+01:00") as caught:
        read_log([path], zone="Europe/Paris")
    assert (caught.value.code, caught.value.line) == ("ZONE", 2)
    assert "+02:00 or +01:00 (--zone)" in caught.value.message
    read_log([path], zone="+01:00")


def test_a_clock_that_does_not_change_is_found_out(tmp_path: Path) -> None:
    """A logger left on winter time shows hours that its zone does not have, or passes twice-hours once."""
    spring = [(datetime(2025, 3, 30, 2) + timedelta(seconds=i)).strftime(ISO) for i in range(COUNT)]
    with pytest.raises(
        TrialRefusal, match=r"line 2: the hour of this stamp is skipped in Europe/Paris.*--zone \+01:00"
    ):
        read_log([joint(tmp_path, spring)], zone="Europe/Paris")
    autumn = [(datetime(2025, 10, 26, 1, 59) + timedelta(seconds=50 * i)).strftime(ISO) for i in range(COUNT)]
    with pytest.raises(TrialRefusal, match="runs through it as if it came once"):
        read_log([joint(tmp_path, autumn)], zone="Europe/Paris")


def test_a_zone_that_changes_nothing_is_said(tmp_path: Path) -> None:
    for times, words in (
        (fixed(range(COUNT)), "counts from a start"),
        (stamps(ISO + "Z"), "in UTC, or state their offset"),
        ([str(1750586400 + i) for i in range(COUNT)], "in UTC"),
    ):
        log = read_log([joint(tmp_path, times)], zone="Europe/Paris")
        told = [n for n in log.notices if n.code == "CLOCK" and "changes nothing" in n.message]
        assert len(told) == 2
        assert all(n.level == "info" and words in n.message for n in told)
        assert "zone Europe" not in log.format["clock"]
        assert log.format["given"] == "zone Europe/Paris"


def test_a_time_of_day_takes_an_offset_only(tmp_path: Path) -> None:
    files = two_files(tmp_path, stamps("%H:%M:%S"), [t.replace("10:", "12:") for t in stamps("%H:%M:%S")])
    log = read_log(files, zone="line=UTC,anchor=+02:00")
    np.testing.assert_allclose(log.channels["anchor"].time_s, log.channels["line"].time_s)
    assert not any("laid together" in n.message for n in log.notices)
    with pytest.raises(TrialRefusal, match="tell no date"):
        read_log(files, zone="Europe/Paris")
    night = [
        f"{(23 * 3600 + 59 * 60 + i) // 3600 % 24:02d}:{(59 + i // 60) % 60:02d}:{i % 60:02d}"
        for i in range(COUNT)
    ]
    log = read_log([joint(tmp_path, night)], zone="-03:30")
    np.testing.assert_allclose(log.channels["line"].time_s, np.arange(COUNT))


def test_spreadsheet_days_follow_the_wall_clock(tmp_path: Path) -> None:
    days = [f"{45830 + (10 * 3600 + i) / 86400:.12f}" for i in range(COUNT)]  # 2025-06-22
    zulu = stamps(ISO + "Z")
    files = two_files(tmp_path, zulu, [f"{float(d) + 2 / 24:.12f}" for d in days])
    log = read_log(files, zone="anchor=Europe/Paris")
    np.testing.assert_allclose(log.channels["anchor"].time_s, np.arange(COUNT), atol=1e-4)
    assert "zone Europe/Paris (+02:00)" in log.format["clock"]


@pytest.mark.parametrize(
    ("zone", "code", "words"),
    [
        ("Europe/Pariss", "ZONE", "did you mean Europe/Paris?"),
        ("../../../etc/passwd", "ZONE", "expected UTC, an offset"),
        ("Europe", "ZONE", "is not known"),
        ("", "ZONE", "is not known"),
        ("x" * 5000, "ZONE", "is not known"),
        ("+26:00", "ZONE", "14 h from UTC"),
        ("UTC,+02:00", "CHOICE", "one for each"),
        ("ancor=UTC", "NO_CHANNEL", "did you mean anchor?"),
        ("line=UTC,anchor=+02:00", "ZONE", "share one column of time"),
    ],
)
def test_zones_that_cannot_be(tmp_path: Path, zone: str, code: str, words: str) -> None:
    path = joint(tmp_path, stamps(ISO))
    with pytest.raises(TrialRefusal) as caught:
        read_log([path], zone=zone)
    assert caught.value.code == code, caught.value.message
    assert words in caught.value.message
    assert len(caught.value.message) < 400


def test_each_sensor_of_a_long_log_may_have_its_own(tmp_path: Path) -> None:
    path = tmp_path / "log.csv"
    lines = ["when,sensor,force,unit"]
    first = datetime(2025, 6, 22, 10, tzinfo=UTC)
    for a, b, x, y in zip(stamps(ISO), local(first, "Europe/Paris"), fixed(LINE), fixed(ANCHOR), strict=True):
        lines += [f"{a},winch line,{x},kgf", f"{b},anchor,{y},kgf"]
    path.write_text("\n".join(lines))
    log = read_log([path], zone="line=UTC,anchor=Europe/Paris")
    np.testing.assert_allclose(log.channels["anchor"].time_s, log.channels["line"].time_s)


def test_each_file_may_have_its_own_choices(tmp_path: Path) -> None:
    """A point and a comma, kilonewtons and tonnes, in the two logs of one run."""
    (tmp_path / "line.csv").write_text(
        "when;line\n" + rows(stamps(ISO), fixed(LINE / 101.97, digits=4), separator=";")
    )
    german = rows(stamps(ISO), fixed(ANCHOR / 1000, ",", digits=4), separator=";")
    (tmp_path / "anchor.csv").write_text("when;anchor\n" + german)
    files = [tmp_path / "line.csv", tmp_path / "anchor.csv"]
    own = {files[0]: Choices(unit="kN"), files[1]: Choices(decimal="comma", unit="t")}
    log = read_log(files, of_file=own, separator="semicolon")
    assert [c.unit_read for c in log.channels.values()] == ["kN", "tf"]
    assert log.channels["anchor"].force_N[60] == pytest.approx(float(ANCHOR[60]) * 9.80665, rel=1e-3)
    assert log.channels["line"].force_N[60] == pytest.approx(float(LINE[60]) * 9.80665, rel=1e-3)
    assert log.format["given"] == (
        "line.csv: unit kN, separator semicolon; anchor.csv: unit t, separator semicolon, decimal comma"
    )
    with pytest.raises(TrialRefusal, match="decimal mark 'coma'"):
        read_log(files, of_file={files[1]: Choices(decimal="coma")})


def test_column_and_unit_are_asked_for_at_once(tmp_path: Path) -> None:
    """A log of one cell without a header: stamp, elapsed, load, raw."""
    path = tmp_path / "rope.csv"
    body = rows(
        stamps("%Y-%m-%d-%H:%M:%S.0"),
        fixed(np.arange(COUNT) / 3, digits=3),
        fixed(LINE, digits=0),
        fixed(LINE / 997, digits=5),
    )
    path.write_text(body)
    with pytest.raises(
        TrialRefusal, match=r"is the line\?.*--line and --anchor.*No unit.*--unit kgf"
    ) as caught:
        hw.read_trial([path])
    assert caught.value.code == "ROLES"
    record = hw.read_trial([path], line_column="3", unit="lbf")
    assert record.channels["line"].unit_read == "lbf"
