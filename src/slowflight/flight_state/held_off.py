"""How sure a touchdown is: lift at an attitude the gear holds is known better than a wing's largest lift."""

from __future__ import annotations

import math

import numpy as np

from slowflight.compare.bands import FLAP_SHARE
from slowflight.flow.solution import FloatArray
from slowflight.uncertainty import Banded, carried, plus_minus

ATTACHED_SHARE = 0.05  # of lift at an attitude short of the stall
LEAST_DOUBT = math.radians(0.5)  # of an attitude read with a level or a phone (own choice)
WHY = (
    "lift at an attitude short of the stall: 5 % either way, a stated default (three measured lift slopes"
    " were off by 1.7 to 3.2 %); 40 % of what the flap adds there; weight and attitude as measured; and never"
    " less than the stall speed, which has its own band"
)


def speed_doubt(*, cl: float, slope: float, angle: float, flap_adds: float, mass_share: float) -> float:
    """Return the half-band of the speed at an attitude short of the stall [share of the speed].

    Parameters
    ----------
    cl : float
        Lift coefficient at the attitude [-].
    slope : float
        Its rise with the angle there [1/rad].
    angle : float
        Half-band of the attitude [rad].
    flap_adds : float
        What the flap adds to lift at that angle [-].
    mass_share : float
        Half-band of the mass [share of it].

    Returns
    -------
    float

    Notes
    -----
    ``V`` goes with the root of mass over lift, so each cause counts half; causes are independent and add as
    the root of the sum of squares (GUM, 5.1.2).

    Examples
    --------
    >>> round(speed_doubt(cl=1.5, slope=0.0, angle=0.0, flap_adds=0.0, mass_share=0.0), 4)
    0.025
    """
    causes = (
        ATTACHED_SHARE,
        slope * max(angle, LEAST_DOUBT) / cl,
        FLAP_SHARE * flap_adds / cl,
        mass_share,
    )
    return 0.5 * math.hypot(*causes)


def slowest(held: float, *, doubt: float, stall: Banded) -> Banded:
    """Return the slowest touchdown with its band, in the unit of the speeds.

    Parameters
    ----------
    held : float
        Speed at the attitude that the gear holds, by lift short of the stall.
    doubt : float
        Of that speed, as `speed_doubt` gives it.
    stall : Banded
        Stall speed.

    Returns
    -------
    Banded

    Notes
    -----
    The faster of the two ends the flare. Largest lift and lift short of it are taken as independent: a stall
    that comes sooner than predicted widens the band upward only. The root of a sum of squares does not hold
    across such a kink, so distributions are carried through it.

    Examples
    --------
    >>> stall = Banded(value=38.0, low=36.0, high=41.0)
    >>> found = slowest(39.0, doubt=0.02, stall=stall)
    >>> round(found.low, 1), round(found.value, 1), round(found.high, 1)
    (38.3, 39.0, 40.9)
    """
    return carried(
        lambda attached, stalled: np.maximum(held * attached, stalled),
        attached=plus_minus(1.0, doubt, why=WHY),
        stalled=stall,
    )


def changed(*, clean: float, vanes: float, doubt: float, stall: Banded, fall: Banded) -> Banded:
    """Return what vanes change in the slowest touchdown, below zero where it is slower.

    Parameters
    ----------
    clean, vanes : float
        Speeds at the attitude that the gear holds, by lift short of the stall.
    doubt : float
        Of both at once: one attitude, one weight, one wing.
    stall : Banded
        Clean stall speed.
    fall : Banded
        By how much vanes lower it.

    Returns
    -------
    Banded
        Doubts that both wings share are moved for both at once, so they cancel where both stand on the gear.

    Examples
    --------
    >>> exact = {"doubt": 0.0, "stall": Banded(value=38.0, low=38.0, high=38.0)}
    >>> fall = Banded(value=3.0, low=0.0, high=6.0)
    >>> changed(clean=39.0, vanes=39.0, fall=fall, **exact).low
    0.0
    >>> round(changed(clean=30.0, vanes=30.0, fall=fall, **exact).low, 1)
    -6.0
    """

    def change(attached: FloatArray, stalled: FloatArray, slower: FloatArray) -> FloatArray:
        before = np.maximum(clean * attached, stalled)
        return np.asarray(np.maximum(vanes * attached, stalled - slower) - before)

    return carried(change, attached=plus_minus(1.0, doubt, why=WHY), stalled=stall, slower=fall)


def margin(*, held: float, doubt: float, stall: Banded, approach: float | None, over: float) -> Banded:
    """Return how much faster than the slowest touchdown an approach is.

    Parameters
    ----------
    held, doubt, stall
        As for `slowest`.
    approach : float or None
        Speed of it; ``None`` where it is a multiple of the stall speed.
    over : float
        That multiple [-].

    Returns
    -------
    Banded
        A stall that comes sooner makes an approach by the stall speed faster too; that is not counted twice.
    """

    def left(attached: FloatArray, stalled: FloatArray) -> FloatArray:
        fast = over * stalled if approach is None else approach
        return np.asarray(fast - np.maximum(held * attached, stalled))

    return carried(left, attached=plus_minus(1.0, doubt, why=WHY), stalled=stall)
