"""Positions of a row by both tiers: lines, gaps and counts; the minutes tier is stood in for."""

from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from slowflight import verbs
from slowflight.cli.positions_output import print_positions
from slowflight.errors import InputError, RangeError
from slowflight.flow.solution import LiftCurve
from slowflight.study import minutes_case
from slowflight.study.minutes_picture_case import MinutesPictureCase
from slowflight.study.minutes_slope_case import MinutesSlopeCase
from slowflight.verbs import minutes_positions
from slowflight.verbs.minutes_lines import drag_at
from tests.verbs.curves import made_up_point

ROW = """
[[vane_row]]
station = "10 %"
height = "6 mm"
length = "15 mm"
pitch = "60 mm"
gap = "12 mm"
incidence = "16 deg"
arrangement = "counter-rotating"
opening = "downstream"
"""
FLAP = """
[flap]
kind = "hung"
chord = "23 %"
airfoil = "naca2414"
axis_aft = "1.1 %"
axis_below = "5 %"
axis_in_flap = "26 %"
"""
COMMON: dict[str, Any] = {"reynolds": 1e6, "angles": "0:8:4", "chord": "1200 mm"}


def stand_in(gain: float, drag: float, calls: list[Any] | None = None) -> Any:
    def computed(section: Any, *, angles_deg: Any, vane_rows: Any, **rest: Any) -> LiftCurve:
        if calls is not None:
            calls.append([row.station for row in vane_rows])
        more = gain * (1.0 - vane_rows[0].station) if vane_rows else 0.0
        lifts = [0.1 * a * (1.0 + more) for a in angles_deg]
        total = 0.01 + (drag if vane_rows else 0.0)
        points = tuple(
            replace(made_up_point(a), cl=lift, cd=total) for a, lift in zip(angles_deg, lifts, strict=True)
        )
        return LiftCurve(
            airfoil="made up", reynolds=1e6, tier="rans", reference={}, points=points, cl_max=None,
            alpha_cl_max_deg=None, sources=(), warnings=(), version="0",
        )  # fmt: skip

    return computed


@pytest.fixture
def vanes(tmp_path: Path) -> Path:
    file = tmp_path / "row.toml"
    file.write_text(ROW)
    return file


def test_lines_gaps_and_counts(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, vanes: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    calls: list[Any] = []
    monkeypatch.setattr(minutes_case, "rans_lift_curve", stand_in(0.5, 0.002, calls))
    monkeypatch.setattr(minutes_positions, "lift_curve", stand_in(0.4, 0.001))
    told: list[tuple[str, int, int]] = []
    common = COMMON | {"vanes": vanes, "stations": "5,20 %", "results": tmp_path / "runs"}
    found = verbs.positions("naca0012", on_progress=lambda *now: told.append(now), **common)
    clean, fore, aft = found.record()["positions"]
    assert (clean["station"], fore["station"], aft["station"]) == (None, 0.05, 0.2)
    assert fore["highest_lift"] == pytest.approx(0.8 * (1.0 + 0.5 * 0.95))
    assert fore["gap"] == pytest.approx(0.8 * 0.1 * 0.95)
    assert (fore["cruise_counts"], fore["seconds_cruise_counts"]) == (
        pytest.approx(20.0),
        pytest.approx(10.0),
    )
    assert clean["cruise_counts"] == 0.0
    assert not fore["extrapolated"]
    shown = []
    for line in (fore, fore | {"extrapolated": True}):
        print_positions(found.record() | {"positions": [clean, line]})
        shown.append(capsys.readouterr().out)
    assert f"{fore['highest_lift']:.3f}+~" in shown[1]
    assert f"{fore['highest_lift']:.3f}+~" not in shown[0]
    assert "uncalibrated" in shown[0]
    assert told[-1][1:] == (3, 3)
    assert found.record()["cautions"]
    # kept: a second time nothing is computed, and another station alone is
    verbs.positions("naca0012", **common)
    assert len(calls) == 3
    verbs.positions("naca0012", **(common | {"stations": "5,20,30"}))
    assert calls[3:] == [[0.3]]


def test_drag_is_not_read_where_lift_does_not_rise_past_it() -> None:
    points = [{"alpha_deg": a, "cl": c, "cd": 0.01} for a, c in ((0.0, 0.2), (4.0, 0.6), (8.0, 0.5))]
    assert drag_at(points, 0.4) == pytest.approx(0.01)
    assert drag_at(points, 0.1) is None
    assert drag_at(points, 0.7) is None


def test_what_cannot_be_used_is_refused_before_anything_is_computed(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, vanes: Path
) -> None:
    monkeypatch.setattr(minutes_case, "rans_lift_curve", None)
    two = tmp_path / "two.toml"
    two.write_text(ROW + ROW.replace("10 %", "20 %"))
    for changed, says in (
        ({"vanes": two}, "needs one row"),
        ({"grid": "huge"}, "--grid"),
        ({"stations": "5,95"}, "--stations"),
        ({"stations": "nose"}, "--stations"),
        ({"cruise_lift": "9"}, "--cruise-lift"),
        ({"picture": tmp_path / "pair.doc"}, "--picture"),
    ):
        with pytest.raises((InputError, RangeError), match=says):
            verbs.positions("naca0012", **(COMMON | {"vanes": vanes} | changed))


def test_a_row_is_moved_ahead_of_a_hung_flap(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, vanes: Path
) -> None:
    hung: list[float] = []

    def with_flap(elements: Any, **rest: Any) -> LiftCurve:
        hung.append(round(float(np.degrees(elements.flap_angle)), 6))
        curve: LiftCurve = stand_in(0.5, 0.002)(elements, **rest)
        return curve

    monkeypatch.setattr(minutes_case, "bodies_lift_curve", with_flap)
    monkeypatch.setattr(minutes_positions, "elements_lift_curve", stand_in(0.4, 0.001))
    file = tmp_path / "hung.toml"
    file.write_text(FLAP)
    common = COMMON | {"stations": "5", "results": tmp_path / "runs", "flap": file}
    found = verbs.positions("naca4414", vanes=vanes, flap_angle="16", **common)
    assert hung == [16.0, 16.0]
    assert "flap" in found.airfoil
    assert found.record()["positions"][1]["gap"] == pytest.approx(0.8 * 0.1 * 0.95)
    verbs.positions("naca4414", vanes=vanes, flap_angle="16", **common)
    verbs.positions("naca4414", vanes=vanes, flap_angle="31", **common)
    assert hung[2:] == [31.0, 31.0]  # the setting is part of what a result is kept by
    below = tmp_path / "below.toml"
    below.write_text(ROW + 'surface = "lower"\n')
    for changed, says in (
        ({"vanes": below}, "into the slot"),
        ({"transition": "free"}, "laminar layers"),
        ({"flap_angle": None}, "needs --flap-angle"),
    ):
        with pytest.raises(InputError, match=says):
            verbs.positions("naca4414", **(common | {"vanes": vanes, "flap_angle": "16"} | changed))
    assert len(hung) == 4


def test_picture_shows_clean_and_best(monkeypatch: pytest.MonkeyPatch, tmp_path: Path, vanes: Path) -> None:
    monkeypatch.setattr(minutes_case, "rans_lift_curve", stand_in(0.5, 0.0))
    monkeypatch.setattr(minutes_positions, "lift_curve", stand_in(0.4, 0.0))
    seen: list[Any] = []

    def drawn(self: Any) -> dict[str, Any]:
        seen.append((self.alpha_deg, [row.station for row in self.case.rows]))
        x, y = np.linspace(-0.2, 1.4, 33), np.linspace(-0.3, 0.5, 17)
        flat = np.ones((17, 33), dtype=np.float32)
        back = flat.copy()
        back[8:10, 20:26] = -0.1
        return {
            "alpha_deg": self.alpha_deg, "cl": 0.8, "cd": 0.01, "separation_upper": 0.7, "x": x, "y": y,
            "u": back, "v": 0.1 * flat, "pressure": -flat, "push": 10.0 * flat,
            "outline_x": self.case.section.x, "outline_y": self.case.section.y,
        }  # fmt: skip

    monkeypatch.setattr(MinutesPictureCase, "compute", drawn)
    file = tmp_path / "pair.png"
    found = verbs.positions(
        "naca0012", vanes=vanes, stations="5,20", results=tmp_path / "runs", picture=file, **COMMON
    )
    assert seen == [(8.0, []), (8.0, [0.05])]
    assert found.picture == file
    assert file.read_bytes().startswith(b"\x89PNG")


def test_bands_stand_on_three_grids_and_on_the_difference(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, vanes: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    cells = {"preview": 64, "medium": 96, "default": 128}

    def computed(section: Any, *, angles_deg: Any, vane_rows: Any, grid: str, **rest: Any) -> LiftCurve:
        # an error of second order that clean section and row share, and one of a tenth of it that they do not
        shared, own = -400.0 / cells[grid] ** 2, -40.0 / cells[grid] ** 2
        more = 0.5 + own if vane_rows else 0.0
        points = tuple(replace(made_up_point(a), cl=0.1 * a + shared + more) for a in angles_deg)
        return LiftCurve(
            airfoil="made up", reynolds=1e6, tier="rans", reference={}, points=points, cl_max=None,
            alpha_cl_max_deg=None, sources=(), warnings=(), version="0",
        )  # fmt: skip

    monkeypatch.setattr(minutes_case, "rans_lift_curve", computed)
    monkeypatch.setattr(minutes_positions, "lift_curve", stand_in(0.4, 0.001))
    found = verbs.positions(
        "naca0012", vanes=vanes, stations="5", results=tmp_path / "runs", bands=True, **COMMON
    )
    bands = found.record()["grid_bands"]
    assert bands["grids"] == ["preview", "medium", "default"]
    assert bands["gain"]["order"] == pytest.approx(2.0, abs=1e-6)
    assert bands["gain"]["extrapolated"] == pytest.approx(0.5)
    assert bands["gain"]["band"] == pytest.approx(0.1 * bands["clean"]["band"], rel=1e-6)
    assert [line["alpha_deg"] for line in bands["gain_at"]] == [0.0, 4.0, 8.0]
    print_positions(found.record())
    assert "gain in highest lift" in capsys.readouterr().out


def test_steps_follow_the_slope_and_are_solved_in_full(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, vanes: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    best_place = 0.062

    def computed(section: Any, *, angles_deg: Any, vane_rows: Any, **rest: Any) -> LiftCurve:
        more = 0.5 - (vane_rows[0].station - best_place) ** 2 if vane_rows else 0.0
        points = tuple(replace(made_up_point(a), cl=0.1 * a + more) for a in angles_deg)
        return LiftCurve(
            airfoil="made up", reynolds=1e6, tier="rans", reference={}, points=points, cl_max=None,
            alpha_cl_max_deg=None, sources=(), warnings=(), version="0",
        )  # fmt: skip

    def slope(self: MinutesSlopeCase) -> dict[str, Any]:
        # right in sign and three times too steep
        return {"lift_by_station": 6.0 * (best_place - self.case.rows[0].station)}

    monkeypatch.setattr(minutes_case, "rans_lift_curve", computed)
    monkeypatch.setattr(minutes_positions, "lift_curve", stand_in(0.4, 0.001))
    monkeypatch.setattr(MinutesSlopeCase, "compute", slope)
    found = verbs.positions(
        "naca0012", vanes=vanes, stations="5,10,20", results=tmp_path / "runs", refine=True, **COMMON
    )
    record = found.record()
    first = record["refined"][0]
    assert (first["from"], first["at_deg"]) == (0.05, 8.0)
    assert first["to"] == pytest.approx(np.sqrt(0.05 * 0.10), abs=1e-4)
    assert first["slope"] > 0.0
    assert first["confirmed"]
    stations = [line["station"] for line in record["positions"][1:]]
    assert stations == sorted(stations)
    assert len(stations) == 3 + len(record["refined"])
    best = max(record["positions"], key=lambda line: line["highest_lift"])
    assert abs(best["station"] - best_place) < 0.005
    print_positions(record)
    assert "solved in full at" in capsys.readouterr().out
