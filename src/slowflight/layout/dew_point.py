"""How warm a surface has to be to stay dry enough to bond on."""

from __future__ import annotations

import math

from slowflight.errors import RangeError

SOURCES = ("WMO2008",)
# Common practice, no source: a surface this far above the dew point is taken as dry [K].
DRY_ABOVE = 3.0


def dew_point(*, temperature: float, humidity: float) -> float:
    """Dew point of air over water.

    Parameters
    ----------
    temperature : float
        Of the air [deg C], -20 to 50.
    humidity : float
        Relative [share], above 0 to 1.

    Returns
    -------
    float
        [deg C]

    Raises
    ------
    RangeError
        Where either is out of that range.

    Notes
    -----
    Source: WMO, Guide to Meteorological Instruments and Methods of Observation, No. 8, 7th edition, 2008,
    annex 4.B, at ordinary pressure, without its enhancement factor (0.4 % of the vapor pressure).
    """
    if not -20.0 <= temperature <= 50.0:
        raise RangeError(where="air temperature", found=f"{temperature:.0f} deg C", needed="-20 to 50 deg C")
    if not 0.0 < humidity <= 1.0:
        raise RangeError(
            where="relative humidity", found=f"{100 * humidity:.0f} %", needed="above 0 to 100 %"
        )
    log = math.log(humidity) + 17.62 * temperature / (243.12 + temperature)
    return 243.12 * log / (17.62 - log)
