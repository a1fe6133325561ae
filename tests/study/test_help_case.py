"""Where mixing would help, as a case of a study: its key, its file, and what it says without an answer."""

from dataclasses import replace
from typing import Any

import pytest

from slowflight.flow.integral.section_flow import LAG, PANELS
from slowflight.study.help_case import HelpCase
from slowflight.study.section_case import SectionCase
from slowflight.wing.naca import naca_section
from slowflight.wing.vane_row import VaneRow
from tests.compare.test_help_strip import at_maximum
from tests.flow.bodies.cases import hung

SECTION = SectionCase(
    section=naca_section("4412"),
    chord=1.4,
    reynolds_at_unit_lift=1.5e6,
    angles_deg=(2.0,),
    transition=(0.05, 0.1),
)
CASE = HelpCase(case=SECTION, setting="flaps up")


def test_rows_and_angles_make_no_difference_and_the_air_does() -> None:
    other = replace(CASE, case=replace(SECTION, angles_deg=(3.0, 4.0)))
    assert other.key == CASE.key
    assert replace(CASE, case=replace(SECTION, critical_amplification=5.0)).key != CASE.key
    assert replace(CASE, case=replace(SECTION, flap=hung(16.0).bodies[1])).key != CASE.key
    row = VaneRow(station=0.1, height=0.006, length=0.015, incidence=0.26, pitch=0.06)
    assert replace(CASE, case=replace(SECTION, rows=(row,))).key == CASE.key


def test_each_variant_is_asked_for_and_the_strip_survives_its_file(monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[tuple[float, int]] = []

    def found(_case: HelpCase, *, lag: float, panels: int) -> Any:
        asked.append((lag, panels))
        return at_maximum() if lag == LAG else None

    monkeypatch.setattr(HelpCase, "_at_maximum", found)
    result = CASE.compute()
    assert asked == [(LAG, PANELS), (4.6, PANELS), (8.0, PANELS), (LAG, 200)]
    assert result["band"]["variants"]["lag constant 8"] is None
    assert result["band"]["variants"]["200 panels"] is not None
    assert result["chord_mm"] == pytest.approx(1400.0)
    assert CASE.decode(CASE.encode(result)) == result


def test_without_a_maximum_there_is_no_strip(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(HelpCase, "_at_maximum", lambda _case, **_: None)
    result = CASE.compute()
    assert "no answered maximum" in result["problem"]
    assert CASE.decode(CASE.encode(result)) == result
    with pytest.raises(ValueError, match="without its result"):
        CASE.decode(CASE.encode({}))
