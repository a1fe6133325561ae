"""Maps of several flap settings: one scale, every cell with its band, what has no answer hatched."""

import math
from typing import Any

import numpy as np
import pytest
from matplotlib.collections import QuadMesh
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle

from slowflight.report.pictures import canvas, gain_maps
from slowflight.report.pictures.canvas import Picture
from slowflight.report.pictures.gain_maps import draw_gain_maps

MARKS = [{"name": "three-point attitude", "angle_deg": 14.0}, {"name": "clean stall", "angle_deg": 15.0}]


def one(setting: str, size: float) -> dict[str, Any]:
    return {
        "setting": setting,
        "stations": [0.05, 0.1],
        "angles_deg": [12.0, 14.0, 16.0],
        "gain": [[0.0, 0.5 * size, size], [-0.5 * size, None, size]],
        "band": [[0.1 * size, 0.1 * size, 2.0 * size], [0.1 * size, None, None]],
        "answered": [[True, True, True], [True, False, True]],
        "marks": MARKS,
    }


MAPS = [one("flaps up", 0.1), one("full, 40°", 0.3)]


@pytest.fixture
def figures(monkeypatch: pytest.MonkeyPatch) -> list[Figure]:
    """Every figure handed over to be saved."""
    seen: list[Figure] = []

    def saved(figure: Figure, *, alt: str) -> Picture:
        seen.append(figure)
        return canvas.as_svg(figure, alt=alt)

    monkeypatch.setattr(gain_maps, "as_svg", saved)
    return seen


def values(mesh: QuadMesh) -> list[float]:
    """Of the cells, row by row; NaN where nothing is drawn."""
    array: Any = mesh.get_array()
    filled: Any = np.ma.filled(np.ma.asarray(array, dtype=float), math.nan)
    return list(map(float, filled.ravel()))


def meshes(figure: Figure) -> list[QuadMesh]:
    return [c for axes in figure.axes[:4] for c in axes.collections if isinstance(c, QuadMesh)]


def test_all_settings_share_one_color_scale_and_one_angle_axis(figures: list[Figure]) -> None:
    draw_gain_maps(MAPS)
    drawn = meshes(figures[0])
    assert len(drawn) == 4
    assert [m.get_clim() for m in drawn[:2]] == [(-0.3, 0.3)] * 2
    assert [m.get_clim() for m in drawn[2:]] == [(0.0, 0.6)] * 2
    assert len({axes.get_ylim() for axes in figures[0].axes[:4]}) == 1


def test_cells_hold_gain_and_band_by_angle_and_station(figures: list[Figure]) -> None:
    draw_gain_maps(MAPS)
    gain, _, band, _ = (np.array(values(m)) for m in meshes(figures[0]))
    wanted = np.array([[0.0, -0.05], [0.05, math.nan], [0.1, 0.1]])
    assert np.allclose(gain.reshape(3, 2), wanted, equal_nan=True)
    assert np.allclose(band.reshape(3, 2), [[0.01, 0.01], [0.01, math.nan], [0.2, math.nan]], equal_nan=True)


def test_no_answer_is_hatched_even_where_a_number_stands(figures: list[Figure]) -> None:
    told = one("flaps up", 0.1)
    told["gain"][1][1] = 9.0  # not answered: it must not be drawn, nor set the scale
    draw_gain_maps([told])
    upper, lower = figures[0].axes[:2]
    hatched = [p for p in upper.patches if isinstance(p, Rectangle) and p.get_hatch()]
    assert [(p.get_x(), p.get_y()) for p in hatched] == [(7.5, 13.0)]
    assert len([p for p in lower.patches if p.get_hatch()]) == 2  # one more whose band is not known
    assert meshes(figures[0])[0].get_clim() == (-0.1, 0.1)


def test_a_dot_stands_where_the_band_reaches_across_zero(figures: list[Figure]) -> None:
    draw_gain_maps([MAPS[0]])
    (dots,) = [line for line in figures[0].axes[0].lines if line.get_label() == "in doubt"]
    points = set(zip(np.asarray(dots.get_xdata()), np.asarray(dots.get_ydata()), strict=True))
    assert points == {(5.0, 12.0), (5.0, 16.0)}


def test_attitudes_are_marked_in_every_map_and_named_once(figures: list[Figure]) -> None:
    picture = draw_gain_maps(MAPS)
    assert picture is not None
    for axes in figures[0].axes[:4]:
        heights = [np.asarray(line.get_ydata())[0] for line in axes.lines if line.get_linestyle() != "None"]
        assert {14.0, 15.0} <= set(heights)
        assert [text.get_text() for text in axes.texts] == ["A", "B"]
    assert "A three-point attitude; B clean stall" in figures[0].get_supxlabel().replace("\n", " ")
    assert "clean stall at 15.0°" in picture.alt
    assert "largest +0.100 (band ± 0.200)" in picture.alt
    assert "1 of 6 cells have no answer" in picture.alt


def test_a_map_without_any_answer_is_said(figures: list[Figure]) -> None:
    told = one("flaps up", 0.1) | {"answered": [[False] * 3] * 2}
    picture = draw_gain_maps([told])
    assert picture is not None
    assert "no cell has an answer" in picture.alt
    assert len(figures) == 1
    assert draw_gain_maps([]) is None
