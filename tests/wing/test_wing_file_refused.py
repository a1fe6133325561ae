"""What a wing.toml is refused for: one line that names file, table and key, and the likely slip."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from slowflight.errors import InputError, RangeError, SectionError, UnitError
from slowflight.wing.wing_file import read_wing_file
from tests.wing.wing_files import GOOD, LEAST, changed, written

R, U, IN = RangeError, UnitError, InputError
SETTINGS, POSITIONS = '["0 deg", "15 deg", "30 deg"]', '["4 %", "8 %", "12 %"]'
# A row like the candidate of GOOD.
ROW = """
[[vane_row]]
station = "6 %"
height = "8 mm"
length = "24 mm"
incidence = "16 deg"
arrangement = "counter-rotating"
opening = "downstream"
pitch = "80 mm"
gap = "20 mm"
"""


def refused(folder: Path, text: str, error: type[InputError] = InputError) -> str:
    """The message, without the file's name in front."""
    path = written(folder, text)
    with pytest.raises(error) as caught:
        read_wing_file(path)
    message = str(caught.value)
    assert message.startswith(str(path)), message
    assert "\n" not in message
    assert "; needs " in message
    assert caught.value.exit_code == 2
    return message.removeprefix(str(path)).lstrip(": ")


@pytest.mark.parametrize(
    ("line", "message"),
    [
        ('mass = "520 kg"\n', "aircraft: found no 'mass'"),
        ('slowest_indicated_speed = "38 kt"\n', "aircraft: found no 'slowest_indicated_speed'"),
        ('three_point_attitude = "11 deg"\n', "aircraft: found no 'three_point_attitude'"),
        ('span = "9.6 m"\n', "wing: found no 'span'"),
        ('chord = "1500 mm"\n', "wing.section: found no 'chord'"),
        ('kind = "plain"\n', "flap: found no 'kind'"),
        ('settings = ["0 deg", "30 deg"]\n', "flap: found no 'settings'"),
        ('[[wing.section]]\nchord = "1500 mm"\n', "wing: found no [[wing.section]]"),
    ],
)
def test_a_required_key_is_missing_or_unknown(tmp_path: Path, line: str, message: str) -> None:
    assert refused(tmp_path, changed(line, "", LEAST)).startswith(message)
    if "[[" not in line:
        key = line.split(" = ")[0]
        unknown = refused(tmp_path, changed(line, f'{key} = "unknown"\n', LEAST))
        assert unknown.startswith(f"{message.split(':')[0]} {key}: found")
        assert "measure" in unknown


@pytest.mark.parametrize("table", ["aircraft", "wing", "flap"])
def test_a_required_table_is_missing(tmp_path: Path, table: str) -> None:
    parts = re.split(r"(?m)^(?=\[\w)", LEAST)
    text = "".join(part for part in parts if not part.startswith(f"[{table}]"))
    text = text.replace('[[wing.section]]\nchord = "1500 mm"\n', "") if table == "wing" else text
    message = refused(tmp_path, text)
    assert message.startswith(f"found no [{table}]; needs that table with ")


@pytest.mark.parametrize(
    ("old", "new", "error", "message"),
    [
        # units that are missing or slipped
        ('"520 kg"', "520", U, "aircraft mass: found 520 without a unit; needs a mass"),
        ('"520 kg"', '"520"', U, "aircraft mass: found '520' without a unit"),
        ('"520 kg"', '"520 mm"', U, "aircraft mass: found '520 mm', a length"),
        ('"520 kg"', '"1500 kg"', R, 'aircraft mass: found 1500 kg on 13.44 m2 of wing, 112 kg/m2'),
        ('"520 kg"', '"1500 kg"', R, 'perhaps "1500 lb" is meant'),
        ('"520 kg"', '"nan kg"', U, "aircraft mass: found 'nan kg'"),
        ('"520 kg"', '"-520 kg"', R, "aircraft mass: found '-520 kg'; needs 90 kg to 2500 kg"),
        ('"520 kg"', "[520]", U, "aircraft mass: found [520]"),
        ('"520 kg"', "true", U, "aircraft mass: found True"),
        ('"520 kg"', "nan", U, "aircraft mass: found nan without a unit"),
        ('"1600 mm"', '"63 mm"', R, "section 1 chord: found '63 mm'; needs 300 mm to 4 m; perhaps"),
        ('"1600 mm"', '"63 mm"', R, '"63 in" is meant'),
        ('"1600 mm"', '"1600 in"', R, 'perhaps "1600 mm" is meant'),
        ('"9.6 m"', '"9.6 ft"', R, "wing span: found '9.6 ft'; needs 4 m to 20 m; perhaps \"9.6 m\""),
        ('"9.6 m"', '"4.8 m"', R, "section 2 span_station: found 4.800 m, beyond the tip"),
        ('"38 kt"', '"38 m/s"', R, 'perhaps "38 kt" or "38 mph" or "38 km/h" is'),
        ('"85 kt"', '"60 km/h"', R, "aircraft cruise_speed: found 32.4 kt; needs more than"),
        # degrees for radians, and the other way round
        ('"11 deg"', '"0.19 deg"', R, "three_point_attitude: found '0.19 deg'; needs 2 deg to 25 deg"),
        ('"11 deg"', '"0.19 deg"', R, 'perhaps "0.19 rad" is meant'),
        ('"11 deg"', '"11 rad"', R, 'perhaps "11 deg" is meant'),
        ('"3 deg"', '"0.052 deg"', R, "wing incidence: found '0.052 deg'; needs zero, or 0.1 deg"),
        ('"3 deg"', '"3 rad"', R, "wing incidence: found '3 rad'; needs -4 deg to 12 deg; perhaps"),
        ('"2 deg"', '"0.035 deg"', R, "wing.section 2 washout: found '0.035 deg'"),
        (SETTINGS, '["0 deg", "0.52 deg"]', R, 'perhaps "0.52 rad" is meant'),
        (SETTINGS, '["0 rad", "30 rad"]', R, 'perhaps "30 deg" is meant'),
        ('"16 deg"', '"0.28 deg"', R, "candidate incidence: found '0.28 deg'"),
        ('"16 deg"', '"0.28 deg"', R, 'write "rad" if radians are meant'),
        # vanes
        ('"80 mm"', '"8 mm"', R, "candidate pitch: found 8.0 mm, where one pair is 33.2 mm wide"),
        ('"8 mm"', '"80 mm"', R, "candidate height: found '80 mm'; needs 0.3 mm to 25 mm"),
        ('"8 mm"', '"8 in"', R, 'perhaps "8 mm" is meant'),
        ('"8 mm"', '"0 mm"', R, "candidate height: found '0 mm'"),
        ('"24 mm"', '"3 mm"', R, "candidate length: found 3.0 mm for vanes 8.0 mm high"),
        ('"counter-rotating"', '"counter rotating"', IN, "did you mean 'counter-rotating'?"),
        ('"sharp"', '"shard"', IN, "candidate edges: found 'shard'"),
        ('edges = "sharp"', 'edge = "sharp"', IN, "candidate: found the unknown key 'edge'"),
        ('edges = "sharp"', 'station = "8 %"', IN, "candidate station: found a place for a candidate"),
        ('edges = "sharp"', 'mass_each = "1 kg"', R, "candidate mass_each: found '1 kg'"),
        ('[[candidate]]', '[candidate]', IN, "found [candidate]; needs [[candidate]]"),
        # the wing
        ('"naca2414"', '"rib9.csv"', IN, "wing.section 1 airfoil: found 'rib9.csv', no such file"),
        ('"naca2412"', '"naca24124124"', IN, "wing.section 2 airfoil: found"),
        ('"1200 mm"', '"310 mm"', R, "wing.section chord: found chords of 310 mm and 1600 mm"),
        ('"4.8 m"', '"3.8 m"', R, "wing.section 2 span_station: found a last section 1.000 m short"),
        ('"4.8 m"', '"0 m"', R, "wing.section 2 span_station: found 0.000 m after 0.000 m"),
        ('"1600 mm"', '"1600 mm"\nwashout = "1 deg"', R, "section 1 washout: found 1.0 deg at the root"),
        ('"1.2 m"', '"1.2 mm"', R, "wing cabin_width: found '1.2 mm'; needs 400 mm to 2.5 m; perhaps"),
        ('[wing]', '[wings]', IN, "did you mean 'wing'?"),
        ('incidence = "3 deg"', 'incidense = "3 deg"', IN, "wing: found the unknown key 'incidense'"),
        # the flap
        ('"plain"', '"plane"', IN, "flap kind: found 'plane'"),
        ('"25 %"', '"25"', U, "flap chord: found '25'"),
        ('"25 %"', '"65 %"', R, "flap chord: found '65 %'; needs 5 % to 50 %"),
        ('"lower"', '"below"', U, "flap hinge: found 'below'"),
        ('"lower"', '"-30 %"', R, "flap, on naca2414, flap hinge: found a height of -30.00 %"),
        (SETTINGS, '"30 deg"', IN, "flap settings: found '30 deg'; needs a list"),
        (SETTINGS, "[]", IN, "flap settings: found []"),
        (SETTINGS, '["30 deg", "30 deg"]', IN, "flap settings: found 30 deg twice"),
        (SETTINGS, '["0 deg", "15 deg"]', R, "slowest_flap_setting: found 30.0 deg"),
        (SETTINGS, '["0 deg", 30]', U, "flap settings: found 30 without a unit"),
        ('hinge = "lower"', 'axis_aft = "1 %"', IN, "flap axis_aft: found a value; needs none for a plain"),
        ('hinge = "lower"', 'airfoil = "naca0010"', IN, "flap airfoil: found a value; needs none"),
        ('hinge = "lower"', 'span_to = "9 m"', R, "flap span_to: found '9 m'; needs 0 m to 4.8000 m"),
        # the question
        (POSITIONS, '["4 %", "4 %"]', IN, "question positions: found one value twice"),
        (POSITIONS, "[4, 8]", U, "question positions: found 4"),
        (POSITIONS, '"4 %"', IN, "question positions: found '4 %'; needs a list"),
        (POSITIONS, '["95 %"]', R, "question positions: found '95 %'"),
        ('[0.8, 1.2]', '[0.8, "1.2 mm"]', U, "question height_factors: found '1.2 mm'"),
        ('[0.8, 1.2]', '[0.8, 12]', R, "question height_factors: found 12"),
        ('[0.8, 1.2]', '[nan]', R, "question height_factors: found nan"),
        ('[0.8, 1.2]', '[4.9]', R, "question height_factors: found 4.9, a height of 39.2 mm for 'tall'"),
        ('"1000 ft"', '"1000 m/s"', U, "question density_altitude: found '1000 m/s'"),
        ('"1000 ft"', '"9000 m"', R, "question density_altitude: found '9000 m'"),
        ('"4.6 m"', '"0.6 m"', R, "question row_to: found a row from 0.7000 m to 0.6000 m"),
        ('"4.6 m"', '"4.9 m"', R, "question row_to: found '4.9 m'; needs 0 m to 4.8000 m"),
        ('[question]', '[questions]', IN, "did you mean 'question'?"),
        # the aircraft's words
        ('"Test bird"', "7", IN, "aircraft name: found 7; needs words in quotes"),
        ('name = "Test bird"', "baseline_stalls = true", IN, "aircraft baseline_stalls: found True"),
        ('name = "Test bird"', 'power = "80"', U, "aircraft power: found '80'; needs a power"),
        ('name = "Test bird"', 'center_of_gravity = "25 %"', IN, "did you mean 'centre_of_gravity'?"),
        ('name = "Test bird"', 'centre_of_gravity = "250 mm"', U, "aircraft centre_of_gravity"),
        ('name = "Test bird"', "name = Test bird", IN, "found a slip in the TOML"),
    ],
)  # fmt: skip
def test_what_makes_no_sense(
    tmp_path: Path, old: str, new: str, error: type[InputError], message: str
) -> None:
    assert message in refused(tmp_path, changed(old, new), error)


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ('"80 mm"', '"8 mm"', "vane_row pitch: found 8.0 mm"),
        ('"8 mm"', '"80 mm"', "vane_row height: found '80 mm'"),
        ('"6 %"', '"6 mm"', "vane_row station: found '6 mm'"),
        ('"16 deg"', '"0.28 deg"', 'write "rad" if radians are meant'),
        ('"6 %"', '"6 %"\nspan_to = "5 m"', "vane_row span_to: found 5.000 m; needs 0 to 4.800 m"),
        ('"6 %"', '"6 %"\nspan_from = "-1 m"', "vane_row span_from: found -1.000 m"),
        ('"6 %"', '"6 %"\nname = 3', "vane_row name: found 3"),
        ('"6 %"', '"6 %"\nelement = "flaperon"', "this version puts no vanes on a moving surface"),
        ("[[vane_row]]", "[vane_row]", "found [vane_row]; needs [[vane_row]]"),
    ],
)
def test_rows_that_cannot_stand(tmp_path: Path, old: str, new: str, message: str) -> None:
    assert message in refused(tmp_path, GOOD + changed(old, new, ROW))


def test_a_row_is_set_against_the_chord_where_it_stands(tmp_path: Path) -> None:
    """3 % of the tip's chord is less than 20 mm, 3 % of the root's is more."""
    text = changed('"1200 mm"', '"600 mm"', GOOD)
    text = changed('row_to = "4.6 m"', 'row_to = "2 m"', text)
    row = changed('"8 mm"', '"20 mm"', ROW)
    assert "of a chord of 600 mm" in refused(tmp_path, text + row, RangeError)
    inboard = changed('"6 %"', '"6 %"\nspan_from = "0.7 m"\nspan_to = "1.5 m"', row)
    assert len(read_wing_file(written(tmp_path, text + inboard)).rows) == 1


def test_a_candidate_is_set_against_the_chord_where_the_row_is_to_stand(tmp_path: Path) -> None:
    text = changed('"1200 mm"', '"600 mm"')
    text = changed('"8 mm"', '"19.5 mm"', text)
    text = changed("[0.8, 1.2]", "[0.8]", text)
    message = refused(tmp_path, text, RangeError)
    assert message.startswith("candidate height: found 19.5 mm, 3.0 % of a chord of 642 mm")


def test_co_rotating_vanes_closer_than_two_heights(tmp_path: Path) -> None:
    """A pitch of 80 mm slipped to 8 mm, where vanes of a slender row do not overlap."""
    text = changed('"counter-rotating"', '"co-rotating"')
    text = changed('pitch = "80 mm"', 'pitch = "8 mm"', text)
    assert "candidate pitch: found 8.0 mm for vanes 8.0 mm high" in refused(tmp_path, text, RangeError)

    row = changed('"counter-rotating"', '"co-rotating"', ROW)
    row = changed('pitch = "80 mm"', 'pitch = "8 mm"', row)
    assert "vane_row pitch: found 8.0 mm for vanes 8.0 mm high" in refused(tmp_path, GOOD + row, RangeError)


def test_the_shortest_chord_under_a_row_counts(tmp_path: Path) -> None:
    """A waist of 500 mm half way out, between chords on which 20 mm would be allowed."""
    waist = '[[wing.section]]\nspan_station = "2 m"\nchord = "500 mm"\n\n# the tip\n'
    text = changed("# the tip\n", waist)
    row = changed('"8 mm"', '"20 mm"', ROW)
    row = changed('"6 %"', '"6 %"\nspan_from = "0.7 m"\nspan_to = "4.6 m"', row)
    assert "of a chord of 500 mm" in refused(tmp_path, text + row, RangeError)


def test_half_the_span(tmp_path: Path) -> None:
    """A single section of 1.5 m on 4.8 m."""
    message = refused(tmp_path, changed('"9.6 m"', '"4.8 m"', LEAST), RangeError)
    assert message.startswith("wing span: found 4.800 m, 3.2 times the mean chord of 1500 mm")
    assert message.endswith("give the span from tip to tip, not of one half")


@pytest.mark.parametrize("setting", ["10 deg", "0.17 rad"])
def test_a_wing_without_a_flap_has_one_setting(tmp_path: Path, setting: str) -> None:
    text = LEAST.replace('kind = "plain"\nsettings = ["0 deg", "30 deg"]', 'kind = "none"')
    text = text.replace("[wing]", f'slowest_flap_setting = "{setting}"\n[wing]')
    assert "needs 0 deg on a wing without" in refused(tmp_path, text, RangeError)


@pytest.mark.parametrize(
    ("points", "message"),
    [
        ("", "an empty file"),
        ("0 0\nnan 0.1\n1 0\n", "rib.csv"),
        ("\n".join(f"{1 - i / 50000:.6f} {0.001}" for i in range(100_000)), "rib.csv"),
        ("1 0.05\n0.5 -0.05\n0 0\n0.5 0.05\n1 -0.05\n" * 6, "rib.csv"),
    ],
)
def test_an_airfoil_file_that_is_none(tmp_path: Path, points: str, message: str) -> None:
    """Empty, not a number, 100,000 points, crossing: the message names the airfoil's own file."""
    rib = tmp_path / "rib.csv"
    rib.write_text(points, encoding="utf-8")
    path = written(tmp_path, changed('"naca2414"', '"rib.csv"'))
    with pytest.raises(InputError, match=re.escape(message)) as caught:
        read_wing_file(path)
    assert str(caught.value).startswith(str(rib))
    assert "\n" not in str(caught.value)


def test_a_wing_file_that_is_none(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="no such file"):
        read_wing_file(tmp_path / "wing.toml")
    with pytest.raises(InputError, match="a folder"):
        read_wing_file(tmp_path)
    assert "an empty file" in refused(tmp_path, "")
    assert "found no [aircraft]" in refused(tmp_path, "# nothing yet\n")
    with_number = "aircraft = 3\n" + LEAST[LEAST.index("[wing]") :]
    assert "aircraft: found 3; needs a table" in refused(tmp_path, with_number)


def test_crossing_readings_name_their_line(tmp_path: Path) -> None:
    rows = "\n".join(f"{160 * i} {10 * i} {-5 * i}" for i in range(11)).replace("480 30 -15", "480 -30 15")
    (tmp_path / "rib.csv").write_text(f"station mm, upper mm, lower mm\n{rows}\n", encoding="utf-8")
    path = written(tmp_path, changed('"naca2414"', '"rib.csv"'))
    with pytest.raises(SectionError, match=r"rib\.csv"):
        read_wing_file(path)


@given(
    place=st.integers(0, len(GOOD) - 1),
    junk=st.sampled_from(['"', "[", "]", "=", "0", "-", "9", "\n", "x", " to ", "%", "\u2212", "#"]),
    cut=st.integers(0, 5),
)
def test_a_slip_of_the_finger_is_understood_or_refused(
    tmp_path_factory: pytest.TempPathFactory, place: int, junk: str, cut: int
) -> None:
    """Whatever is typed anywhere: a wing file or one line, never another error."""
    path = tmp_path_factory.mktemp("slip") / "wing.toml"
    path.write_text(GOOD[:place] + junk + GOOD[place + cut :], encoding="utf-8")
    try:
        read_wing_file(path)
    except InputError as error:
        message = str(error)
    else:
        return
    assert "\n" not in message
    assert str(path) in message
