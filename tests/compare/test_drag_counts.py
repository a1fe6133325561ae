"""Drag in cruise is read before the stall, at one lift coefficient for both wings."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from slowflight.compare.row_answer import drag_counts


def wing(drag: float, *, stall: float | None = 14.0) -> Any:
    """Lift of 0.1 a degree up to 14 degrees, falling so after; drag goes with lift, tenfold stalled."""
    angles = np.arange(0.0, 22.0)
    cl = np.where(angles <= 14.0, 0.1 * angles, 2.8 - 0.1 * angles)
    cd = np.where(angles <= 14.0, drag + 0.001 * cl, 0.1)
    return SimpleNamespace(
        angles=np.radians(angles), cl=cl, cd_profile=cd, converged=np.full(angles.size, True),
        angle_continued=None if stall is None else np.radians(stall),
    )  # fmt: skip


def test_a_stalled_wing_of_the_same_lift_plays_no_part() -> None:
    """By hand: 0.0125 less 0.010 is 25 counts; at 1.05 the stalled wing lifts as much and drags 0.1."""
    found = drag_counts(wing(0.0125), wing(0.010), cl=1.05)
    assert found == pytest.approx(25.0)


def test_what_was_not_answered_is_not_read() -> None:
    assert drag_counts(wing(0.0125), wing(0.010), cl=1.5) is None
    assert drag_counts(wing(0.0125), wing(0.010), cl=-0.1) is None
    mute = wing(0.010)
    mute.converged[:] = False
    assert drag_counts(wing(0.0125), mute, cl=0.5) is None
