"""The aircraft in the air inside a prediction: what is asked for, what limits, what is never guessed.

The flow is made up, as in the tests of flap settings, so that nothing here waits for a solver.
"""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any

import pytest

from slowflight import verbs
from slowflight.study.field_case import FieldCase
from slowflight.study.help_case import HelpCase
from slowflight.study.section_case import SectionCase
from slowflight.verbs.in_the_air_elevator import HOLDS, RUNS_OUT
from tests.verbs.test_flap_settings import WING, made_up

KNOWN = """
[in_the_air]
wing_height = "1.9 m"
over_the_nose = "6 deg"
load_factor = "3.8 g"
maneuvering_speed = "80 kt"
static_thrust = "1.8 kN"
propeller_diameter = "1.8 m"
glides = ["52 kt, 650 ft/min, 850 rpm", "52 kt, 560 ft/min, 1350 rpm"]
stick = ["58 kt, 30 %", "40 kt, {back} %"]
roll_up = "10 deg"
junctions = ["strut, 2.2 m"]
"""


def predicted(
    folder: Path, patch: pytest.MonkeyPatch, *, more: str = "", attitude: str = "12", flap: str = ""
) -> Any:
    patch.setattr(SectionCase, "compute", made_up(down_gain=0.1, up_gain=0.12))
    patch.setattr(FieldCase, "compute", lambda case: {"problem": "no flow in this test"})
    patch.setattr(HelpCase, "compute", lambda case: {"problem": "no strip in this test"})
    text = WING.format(span='span_from = "0.5 m"\nspan_to = "4.4 m"', question="")
    text = text.replace('three_point_attitude = "12 deg"', f'three_point_attitude = "{attitude} deg"')
    text = text.replace("[flap]\n", f"[flap]\n{flap}\n")
    (folder / "wing.toml").write_text(text + more, encoding="utf-8")
    return verbs.predict(folder)


def test_nothing_is_guessed_and_what_is_missing_is_asked_for(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    record = predicted(tmp_path, monkeypatch)
    asked = " ".join(entry["keys"] for entry in record["in_the_air"]["asked"])
    for key in (
        "glides",
        "static_thrust",
        "stick",
        "wing_height",
        "over_the_nose",
        "load_factor",
        "dihedral",
    ):
        assert f"in_the_air.{key}" in asked
    assert record["in_the_air"]["maneuvering"] is None
    assert record["in_the_air"]["cautions"]
    for setting in record["settings"]:
        there = setting["in_the_air"]
        assert there["descents"] == []
        assert there["power"]["level_clean"] is None
        assert there["power"]["full_throttle_clean"] is None
        assert there["elevator"] is None
        assert there["slip"] is None
        assert there["touchdown"]["view"] is None
        assert "ground effect" in there["touchdown"]["ground_effect"]
        assert there["roll"]["travel_known"] is False
    json.dumps(record, allow_nan=False)


def test_touchdown_is_that_of_the_attitude_and_vanes_do_not_change_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """By hand: on three wheels the wing stands at 14 deg; the speed is that of its lift there."""
    record = predicted(tmp_path, monkeypatch)
    up = record["settings"][0]
    touch = up["in_the_air"]["touchdown"]
    assert touch["wing_angle_deg"] == pytest.approx(14.0)
    cl = up["clean"]["cl"][up["clean"]["wing_angles_deg"].index(14.0)]
    by_hand = math.sqrt(2.0 * 520.0 * 9.80665 / (1.225 * 9.0 * 1.5 * cl)) * 3600.0 / 1852.0
    assert touch["clean"]["kt"] == pytest.approx(by_hand, rel=1e-6)
    assert touch["limit_clean"] == "the gear is on the ground"
    assert touch["approach"]["kt"] == pytest.approx(1.3 * up["stall_speed_clean"]["kt"], rel=1e-9)
    assert "nothing you can measure" in touch["sentence"]
    steep = predicted(tmp_path, monkeypatch, attitude="22")["settings"][0]["in_the_air"]["touchdown"]
    assert steep["limit_clean"] == "the wing stalls"
    assert steep["clean"]["kt"] == pytest.approx(up["stall_speed_clean"]["kt"], rel=1e-6)
    assert steep["change_kt"] < 0.0


def test_what_the_owner_measured_is_used(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    free = predicted(tmp_path, monkeypatch)["settings"][0]["in_the_air"]["touchdown"]
    record = predicted(tmp_path, monkeypatch, more=KNOWN.format(back=62))
    up = record["settings"][0]
    there = up["in_the_air"]
    assert there["touchdown"]["clean"]["kt"] < free["clean"]["kt"]  # the ground helps at a given attitude
    assert there["touchdown"]["view"]["wing_angle_deg"] == pytest.approx(8.0)
    level, full = there["power"]["level_clean"], there["power"]["full_throttle_clean"]
    assert full["kt"] <= level["speed"]["kt"] + 1e-6 < up["stall_speed_clean"]["kt"]
    assert there["power"]["idle"]["stall_change_kt"] < 0.0
    assert len(there["descents"]) == 4
    for slow in there["descents"]:
        assert slow["sink_ft_min"] > 0.0
        assert slow["recover_ft"][1] < slow["recover_ft"][0] < slow["recover_ft"][2]
        assert slow["climb_ft_min"][1] < slow["climb_ft_min"][0] < slow["climb_ft_min"][2]
    assert there["elevator"]["clean"]["finding"] == HOLDS
    assert there["elevator"]["next_steps"] == []
    assert there["roll"]["travel_known"]
    clean = there["roll"]["clean"]["at"]
    assert clean[0]["share"] == pytest.approx(1.0)
    # 14 CFR 23.335(c): the root of the load factor
    slow = record["in_the_air"]["maneuvering"]
    assert slow["clean"]["kt"] == pytest.approx(math.sqrt(3.8) * up["stall_speed_clean"]["kt"], rel=1e-9)
    assert slow["vanes"]["kt"] < slow["clean"]["kt"]
    assert "DOWN" in slow["sentence"]
    names = [change["name"] for change in record["in_the_air"]["changes"]]
    assert names[0] == "20 kg less on board"
    assert any("strut" in name for name in names)
    strut = next(c for c in record["in_the_air"]["changes"] if "strut" in c["name"])
    assert strut["change_kt"] > 0.0
    assert any("never sealed" in text for text in record["in_the_air"]["not_predicted"])


def test_a_nose_wheel_and_a_low_wing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """With a nose wheel the tail skid strikes; a wing too near the ground for the method is said and left."""
    more = '\n[in_the_air]\ngear = "nose wheel"\nwing_height = "300 mm"\ndihedral = "-3 deg"\n'
    touch = predicted(tmp_path, monkeypatch, more=more)["settings"][0]["in_the_air"]["touchdown"]
    assert touch["limit_clean"] == "the tail skid is on the ground"
    assert "the tail skid touches first" in touch["tail_first"]
    assert "With the tail skid on the ground it stands" in touch["sentence"]
    assert any("height above the ground" in text for text in touch["cautions"])
    assert "no ground effect" in touch["ground_effect"]


def test_the_elevator_runs_out_first_where_the_stick_says_so(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    record = predicted(tmp_path, monkeypatch, more=KNOWN.format(back=95), attitude="22")
    there = record["settings"][0]["in_the_air"]
    assert there["elevator"]["vanes"]["finding"] == RUNS_OUT
    assert there["elevator"]["vanes"]["stops_at"]["kt"] > record["settings"][0]["stall_speed_vanes"]["kt"]
    assert there["limit"]["vanes"] == RUNS_OUT
    steps = " ".join(there["elevator"]["next_steps"])
    assert "NOT predicted" in steps
    assert "never on the elevator" in steps


def test_lost_vanes_and_the_spread_of_the_stall(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    record = predicted(tmp_path, monkeypatch, more=KNOWN.format(back=62))
    up = record["settings"][0]["in_the_air"]
    places = up["lost_vane"]["places"]
    assert len(places) == 8
    assert max(place["moment"] for place in places) > 0.0  # the wing that lacks them goes down
    assert "alike again" in up["lost_vane"]["rule"]
    clean = up["spread"]["clean"]
    assert clean["cl_max_first"] <= clean["cl_max"]
    stalled = [sum(b - a for a, b in row["stalled_m"]) for row in clean["rows"]]
    assert stalled == sorted(stalled)
    assert all(0.0 <= a < b <= 4.5 + 1e-9 for row in clean["rows"] for a, b in row["stalled_m"])


def test_glides_that_make_no_sense_are_left_out_and_said(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    odd = KNOWN.format(back=62).replace("650 ft/min", "120 ft/min").replace("560 ft/min", "110 ft/min")
    record = predicted(tmp_path, monkeypatch, more=odd)
    assert any("less drag than the wing alone" in text for text in record["in_the_air"]["cautions"])
    assert record["settings"][0]["in_the_air"]["descents"] == []
    page = verbs.report(tmp_path).read_text(encoding="utf-8")
    assert "No slow approach is shown" in page


def test_the_report_shows_it_and_does_without(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    predicted(tmp_path, monkeypatch, more=KNOWN.format(back=62))
    page = verbs.report(tmp_path).read_text(encoding="utf-8")
    for words in ("In the air", "A slow approach", "Roll control when slow", "Maneuvering speed goes DOWN"):
        assert words in page
    file = tmp_path / "runs" / "prediction.json"
    record = json.loads(file.read_text(encoding="utf-8"))
    # as an earlier version left it: no bands of the touchdown, no faster idle, no slip, changes clean only
    for setting in record["settings"]:
        there = setting["in_the_air"]
        for key in ("change", "approach_less_touchdown", "bands"):
            del there["touchdown"][key]
        del there["slip"], there["power"]["idle"]["fast_clean"], there["power"]["idle"]["fast_vanes"]
    for change in record["in_the_air"]["changes"]:
        del change["with_row"], change["flap_deg"], change["kind"]
    file.write_text(json.dumps(record), encoding="utf-8")
    assert "Other small changes" in verbs.report(tmp_path).read_text(encoding="utf-8")
    del record["in_the_air"]
    for setting in record["settings"]:
        del setting["in_the_air"]
    file.write_text(json.dumps(record), encoding="utf-8")
    assert 'id="in-the-air"' not in verbs.report(tmp_path).read_text(encoding="utf-8")


TAIL = """
[in_the_air]
tail_span = "2.6 m"
tail_chord = "720 mm"
tail_arm = "3.8 m"
tail_incidence = "-1 deg"
elevator_share = "42 %"
elevator_up = "{up} deg"
balance = ["22 %", "32 %"]
"""


def test_tail_by_its_sizes_at_both_ends_of_the_loading(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    record = predicted(tmp_path, monkeypatch, more=TAIL.format(up=28))
    found = record["settings"][0]["in_the_air"]["elevator"]
    fore, aft = found["clean"]["elevator_up_by_balance_deg"]
    assert fore > aft
    assert found["clean"]["elevator_up_deg"] == fore
    # by hand: a center of gravity 0.1 chords further aft is 0.1 c / (2 l_t) slower, to first order
    before, after = found["tail_load"]["change_kt"]
    stall = record["settings"][0]["stall_speed_clean"]["kt"]
    assert (after - before) / stall == pytest.approx(-0.1 * 1.5 / (2.0 * 3.8), rel=0.05)
    weak = predicted(tmp_path, monkeypatch, more=TAIL.format(up=5))
    short = weak["settings"][0]["in_the_air"]["elevator"]
    assert short["vanes"]["back_at_stall"]["value"] > found["vanes"]["back_at_stall"]["value"]
    assert short["vanes"]["finding"] == RUNS_OUT
    # by hand: 1.3 m of half-span at 30 mm; 58 % of 720 mm less 80 mm
    assert "338 mm from its nose, 43 on each half" in " ".join(short["next_steps"])


@pytest.mark.parametrize(
    "flap",
    [
        'kind = "none"',
        'kind = "plain"\nchord = "22 %"\nsettings = ["0 deg", "20 deg"]\n'
        'span_from = "0.5 m"\nspan_to = "2.4 m"',
        'kind = "split"\nchord = "22 %"\nsettings = ["0 deg", "30 deg"]',
        'kind = "hung"\nchord = "22 %"\nairfoil = "naca2412"\nsettings = ["10 deg"]\naxis_aft = "1.5 %"\n'
        'axis_below = "5.5 %"\naxis_in_flap = "25 %"',
    ],
    ids=["none", "plain", "split", "one setting"],
)
def test_every_kind_of_flap(flap: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(SectionCase, "compute", made_up(down_gain=0.1, up_gain=0.12))
    monkeypatch.setattr(FieldCase, "compute", lambda case: {"problem": "no flow in this test"})
    monkeypatch.setattr(HelpCase, "compute", lambda case: {"problem": "no strip in this test"})
    before, _, rest = WING.partition("[flap]\n")
    after = rest[rest.index("[[candidate]]") :].format(question="", span="")
    text = f"{before}[flap]\n{flap}\n\n{after}".replace('slowest_flap_setting = "0 deg"\n', "")
    (tmp_path / "wing.toml").write_text(text + KNOWN.format(back=62), encoding="utf-8")
    record = verbs.predict(tmp_path)
    shown = [setting for setting in record["settings"] if setting["predicted"]]
    assert shown
    for setting in shown:
        assert setting["in_the_air"]["touchdown"]["clean"]["kt"] > 0.0
        assert setting["in_the_air"]["roll"]
    if 'kind = "none"' in flap:
        # roll_up was given, but there is no flap to be a flaperon
        assert "not predicted" in shown[0]["in_the_air"]["roll"]["sentence"]
    assert "In the air" in verbs.report(tmp_path).read_text(encoding="utf-8")
