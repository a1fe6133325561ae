"""No more of a computed gain is credited than was measured: 1.58 to 1.92 at most (Janiszewska 2004)."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest

from slowflight.compare.credit import MOST_MEASURED, credited
from slowflight.compare.spans import span_curves
from slowflight.flow.lifting_line import SectionCurve, WingLift, wing_lift
from tests.compare.test_spans import curve, wing

ANGLES = np.radians(np.arange(-4.0, 26.0, 0.5))


def of(section: SectionCurve) -> WingLift:
    return wing_lift(wing(), curve_at=span_curves(wing(), clean=[section] * 2), angles=ANGLES)


def test_the_limit_is_what_was_read() -> None:
    assert pytest.approx(0.2152, abs=1e-4) == MOST_MEASURED


def test_a_gain_that_was_measured_stays_as_computed() -> None:
    clean, lifted = of(curve(1.4)), of(curve(1.6))
    assert credited(lifted, clean=clean, span_share=1.0) is lifted


def test_more_is_cut_at_what_was_measured_over_the_span_of_the_row() -> None:
    clean, lifted = of(curve(1.4)), of(curve(2.2))
    assert clean.cl_max_continued is not None
    for share in (1.0, 0.5):
        found = credited(lifted, clean=clean, span_share=share)
        most = clean.cl_max_continued * (1.0 + MOST_MEASURED * share)
        assert found.cl_max_continued == pytest.approx(most)
        assert np.nanmax(found.cl) == pytest.approx(most)
        assert found.angle_continued is not None
        # there the wing as computed has just that lift
        assert np.interp(found.angle_continued, ANGLES, lifted.cl) == pytest.approx(most)
        below = lifted.cl < most
        assert np.array_equal(found.cl[below], lifted.cl[below])
        assert any("no more than that is credited" in warning for warning in found.warnings)
        assert "Janiszewska2004" in found.sources


def test_without_a_clean_maximum_nothing_is_cut() -> None:
    lifted = of(curve(2.2))
    endless = dataclasses.replace(of(curve(1.4)), cl_max_continued=None, angle_continued=None)
    assert credited(lifted, clean=endless, span_share=1.0) is lifted


def test_where_vanes_can_do_nothing_no_gain_is_credited() -> None:
    clean, lifted = of(curve(1.4)), of(curve(1.6))
    found = credited(lifted, clean=clean, span_share=1.0, no_gain="from the nose: it burst")
    assert found.cl_max_continued == clean.cl_max_continued
    assert any("from the nose: it burst" in warning for warning in found.warnings)


def test_a_lift_that_still_rises_where_answers_end_is_credited_as_far_as_it_goes() -> None:
    clean, lifted = of(curve(1.4)), of(curve(1.6))
    assert clean.cl_max_continued is not None
    use = lifted.angles < np.radians(18.0)
    cut = dataclasses.replace(
        lifted,
        cl=np.where(use, lifted.cl, np.nan),
        converged=use,
        cl_max_continued=None,
        angle_continued=None,
    )
    found = credited(cut, clean=clean, span_share=1.0)
    highest = float(np.nanmax(cut.cl))
    assert highest > clean.cl_max_continued
    assert found.cl_max_continued == highest
    assert any("still rises" in warning for warning in found.warnings)
    # below the clean wing's own maximum nothing can be said
    short = dataclasses.replace(cut, converged=lifted.angles < np.radians(6.0))
    assert credited(short, clean=clean, span_share=1.0).cl_max_continued is None
