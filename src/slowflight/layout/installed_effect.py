"""What the prediction says a row is worth where it really stands."""

from __future__ import annotations

from collections.abc import Sequence
from statistics import fmean

from slowflight.layout.error_budget import NOT_PREDICTED, FallCurve
from slowflight.layout.installed_form import InstalledVane


def installed_effect(
    vanes: Sequence[InstalledVane], *, station: float, chord: float, curve: FallCurve | None
) -> tuple[float | None, str]:
    """Predict what the mean shift of a row along the skin changes.

    Parameters
    ----------
    vanes : sequence of InstalledVane
        Of one row, both wings.
    station : float
        As laid out, along the chord [share].
    chord : float
        Mean under the row [m].
    curve : FallCurve or None
        Predicted fall over places of this vane.

    Returns
    -------
    tuple of (float or None, str)
        Change of the predicted fall of the stall speed [kt], None where it is not predicted, and words.

    Notes
    -----
    A millimeter along the skin counts as one along the chord, which near the nose is rather too much. Toe,
    missing vanes and a left wing unlike the right one are not in the prediction.
    """
    shifts = [vane.skin - vane.planned_skin for vane in vanes if vane.skin is not None]
    if not shifts:
        return None, f"{NOT_PREDICTED}: no vane was measured"
    mean = fmean(shifts)
    there = None if curve is None else curve.at(station + 1e-3 * mean / chord)
    here = None if curve is None else curve.at(station)
    words = f"the row stands {abs(mean):.1f} mm too far {'aft' if mean >= 0.0 else 'forward'} on average"
    if curve is None or there is None or here is None:
        return None, f"{words}; what that changes is {NOT_PREDICTED}: no prediction of this vane around there"
    change = there - here
    return change, (
        f"{words}: predicted fall of the stall speed changes by {_kt(change)} (predicted, uncalibrated; it"
        f" tells {curve.resolved:.2f} kt apart at best). Toe, missing vanes and unequal wings:"
        f" {NOT_PREDICTED}"
    )


def _kt(change: float) -> str:
    return f"{change:+.2f} kt" if abs(change) >= 0.005 else "less than 0.01 kt"
