"""The page on flying the test: its example runs, and its table is what the plan says."""

import re
from pathlib import Path

import pytest

from slowflight import units
from slowflight.flights.campaign.settles import PlanRow, what_flights_settle
from slowflight.flights.statistics.scatter import WORSE_ASSUMED
from slowflight.flights.statistics.speed_rule import SpeedRule
from slowflight.flights.statistics.stall_terms import (
    POSITION_SHIFT,
    POSITION_SHIFT_CALIBRATED,
    difference_terms,
)

PAGE = (Path(__file__).parents[3] / "docs" / "flying-the-test.md").read_text(encoding="utf-8")
KNOT = units.speed("1 kt", where="test")


def test_the_example_runs(capsys: pytest.CaptureFixture[str]) -> None:
    (code,) = re.findall(r"```python\n(.*?)```", PAGE, re.DOTALL)
    exec(code, {})
    assert capsys.readouterr().out.startswith(
        "3 flights a side: about 1.2 kt either way; a true gain of 2.5 kt"
    )


def rows(shift: float) -> tuple[PlanRow, ...]:
    terms = difference_terms(speed=39.0 * KNOT, mass=600.0, position_shift=shift)
    return what_flights_settle(scatter=WORSE_ASSUMED, terms=terms, rule=SpeedRule())


def test_the_table_of_what_flights_settle_is_the_plans() -> None:
    table = re.findall(r"^\| ([1-4]) \| ([\d.]+) kt \| (.*?) \| (.*?) \| (.*?) \|$", PAGE, re.MULTILINE)
    assert [line[0] for line in table] == ["1", "2", "3", "4"]
    plain, calibrated = rows(POSITION_SHIFT), rows(POSITION_SHIFT_CALIBRATED)
    for line, row, better in zip(table, plain, calibrated, strict=True):
        assert float(line[1]) == pytest.approx(row.half_band / KNOT, abs=0.05)
        for said, gain in ((line[2], row.smallest_gain), (line[4], better.smallest_gain)):
            if gain is None:
                assert said.startswith("never")
            else:
                assert float(said.split()[0]) == pytest.approx(gain / KNOT, abs=0.06)
        if row.dismissed_at_none == 0.0:
            assert line[3] == "never"
        else:
            assert float(line[3].split()[0]) / 100.0 == pytest.approx(row.dismissed_at_none, abs=0.006)
