"""A before and after that rest on the panel alone: marked biased, with the likely size of the bias."""

from __future__ import annotations

import math
from dataclasses import dataclass

from slowflight.flights.airspeed.position_error import PositionError, lift_coefficient
from slowflight.uncertainty import Banded, combined, plus_minus

# Standard uncertainty of what a higher stall angle does to the position error of a light aircraft whose panel
# was never calibrated near the stall. Common practice, no source.
USUAL_SHIFT = 0.5 * 1852.0 / 3600.0  # [m/s]


@dataclass(frozen=True, kw_only=True)
class IndicatorOnly:
    """A gain read from the panel, and why it is not a gain in calibrated speed.

    Parameters
    ----------
    gain : Banded
        Fall of indicated stall speed [m/s], its band widened by the likely bias.
    likely_bias : float
        Half-band of what position error alone may do to it [m/s].
    biased : bool
        Always true.
    sentence : str
        For the owner.
    """

    gain: Banded
    likely_bias: float
    sentence: str
    biased: bool = True


def indicator_only(
    *,
    before: float,
    after: float,
    half_band: float,
    curve: PositionError | None = None,
    mass: float | None = None,
) -> IndicatorOnly:
    """Compare stall speeds read from the panel.

    Parameters
    ----------
    before, after : float
        Indicated stall speeds at one mass [m/s].
    half_band : float
        95 % half-band of their difference from repeats alone [m/s].
    curve : PositionError, optional
        A calibration at higher speeds, to size the bias by: its slope carried to the stall.
    mass : float, optional
        Needed with the curve [kg].

    Returns
    -------
    IndicatorOnly

    Notes
    -----
    Vanes let the wing reach a higher angle, and the static source's error follows the angle (Gracey, NASA
    RP-1046): it does not cancel between before and after. Without a curve the usual size is 0.5 kt standard
    uncertainty, common practice, no source.
    """
    bias = 2.0 * USUAL_SHIFT
    if curve is not None and mass is not None:
        lifts = [
            lift_coefficient(speed=speed, mass=mass, load_factor=1.0, area=curve.area)
            for speed in (before, after)
        ]
        bias = math.hypot(bias, curve.slope * (lifts[1] - lifts[0]))
    gain = before - after
    band = combined(
        gain,
        plus_minus(gain, half_band, why="repeats"),
        plus_minus(gain, bias, why="position error at the higher angle, not calibrated"),
    )
    knots = 3600.0 / 1852.0
    sentence = (
        f"Read from the panel alone, so biased: {gain * knots:.1f} kt slower on the panel, of which position"
        f" error alone may be {bias * knots:.1f} kt either way. The panel is not calibrated near the stall."
    )
    return IndicatorOnly(gain=band, likely_bias=bias, sentence=sentence)
