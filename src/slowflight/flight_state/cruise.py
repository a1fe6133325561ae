"""What a row costs where nobody flies slowly: drag in counts, knots of cruise, feet a minute of climb."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from slowflight.flight_state.curve import WingCurve

COUNT = 1e-4


@dataclass(frozen=True, kw_only=True)
class CruiseCost:
    """Drag of a row at one lift coefficient, flaps up [counts of 1e-4]; ``None`` without an answer.

    Parameters
    ----------
    laminar : float or None
        Over a wing that keeps the laminar run it is predicted to have.
    turbulent : float or None
        Over a wing whose layers are turbulent from the nose anyway, as dirt, rain or a lap leave it: the
        vanes' own drag.
    run_worth : float or None
        What that laminar run is worth: tripped less smooth.
    """

    laminar: float | None
    turbulent: float | None
    run_worth: float | None


def cruise_cost(
    row: WingCurve, clean: WingCurve, rough: WingCurve | None, *, cl: float, own: float | None
) -> CruiseCost:
    """Set the row's drag beside the clean wing's, smooth and tripped.

    Parameters
    ----------
    row, clean, rough : WingCurve
        With the row; without; without and tripped near the nose.
    cl : float
        Of the wing in cruise [-].
    own : float or None
        Drag coefficient of the vanes themselves there, on the wing's area [-].

    Returns
    -------
    CruiseCost

    Notes
    -----
    A row trips the layer that was not turbulent yet. On a wing that is turbulent from the nose only its own
    drag is left: the row computed on the smooth wing, less the tripped one. Ahead of the row that wing is
    still laminar, so this is a little too small.
    """
    drags = [None if curve is None else _profile_at(curve, cl) for curve in (row, clean, rough)]
    with_row, smooth, tripped = drags
    return CruiseCost(
        laminar=_less(with_row, smooth),
        turbulent=None if own is None else own / COUNT,
        run_worth=_less(tripped, smooth),
    )


def climb_lost(*, counts: float, speed: float, density: float, area: float, weight: float) -> float:
    """Rate of climb that added drag costs [m/s]: ``dD V / W``."""
    return 0.5 * density * speed**3 * area * counts * COUNT / weight


def _less(a: float | None, b: float | None) -> float | None:
    return None if a is None or b is None else (a - b) / COUNT


def _profile_at(curve: WingCurve, cl: float) -> float | None:
    angle = curve.angle_of(cl)
    return None if angle is None else float(np.interp(angle, curve.angles, curve.cd_profile))
