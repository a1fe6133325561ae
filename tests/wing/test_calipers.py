"""Caliper offsets: a known section measured with known errors comes back within them."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from slowflight.errors import InputError, RangeError, SectionError
from slowflight.wing.airfoils import airfoil
from slowflight.wing.calipers import read_calipers
from slowflight.wing.chord_line import lay
from slowflight.wing.fairing import fair, scatter
from slowflight.wing.naca import naca_section
from slowflight.wing.outline import FloatArray, segment_lengths, turns

PER_CENT = np.array([0, 1.25, 2.5, 5, 7.5, 10, 15, 20, 25, 30, 40, 50, 60, 70, 80, 90, 95, 100.0])
CHORD_MM = 1500.0


def skin(digits: str, stations: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Heights of a formula section at stations from its foremost point [chords]."""
    section = naca_section(digits, points=2001)
    first = int(np.argmin(section.x))
    at = section.x[first] + stations * (section.x[-1] - section.x[first])
    upper = np.interp(at, section.x[first:], section.y[first:])
    return upper, np.interp(at, section.x[first::-1], section.y[first::-1])


def rows(
    digits: str = "4415", *, stations: FloatArray = PER_CENT, size: float = CHORD_MM, lift: float = 0.0
) -> FloatArray:
    """Station, upper and lower, the straightedge a distance below the chord line."""
    upper, lower = skin(digits, stations / 100.0)
    return np.column_stack((stations / 100.0, upper + lift, lower + lift)) * size


def file(table: FloatArray, *, header: str = "station mm, upper mm, lower mm", head: str = "") -> str:
    body = "\n".join(", ".join(f"{value:.3f}" for value in row) for row in table)
    return f"{head}{header}\n{body}\n"


def write(folder: Path, content: str) -> Path:
    path = folder / "rib.csv"
    path.write_text(content, encoding="utf-8")
    return path


def off_by(path: Path, digits: str) -> float:
    """Largest distance of the outline read from the true skin, chord line to chord line [mm]."""
    section = read_calipers(path)
    assert section.chord_m is not None
    true = naca_section(digits, points=2001)
    # Lay the true section the way any measured one is laid: stations start at the foremost point.
    laid = lay(true.x - true.x.min(), true.y, where="true")
    start = np.column_stack((laid.x[:-1], laid.y[:-1]))
    step = np.diff(np.column_stack((laid.x, laid.y)), axis=0)
    away = np.column_stack((section.x, section.y))[:, None] - start
    share = np.clip(np.sum(away * step, axis=2) / np.sum(step**2, axis=1), 0.0, 1.0)
    gaps = np.linalg.norm(away - share[..., None] * step, axis=2).min(axis=1)
    return float(np.max(gaps)) * section.chord_m * 1000.0


@pytest.mark.parametrize("digits", ["0012", "4415", "23012", "4418", "2412"])
def test_a_clean_measurement_comes_back_within_half_a_millimeter(tmp_path: Path, digits: str) -> None:
    path = write(tmp_path, file(rows(digits)))
    section = read_calipers(path)
    assert section.chord_m == pytest.approx(1.5, rel=2e-3)
    assert off_by(path, digits) < 0.45
    assert section.cautions == ()
    assert "common practice, no source" in section.notes[0]
    assert section.error_bar_m is None


@settings(max_examples=25)
@given(seed=st.integers(0, 10_000), digits=st.sampled_from(["0012", "4415", "23012"]))
def test_errors_of_a_third_of_a_millimeter_stay_small_and_smooth(
    tmp_path_factory: pytest.TempPathFactory, seed: int, digits: str
) -> None:
    rng = np.random.default_rng(seed)
    table = rows(digits)
    table[:, 1:] += rng.normal(0.0, 0.3, (table.shape[0], 2)).clip(-0.9, 0.9)
    table[0, 1:] = table[0, 1:].mean()
    path = write(tmp_path_factory.mktemp("rib"), file(table, head="# error 1 mm\n"))
    assert off_by(path, digits) < 2.0
    section = read_calipers(path)
    assert section.error_bar_m == pytest.approx(1e-3)
    bends = turns(section.x, section.y)
    steps = segment_lengths(section.x, section.y)
    assert np.max(np.abs(bends)) < 0.35
    assert np.min(steps) > 1e-5


def test_a_straightedge_below_the_wing_gives_the_same_section(tmp_path: Path) -> None:
    on_line = read_calipers(write(tmp_path, file(rows("2412"))))
    below = read_calipers(write(tmp_path, file(rows("2412", lift=0.1))))
    assert below.x == pytest.approx(on_line.x, abs=2e-3)
    assert below.max_thickness == pytest.approx(on_line.max_thickness, abs=2e-4)


def test_without_a_nose_row_the_fairing_closes_it(tmp_path: Path) -> None:
    """Common practice has no reading at the nose: the radius follows from the first stations."""
    path = write(tmp_path, file(rows("0012")[1:]))
    assert off_by(path, "0012") < 0.2


def test_other_units_and_orders(tmp_path: Path) -> None:
    reference = read_calipers(write(tmp_path, file(rows())))
    inches = file(rows(size=CHORD_MM / 25.4), header="station in, upper in, lower in")
    swapped = file(rows()[::-1][:, [2, 0, 1]], header="Lower (mm); Station (mm); Upper (mm)")
    per_cent = rows() * [100.0 / CHORD_MM, 1.0, 1.0]
    shares = file(per_cent, header="station % upper mm lower mm", head="# chord: 1500 mm\n")
    plain = file(rows(), header="station, upper, lower", head="# units: mm\n")
    underscored = file(rows(), header="# station_mm,upper_mm,lower_mm")
    for content in (inches, swapped, shares, plain, underscored):
        section = read_calipers(write(tmp_path, content))
        assert section.x == pytest.approx(reference.x, abs=1e-4)
        assert section.y == pytest.approx(reference.y, abs=1e-4)
        assert section.chord_m == pytest.approx(1.5, rel=2e-3)


def test_the_door_tells_calipers_from_coordinates(tmp_path: Path) -> None:
    path = write(tmp_path, file(rows(), head="Rib 7\n"))
    assert airfoil(str(path)).name == "Rib 7"
    assert airfoil("rib.csv", base_folder=tmp_path).chord_m == pytest.approx(1.5, rel=2e-3)


def test_cautions(tmp_path: Path) -> None:
    sparse = rows(stations=np.array([0, 5, 10, 15, 20, 30, 40, 50, 60, 70, 80, 90, 100.0]))
    (caution,) = read_calipers(write(tmp_path, file(sparse))).cautions
    assert "its radius is a guess" in caution
    rough = rows()
    rough[:, 1:] += np.random.default_rng(4).normal(0.0, 1.5, (rough.shape[0], 2))
    rough[0, 1:] = rough[0, 1:].mean()
    cautions = read_calipers(write(tmp_path, file(rough))).cautions
    assert any("more than their error bar" in caution for caution in cautions)
    flipped = rows()[:, [0, 2, 1]] * [1.0, -1.0, -1.0]
    (caution,) = read_calipers(write(tmp_path, file(flipped))).cautions
    assert "upside down" in caution


def spiked(row: int, column: int, by: float) -> FloatArray:
    table = rows()
    table[row, column] += by
    return table


REFUSED: dict[str, tuple[str, type[InputError], str]] = {
    "spike above": (
        file(spiked(9, 1, 20.0)),
        SectionError,
        "line 11: found a height of the upper skin",
    ),
    "spike below": (file(spiked(5, 2, -12.0)), SectionError, "line 7: found a height of the lower skin"),
    "no header": ("0, 0, 0\n1, 2, 3\n", SectionError, "no header"),
    "column twice": (
        file(rows(), header="station mm, upper mm, upper mm, lower mm"),
        SectionError,
        "once each",
    ),
    "no units": (file(rows(), header="station, upper, lower"), SectionError, "without a unit"),
    "heights in per cent": (
        file(rows(), header="station mm, upper %, lower %"),
        SectionError,
        "'upper' in per cent",
    ),
    "per cent without chord": (
        file(rows(), header="station %, upper mm, lower mm"),
        SectionError,
        "needs the chord",
    ),
    "two numbers": (file(rows()) + "12, 3\n", SectionError, "line 20: found 2 numbers; needs three"),
    "a word": (file(rows()) + "12, 3, x\n", SectionError, "line 20: .*numbers only"),
    "few": (file(rows()[::3]), SectionError, "6 stations; needs at least 8"),
    "doubled station": (
        file(np.vstack((rows(), rows()[4:5]))),
        SectionError,
        "line 20: found the station of line 6",
    ),
    "upper below": (file(rows()[:, [0, 2, 1]]), SectionError, "exchange the columns or their signs"),
    "lower as depths": (
        file(rows() * [1.0, 1.0, -1.0]),
        SectionError,
        "below the straightedge goes a minus sign",
    ),
    "lower as depths, no nose": (
        file(rows("2412")[1:] * [1.0, 1.0, -1.0]),
        SectionError,
        "like depths below",
    ),
    "one crossed row": (file(spiked(10, 1, -400.0)), SectionError, "line 12: found an upper height"),
    "nose apart": (file(spiked(0, 1, 9.0)), SectionError, "line 2: found two heights 9.0 mm apart"),
    "first station far": (file(rows()[6:]), SectionError, "first station 15 % of chord behind the nose"),
    "inches read as mm": (file(rows(size=60.0)), RangeError, "stations over 60.0 mm.*check the unit"),
    "other chord": (
        file(rows(), head="# chord 1200 mm\n"),
        SectionError,
        "needs the chord stated, 1200.0 mm",
    ),
    "NaN": (file(rows()) + "nan, 3, 4\n", SectionError, "line 20: .*finite"),
    "empty": ("", InputError, "an empty file"),
}


@pytest.mark.parametrize("case", REFUSED)
def test_what_is_refused(tmp_path: Path, case: str) -> None:
    content, error, message = REFUSED[case]
    path = write(tmp_path, content)
    with pytest.raises(error, match=message) as caught:
        read_calipers(path)
    assert str(caught.value).startswith(str(path))
    assert "\n" not in str(caught.value)


def test_scatter_of_one_reading_is_its_error() -> None:
    """Readings with independent unit errors: each scaled residual has unit variance; a cubic has none."""
    root = np.linspace(-1.0, 1.0, 41) + 0.01 * np.sin(np.arange(41.0))
    assert scatter(root, 2.0 * root**3 - root + 5.0) == pytest.approx(np.zeros(41), abs=1e-9)
    rng = np.random.default_rng(0)
    spread = [scatter(root, rng.normal(size=41)) for _ in range(400)]
    assert np.std(spread) == pytest.approx(1.0, abs=0.03)


def test_fairing_moves_no_reading_by_more_than_its_error() -> None:
    root = np.linspace(-1.0, 1.0, 31)
    height = root + np.random.default_rng(2).normal(0.0, 0.2, 31)
    for most in (0.01, 0.1, 1.0):
        faired = fair(root, height, most=most)
        assert np.max(np.abs(faired.moved)) <= most
        assert faired.spline(root) - height == pytest.approx(faired.moved)
