"""What a tuft does: attached, unsteady or reversed, by the angle of its yarn over half a second."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from slowflight.errors import InputError

SOURCES = ("MardiaJupp2000",)

ATTACHED, UNSTEADY, REVERSED, UNSEEN = "attached", "unsteady", "reversed", "not seen"
STATES = (ATTACHED, UNSTEADY, REVERSED)
KEYS = {"a": ATTACHED, "u": UNSTEADY, "r": REVERSED, "n": UNSEEN}
"""One key for each state when frames are scored by eye."""

_DEGREE = math.pi / 180.0


@dataclass(frozen=True, kw_only=True)
class TuftLimits:
    """Where one state ends and the next begins. Common practice, no source: check them by hand scores.

    Parameters
    ----------
    calm_mean, calm_spread : float
        An attached tuft points along the flow within the one and wags less than the other [rad].
    turned, whipping : float
        A tuft that points further from the flow than the one, or wags more than the other, is reversed [rad].
    window : float
        Over which it is judged [s].
    readable : float
        Share of a window's frames in which the yarn has to be seen [-].
    """

    calm_mean: float = 20.0 * _DEGREE
    calm_spread: float = 12.0 * _DEGREE
    turned: float = 90.0 * _DEGREE
    whipping: float = 45.0 * _DEGREE
    window: float = 0.5
    readable: float = 0.5


TUFT_LIMITS = TuftLimits()


@dataclass(frozen=True, kw_only=True)
class TuftReading:
    """One tuft over one window.

    Parameters
    ----------
    state : str
        One of `STATES`, or ``"not seen"``.
    mean : float
        Mean angle from the attached direction [rad], -pi to pi; NaN where it was not seen.
    spread : float
        Circular standard deviation [rad].
    """

    state: str
    mean: float
    spread: float


def classify(
    angles: npt.ArrayLike,
    *,
    smeared: npt.ArrayLike | None = None,
    limits: TuftLimits = TUFT_LIMITS,
) -> TuftReading:
    """Judge one tuft over one window.

    Parameters
    ----------
    angles : array_like, shape (n,)
        From the attached direction in each frame [rad]; NaN where the yarn was not seen.
    smeared : array_like of bool, shape (n,), optional
        Frames in which yarn was there but too blurred to have a direction: it moved fast.
    limits : TuftLimits, optional
        Where states end.

    Returns
    -------
    TuftReading

    Raises
    ------
    InputError
        Where there is no frame, or the arrays differ in length.

    Notes
    -----
    Mean direction and circular standard deviation ``sqrt(-2 ln R)`` of the mean resultant length R (Mardia
    and Jupp 2000, section 2.3). With one frame alone nothing is known of wagging: its direction decides.
    Where most frames are smeared a tuft is never attached; where all are it is reversed.
    """
    every = np.asarray(angles, dtype=float).ravel()
    blurred = np.zeros(every.size, dtype=bool) if smeared is None else np.asarray(smeared, dtype=bool).ravel()
    if not every.size or blurred.shape != every.shape:
        raise InputError(
            where="tuft", found=f"{every.size} angles, {blurred.size} marks", needed="one of each a frame"
        )
    seen = every[np.isfinite(every) & ~blurred]
    if seen.size + np.count_nonzero(blurred) < limits.readable * every.size:
        return TuftReading(state=UNSEEN, mean=math.nan, spread=math.nan)
    if not seen.size:
        return TuftReading(state=REVERSED, mean=math.nan, spread=math.inf)
    resultant = complex(np.mean(np.exp(1j * seen)))
    mean = float(np.angle(resultant))
    length = min(abs(resultant), 1.0)
    spread = math.sqrt(-2.0 * math.log(length)) if length > 0.0 else math.inf
    if abs(mean) > limits.turned or spread > limits.whipping:
        state = REVERSED
    elif (
        abs(mean) < limits.calm_mean
        and spread < limits.calm_spread
        and seen.size >= limits.readable * every.size
    ):
        state = ATTACHED
    else:
        state = UNSTEADY
    return TuftReading(state=state, mean=mean, spread=spread)
