"""The page about flight logs: its examples are read as they stand, and it names what the code knows."""

import re
from pathlib import Path

import pytest

from slowflight.flights.airspeed.by_hand import read_leg_card
from slowflight.flights.airspeed.calibrating import speed_points
from slowflight.flights.airspeed.circle_fit import NARROWEST_COVERAGE
from slowflight.flights.logs.mapping import read_mapping
from slowflight.flights.logs.reading import read_log
from slowflight.flights.stall_record import ENDINGS
from slowflight.flights.stalls.by_hand import read_stall_card
from slowflight.units import SPEED

PAGE = (Path(__file__).parents[3] / "docs" / "flight-logs.md").read_text(encoding="utf-8")
KT = SPEED.factors["kt"]


def blocks(kind: str) -> list[str]:
    return re.findall(rf"```{kind}\n(.*?)```", PAGE, re.DOTALL)


def test_mapping_and_table(tmp_path: Path) -> None:
    (tmp_path / "recorder.toml").write_text(blocks("toml")[0], encoding="utf-8")
    (tmp_path / "log.csv").write_text(blocks("text")[0], encoding="utf-8")
    log = read_log(tmp_path / "log.csv", mapping=read_mapping(tmp_path / "recorder.toml"))
    assert log.channels["indicated_airspeed"] / KT == pytest.approx([54.2, 53.9, 53.1])
    assert log.channels["load_factor"] == pytest.approx([1.01, 0.98, 1.00])
    # 09:30 at two hours ahead of UTC is 07:30 UTC.
    assert log.time[0] % 86_400.0 == 7.5 * 3600.0


def test_cards(tmp_path: Path) -> None:
    (tmp_path / "legs.csv").write_text(blocks("text")[1], encoding="utf-8")
    (one,) = speed_points(read_leg_card(tmp_path / "legs.csv"), flap_deg=0.0, mass_at=lambda time: 600.0)
    assert one.wind.true_airspeed.value / KT == pytest.approx(130.0, abs=0.05)
    (tmp_path / "stalls.csv").write_text(blocks("text")[2], encoding="utf-8")
    assert [event.ending for event in read_stall_card(tmp_path / "stalls.csv")] == [
        "nose-drop",
        "nose-drop",
        "full-stick",
    ]


def test_every_ending_and_the_limit_of_headings_are_told() -> None:
    assert all(f"| `{ending}` |" in PAGE for ending in ENDINGS)
    assert f"less than {NARROWEST_COVERAGE * 180.0 / 3.141592653589793:.0f} degrees are refused" in PAGE
    assert "```{warning}" in PAGE
