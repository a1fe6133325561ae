"""Other small changes beside the row: by hand where that can be, never advice to seal a slot."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import pytest

from slowflight import verbs
from slowflight.errors import InputError
from slowflight.study.section_case import SectionCase
from slowflight.wing.cuff import cuffed
from slowflight.wing.naca import naca_section
from tests.verbs.test_flap_settings import made_up
from tests.verbs.test_in_the_air import KNOWN, predicted

MORE = KNOWN.format(back=62) + 'dihedral = "2 deg"\n'


def asked(folder: Path, patch: pytest.MonkeyPatch, other_axes: str) -> Any:
    """Predict with other places of the flap's axis to compare."""
    return predicted(folder, patch, more=MORE, flap=f"other_axes = {other_axes}")


def of_kind(record: dict[str, Any], kind: str) -> list[dict[str, Any]]:
    return [change for change in record["in_the_air"]["changes"] if change["kind"] == kind]


def test_weight_droop_and_bands_by_hand(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    record = predicted(tmp_path, monkeypatch, more=MORE)
    up, down = record["settings"]
    (lighter,) = of_kind(record, "weight")
    share = math.sqrt(500.0 / 520.0) - 1.0
    for change, name in ((lighter, "clean"), (lighter["with_row"], "vanes")):
        stall = up[f"stall_speed_{name}"]
        assert change["change_kt"] == pytest.approx(share * stall["kt"])
        assert change["low_kt"] == pytest.approx(share * stall["high_kt"])
        assert change["high_kt"] == pytest.approx(share * stall["low_kt"])
    (kept_up,) = of_kind(record, "droop")
    assert kept_up["name"] == "flaps kept up instead of 25 deg"
    given_up = up["stall_speed_clean"]["kt"] - down["stall_speed_clean"]["kt"]
    assert kept_up["change_kt"] == pytest.approx(given_up)
    assert 0.0 < kept_up["low_kt"] < given_up < kept_up["high_kt"] < 2.0 * given_up
    assert "deg/s" in kept_up["how"]
    assert not of_kind(record, "gap")
    assert any("other_axes" in text for text in record["in_the_air"]["not_predicted"])


def test_other_slots_are_compared_only_when_asked_and_kept_for_next_time(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    record = asked(tmp_path, monkeypatch, '["1.5 %, 5.9 %"]')
    gaps = of_kind(record, "gap")
    assert {change["flap_deg"] for change in gaps} == {0.0, 25.0}
    for change in gaps:
        # the made-up flow knows nothing of slots
        assert change["change_kt"] == pytest.approx(0.0, abs=1e-9)
        assert change["with_row"]["change_kt"] == pytest.approx(0.0, abs=1e-9)
        assert "never sealed" in change["how"]
        assert "by hand" in change["how"]
    assert not any("other_axes" in text for text in record["in_the_air"]["not_predicted"])
    shown = verbs.report(tmp_path).read_text(encoding="utf-8")
    assert "5.9 % below" in shown
    assert "never sealed" in shown

    def again(case: SectionCase) -> Any:
        raise AssertionError("computed a second time")

    monkeypatch.setattr(SectionCase, "compute", again)
    assert of_kind(verbs.predict(tmp_path), "gap") == gaps


def test_a_slot_that_lifts_more_is_slower_by_the_root(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A stand-in flow in which all lift behind another slot is 10 % more, along the whole span."""
    plain = made_up(down_gain=0.1, up_gain=0.12)

    def lifted(case: SectionCase) -> dict[str, Any]:
        found: dict[str, Any] = plain(case)
        if case.flap is not None and case.flap.axis_y < -0.0560:
            found["points"] = [{**point, "cl": 1.1 * point["cl"]} for point in found["points"]]
        return found

    predicted(tmp_path, monkeypatch, more=MORE, flap='other_axes = ["1.5 %, 5.9 %"]')
    monkeypatch.setattr(SectionCase, "compute", lifted)
    for file in (tmp_path / "runs").glob("*.json"):
        file.unlink()
    text = (tmp_path / "wing.toml").read_text(encoding="utf-8")
    whole = text.replace('span_from = "0.5 m"\nspan_to = "4.4 m"', "")
    (tmp_path / "wing.toml").write_text(whole, encoding="utf-8")
    record = verbs.predict(tmp_path)
    for change in of_kind(record, "gap"):
        stall = next(s for s in record["settings"] if s["flap_deg"] == change["flap_deg"])
        slower = stall["stall_speed_clean"]["kt"] * (math.sqrt(1.0 / 1.1) - 1.0)
        assert change["change_kt"] == pytest.approx(slower, rel=0.08)  # induced angles grow too
        assert change["low_kt"] == pytest.approx(2.0 * change["change_kt"])
        assert change["high_kt"] == 0.0


def test_a_slot_that_closes_is_no_setting(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    record = asked(tmp_path, monkeypatch, '["-3 %, 0 %"]')
    assert not of_kind(record, "gap")
    said = [text for text in record["in_the_air"]["cautions"] if "no setting to fly" in text]
    assert len(said) == 1
    assert "wing" in said[0]


def test_cuffs_are_compared_only_when_asked(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The made-up flow knows nothing of noses: what is left is the cuff's own area."""
    more = MORE + 'cuffs = ["15 %, 0 %, 3 %"]\n'
    record = predicted(tmp_path, monkeypatch, more=more)
    cuffs = of_kind(record, "cuff")
    assert {change["flap_deg"] for change in cuffs} == {0.0, 25.0}
    grown = cuffed(naca_section("4415"), back_to=0.15, droop=0.0, extension=0.03).chord
    for change, setting in zip(cuffs, record["settings"], strict=True):
        slow = setting["stall_speed_clean"]["kt"]
        # the wider chord lowers the aspect ratio, and induced angles grow
        assert change["change_kt"] == pytest.approx(slow * (1.0 / math.sqrt(grown) - 1.0), rel=0.1)
        assert change["low_kt"] == pytest.approx(2.0 * change["change_kt"])
        assert change["high_kt"] == 0.0
        assert change["with_row"] is None
        assert "not predicted" in change["how"]
    assert not any("cuff" in text for text in record["in_the_air"]["not_predicted"])
    assert "cuff back to 15 % of chord" in verbs.report(tmp_path).read_text(encoding="utf-8")


@pytest.mark.parametrize("value", ['["15 %, 2 %"]', '["50 %, 2 %, 1 %"]', '["15 %, 2 deg, 1 %"]', "[15]"])
def test_cuffs_that_make_no_sense(value: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with pytest.raises(InputError, match="cuffs"):
        predicted(tmp_path, monkeypatch, more=MORE + f"cuffs = {value}\n")


@pytest.mark.parametrize("value", ['["1.5 %"]', '["1.5 %, 5 deg"]', "[1.5]", '["1.5 %, 40 %"]'])
def test_places_that_make_no_sense(value: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with pytest.raises(InputError, match="other_axes"):
        asked(tmp_path, monkeypatch, value)


def test_idle_and_slip_at_every_flap_setting(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    record = predicted(tmp_path, monkeypatch, more=MORE)
    for setting in record["settings"]:
        idle = setting["in_the_air"]["power"]["idle"]
        # by hand: W sin(path) apart, carried by the sine of the stall attitude
        thrust = 520.0 * 9.80665 * 90.0 * 0.3048 / 60.0 / (52.0 * 1852.0 / 3600.0)
        assert idle["thrust_n"] == pytest.approx(thrust, rel=1e-6)
        for name in ("clean", "vanes"):
            slow, fast = setting[f"stall_speed_{name}"], idle[f"fast_{name}"]
            assert fast["kt"] < slow["kt"]
            assert fast["low_kt"] < slow["low_kt"]
            assert fast["high_kt"] <= slow["high_kt"]
        slip = setting["in_the_air"]["slip"]
        assert slip["dihedral_deg"] == pytest.approx(2.0)
        assert slip["clean"]["at"][0]["of_full_stick"] > 0.0
        assert "met first" in slip["sentence"]


def test_touchdown_bands_are_not_those_of_the_stall(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    record = predicted(tmp_path, monkeypatch, more=MORE + 'approach_speed = "48 kt"\n', attitude="8")
    up = record["settings"][0]
    touch, stall = up["in_the_air"]["touchdown"], up["stall_speed_clean"]
    width = (stall["high_kt"] - stall["low_kt"]) / stall["kt"]
    assert (touch["clean"]["high_kt"] - touch["clean"]["low_kt"]) / touch["clean"]["kt"] < 0.8 * width
    assert touch["change"]["low_kt"] <= touch["change_kt"] <= touch["change"]["high_kt"]
    # what the owner flies has no band
    assert touch["approach"]["low_kt"] == touch["approach"]["high_kt"] == pytest.approx(48.0)
    left = touch["approach_less_touchdown"]
    assert left["low_kt"] < touch["approach_less_touchdown_kt"] < left["high_kt"]
