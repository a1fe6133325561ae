"""The fit against marches it has not seen, and its limits."""

from __future__ import annotations

import numpy as np
import pytest

from slowflight.flow.row_march.designed import designed_case
from slowflight.flow.row_march.fitted import FALL_ERROR, PLACES, fitted_mixing
from slowflight.flow.row_march.row_march import march_row
from slowflight.flow.row_march.sizes import VaneSizes

ROW = VaneSizes(height=1.0, length=2.5, pitch=6.0, trailing_gap=2.5, incidence=np.radians(16.5))


def test_the_fit_is_within_its_stated_error_of_marches_it_has_not_seen() -> None:
    errors = []
    for number in range(300, 312):
        case = designed_case(number, plate=True)
        found = march_row(
            row=case.row, layer=case.layer, arc=case.arc, edge_speed=case.edge_speed, reynolds=case.reynolds
        )
        if found.status == "ran":
            fit = fitted_mixing(row=case.row, thickness=1.0, re_theta=case.re_theta)
            assert fit.inside
            errors.append(fit.shape_factor_fall - found.shape_factor_fall[[round(p) for p in PLACES]])
    assert len(errors) >= 8
    assert (np.sqrt(np.mean(np.square(errors), axis=0)) < 2.0 * np.array(FALL_ERROR)).all()


def test_no_vanes_no_mixing_and_more_incidence_more_of_it() -> None:
    flat = VaneSizes(height=0.0, length=1.0, pitch=6.0, incidence=0.3)
    none = fitted_mixing(row=flat, thickness=1.0, re_theta=2500.0)
    assert (none.shape_factor_fall == 0.0).all()
    falls = [
        fitted_mixing(
            row=VaneSizes(height=1.0, length=2.5, pitch=6.0, trailing_gap=2.5, incidence=np.radians(b)),
            thickness=1.0, re_theta=2500.0,
        ).shape_factor_fall
        for b in (8.0, 14.0, 20.0)
    ]  # fmt: skip
    assert (np.diff(falls, axis=0) > 0.0).all()


def test_rows_outside_the_fit_say_so() -> None:
    assert fitted_mixing(row=ROW, thickness=1.0, re_theta=2500.0).inside
    assert not fitted_mixing(row=ROW, thickness=10.0, re_theta=2500.0).inside
    assert not fitted_mixing(row=ROW, thickness=1.0, re_theta=2e4).inside
    assert fitted_mixing(row=ROW, thickness=1.0, re_theta=2500.0).shape_factor_fall == pytest.approx(
        [0.15, 0.2, 0.19], abs=0.08
    )
