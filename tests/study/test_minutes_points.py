"""Kept angles of the minutes tier: taken up again, and only where they are the same case."""

from pathlib import Path

import numpy as np
import pytest

from slowflight import verbs
from slowflight.flow.rans import given_sweep, gridded
from slowflight.flow.rans.grid import FAMILIES, GridSize
from slowflight.flow.rans.newton import Flow
from slowflight.flow.solution import FlowPoint
from slowflight.study.minutes_points import KeptPoints
from slowflight.wing.naca import naca_section
from slowflight.wing.vane_row import VaneRow

FLOW = Flow(0.05, np.arange(12.0).reshape(3, 4), 0.3, 2e-11, True, 7, 2, 80, (0.1, 1e-4, 2e-11))


ROW = VaneRow(station=0.1, height=0.006, length=0.015, pitch=0.06, incidence=0.28, gap=0.012)


def kept(folder: Path, *, reynolds: float = 1e6, rows: tuple[VaneRow, ...] = ()) -> KeptPoints:
    return KeptPoints(
        folder, section=naca_section("naca0012"), reynolds=reynolds, grid="preview", angles_deg=(2.0, 4.0),
        vane_rows=rows, chord_m=1.2,
    )  # fmt: skip


def test_a_converged_flow_comes_back_and_another_case_does_not(tmp_path: Path) -> None:
    kept(tmp_path).keep(FLOW)
    found = kept(tmp_path).recall(0.05)
    assert found is not None
    np.testing.assert_array_equal(found.q, FLOW.q)
    assert (found.circulation, found.residual, found.history) == (0.3, 2e-11, FLOW.history)
    assert kept(tmp_path).recall(0.06) is None
    assert kept(tmp_path, reynolds=2e6).recall(0.05) is None
    assert kept(tmp_path, rows=(ROW,)).recall(0.05) is None


def test_a_damaged_file_is_set_aside(tmp_path: Path) -> None:
    kept(tmp_path).keep(FLOW)
    (file,) = tmp_path.glob("*.nc")
    file.write_bytes(file.read_bytes()[:-40])
    assert kept(tmp_path).recall(0.05) is None
    assert not file.exists()


def test_an_interrupted_sweep_goes_on(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(FAMILIES, "preview", GridSize(32, 8, 48, 4))
    done: list[float] = []

    def stop_after_two(point: FlowPoint) -> None:
        done.append(point.alpha_deg)
        if len(done) == 2:
            raise KeyboardInterrupt

    common = {"reynolds": 1e6, "angles": "2:4:1", "tier": "rans", "grid": "preview", "keep_in": tmp_path}
    common["transition"] = "turbulent"
    with pytest.raises(KeyboardInterrupt):
        verbs.lift_curve("naca0012", on_point=stop_after_two, **common)  # type: ignore[arg-type]
    whole = verbs.lift_curve("naca0012", **common)  # type: ignore[arg-type]
    assert [p.converged for p in whole.points] == [True] * 3
    assert len(list(tmp_path.glob("*.nc"))) == 3
    monkeypatch.setattr(gridded, "cold_start", None)  # nothing is solved again
    monkeypatch.setattr(given_sweep, "step_to", None)
    again = verbs.lift_curve("naca0012", **common)  # type: ignore[arg-type]
    assert [(p.cl, p.cd, p.residual) for p in again.points] == [
        (p.cl, p.cd, p.residual) for p in whole.points
    ]
