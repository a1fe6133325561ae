"""A result's name hangs on everything that it depends on: no input may change under the same name."""

from __future__ import annotations

from dataclasses import fields, replace
from typing import Any

import pytest

from slowflight.study.code_version import code_version
from slowflight.study.evidence_case import SectionRun, WingRun
from slowflight.study.field_case import FieldCase
from slowflight.study.section_case import SectionCase
from slowflight.wing.elements import Element
from slowflight.wing.naca import naca_section
from slowflight.wing.vane_row import VaneRow

ROW = VaneRow(station=0.1, height=0.006, length=0.02, pitch=0.07, gap=0.018, incidence=0.27)
FLAP = Element(name="flap", section=naca_section("naca0012"), chord=0.2, axis_x=1.0, axis_y=-0.02)
CASE = SectionCase(
    section=naca_section("naca4415"),
    chord=1.3,
    reynolds_at_unit_lift=1.5e6,
    angles_deg=(0.0, 4.0),
    rows=(ROW,),
)
OTHER: dict[str, Any] = {
    "section": naca_section("naca4412"),
    "chord": 1.31,
    "reynolds_at_unit_lift": 1.6e6,
    "angles_deg": (0.0, 5.0),
    "transition": (0.05, None),
    "critical_amplification": 8.0,
    "rows": (),
    "panels": 240,
    "flap": FLAP,
}
OTHER_ROW: dict[str, Any] = {
    "station": 0.11,
    "height": 0.007,
    "length": 0.021,
    "pitch": 0.071,
    "gap": 0.019,
    "incidence": 0.28,
    "arrangement": "co-rotating",
    "opening": "upstream",
    "shape": "triangular",
    "surface": "lower",
}
NO_DIFFERENCE: dict[str, Any] = {"name": "another", "span_from": 1.0, "span_to": 2.0}
RUN = SectionRun(
    section=naca_section("naca4412"), reynolds=3e6, angles_deg=(0.0, 4.0), transition=(None, None),
    pressures_at=(), tier="integral",
)  # fmt: skip
OTHER_RUN: dict[str, Any] = {
    "section": naca_section("naca4415"),
    "reynolds": 4e6,
    "angles_deg": (0.0, 5.0),
    "transition": (None, 0.1),
    "pressures_at": (4.0,),
    "tier": "another",
}


def test_every_input_is_tried_here() -> None:
    """A new field has to be given a value above, or this fails."""
    assert {field.name for field in fields(SectionCase)} == set(OTHER)
    assert {field.name for field in fields(VaneRow)} == {*OTHER_ROW, *NO_DIFFERENCE, "element"}
    assert {field.name for field in fields(SectionRun)} == set(OTHER_RUN)


@pytest.mark.parametrize("name", OTHER)
def test_any_input_of_a_lift_curve_makes_another_name(name: str) -> None:
    assert replace(CASE, **{name: OTHER[name]}).key != CASE.key


@pytest.mark.parametrize("name", OTHER_ROW)
def test_any_size_of_a_vane_makes_another_name(name: str) -> None:
    assert replace(CASE, rows=(replace(ROW, **{name: OTHER_ROW[name]}),)).key != CASE.key


@pytest.mark.parametrize("name", NO_DIFFERENCE)
def test_what_a_section_does_not_know_makes_none(name: str) -> None:
    assert replace(CASE, rows=(replace(ROW, **{name: NO_DIFFERENCE[name]}),)).key == CASE.key


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("section", naca_section("naca2412")), ("chord", 0.21), ("axis_x", 1.01), ("axis_y", -0.03),
        ("axis_in", 0.01), ("angle", 0.1),
    ],
)  # fmt: skip
def test_any_measure_of_a_flap_makes_another_name(name: str, value: Any) -> None:
    with_flap = replace(CASE, flap=FLAP)
    assert replace(CASE, flap=replace(FLAP, **{name: value})).key != with_flap.key


def test_a_section_is_known_by_its_shape_and_not_by_what_it_is_called() -> None:
    other = naca_section("naca4412")
    disguised = replace(other, name=CASE.section.name)
    assert replace(CASE, section=disguised).key != CASE.key


@pytest.mark.parametrize("name", OTHER_RUN)
def test_any_input_of_a_published_case_makes_another_name(name: str) -> None:
    assert replace(RUN, **{name: OTHER_RUN[name]}).key != RUN.key


def test_a_picture_is_named_by_its_angle_and_its_case() -> None:
    picture = FieldCase(case=CASE, alpha_deg=12.0)
    assert replace(picture, alpha_deg=12.01).key != picture.key
    assert replace(picture, case=replace(CASE, chord=1.31)).key != picture.key
    assert WingRun(aspect_ratio=6.0, taper=1.0, tier="integral").key != (
        WingRun(aspect_ratio=6.0, taper=0.9, tier="integral").key
    )


def test_the_libraries_that_compute_are_part_of_it() -> None:
    assert set(code_version()) == {"slowflight", "code", "numpy", "scipy", "numba"}
