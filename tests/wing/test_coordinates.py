"""Files of points as people write them: one section in many forms, and what is refused."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from slowflight.errors import InputError, RangeError, SectionError
from slowflight.wing.airfoils import airfoil
from slowflight.wing.coordinates import read_coordinates
from slowflight.wing.naca import naca_section
from slowflight.wing.outline import FloatArray
from slowflight.wing.section import Section

TRUE = naca_section("4415", points=81)
LOOP = np.column_stack((TRUE.x, TRUE.y))
UPPER, LOWER = LOOP[40:], LOOP[40::-1]


def text(points: FloatArray, separator: str = " ", form: str = "{:.7f}") -> str:
    return "\n".join(separator.join(form.format(value) for value in row) for row in points)


def two(first: FloatArray, second: FloatArray, between: str = "\n\n") -> str:
    return text(first) + between + text(second)


def read(folder: Path, content: str | bytes, **options: float) -> Section:
    path = folder / "rib.dat"
    path.write_bytes(content if isinstance(content, bytes) else content.encode("utf-8"))
    return read_coordinates(path, **options)


def turned(points: FloatArray, *, degrees: float, size: float, shift: tuple[float, float]) -> FloatArray:
    cosine, sine = np.cos(np.radians(degrees)), np.sin(np.radians(degrees))
    moved: FloatArray = size * points @ np.array([[cosine, sine], [-sine, cosine]]) + np.array(shift)
    return moved


FORMS: dict[str, str | bytes] = {
    "loop from the lower trailing edge": text(LOOP),
    "loop from the upper trailing edge": text(LOOP[::-1]),
    "two surfaces, blank between": two(UPPER, LOWER),
    "two surfaces, lower first": two(LOWER, UPPER),
    "two surfaces, counted": "41 41\n" + two(UPPER, LOWER, "\n"),
    "two surfaces, counted with points": "41. 41.\n\n" + two(UPPER, LOWER),
    "two surfaces, each counted": f"41\n{text(UPPER)}\n41\n{text(LOWER)}",
    "two surfaces, titled": f"Upper surface\n{text(UPPER)}\nLower surface\n{text(LOWER)}",
    "two surfaces, nothing between": two(UPPER, LOWER, "\n"),
    "two surfaces, each from the trailing edge": two(UPPER[::-1], LOWER[::-1]),
    "loop from the nose, upper first": text(np.vstack((UPPER, LOWER[::-1]))),
    "loop from the nose, lower first": text(np.vstack((LOWER, UPPER[::-1]))),
    "loop from mid chord": text(np.roll(LOOP, 13, axis=0)),
    "loop closed over the thick trailing edge": text(np.vstack((LOOP, LOOP[:1]))),
    "loop from the middle of the trailing edge": text(np.vstack(([1.0, 0.0], LOOP, [1.0, 0.0]))),
    "per cent, said": "units: %\n" + text(100 * LOOP),
    "per cent, by size": text(100 * LOOP),
    "doubled points": text(np.repeat(LOOP, 2, axis=0)),
    "third column of zeros": text(np.column_stack((LOOP, 0.0 * LOOP[:, 0]))),
    "comma separated": "x/c, y/c\n" + text(LOOP, ", "),
    "tabs": text(LOOP, "\t"),
    "semicolons": text(LOOP, ";"),
    "decimal commas": text(LOOP).replace(".", ","),
    "decimal commas and semicolons": text(LOOP, ";").replace(".", ","),
    "decimal commas, tabs and a trailing comma": text(LOOP, ",\t").replace(".", ","),
    "exponents of old": text(LOOP, form="{:.9E}").replace("E", "D"),
    "comments of four kinds": "# a\n! b\n; c\n// d\n" + text(LOOP) + "\n# end\n",
    "comments behind the numbers": text(LOOP).replace("\n", "  # a point\n"),
    "a comment at the nose": text(LOOP[:41]) + "\n# nose\n" + text(LOOP[41:]),
    "windows lines and a byte order mark": b"\xef\xbb\xbf" + text(LOOP).replace("\n", "\r\n").encode(),
    "two bytes to a letter": text(LOOP).encode("utf-16"),
    "typeset minus signs": text(LOOP).replace("-", "−"),
}


@pytest.mark.parametrize("form", FORMS)
def test_one_section_in_many_forms(tmp_path: Path, form: str) -> None:
    section = read(tmp_path, FORMS[form])
    assert section.x == pytest.approx(TRUE.x, abs=2e-7)
    assert section.y == pytest.approx(TRUE.y, abs=2e-7)
    assert section.chord_m is None
    assert section.cautions == ()
    assert section.source == str(tmp_path / "rib.dat")


REAL: dict[str, tuple[str, float]] = {
    "mm": ("units: mm\n" + text(1500 * LOOP), 1.5),
    "mm in a comment": ("# rib 3, all dimensions in mm\n" + text(1500 * LOOP), 1.5),
    "mm in the column names": ("x_mm, y_mm\n" + text(1500 * LOOP, ", "), 1.5),
    "inches in brackets": ("Rib in foam [in]\n" + text(60 * LOOP), 1.524),
    "inches in words": ("measured in inches\n" + text(60 * LOOP), 1.524),
    "a hundred inches": ("units: in\n" + text(100 * LOOP), 2.54),
    "feet": ("units ft\n" + text(5 * LOOP), 1.524),
    "meters": ("units m\n" + text(1.3 * LOOP), 1.3),
    "unit chord of a stated size": ("# chord: 5 ft 3 in\n" + text(LOOP), 1.6002),
    "mm and the stated chord": ("units: mm\n# chord 1500 mm\n" + text(1500 * LOOP), 1.5),
}


@pytest.mark.parametrize("form", REAL)
def test_real_sizes(tmp_path: Path, form: str) -> None:
    content, chord = REAL[form]
    section = read(tmp_path, content)
    assert section.chord_m == pytest.approx(chord, rel=1e-6)
    assert section.x == pytest.approx(TRUE.x, abs=2e-7)


@pytest.mark.parametrize(("size", "unit"), [(1500.0, "mm"), (1500.0 / 25.4, "in"), (150.0, "cm")])
def test_a_chord_from_elsewhere_decides_the_unit(tmp_path: Path, size: float, unit: str) -> None:
    section = read(tmp_path, text(size * LOOP), chord=1.5)
    assert section.chord_m == pytest.approx(1.5, rel=1e-6)
    assert f"taken as {unit}" in section.notes[-1]


@given(degrees=st.floats(-15.0, 15.0), right=st.floats(20.0, 300.0), up=st.floats(-300.0, 300.0))
def test_a_moved_and_turned_drawing_is_laid_level(
    tmp_path_factory: pytest.TempPathFactory, degrees: float, right: float, up: float
) -> None:
    """A symmetrical section, whose nose is also its farthest point, comes back as it was.

    Away from the origin, where the file's own axes would be taken for the chord line.
    """
    true = naca_section("0012", points=121)
    points = turned(np.column_stack((true.x, true.y)), degrees=degrees, size=1500.0, shift=(right, up))
    section = read(tmp_path_factory.mktemp("rib"), "units: mm\n" + text(points))
    assert section.x == pytest.approx(true.x, abs=3e-6)
    assert section.y == pytest.approx(true.y, abs=3e-6)
    assert section.chord_m == pytest.approx(1.5, rel=3e-6)


def test_turning_is_said_and_keeping_is_said(tmp_path: Path) -> None:
    moved = read(tmp_path, "units: mm\n" + text(turned(LOOP, degrees=5.0, size=1500.0, shift=(20.0, 30.0))))
    assert any(note.startswith("turned by -4.") for note in moved.notes)
    assert any(note.startswith("moved the nose from") for note in moved.notes)
    assert "kept the file's own chord line" in read(tmp_path, text(LOOP)).notes


def test_coarse_points_do_not_shorten_the_chord(tmp_path: Path) -> None:
    """The nose lies between points: the farthest point of the smooth curve stands for it."""
    true = naca_section("0012", points=81)
    points = np.column_stack((true.x, true.y))
    points = np.delete(points, 40, axis=0)
    section = read(tmp_path, "units: mm\n" + text(1500 * points + [10.0, 5.0]))
    assert section.chord_m == pytest.approx(1.5, rel=2e-4)


def test_names(tmp_path: Path) -> None:
    assert read(tmp_path, "My best rib, no. 3\n" + text(LOOP)).name == "My best rib, no. 3"
    assert read(tmp_path, "units: mm\n" + text(1500 * LOOP)).name == "rib"
    assert read(tmp_path, "Flügelrippe\n".encode("latin-1") + text(LOOP).encode()).name == "Flügelrippe"


def test_error_bar_is_kept(tmp_path: Path) -> None:
    assert read(tmp_path, "# error ±0.5 mm\n" + text(LOOP)).error_bar_m == pytest.approx(5e-4)


def test_upside_down_is_flagged(tmp_path: Path) -> None:
    (caution,) = read(tmp_path, text(LOOP * [1.0, -1.0])).cautions
    assert "upside down" in caution


def spiked() -> FloatArray:
    return np.vstack((LOOP[:10], LOOP[70:71], LOOP[10:]))


REFUSED: dict[str, tuple[str | bytes, type[InputError], str]] = {
    "empty": ("", InputError, "an empty file"),
    "blank": (" \n\n ", InputError, "an empty file"),
    "binary": (b"\x89PNG\x00\x00\x01", InputError, "a binary file"),
    "words": ("hello\nworld\n", SectionError, "no numbers"),
    "NaN": (
        text(LOOP[:20]) + "\nnan 0.1\n" + text(LOOP[20:]),
        SectionError,
        "line 21: found 'nan 0.1'; needs finite",
    ),
    "infinity": (text(LOOP[:20]) + "\n0.1 inf\n" + text(LOOP[20:]), SectionError, "line 21.*finite"),
    "huge": (text(LOOP[:20]) + "\n1e308 0.1\n" + text(LOOP[20:]), SectionError, "line 21.*wing's size"),
    "letter O in the first line": (
        text(LOOP).replace("-0.0", "-O.0", 1),
        SectionError,
        "line 1: .*numbers only",
    ),
    "letter O later": (
        text(LOOP[:30]) + "\n0.5 O.06\n" + text(LOOP[30:]),
        SectionError,
        "line 31: found '0.5 O.06'",
    ),
    "one number": (
        text(LOOP[:30]) + "\n0.5\n" + text(LOOP[30:]),
        SectionError,
        "line 31: found 1 number; needs two",
    ),
    "third column of heights": (
        text(np.column_stack((LOOP, LOOP[:, 0]))),
        SectionError,
        "line 1: found 3 numbers",
    ),
    "few": (text(LOOP[::8]), SectionError, "11 points; needs at least 20"),
    "many": (
        text(np.repeat(LOOP, 1300, axis=0), form="{:.3f}"),
        SectionError,
        "105,300 points; needs at most 5,000",
    ),
    "crossing": (text(spiked()), SectionError, r"line 10: found an outline that crosses itself at x = 0\.87"),
    "figure of eight": (
        text(np.column_stack((TRUE.x, np.where(TRUE.x > 0.8, -TRUE.y, TRUE.y)))),
        SectionError,
        "crosses itself",
    ),
    "flat": (text(LOOP * [1.0, 0.0]), SectionError, "lie near one line"),
    "one surface": (text(UPPER), SectionError, "needs both surfaces"),
    "three surfaces": (two(UPPER, LOWER) + "\n\n" + text(LOWER), SectionError, "2 leaps along x"),
    "mirrored": (text([1.0, 0.0] - LOOP * [1.0, -1.0]), SectionError, "blunt end at the high end of x"),
    "x and y exchanged": (text(LOOP[:, ::-1]), SectionError, "chord line at -?80 deg"),
    "titles on the wrong side": (
        f"upper\n{text(LOWER)}\nlower\n{text(UPPER)}",
        SectionError,
        "on the other side; needs the upper surface above",
    ),
    "no unit": (
        text(1500 * LOOP),
        SectionError,
        'a chord of 1500 without a unit.*"units: mm" or "units: in"',
    ),
    "no unit, inches": (text(63 * LOOP), SectionError, "a chord of 63 without a unit"),
    "inches said to be mm": (
        "units: mm\n" + text(63 * LOOP),
        RangeError,
        'chord of 63 mm; .*write "units: in"',
    ),
    "mm said to be inches": (
        "units: in\n" + text(1500 * LOOP),
        RangeError,
        'chord of 1500 in; .*write "units: mm"',
    ),
    "inches said to be mm, chord stated": (
        "units: mm\n# chord 60 in\n" + text(60 * LOOP),
        SectionError,
        'needs the chord stated, 1524.0 mm; write "units: in"',
    ),
    "stated chord of another wing": (
        "units: mm\n# chord 1200 mm\n" + text(1500 * LOOP),
        SectionError,
        "mend the stated",
    ),
    "two units": ("units: mm\n# units: in\n" + text(1500 * LOOP), SectionError, "two units, mm and in"),
    "unit chord said to be per cent": (
        "units: %\n" + text(LOOP),
        SectionError,
        "in numbers said to be per cent",
    ),
    "commas of two meanings": (
        text(LOOP, ",").replace(".", ","),
        SectionError,
        "line 1: .*needs one meaning",
    ),
    "mixed commas": (
        text(LOOP[:40]).replace(".", ",") + "\n0,0\n" + text(LOOP[41:]).replace(".", ","),
        SectionError,
        "commas of another meaning than in line",
    ),
    "caliper offsets": (
        "station mm, upper mm, lower mm\n0, 0, 0\n",
        SectionError,
        "read it as caliper offsets",
    ),
    "thick trailing edge": (
        text(LOOP + np.linspace([0, -0.05], [0, 0.05], 81)),
        SectionError,
        "trailing edge 10",
    ),
}


@pytest.mark.parametrize("case", REFUSED)
def test_what_is_refused(tmp_path: Path, case: str) -> None:
    content, error, message = REFUSED[case]
    with pytest.raises(error, match=message) as caught:
        read(tmp_path, content)
    assert str(caught.value).startswith(str(tmp_path / "rib.dat"))
    assert "\n" not in str(caught.value)


def test_folders_and_missing_files_are_refused(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="a folder"):
        read_coordinates(tmp_path)
    with pytest.raises(InputError, match="no such file"):
        read_coordinates(tmp_path / "none.dat")


@given(content=st.binary(max_size=300))
def test_any_bytes_are_refused_in_one_line(tmp_path_factory: pytest.TempPathFactory, content: bytes) -> None:
    with pytest.raises(InputError) as caught:
        read(tmp_path_factory.mktemp("rib"), content)
    assert "\n" not in str(caught.value)


@given(
    rows=st.lists(st.tuples(st.floats(-2.0, 2.0), st.floats(-1.0, 1.0)), min_size=20, max_size=40),
)
def test_random_points_are_no_airfoil(
    tmp_path_factory: pytest.TempPathFactory, rows: list[tuple[float, float]]
) -> None:
    with pytest.raises(InputError) as caught:
        read(tmp_path_factory.mktemp("rib"), text(np.array(rows)))
    assert "\n" not in str(caught.value)


def test_one_door(tmp_path: Path) -> None:
    assert airfoil("naca 4415").name == "NACA 4415"
    (tmp_path / "rib.dat").write_text(text(1500 * LOOP))
    assert airfoil("rib.dat", base_folder=tmp_path, chord=1.5).chord_m == pytest.approx(1.5)
    assert airfoil(str(tmp_path / "rib.dat"), chord=1.5).name == "rib"
    with pytest.raises(InputError, match="give other families as a file"):
        airfoil("naca65-415")
    with pytest.raises(InputError, match="no such file"):
        airfoil("nothing.dat")
    with pytest.raises(InputError, match="a folder"):
        airfoil(str(tmp_path))
    for empty in ("", "  "):
        with pytest.raises(InputError, match="a NACA name or a file"):
            airfoil(empty)
