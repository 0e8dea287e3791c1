"""The user's devices file: written exactly, read back exactly, refused with a reason."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from haulwright.catalogue import dump_devices, load_user, measured_row, row
from haulwright.errors import CatalogueRefusal
from haulwright.quantities.measured import Measured
from haulwright.sources import Source

GOOD = """[devices.ring-A]
k = 1.31
u = 0.02
interval95 = [1.27, 1.35]
valid_N = [5000, 30000.0]
source = {title = "Invented campaign", place = "runs 1 to 6", year = 2026, flag = "measured"}
"""


def test_a_good_file(tmp_path: Path) -> None:
    file = tmp_path / "devices.toml"
    file.write_text(GOOD, encoding="utf-8")
    device = load_user(file)["ring-A"]
    assert device.ratio() == Measured(1.31, 0.02, 1.27, 1.35)
    assert device.valid_N == (5000.0, 30000.0)
    assert device.source.cite() == "Invented campaign, runs 1 to 6, 2026"
    assert "5.0 to 30.0 kN" in device.valid


def test_scatter_is_optional_and_kept(tmp_path: Path) -> None:
    file = tmp_path / "devices.toml"
    file.write_text(GOOD, encoding="utf-8")
    assert load_user(file)["ring-A"].scatter is None
    k, source = Measured(1.31, 0.02, 1.27, 1.35), Source("Invented campaign", flag="measured")
    dump_devices({"ring-A": measured_row("ring-A", k, (5e3, 3e4), source, scatter=0.0031)}, file)
    assert load_user(file)["ring-A"].scatter == 0.0031
    for wrong in ("-0.01", "0.5", "true", '"0.3 %"'):
        file.write_text(GOOD + f"scatter = {wrong}\n", encoding="utf-8")
        with pytest.raises(CatalogueRefusal) as caught:
            load_user(file)
        assert caught.value.code == "NUMBER"
        assert "scatter" in caught.value.message


@settings(max_examples=40, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    name=st.text(st.characters(exclude_categories=("Cs",)), min_size=1, max_size=12),
    k=st.floats(1.0, 3.0),
    u=st.floats(0.0, 0.5),
    top_N=st.floats(1e3, 1e5),
    year=st.none() | st.integers(1990, 2050),
)
def test_round_trip_is_exact(
    tmp_path: Path, name: str, k: float, u: float, top_N: float, year: int | None
) -> None:
    source = Source("Campaign " + name, "", year, "measured")
    written = measured_row(
        name, Measured(k, u, k - 1.9 * u, k + 2.1 * u), (1000.0 / 3.0, top_N), source, "Ring " + name
    )
    file = tmp_path / "devices.toml"
    dump_devices({name: written}, file)
    assert load_user(file) == {name: written}


@pytest.mark.parametrize(
    ("old", "new", "code"),
    [
        ("k = 1.31\n", "", "MISSING"),
        ("u = 0.02\n", "", "MISSING"),
        ("k = 1.31", "k = 0.93\nname = 'x'", "RATIO"),
        ("k = 1.31", 'k = "1.31"', "NUMBER"),
        ("k = 1.31", "k = 1.5", "NUMBER"),
        ("k = 1.31", "k = nan", "NUMBER"),
        ("u = 0.02", "u = -0.02", "NUMBER"),
        ("u = 0.02", "u = true", "NUMBER"),
        ("[1.27, 1.35]", "[1.35, 1.27]", "NUMBER"),
        ("[1.27, 1.35]", "[1.27]", "NUMBER"),
        ("valid_N", "valid_n", "UNKNOWN_KEY"),
        ("u = 0.02", "u = = 0.02", "TOML"),
        ("[devices.ring-A]", "[device.ring-A]", "MISSING"),
        ('flag = "measured"', 'flag = "guess"', "SOURCE"),
        ("source = {", "name = {", "MISSING"),
    ],
)
def test_faults_are_refused(tmp_path: Path, old: str, new: str, code: str) -> None:
    file = tmp_path / "devices.toml"
    assert old in GOOD
    text = GOOD.replace(old, new, 1)
    if code == "RATIO":
        text = text.replace("[1.27, 1.35]", "[0.9, 0.95]")
    file.write_text(text, encoding="utf-8")
    with pytest.raises(CatalogueRefusal) as caught:
        load_user(file)
    assert caught.value.code == code
    if code == "TOML":
        assert caught.value.line == 3
    if code == "UNKNOWN_KEY":
        assert "valid_N" in caught.value.message


def test_a_missing_file_is_refused(tmp_path: Path) -> None:
    with pytest.raises(CatalogueRefusal, match=r"nowhere\.toml") as caught:
        load_user(tmp_path / "nowhere.toml")
    assert caught.value.code == "FILE"


def test_only_measured_ratios_are_written(tmp_path: Path) -> None:
    with pytest.raises(CatalogueRefusal, match="interval"):
        dump_devices({"api": row("sheaves", "api-roller")}, tmp_path / "devices.toml")
