"""What is drawn is what the record says, on scales that compare."""

import ast
import base64
import math
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from matplotlib.colors import Colormap
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle
from numpy.testing import assert_allclose

import slowflight.report
from slowflight.errors import InputError
from slowflight.report.pictures import canvas, claim, curves, flow, gain_map, stall_speeds, stations
from slowflight.report.pictures.canvas import Picture, spread
from slowflight.report.pictures.field import FlowField, level, read_field, turned
from tests.report import example

WINDOW = (-0.2, 1.2, -0.2, 0.2)


@pytest.fixture
def figures(monkeypatch: pytest.MonkeyPatch) -> list[Figure]:
    """Every figure handed over to be saved."""
    seen: list[Figure] = []

    def saved(figure: Figure, *, alt: str) -> Picture:
        seen.append(figure)
        return canvas.as_svg(figure, alt=alt)

    for module in (claim, curves, gain_map, stall_speeds, stations):
        monkeypatch.setattr(module, "as_svg", saved)
    monkeypatch.setattr(flow, "as_png", saved)
    return seen


def field(**changes: Any) -> FlowField:
    """A field on a coarse grid: at rest unless told otherwise, nothing solid, nothing separated."""
    x, y = np.linspace(-1.0, 2.0, 31), np.linspace(-1.0, 1.0, 21)
    still = np.zeros((21, 31))
    parts = {
        "x": x,
        "y": y,
        "u": still,
        "v": still,
        "slow": still > 1.0,
        "outline_x": np.array([0.0, 0.5, 1.0, 0.5, 0.0]),
        "outline_y": np.array([0.0, 0.1, 0.0, -0.1, 0.0]),
    }
    return FlowField(**(parts | changes))


@pytest.mark.parametrize("angle", [-6.0, 0.0, 13.0, 24.0])
def test_stream_at_the_section_angle_is_drawn_level(angle: float) -> None:
    one = np.ones((21, 31))
    tilted = field(u=math.cos(math.radians(angle)) * one, v=math.sin(math.radians(angle)) * one)
    air = level(tilted, angle_deg=angle, window=WINDOW, columns=40)
    assert_allclose(air.u, 1.0, atol=1e-12)
    assert_allclose(air.v, 0.0, atol=1e-12)


def test_positive_angle_is_nose_up() -> None:
    x, y = turned(np.array([1.0]), np.array([0.0]), angle_deg=30.0)
    assert_allclose((x[0], y[0]), (math.sqrt(3.0) / 2.0, -0.5))


def test_linear_field_is_read_between_its_points_exactly() -> None:
    """Bilinear interpolation is exact for a linear field: by definition."""
    across, up = np.meshgrid(np.linspace(-1.0, 2.0, 31), np.linspace(-1.0, 1.0, 21))
    air = level(field(u=2.0 * across - 3.0 * up), angle_deg=0.0, window=WINDOW, columns=37)
    x, y = np.meshgrid(air.x, air.y)
    assert_allclose(air.u, 2.0 * x - 3.0 * y, atol=1e-12)


def test_a_place_on_the_section_is_drawn_where_the_turned_section_has_it() -> None:
    """Velocity grows along the chord line: level point (x, y) lies x cos a - y sin a along it."""
    across, _ = np.meshgrid(np.linspace(-1.0, 2.0, 31), np.linspace(-1.0, 1.0, 21))
    air = level(field(u=across), angle_deg=20.0, window=WINDOW, columns=37)
    x, y = np.meshgrid(air.x, air.y)
    cosine, sine = math.cos(math.radians(20.0)), math.sin(math.radians(20.0))
    along = x * cosine - y * sine
    assert_allclose(air.u, along * cosine, atol=1e-12)
    assert_allclose(air.v, -along * sine, atol=1e-12)


def test_beyond_the_saved_field_there_is_nothing() -> None:
    air = level(field(), angle_deg=0.0, window=(-1.5, 1.0, -0.5, 0.5), columns=26)
    assert_allclose(np.isnan(air.u), np.broadcast_to(air.x < -1.0 - 1e-9, air.u.shape))


def test_both_of_a_pair_share_scale_window_and_size(tmp_path: Path, figures: list[Figure]) -> None:
    slow = read_field(example.save_field(tmp_path / "clean.npz"))
    across, _ = np.meshgrid(slow.x, slow.y)
    fast = FlowField(**(vars(slow) | {"u": 2.0 * slow.u, "v": 2.0 * slow.v, "slow": across > 9.0}))
    flow.draw_pair(example.prediction()["pictures"][0], clean=slow, vanes=fast)
    first, second = (figure.axes[0] for figure in figures)
    assert first.images[0].get_clim() == second.images[0].get_clim() == (0.0, 2.2)
    assert first.images[0].get_cmap() == second.images[0].get_cmap()
    assert (first.get_xlim(), first.get_ylim()) == (second.get_xlim(), second.get_ylim())
    assert_allclose(first.get_position().bounds, second.get_position().bounds)
    once: Any
    twice: Any
    once, twice = (np.ma.asarray(axes.images[0].get_array()).filled(math.nan) for axes in (first, second))
    assert_allclose(np.multiply(2.0, once), twice)


def test_pair_marks_row_and_separation_as_recorded(tmp_path: Path, figures: list[Figure]) -> None:
    saved = read_field(example.save_field(tmp_path / "clean.npz"))
    flow.draw_pair(example.prediction()["pictures"][0], clean=saved, vanes=saved)
    clean, vanes = ({text.get_text() for text in figure.axes[0].texts} for figure in figures)
    assert clean == {"air lets go, 55 %"}
    assert vanes == {"row 10 %"}


@pytest.mark.parametrize("name", ["x", "slow", "outline_y"])
def test_field_without_an_array_is_refused(name: str, tmp_path: Path) -> None:
    path = example.save_field(tmp_path / "clean.npz", left_out=name)
    with pytest.raises(InputError, match=rf"clean\.npz: found .*{name}"):
        read_field(path)


def test_field_of_pickled_objects_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "odd.npz"
    arrays: dict[str, Any] = {name: np.array([{}], dtype=object) for name in vars(field())}
    np.savez(path, **arrays)
    with pytest.raises(InputError, match=r"odd\.npz"):
        read_field(path)


def test_gain_map_is_the_table_with_zero_in_the_middle(figures: list[Figure]) -> None:
    table = example.gain_table("printed", 8.0)
    marks = example.prediction()["marks"]
    gain_map.draw_gain_map(table, limit=0.3, marks=marks, best_station=0.10)
    axes = figures[0].axes[0]
    mesh = axes.collections[0]
    gain = np.array([[math.nan if cell is None else cell for cell in line] for line in table["gain"]]).T
    drawn: Any = np.ma.asarray(mesh.get_array()).filled(math.nan)
    assert_allclose(drawn.reshape(gain.shape), gain)
    assert np.asarray(mesh.norm(np.array([0.0]))).tolist() == [0.5]
    assert (mesh.norm.vmin, mesh.norm.vmax) == (-0.3, 0.3)
    hatched = [patch for patch in axes.patches if isinstance(patch, Rectangle) and patch.get_hatch()]
    assert len(hatched) == int(np.isnan(gain).sum()) == 2
    (first, second) = sorted((patch.get_x(), patch.get_y()) for patch in hatched)
    assert first[0] < 3.0 < 10.0 < second[0] < 20.0
    assert first[1] == second[1] == 19.0
    heights = {float(np.asarray(line.get_ydata())[0]) for line in axes.lines}
    assert {15.0, 17.5} <= heights
    assert {"three-point\n15.0°", "stall clean\n17.5°", "best row, 10 %"} == {
        text.get_text() for text in axes.texts
    }


def test_maps_of_one_setting_share_one_scale() -> None:
    tables = [example.gain_table("printed", height) for height in (5.0, 8.0)]
    largest = max(
        abs(cell) for table in tables for line in table["gain"] for cell in line if cell is not None
    )
    assert gain_map.full_range(tables) == largest > 0.2
    assert gain_map.full_range([]) == 0.02


def test_station_pictures_show_table_best_ties_and_bands(figures: list[Figure]) -> None:
    setting = example.prediction()["settings"][0]
    for what, low, high, best, tie in (("fall", 0.4, 2.9, 1.7, 1.3), ("cruise_loss", 0.1, 0.7, 0.3, 0.3)):
        stations.draw_against_station(setting, what=what)
        axes = figures[-1].axes[0]
        lines = [
            (line.get_marker(), np.asarray(line.get_xdata()), np.asarray(line.get_ydata()))
            for line in axes.lines
        ]
        (chosen,) = [y for marker, _, y in lines if marker == "."]
        assert_allclose(chosen, [*setting["gain_tables"][1][f"{what}_kt"][:3], math.nan])
        for marker, expected in (("o", (10.0, best)), ("D", (7.0, tie))):
            ((x, y),) = [(x, y) for drawn, x, y in lines if drawn == marker]
            assert_allclose((x[0], y[0]), expected)
        bands = sorted((float(x[0]), *y) for _, x, y in lines if len(x) == 2 and x[0] == x[1])
        assert_allclose(bands, [(7.0, low, high), (10.0, low, high)])
        (unanswered,) = [x for marker, x, _ in lines if marker == "x"]
        assert_allclose(unanswered, [20.0])


@pytest.mark.parametrize(("draw", "what"), [(curves.draw_lift, "cl"), (curves.draw_speed, "speed_kt")])
def test_curves_are_the_records_and_marks_stand_at_their_angles(
    draw: Any, what: str, figures: list[Figure]
) -> None:
    record = example.prediction()
    setting = record["settings"][0]
    draw(setting, marks=record["marks"])
    axes = figures[0].axes[0]
    long = [np.asarray(line.get_ydata(), dtype=float) for line in axes.lines if len(line.get_xdata()) > 2]  # type: ignore[arg-type]
    for key, drawn in zip(("vanes", "clean"), long, strict=True):
        expected = [math.nan if value is None else value for value in setting[key][what]]
        assert_allclose(drawn, expected)
    upright = [
        float(np.asarray(line.get_xdata())[0]) for line in axes.lines if line.get_linestyle() != "None"
    ]
    assert {15.0, 17.5} <= set(upright)
    hollow = [line for line in axes.lines if line.get_marker() == "o"]
    assert [float(np.asarray(line.get_xdata())[0]) for line in hollow] == [18.0, 18.0]
    assert {text.get_text() for text in axes.texts} == {
        "clean",
        "with the row",
        "three-point 15.0°",
        "stall clean 17.5°",
    }


def test_claim_and_stall_speed_pictures_show_values_and_bands(figures: list[Figure]) -> None:
    record = example.prediction()
    claim.draw_claim(record["claim"])
    stall_speeds.draw_stall_speeds(record["settings"][:1])
    for figure, expected in zip(
        figures,
        (
            [[1.91, 2.37], [2.13], [1.26, 1.51], [1.38]],
            [[39.2, 42.6], [40.9], [36.7, 40.8], [38.7]],
        ),
        strict=True,
    ):
        drawn = [np.asarray(line.get_xdata()).tolist() for line in figure.axes[0].lines]
        assert drawn == expected


def test_no_stall_speed_makes_no_picture() -> None:
    setting = example.prediction()["settings"][0] | {"stall_speed_clean": None, "stall_speed_vanes": None}
    assert stall_speeds.draw_stall_speeds([setting]) is None


@given(
    st.lists(st.tuples(st.floats(-5.0, 25.0), st.floats(0.1, 3.0)), max_size=8),
)
def test_labels_never_cover_each_other(labels: list[tuple[float, float]]) -> None:
    wanted, room = [at for at, _ in labels], [size for _, size in labels]
    placed = spread(wanted, room=room, low=-5.0, high=25.0)
    spans = sorted((at - size / 2, at + size / 2) for at, size in zip(placed, room, strict=True))
    assert all(one[1] <= other[0] + 1e-9 for one, other in pairwise(spans))
    assert all(low >= -5.0 - 1e-9 and high <= 25.0 + 1e-9 for low, high in spans)


def test_a_label_with_room_stays_where_it_belongs() -> None:
    assert spread([3.0, 10.0], room=[1.0, 2.0], low=0.0, high=20.0) == [3.0, 10.0]


def luminance(colors: Colormap, share: float) -> float:
    """Relative luminance: IEC 61966-2-1 (sRGB) transfer and ITU-R BT.709 weights."""
    channels = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in colors(share)[:3]]
    return float(np.dot((0.2126, 0.7152, 0.0722), channels))


def test_speed_colors_darken_evenly() -> None:
    shades = [luminance(flow.SPEED, share) for share in np.linspace(0.0, 1.0, 60)]
    assert all(later < earlier for earlier, later in pairwise(shades))


def test_change_colors_are_palest_at_zero_and_darken_both_ways() -> None:
    shades = [luminance(gain_map.CHANGE, share) for share in np.linspace(0.0, 1.0, 61)]
    assert all(later < earlier for earlier, later in pairwise(shades[30:]))
    assert all(later > earlier for earlier, later in pairwise(shades[:31]))


def test_vector_picture_holds_no_date_and_no_outside_file() -> None:
    picture = claim.draw_claim(example.prediction()["claim"])
    kind, _, content = picture.uri.partition(";base64,")
    assert kind == "data:image/svg+xml"
    text = base64.b64decode(content).decode("utf-8")
    assert "<dc:date>" not in text
    assert "<image" not in text


def test_room_reads_no_other_rooms() -> None:
    """Renders saved results: it may know units, errors and sources, and computes nothing."""
    allowed = ("slowflight.units", "slowflight.errors", "slowflight.sources", "slowflight.report")
    (folder,) = slowflight.report.__path__
    files = sorted(Path(folder).rglob("*.py"))
    assert len(files) > 10
    for file in files:
        for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
            names = [node.module or ""] if isinstance(node, ast.ImportFrom) else []
            names += [alias.name for alias in node.names] if isinstance(node, ast.Import) else []
            for name in names:
                assert not name.startswith("slowflight") or name.startswith(allowed), (file, name)
                assert "pyplot" not in name, file
