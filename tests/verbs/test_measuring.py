"""Measuring through a project folder: files in, airfoil files and an axis out."""

from __future__ import annotations

from pathlib import Path

import pytest
from PIL import Image

from slowflight import verbs
from slowflight.cli.app import run
from slowflight.errors import InputError
from slowflight.wing.airfoils import airfoil
from tests.verbs.test_laying_out import WING
from tests.wing.photo.scene import Scene, photograph

HUNG = """\
[flap]
kind = "hung"
chord = "23 %"
airfoil = "naca2414"
settings = ["0 deg", "16 deg", "31 deg"]
axis_aft = "1.1 %"
axis_below = "5 %"
axis_in_flap = "26 %"
"""


def project(folder: Path, *, flap: str = '[flap]\nkind = "none"\n') -> Path:
    (folder / "wing.toml").write_text(WING.split("[flap]")[0] + flap, encoding="utf-8")
    return folder


def test_photograph_to_airfoil_file(tmp_path: Path) -> None:
    folder = project(tmp_path)
    picture = photograph(Scene(pixels=(1275, 3000)))
    Image.fromarray((255.0 * picture).astype("uint8")).save(folder / "rib 3.png")
    record = verbs.measure_photo(folder, folder / "rib 3.png", chord="1400.7 mm")
    assert record["fit_mm"] < 0.3
    assert Path(record["check"]).is_file()
    section = airfoil(record["file"])
    assert section.chord_m == pytest.approx(1.4007, abs=5e-4)
    assert section.max_thickness == pytest.approx(0.15, abs=0.002)
    with pytest.raises(InputError, match="a photograph"):
        verbs.measure_photo(folder, folder / "none.png", chord="1400 mm")
    with pytest.raises(InputError, match="a JPEG, PNG or TIFF"):
        verbs.measure_photo(folder, folder / "wing.toml", chord="1400 mm")


def test_gauge_readings_to_airfoil_file(tmp_path: Path) -> None:
    folder = project(tmp_path)
    table = folder / "gaps.csv"
    table.write_text(
        "side, along_skin_mm, gap_mm\nlower, 40, 0\nupper, 40, 0.9\nupper, 120, 0\n", encoding="utf-8"
    )
    record = verbs.measure_gauge(folder, table)
    assert record["most_mm"] == pytest.approx(0.9)
    before, after = airfoil("naca4415"), airfoil(record["file"])
    assert after.chord_m == pytest.approx(1.5)
    assert after.max_thickness <= before.max_thickness + 1e-4
    table.write_text("side, along_skin_mm, gap_mm\nport, 40, 0\n", encoding="utf-8")
    with pytest.raises(InputError, match="upper or lower"):
        verbs.measure_gauge(folder, table)
    with pytest.raises(InputError, match="1 to 1"):
        verbs.measure_gauge(folder, table, station=2)


def test_hinge_readings_and_where_there_is_no_hung_flap(tmp_path: Path) -> None:
    folder = project(tmp_path, flap=HUNG)
    table = folder / "hinge.csv"
    table.write_text(
        "angle_deg, gap_mm, trailing_edge_below_mm\n0, one, 69\n16, 35, 133\n31, 28, 189\n", encoding="utf-8"
    )
    with pytest.raises(InputError, match="reading 1 gap_mm"):
        verbs.measure_hinge(folder, table)
    table.write_text("angle, gap_mm\n0, 1\n", encoding="utf-8")
    with pytest.raises(InputError, match="no column 'angle_deg'"):
        verbs.measure_hinge(folder, table)
    with pytest.raises(InputError, match="no hung flap"):
        verbs.measure_hinge(project(tmp_path), table)


def test_sheets_and_the_command(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = project(tmp_path)
    assert run(["measure", str(folder), "sheets"]) == 0
    assert "no clearance" not in capsys.readouterr().err
    assert (folder / "measure" / "sheets-a4.pdf").is_file()
    assert run(["measure", str(folder), "photo", "x.jpg"]) == 2
    assert "--chord" in capsys.readouterr().err
    assert run(["measure", str(folder), "gauge"]) == 2
    assert run(["measure", str(folder), "guess"]) == 2
