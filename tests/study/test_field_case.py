"""The flow that is drawn is the flow of the curve it stands beside."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import pytest

from slowflight.errors import Unconverged
from slowflight.flow import flow_field
from slowflight.flow.integral.marched_rows import PRINTED
from slowflight.study.field_case import FieldCase
from slowflight.study.section_case import SectionCase
from slowflight.wing.elements import Element
from slowflight.wing.naca import naca_section
from slowflight.wing.vane_row import VaneRow


def test_pictures_have_their_rows_marched_over_the_angles_of_the_curve(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Rows that are not marched only trip the layer: a picture would show none of their mixing."""
    asked: list[list[float]] = []

    def noted(model: object, angles: Sequence[float], how: object) -> object:
        asked.append([math.degrees(angle) for angle in angles])
        assert how is PRINTED
        raise Unconverged("far enough")

    monkeypatch.setattr(flow_field, "with_marched_rows", noted)
    monkeypatch.setattr(flow_field, "elements_marched", noted)
    case = SectionCase(
        section=naca_section("naca4415"), chord=1.4, reynolds_at_unit_lift=1.5e6, angles_deg=(0.0, 6.0),
        rows=(VaneRow(station=0.1, height=0.006, length=0.02, pitch=0.07, incidence=0.28, gap=0.02),),
    )  # fmt: skip
    flap = Element(
        name="flap", section=naca_section("naca2412"), chord=0.22, axis_x=1.015, axis_y=-0.055, axis_in=0.25
    )
    for one in (case, replace(case, flap=flap)):
        assert "problem" in FieldCase(case=one, alpha_deg=4.0).compute()
    assert asked == [pytest.approx([0.0, 6.0])] * 2
    near = replace(case, angles_deg=(0.0, 7.0))
    assert FieldCase(case=case, alpha_deg=4.0).key != FieldCase(case=near, alpha_deg=4.0).key
