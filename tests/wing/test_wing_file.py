"""What a wing.toml is understood as: values in SI, stand-ins, ranges, cautions."""

from __future__ import annotations

import math
import pickle
from pathlib import Path

import pytest

from slowflight.wing.candidate import VaneCandidate
from slowflight.wing.flap import PlainFlap
from slowflight.wing.naca import naca_section
from slowflight.wing.wing_file import WingFile, read_wing_file
from tests.wing.wing_files import GOOD, LEAST, changed, written

ROW = """
[[vane_row]]
name = "inner"
station = "6 %"
height = "8 mm"
length = "24 mm"
incidence = "16 deg"
arrangement = "counter-rotating"
opening = "downstream"
pitch = "80 mm"
gap = "20 mm"
span_from = "0.7 m"
span_to = "2.5 m"
"""
KNOT = 1852.0 / 3600.0


def fields(found: WingFile) -> dict[str, str]:
    return {assumption.field: assumption.value for assumption in found.assumptions}


def test_a_full_file_in_si(tmp_path: Path) -> None:
    path = written(tmp_path)
    found = read_wing_file(path)
    aircraft, wing, flap = found.aircraft, found.wing, found.flap
    assert (aircraft.name, aircraft.mass) == ("Test bird", 520.0)
    assert aircraft.slowest_indicated_speed == pytest.approx(38.0 * KNOT)
    assert aircraft.cruise_speed == pytest.approx(85.0 * KNOT)
    assert aircraft.three_point_attitude == pytest.approx(math.radians(11.0))
    assert aircraft.slowest_flap_setting == pytest.approx(math.radians(30.0))
    assert wing.area == pytest.approx(9.6 * 1.4)  # plane geometry: a trapezoid each side
    assert wing.incidence == pytest.approx(math.radians(3.0))
    assert wing.washout_at(2.4) == pytest.approx(math.radians(1.0))
    assert [station.airfoil for station in wing.stations] == ["naca2414", "naca2412"]
    assert flap is not None
    assert flap.plain() == PlainFlap(chord=0.25, hinge="lower")
    assert flap.settings == pytest.approx([0.0, math.radians(15.0), math.radians(30.0)])
    (candidate,) = found.candidates
    assert candidate == VaneCandidate(
        name="tall",
        height=0.008,
        length=0.024,
        pitch=0.08,
        gap=0.02,
        incidence=math.radians(16.0),
        edges="sharp",
    )
    assert found.question.positions == (0.04, 0.08, 0.12)
    assert found.question.height_factors == (0.8, 1.2)
    assert found.question.density_altitude == pytest.approx(304.8)
    assert found.question.cruise_price == pytest.approx(2.0 * KNOT)
    assert (found.question.row_from, found.question.row_to) == (0.7, 4.6)
    assert found.rows == ()
    assert found.assumptions == ()
    assert found.ranges == {}
    assert found.path == path


def test_the_least_file_lists_all_that_stands_in(tmp_path: Path) -> None:
    """Every stand-in of the table in the documents, and what it rests on."""
    found = read_wing_file(written(tmp_path, LEAST))
    values = fields(found)
    assert values == {
        "aircraft.name": tmp_path.name,
        "aircraft.slowest_flap_setting": "30.00 deg",
        "aircraft.cruise_speed": "72.2 kt",
        "wing.incidence": "2 deg",
        "wing.cabin_width": "1.1 m",
        "wing.section.0.airfoil": "naca4415",
        "wing.section.0.washout": "0 deg",
        "flap.chord": "20 %",
        "flap.hinge": "middle",
        "candidate": "counter-rotating pairs, 7.5 mm high, 22.5 mm long, every 67.5 mm,"
        " 18.8 mm between forward tips, 16.0 deg",
        "question.positions": "2, 3, 5, 7, 10, 15, 20, 30 %",
        "question.height_factors": "0.7, 1, 1.4",
        "question.density_altitude": "0 ft",
        "question.cruise_price": "2 kt",
        "question.row_from": "0.5500 m",
        "question.row_to": "4.6560 m",
    }
    assert all(assumption.why for assumption in found.assumptions)
    assert found.aircraft.cruise_speed == pytest.approx(1.9 * 38.0 * KNOT)
    assert found.question.row_to == pytest.approx(0.97 * 4.8)
    assert found.question.positions[0] == 0.02
    assert found.wing.area == pytest.approx(9.6 * 1.5)


def test_unknown_reads_like_missing(tmp_path: Path) -> None:
    """Every value that may be missing, said to be unknown."""
    missing = read_wing_file(written(tmp_path, LEAST))
    unknown = LEAST.replace(
        "[wing]\n",
        'name = "unknown"\nslowest_flap_setting = "unknown"\ncruise_speed = "Unknown"\npower = "?"\n'
        'centre_of_gravity = "unknown"\napproval_route = "unknown"\nbaseline_stalls = "unknown"\n'
        'stall_warning = "unknown"\n[wing]\nincidence = "unknown"\ncabin_width = ""\n',
    )
    unknown = unknown.replace("[flap]\n", 'airfoil = "unknown"\nwashout = "unknown"\n[flap]\n')
    unknown += 'chord = "unknown"\nhinge = "unknown"\nspan_from = "unknown"\naxis_aft = "unknown"\n'
    unknown += '[question]\npositions = "unknown"\nheight_factors = "unknown"\ndensity_altitude = "unknown"\n'
    unknown += 'cruise_price = "unknown"\nrow_from = "unknown"\nrow_to = "unknown"\n'
    found = read_wing_file(written(tmp_path, unknown))
    assert found.assumptions == missing.assumptions
    assert found.aircraft == missing.aircraft
    assert found.flap == missing.flap
    assert found.question == missing.question
    assert found.cautions == missing.cautions


def test_a_range_stands_for_its_middle(tmp_path: Path) -> None:
    text = changed('"520 kg"', '"500 to 530 kg"')
    text = changed('"9.6 m"', '"9.55 m to 9.65 m"', text)
    text = changed('"1600 mm"', '"1590 to 1610 mm"', text)
    text = changed('"38 kt"', '"36 to 40 kt"', text)
    text = changed('"11 deg"', '"10.5 to 11.5 deg"', text)
    found = read_wing_file(written(tmp_path, text))
    assert found.aircraft.mass == 515.0
    assert found.ranges == {
        "aircraft.mass": (500.0, 530.0),
        "aircraft.slowest_indicated_speed": pytest.approx((36 * KNOT, 40 * KNOT)),
        "aircraft.three_point_attitude": pytest.approx((math.radians(10.5), math.radians(11.5))),
        "wing.span": pytest.approx((9.55, 9.65)),
        "wing.section.0.chord": pytest.approx((1.59, 1.61)),
    }
    said = {assumption.field: (assumption.value, assumption.why) for assumption in found.assumptions}
    assert said["aircraft.mass"] == ("515 kg", "the middle of the range given, 500 to 530 kg")
    assert said["wing.section.0.chord"][0] == "1600 mm"
    assert len(said) == 5


def test_places_and_heights_are_put_in_order(tmp_path: Path) -> None:
    text = changed('["4 %", "8 %", "12 %"]', '["12 %", 0.04, "0.08"]')
    text = changed("[0.8, 1.2]", '[1.2, "0.8", 1]', text)
    question = read_wing_file(written(tmp_path, text)).question
    assert question.positions == (0.04, 0.08, 0.12)
    assert question.height_factors == (0.8, 1.0, 1.2)


def test_a_wing_without_a_flap(tmp_path: Path) -> None:
    text = LEAST.replace('kind = "plain"\nsettings = ["0 deg", "30 deg"]', 'kind = "none"')
    found = read_wing_file(written(tmp_path, text))
    assert found.flap is None
    assert found.aircraft.slowest_flap_setting == 0.0
    assert "aircraft.slowest_flap_setting" not in fields(found)


def test_a_hung_flap_is_described_and_not_computed(tmp_path: Path) -> None:
    hung = """[flap]
kind = "hung"
chord = "22 %"
airfoil = "naca0010"
axis_aft = "1.2 %"
axis_below = "3 %"
axis_in_flap = "25 %"
settings = ["0 deg", "15 deg", "30 deg"]
"""
    text = GOOD[: GOOD.index("[flap]")] + hung + GOOD[GOOD.index("\n[[candidate]]") :]
    flap = read_wing_file(written(tmp_path, text)).flap
    assert flap is not None
    assert flap.plain() is None
    assert (flap.axis_aft, flap.axis_below, flap.axis_in_flap) == pytest.approx((0.012, 0.03, 0.25))
    assert flap.airfoil == "naca0010"


def test_rows_stand_and_become_candidates(tmp_path: Path) -> None:
    without = GOOD[: GOOD.index("[[candidate]]")] + GOOD[GOOD.index("[question]") :]
    second = ROW.replace("inner", "outer").replace("2.5 m", "4.4 m").replace('"0.7 m"', '"2.6 m"')
    found = read_wing_file(written(tmp_path, without + ROW + second + ROW.replace("8 mm", "7 mm")))
    assert [row.name for row in found.rows] == ["inner", "outer", "inner"]
    assert [row.span_to for row in found.rows] == [2.5, 4.4, 2.5]
    # The first two rows are of one kind of vane, and two candidates never share a name.
    assert [candidate.name for candidate in found.candidates] == ["inner", "inner (row 3)"]
    assert found.candidates[0].row(station=0.06, span_from=0.7, span_to=2.5) == found.rows[0]
    assert "candidate" not in fields(found)


def test_a_row_may_leave_its_ends_open(tmp_path: Path) -> None:
    row = ROW.replace('"2.5 m"', '"unknown"').replace('"inner"', '"unknown"')
    (found,) = read_wing_file(written(tmp_path, GOOD + row)).rows
    assert (found.name, found.span_from, found.span_to) == (None, 0.7, None)


def test_sizes_a_candidate_leaves_open(tmp_path: Path) -> None:
    text = LEAST + '[[candidate]]\nheight = "6 mm"\narrangement = "co-rotating"\npitch = "40 mm"\n'
    found = read_wing_file(written(tmp_path, text))
    (candidate,) = found.candidates
    assert (candidate.name, candidate.height, candidate.length) == pytest.approx(
        ("candidate 1", 0.006, 0.018)
    )
    assert (candidate.pitch, candidate.gap, candidate.edges) == (0.04, 0.0, "unknown")
    assert {"candidate.0.name", "candidate.0.length", "candidate.0.incidence"} < set(fields(found))
    assert "candidate.0.gap" not in fields(found)


def test_a_last_rib_short_of_the_tip_goes_on_to_it(tmp_path: Path) -> None:
    found = read_wing_file(written(tmp_path, changed('"4.8 m"', '"4.6 m"')))
    assert [station.span_station for station in found.wing.stations] == pytest.approx([0.0, 4.6, 4.8])
    assert found.wing.chord_at(4.7) == 1.2
    assert fields(found) == {"wing.section.2": "as at 4.600 m"}


def test_a_last_rib_at_the_tip_within_the_tape(tmp_path: Path) -> None:
    found = read_wing_file(written(tmp_path, changed('"4.8 m"', '"4805 mm"')))
    assert found.wing.stations[-1].span_station == found.wing.semi_span
    assert fields(found) == {}


def test_missing_places_are_root_and_tip(tmp_path: Path) -> None:
    text = changed('span_station = "0 m"\n', "")
    text = changed('span_station = "4.8 m"\n', "", text)
    text = changed('airfoil = "naca2412"\n', "", text)
    found = read_wing_file(written(tmp_path, text))
    assert [station.span_station for station in found.wing.stations] == [0.0, 4.8]
    assert found.wing.stations[1].airfoil == "naca2414"
    assert set(fields(found)) == {
        "wing.section.0.span_station",
        "wing.section.1.span_station",
        "wing.section.1.airfoil",
    }


def test_an_airfoil_file_lies_beside_the_wing_file(tmp_path: Path) -> None:
    """Caliper readings of one rib, also where its shape is scaled to another chord."""
    heights = [(0, 0, 0), (16, 34, -20), (40, 52, -31), (80, 73, -42), (160, 102, -52), (320, 134, -54)]
    heights += [(480, 144, -48), (800, 125, -33), (1120, 87, -19), (1440, 31, -6), (1600, 2, -2)]
    rows = "\n".join(f"{x} {upper} {lower}" for x, upper, lower in heights)
    (tmp_path / "rib.csv").write_text(f"station mm, upper mm, lower mm\n{rows}\n", encoding="utf-8")
    found = read_wing_file(
        written(tmp_path, GOOD.replace("naca2414", "rib.csv").replace("naca2412", "rib.csv"))
    )
    assert found.wing.stations[0].section.chord_m == pytest.approx(1.6, abs=0.002)
    assert any("wing.section.1 has 1200 mm" in caution for caution in found.cautions)
    assert not any("wing.section.0" in caution for caution in found.cautions)


@pytest.mark.parametrize(("head", "cautioned"), [("", False), ("units: mm", True)])
def test_coordinates_in_millimeters_with_and_without_saying_so(
    tmp_path: Path, head: str, cautioned: bool
) -> None:
    """Where the file does not say its unit, the chord does; where it does, the shape may be scaled."""
    shape = naca_section("naca2414")
    for chord, name in ((1600.0, "root.dat"), (1200.0 if head == "" else 1600.0, "tip.dat")):
        points = zip(chord * shape.x[::-1], chord * shape.y[::-1], strict=True)
        rows = "\n".join(f"{x:.4f} {y:.4f}" for x, y in points)
        (tmp_path / name).write_text(f"traced {head}\n{rows}\n", encoding="utf-8")
    text = changed("naca2414", "root.dat", changed("naca2412", "tip.dat"))
    found = read_wing_file(written(tmp_path, text))
    assert [station.section.chord_m for station in found.wing.stations] == pytest.approx(
        [1.6, 1.6 if cautioned else 1.2], rel=1e-3
    )
    assert any("the shape is scaled" in caution for caution in found.cautions) is cautioned


@pytest.mark.parametrize(
    ("route", "stalls", "warning", "trial"),
    [
        ("letter of the inspector, 2 March", "log page 12, 18 stalls", "reed horn", False),
        ("letter of the inspector, 2 March", "log page 12, 18 stalls", "unknown", True),
        ("letter of the inspector, 2 March", "not yet", "reed horn", True),
        ("letter of the inspector, 2 March", "None.", "reed horn", True),
        ("unknown", "log page 12, 18 stalls", "reed horn", True),
        ("no", "no", "unknown", True),
        ("TODO", "log page 12, 18 stalls", "reed horn", True),
    ],
)
def test_papers_are_for_trial_until_all_three_are_recorded(
    tmp_path: Path, route: str, stalls: str, warning: str, trial: bool
) -> None:
    lines = f'mass = "520 kg"\napproval_route = "{route}"\nbaseline_stalls = "{stalls}"\n'
    lines += f'stall_warning = "{warning}"\n'
    found = read_wing_file(written(tmp_path, changed('mass = "520 kg"  # weighed\n', lines)))
    assert found.aircraft.trial is trial
    assert any("TRIAL" in caution for caution in found.cautions) is trial


def test_what_the_owner_should_check(tmp_path: Path) -> None:
    text = changed('"520 kg"', '"1146 kg"')
    text = changed('"0.7 m"', '"0.2 m"', text)
    text = changed('height = "8 mm"', 'height = "16 mm"', text)
    cautions = "\n".join(read_wing_file(written(tmp_path, text)).cautions)
    assert '85 kg/m2, is much for a short-field aircraft: check the mass, or whether "1146 lb"' in cautions
    assert "row_from puts vanes over the cabin" in cautions
    assert "16.0 mm high, 1.3 % of chord" in cautions
    assert "what warns of the stall" in cautions


def test_it_travels_between_processes(tmp_path: Path) -> None:
    found = read_wing_file(written(tmp_path, changed('"520 kg"', '"500 to 530 kg"')))
    again = pickle.loads(pickle.dumps(found))
    assert again.ranges == found.ranges
    assert again.aircraft == found.aircraft
