"""Rows with made-up answers, for what is decided from them."""

from __future__ import annotations

from slowflight.compare.row_answer import RowAnswer
from slowflight.wing.vane_row import VaneRow

KNOT = 1852.0 / 3600.0


def answer(
    *,
    fall: float | None,
    loss: float | None = 0.3,
    station: float = 0.1,
    height: float = 0.006,
    candidate: str = "vane",
    problem: str = "",
) -> RowAnswer:
    """A row that lowers the stall speed by ``fall`` knots and costs ``loss`` knots."""
    return RowAnswer(
        candidate=candidate,
        row=VaneRow(
            station=station, height=height, length=0.02, pitch=0.07, gap=0.018, incidence=0.27, name=candidate
        ),
        lift=None,
        cl_max=None if fall is None else 1.6,
        stall_angle=None if fall is None else 0.33,
        stall_speed=None if fall is None else 20.0,
        fall=None if fall is None else fall * KNOT,
        drag_counts=None if loss is None else 20.0,
        cruise_loss=None if loss is None else loss * KNOT,
        problem=problem,
    )
