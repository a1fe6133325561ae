"""How far a number from three grids may be from that of an endless fine one.

Source: Celik et al. 2008: apparent order of convergence, value extrapolated by it, and the grid convergence
index as the band (equations 3 to 7). Where the three do not converge one way, or slower than there is reason
to believe, three times their range (Eca and Hoekstra 2014, section 3). An order above the scheme's own is not
believed, as the latter advise.

A row's gain is a difference of two such numbers on the same grids: what errors both have in common is gone
from it, so it is taken as a number of its own.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from scipy.optimize import brentq

from slowflight.errors import RangeError

SOURCES = ("Celik2008", "EcaHoekstra2014")
SAFETY = 1.25  # Celik et al. 2008, equation 7
LEAST_ORDER, FORMAL_ORDER = 0.5, 2.0  # turbulence is carried first order, everything else second
LEAST_RATIO = 1.3  # of cell sizes, from experience (the source's step 2)
RANGES = 3.0


@dataclass(frozen=True, kw_only=True)
class GridBand:
    """A number on three grids and what follows from them.

    Parameters
    ----------
    values : tuple of float
        On the coarsest, the middle and the finest grid.
    order : float or None
        Apparent order; ``None`` where the values do not converge one way.
    extrapolated : float or None
        Value of an endless fine grid by the order believed.
    band : float
        Half width about the finest grid's value, in its unit.
    remark : str
        How the band came about.
    """

    values: tuple[float, float, float]
    order: float | None
    extrapolated: float | None
    band: float
    remark: str


def grid_band(values: tuple[float, float, float], *, sizes: tuple[float, float, float]) -> GridBand:
    """Band of a number by three grids.

    Parameters
    ----------
    values : tuple of float
        On the coarsest, the middle and the finest grid, in any one unit.
    sizes : tuple of float
        Their cells' lengths, falling, in any one unit: in the plane one over the root of the number of cells.

    Raises
    ------
    RangeError
        Where grids are closer than 1.3 to each other.
    """
    coarse, middle, fine = values
    wide, narrow = sizes[0] / sizes[1], sizes[1] / sizes[2]
    if min(wide, narrow) < LEAST_RATIO:
        raise RangeError(
            where="grids",
            found=f"ratios of {wide:.2f} and {narrow:.2f} from one to the next",
            needed=f"{LEAST_RATIO} at least",
        )
    upper, lower = coarse - middle, middle - fine
    spread = RANGES * (max(values) - min(values))
    if upper == lower == 0.0:
        return GridBand(
            values=values, order=None, extrapolated=fine, band=0.0, remark="the same on all three"
        )
    if upper * lower <= 0.0:
        return GridBand(
            values=values, order=None, extrapolated=None, band=spread,
            remark="does not converge one way: three times the range",
        )  # fmt: skip

    def short_of(order: float) -> float:
        # ratio of both differences less what an order makes of it
        return math.log(upper / lower) - math.log(
            (wide * narrow) ** order - narrow**order
        ) + math.log(narrow**order - 1.0)  # fmt: skip

    low, high = 1e-6, 20.0
    if short_of(low) <= 0.0:
        return GridBand(
            values=values, order=0.0, extrapolated=None, band=spread,
            remark="grows apart from grid to grid: three times the range",
        )  # fmt: skip
    order = high if short_of(high) > 0.0 else float(brentq(short_of, low, high))
    if order < LEAST_ORDER:
        return GridBand(
            values=values, order=order, extrapolated=None, band=spread,
            remark=f"apparent order {order:.1f}, too slow to be believed: three times the range",
        )  # fmt: skip
    believed = min(order, FORMAL_ORDER)
    error = lower / (narrow**believed - 1.0)
    remark = f"apparent order {order:.1f}" + (", taken as 2" if order > FORMAL_ORDER else "")
    return GridBand(
        values=values, order=order, extrapolated=fine - error, band=SAFETY * abs(error), remark=remark
    )
