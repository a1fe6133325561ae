"""Each example runs, and one number of its answer is checked."""

from __future__ import annotations

import runpy
from pathlib import Path

import pytest

EXAMPLES = Path(__file__).parents[1] / "examples"


def test_would_a_row_hold_the_air_longer() -> None:
    answer = runpy.run_path(str(EXAMPLES / "would_a_row_hold_the_air_longer.py"))["answer"]
    clean, with_row = answer()
    # Coles and Wadcock, AIAA J. 17(4), 1979: 1.668 at 13.87 deg from their pressures; this tier is known to
    # be 8 to 9 % low there, see docs/seconds-tier.md.
    assert clean.cl_max == pytest.approx(1.668, rel=0.095)
    # past the clean stall the air is off farther aft, or not at all; no maximum with the row up to 20 deg
    past = clean.alpha_cl_max_deg + 2.0
    let_go = [
        next(
            1.0 if p.separation_upper is None else p.separation_upper
            for p in curve.points
            if p.alpha_deg > past
        )
        for curve in (clean, with_row)
    ]
    assert let_go[0] < 0.8
    assert let_go[1] > let_go[0] + 0.1
