"""A bought vane by calipers: areas by hand, nearest shape, what is said."""

from __future__ import annotations

from dataclasses import replace

import pytest

from slowflight.errors import RangeError
from slowflight.flow.integral.section_flow import SHAPE_AREA as PREDICTED
from slowflight.layout.bought import SHAPE_AREA, match_bought
from slowflight.layout.fit import Bought
from slowflight.layout.vane_side import SIDES
from tests.layout.wings import vane_row

VANE = Bought(
    height=0.008, length=0.024, top_length=0.024, rounded=False, base_length=0.026, base_width=0.010,
    edge_radius=0.0008,
)  # fmt: skip


def test_shapes_are_those_of_the_prediction() -> None:
    assert SHAPE_AREA == PREDICTED
    for shape, side in SIDES.items():
        area = sum(side((k + 0.5) / 2000) for k in range(2000)) / 2000
        assert area == pytest.approx(PREDICTED[shape], abs=1e-3)


@pytest.mark.parametrize(
    ("top", "rounded", "shape", "share"),
    [
        (0.024, False, "rectangular", 1.0),
        (0.012, False, "trapezoidal", 0.75),
        (0.0, False, "triangular", 0.5),
        (0.002, False, "triangular", 0.5417),
        (0.0, True, "ogival", 0.6667),
        (0.022, True, "rectangular", 0.9722),
    ],
)
def test_nearest_shape_by_side_area(top: float, rounded: bool, shape: str, share: float) -> None:
    found = match_bought(replace(VANE, top_length=top, rounded=rounded))
    assert found.shape == shape
    assert found.area_share == pytest.approx(share, abs=1e-4)
    assert f'shape = "{shape}"' in found.candidate


def test_edges_and_what_is_far_from_the_row() -> None:
    assert match_bought(VANE).edges == "rounded"
    assert match_bought(replace(VANE, edge_radius=0.0001)).edges == "sharp"
    said = " ".join(match_bought(replace(VANE, height=0.010, top_length=0.0), row=vane_row()).remarks)
    assert "25 % more than the row's 8.0 mm" in said
    assert "it is triangular, the row's vanes are rectangular" in said
    assert "no modelled shape" not in said
    between = match_bought(replace(VANE, top_length=0.0055, rounded=True))  # 74 %, between ogival and whole
    assert not any("no modelled" in words for words in between.remarks)
    assert any(
        "no modelled" in w for w in match_bought(replace(VANE, top_length=0.012, rounded=True)).remarks
    )
    assert any("foot" in words for words in match_bought(replace(VANE, base_width=0.02)).remarks)
    with pytest.raises(RangeError, match="at most the length"):
        match_bought(replace(VANE, top_length=0.03))
