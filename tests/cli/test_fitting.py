"""The commands of fitting and measuring, as a person types them."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from slowflight.cli.app import run
from tests.verbs.test_installing import fill
from tests.verbs.test_laying_out import WING, row
from tests.verbs.test_measuring import HUNG, project

HINGE = """\
angle_deg, gap_mm, trailing_edge_below_mm, trailing_edge_aft_mm
{lines}
"""


def test_installed_says_first_that_the_next_card_has_to_wait(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "wing.toml").write_text(WING + row(), encoding="utf-8")
    assert run(["layout", str(tmp_path)]) == 0
    capsys.readouterr()
    form = fill(tmp_path, off=4.0)
    assert run(["installed", str(tmp_path), str(form)]) == 0
    out = capsys.readouterr().out
    assert out.startswith("BLOCKED: no test card until left and right match: row 1, number 1")
    assert "Caution: " in out
    assert "Predicted: " in out
    assert run(["installed", str(tmp_path), str(fill(tmp_path, off=0.0)), "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["blocked"] is False
    assert run(["installed", str(tmp_path), str(tmp_path / "none.csv")]) == 2
    assert "no such file" in capsys.readouterr().err


def test_hinge_prints_what_wing_toml_takes(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Readings from the geometry of `test_hinge_fit`, on this wing of 1.5 m."""
    from slowflight.wing.airfoils import airfoil
    from slowflight.wing.elements import hung_flap

    folder = project(tmp_path, flap=HUNG)
    main, flap = airfoil("naca4415"), airfoil("naca2414")
    lines = []
    for angle in (0.0, 16.0, 31.0):
        hung = hung_flap(
            main, flap, chord=0.23, axis_aft=0.011, axis_below=0.05, axis_in_flap=0.26,
            angle=angle * 0.017453292519943295,
        )  # fmt: skip
        x, y = hung.bodies[1].placed(flap.x[[0, -1]], flap.y[[0, -1]])
        tail = 0.5 * (main.x[0] + main.x[-1])
        assert hung.gap is not None
        values = (angle, 1500 * hung.gap, -1500 * y.mean(), 1500 * (x.mean() - tail))
        lines.append(", ".join(f"{value:.2f}" for value in values))
    table = folder / "hinge.csv"
    table.write_text(HINGE.format(lines="\n".join(lines)), encoding="utf-8")
    assert run(["measure", str(folder), "hinge", str(table), "--bolt", "89.7 mm"]) == 0
    out = capsys.readouterr().out
    assert "Axis 16.5 mm aft" in out
    assert 'axis_aft = "1.10 %"; axis_below = "5.00 %"; axis_in_flap = "26.0 %"' in out
    assert "Residual at 16.0 deg" in out


def test_gauge_prints_the_file(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = project(tmp_path)
    table = folder / "gaps.csv"
    table.write_text(
        "side, along_skin_mm, gap_mm\nlower, 40, 0\nupper, 40, 1\nupper, 120, 0\n", encoding="utf-8"
    )
    assert run(["measure", str(folder), "gauge", str(table)]) == 0
    out = capsys.readouterr().out
    assert "Corrected by 3 readings, 1.00 mm at most" in out
    assert "naca4415-corrected.dat" in out
