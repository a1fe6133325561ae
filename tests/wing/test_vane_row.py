"""Reading a row of vanes, and refusing nonsense in one line."""

from __future__ import annotations

import math
from dataclasses import asdict
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from slowflight.errors import InputError, RangeError, UnitError
from slowflight.wing.naca import naca_section
from slowflight.wing.skin import skin_station
from slowflight.wing.vane_row import VaneRow, check_against_chord, read_vane_rows, vane_trailing_station

GOOD = {
    "station": '"9 %"',
    "height": '"7 mm"',
    "length": '"20 mm"',
    "incidence": '"17 deg"',
    "arrangement": '"counter-rotating"',
    "opening": '"downstream"',
    "pitch": '"72 mm"',
    "gap": '"18 mm"',
}


def written(folder: Path, **changes: str | None) -> Path:
    """A file with one good row, some values changed or left out."""
    values = {**GOOD, **changes}
    lines = ["[[vane_row]]", *(f"{key} = {value}" for key, value in values.items() if value is not None)]
    path = folder / "vanes.toml"
    path.write_text("\n".join(lines), encoding="utf-8")
    return path


def test_a_good_row_in_si(tmp_path: Path) -> None:
    (row,) = read_vane_rows(written(tmp_path, span_from='"2 ft"', span_to='"4.2 m"', element='"main"'))
    assert asdict(row) == pytest.approx(asdict(EXPECTED))


EXPECTED = VaneRow(
    station=0.09,
    height=0.007,
    length=0.02,
    incidence=math.radians(17.0),
    arrangement="counter-rotating",
    opening="downstream",
    pitch=0.072,
    gap=0.018,
    shape="rectangular",
    surface="upper",
    element="main",
    span_from=0.6096,
    span_to=4.2,
)


def test_inches_and_radians(tmp_path: Path) -> None:
    (row,) = read_vane_rows(written(tmp_path, height='"1/4 in"', incidence='"0.3 rad"'))
    assert row.height == pytest.approx(0.00635)
    assert row.incidence == pytest.approx(0.3)


def test_several_rows_and_a_whole_wing_file(tmp_path: Path) -> None:
    path = written(tmp_path)
    path.write_text(
        path.read_text() + "\n" + path.read_text().replace("9 %", "20 %") + '\n[flap]\nchord = "19 %"\n'
    )
    assert [row.station for row in read_vane_rows(path)] == [0.09, 0.20]


def test_co_rotating_needs_neither_gap_nor_opening(tmp_path: Path) -> None:
    (row,) = read_vane_rows(written(tmp_path, arrangement='"co-rotating"', gap=None, opening=None))
    assert row.gap == 0.0
    assert row.footprint == pytest.approx(0.02 * math.sin(math.radians(17.0)))
    (same,) = read_vane_rows(written(tmp_path, arrangement='"co-rotating"'))
    assert same == row


def test_zero_height_is_a_row_that_does_nothing(tmp_path: Path) -> None:
    assert read_vane_rows(written(tmp_path, height='"0 mm"'), chord_m=1.4)[0].height == 0.0


@pytest.mark.parametrize(
    ("changes", "error", "message"),
    [
        ({"pitch": '"7.2 mm"'}, RangeError, "pitch: found 7.2 mm, where one pair is 29.7 mm wide"),
        ({"pitch": '"25 mm"'}, RangeError, "the vanes would overlap"),
        ({"pitch": '"720 mm"'}, RangeError, "pitch: found '720 mm'; needs 0.1 to 500 mm"),
        ({"height": '"70 mm"'}, RangeError, "height: found '70 mm'; needs 0 to 25 mm"),
        ({"height": '"-7 mm"'}, RangeError, "needs 0 to 25 mm"),
        ({"height": '"7 in"'}, RangeError, "check its unit"),
        ({"length": '"200 mm"'}, RangeError, "length: found '200 mm'"),
        ({"length": '"2 mm"'}, RangeError, "at least half the height"),
        ({"incidence": '"45 deg"'}, RangeError, "incidence: found '45 deg'; needs 2 to 40 deg"),
        ({"incidence": '"0.3 deg"'}, RangeError, 'write "rad" if radians are meant'),
        ({"incidence": '"17 rad"'}, RangeError, "needs 2 to 40 deg"),
        ({"incidence": '"-17 deg"'}, RangeError, "needs 2 to 40 deg"),
        ({"station": '"0.5 %"'}, RangeError, "1 % to 90 % of chord"),
        ({"station": '"95 %"'}, RangeError, "1 % to 90 % of chord"),
        ({"station": "9"}, UnitError, "station: found 9"),
        ({"station": '"105 mm"'}, UnitError, "a share such as"),
        ({"height": "7"}, UnitError, "height: found 7 without a unit"),
        ({"height": '"7"'}, UnitError, "without a unit"),
        ({"height": '"7 deg"'}, UnitError, "an angle"),
        ({"pitch": None}, InputError, "vane_row: found no 'pitch'"),
        (
            {"pitch": None, "pich": '"72 mm"'},
            InputError,
            "no 'pitch' but 'pich'; .* rename 'pich' to 'pitch'",
        ),
        ({"colour": '"red"'}, InputError, "unknown key 'colour'"),
        ({"spanfrom": '"1 m"'}, InputError, "did you mean 'span_from'"),
        ({"arrangement": '"counter rotating"'}, InputError, "did you mean 'counter-rotating'"),
        ({"arrangement": "3"}, InputError, "arrangement: found '?3'?; needs one of"),
        ({"opening": '"up"'}, InputError, "opening: found 'up'"),
        ({"opening": None}, InputError, "no 'opening'"),
        ({"gap": None}, InputError, "no 'gap'"),
        ({"opening": '"upstream"', "gap": '"5 mm"'}, RangeError, "would cross behind"),
        ({"element": '"flaperon"'}, InputError, "no vanes on a moving surface"),
        ({"element": '"wing"'}, InputError, "element: found 'wing'"),
        ({"surface": '"top"'}, InputError, "surface: found 'top'"),
        ({"shape": '"round"'}, InputError, "shape: found 'round'"),
        ({"span_from": '"4 m"', "span_to": '"1 m"'}, RangeError, "the end outboard of the start"),
    ],
)
def test_nonsense_is_refused_in_one_line(
    tmp_path: Path, changes: dict[str, str | None], error: type[InputError], message: str
) -> None:
    path = written(tmp_path, **changes)
    with pytest.raises(error, match=message) as caught:
        read_vane_rows(path)
    assert str(caught.value).startswith(str(path))
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("", "an empty file"),
        ("height = 7 mm", "a slip in the TOML.*line 1"),
        ("[vane_row]\nheight = '7 mm'", "double the square brackets"),
        ("[aircraft]\nname = 'x'", "found no .*vane_row"),
        ("[[vane_rows]]\nheight = '7 mm'", "did you mean 'vane_row'"),
        ("vane_row = [1, 2]", "needs a table"),
    ],
)
def test_files_without_a_row_are_refused(tmp_path: Path, text: str, message: str) -> None:
    path = tmp_path / "vanes.toml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(InputError, match=message) as caught:
        read_vane_rows(path)
    assert "\n" not in str(caught.value)


def test_missing_folder_and_binary_files_are_refused(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="no such file"):
        read_vane_rows(tmp_path / "none.toml")
    with pytest.raises(InputError, match="a folder"):
        read_vane_rows(tmp_path)
    (tmp_path / "b.toml").write_bytes(b"\x00\x01\x02")
    with pytest.raises(InputError, match="a binary file"):
        read_vane_rows(tmp_path / "b.toml")
    (tmp_path / "l.toml").write_bytes(b"#" * 1_000_002)
    with pytest.raises(InputError, match="more than 1,000,000 bytes"):
        read_vane_rows(tmp_path / "l.toml")


def test_size_against_the_chord(tmp_path: Path) -> None:
    path = written(tmp_path)
    assert read_vane_rows(path, chord_m=1.4)
    with pytest.raises(RangeError, match=r"11.1 % of a chord of 63 mm; needs at most 3 % of chord"):
        read_vane_rows(path, chord_m=0.063)
    with pytest.raises(RangeError, match="vanes that end at 101 %"):
        read_vane_rows(written(tmp_path, station='"90 %"', height='"2 mm"'), chord_m=0.18)
    with pytest.raises(RangeError, match="chord above zero"):
        check_against_chord(read_vane_rows(path)[0], chord_m=float("nan"), where="x")


@pytest.mark.parametrize("name", ["station", "height", "length", "pitch", "incidence", "gap"])
@pytest.mark.parametrize("value", [-0.01, math.nan, math.inf])
def test_a_row_made_in_python_is_checked_too(name: str, value: float) -> None:
    good = {"station": 0.1, "height": 0.007, "length": 0.02, "pitch": 0.07, "incidence": 0.3, "gap": 0.02}
    with pytest.raises(RangeError, match=f"vane_row {name}"):
        VaneRow(**{**good, name: value})  # type: ignore[arg-type]


@given(
    station=st.floats(0.02, 0.6),
    length=st.floats(0.005, 0.05),
    incidence=st.floats(0.05, 0.6),
    opening=st.sampled_from(["upstream", "downstream"]),
)
def test_trailing_tips_lie_a_vane_behind_along_the_skin(
    station: float, length: float, incidence: float, opening: str
) -> None:
    section = naca_section("4415")
    row = VaneRow(
        station=station,
        height=0.007,
        length=length,
        pitch=0.2,
        incidence=incidence,
        gap=0.06,
        opening=opening,
    )
    tips = vane_trailing_station(row, section, 1.4)
    forward = skin_station(section, station=station).skin_distance
    assert tips.skin_distance - forward == pytest.approx(length * math.cos(incidence) / 1.4, abs=1e-12)
    assert skin_station(section, station=tips.station).skin_distance == pytest.approx(
        tips.skin_distance, abs=1e-8
    )
    widths = {row.gap, row.trailing_gap}
    assert max(widths) - min(widths) == pytest.approx(2 * length * math.sin(incidence))
    assert row.footprint == pytest.approx(max(widths))


def test_trailing_tips_on_a_flat_stretch() -> None:
    """A 20 mm vane at 17 deg on a 1.4 m chord covers 1.37 % of chord (physics.md: about 17 mm or 1.2 %)."""
    row = VaneRow(
        station=0.35, height=0.007, length=0.02, pitch=0.072, incidence=math.radians(17.0), gap=0.018
    )
    tips = vane_trailing_station(row, naca_section("0012"), 1.4)
    assert tips.station - 0.35 == pytest.approx(0.02 * math.cos(math.radians(17.0)) / 1.4, rel=1e-3)
