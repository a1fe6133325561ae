"""The strips as drawn: every stretch, every dot, one scale, and the words that go with them."""

import copy
from typing import Any

import numpy as np
import pytest
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle

from slowflight.report.pictures import canvas, help_strip
from slowflight.report.pictures.canvas import Picture
from slowflight.report.pictures.help_strip import LOOKS, draw_help_strips

STRIP: dict[str, Any] = {
    "setting": "flaps up", "angle_deg": 14.0, "lift_coefficient": 1.5,
    "places": {
        "along_skin_mm": [30.0, 100.0, 400.0, 800.0, 1400.0],
        "along_chord_mm": [10.0, 70.0, 360.0, 750.0, 1340.0],
        "effect": [0.0, -0.01, 0.0002, 0.01, 0.002],
        "low": [-0.001, -0.015, -0.001, 0.008, 0.001],
        "high": [0.001, -0.005, 0.001, 0.012, 0.003],
        "kind": ["laminar", "hurts", "no matter", "helps", "helps"],
    },
    "stretches": [
        {"kind": "laminar", "from_skin_mm": 20.0, "to_skin_mm": 60.0},
        {"kind": "hurts", "from_skin_mm": 60.0, "to_skin_mm": 300.0},
        {"kind": "no matter", "from_skin_mm": 300.0, "to_skin_mm": 600.0},
        {"kind": "helps", "from_skin_mm": 600.0, "to_skin_mm": 1410.0},
    ],
    "checks": [
        {"along_skin_mm": 100.0, "predicted": -0.01, "resolved": -0.02},
        {"along_skin_mm": 800.0, "predicted": 0.01, "resolved": None},
    ],
}  # fmt: skip


@pytest.fixture
def figures(monkeypatch: pytest.MonkeyPatch) -> list[Figure]:
    """Every figure handed over to be saved."""
    seen: list[Figure] = []

    def saved(figure: Figure, *, alt: str) -> Picture:
        seen.append(figure)
        return canvas.as_svg(figure, alt=alt)

    monkeypatch.setattr(help_strip, "as_svg", saved)
    return seen


def test_every_stretch_stands_in_the_bar_with_its_own_look(figures: list[Figure]) -> None:
    assert draw_help_strips([STRIP]) is not None
    bar = figures[0].axes[0]
    drawn = [(p.get_x(), p.get_x() + p.get_width()) for p in bar.patches if isinstance(p, Rectangle)]
    assert drawn == [(s["from_skin_mm"], s["to_skin_mm"]) for s in STRIP["stretches"]]
    hatches = [p.get_hatch() or "" for p in bar.patches]
    assert hatches == [LOOKS[s["kind"]]["hatch"] for s in STRIP["stretches"]]


def test_what_is_not_answered_is_no_line_and_no_dot(figures: list[Figure]) -> None:
    draw_help_strips([STRIP])
    below = figures[0].axes[1]
    lines = {line.get_label(): line for line in below.lines}
    effect = np.asarray(lines["one dose, linear"].get_ydata(), dtype=float)
    assert np.isnan(effect[0])  # laminar
    assert effect[3] == pytest.approx(10.0)
    solved = lines["one dose, solved anew"]
    assert list(np.asarray(solved.get_xdata())) == [100.0]
    assert list(np.asarray(lines["no answer"].get_xdata())) == [800.0]


def test_several_settings_share_one_scale(figures: list[Figure]) -> None:
    larger = copy.deepcopy(STRIP)
    larger["setting"] = "flap 40°"
    larger["places"]["effect"] = [5.0 * e for e in STRIP["places"]["effect"]]
    draw_help_strips([STRIP, larger])
    first, second = figures[0].axes[1], figures[0].axes[3]
    assert first.get_ylim() == second.get_ylim()
    assert first.get_ylim()[1] > 50.0
    assert first.get_xlim() == second.get_xlim()


def test_words_and_caution_stay_with_the_picture(figures: list[Figure]) -> None:
    picture = draw_help_strips([STRIP])
    assert picture is not None
    assert "600 to 1410 mm mixing helps" in picture.alt
    assert "Predicted, uncalibrated" in picture.alt
    written = figures[0].get_supxlabel().replace("\n", " ")
    assert written.startswith("Predicted, uncalibrated")
    assert draw_help_strips([]) is None
