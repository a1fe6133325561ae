"""A film of tufts read frame by frame and judged window by window."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from slowflight.errors import InputError
from slowflight.flights.tufts.frames import Frame
from slowflight.flights.tufts.in_picture import TuftInPicture
from slowflight.flights.tufts.states import TUFT_LIMITS, TuftLimits, classify
from slowflight.flights.tufts.yarn import DARK, read_yarn

FloatArray = npt.NDArray[np.float64]
# Yarn without a direction is smeared, not hidden, while this share of its usual ink is there. Common
# practice, no source.
SMEARED = 0.4


@dataclass(frozen=True, kw_only=True, eq=False)
class Film:
    """What every frame showed.

    Parameters
    ----------
    names : tuple of str
        Tufts.
    numbers : tuple of int
        Of the frames that were read.
    times : FloatArray
        From the first frame [s], shape (frames,).
    angles, ink : FloatArray
        As `YarnReading`, shape (frames, tufts).
    size : tuple of int
        Width and height of a frame [pixels].
    """

    names: tuple[str, ...]
    numbers: tuple[int, ...]
    times: FloatArray
    angles: FloatArray
    ink: FloatArray
    size: tuple[int, int]


def read_film(
    frames: Iterable[Frame],
    tufts: Sequence[TuftInPicture],
    *,
    yarn: str = DARK,
    told: Callable[[int], None] = lambda _: None,
) -> Film:
    """Read a film.

    Parameters
    ----------
    frames : iterable of Frame
        In order; each is let go before the next is read.
    tufts : sequence of TuftInPicture
        Where they are.
    yarn : str, optional
        ``"dark"`` or ``"light"``.
    told : callable, optional
        Gets the number of each frame.

    Returns
    -------
    Film

    Raises
    ------
    InputError
        As for `read_yarn`, or where there is no frame.
    """
    numbers: list[int] = []
    times, angles, ink = [], [], []
    size = (0, 0)
    for frame in frames:
        told(frame.number)
        size = frame.picture.size
        found = read_yarn(frame.gray, tufts, yarn=yarn)
        numbers.append(frame.number)
        times.append(frame.time)
        angles.append(found.angles)
        ink.append(found.ink)
    if not times:
        raise InputError(where="tufts", found="no frame", needed="one or more")
    return Film(
        names=tuple(one.name for one in tufts),
        numbers=tuple(numbers),
        times=np.array(times),
        angles=np.array(angles),
        ink=np.array(ink),
        size=size,
    )


def film_scores(film: Film, *, limits: TuftLimits = TUFT_LIMITS) -> dict[tuple[float, str], str]:
    """Judge every tuft of a film, window by window.

    Parameters
    ----------
    film : Film
    limits : TuftLimits, optional
        Window and limits of the states.

    Returns
    -------
    dict
        State by time of the window's middle [s] and name of the tuft. The last, shorter window counts where
        it has half its length.
    """
    usual = np.array(
        [
            np.median(film.ink[np.isfinite(film.angles[:, place]), place])
            if np.isfinite(film.angles[:, place]).any()
            else np.inf
            for place in range(len(film.names))
        ]
    )
    smeared = ~np.isfinite(film.angles) & (film.ink >= SMEARED * usual)
    found: dict[tuple[float, str], str] = {}
    for number in range(int(film.times[-1] / limits.window) + 1):
        start = number * limits.window
        inside = (film.times >= start - 1e-9) & (film.times < start + limits.window - 1e-9)
        last = start + limits.window > film.times[-1] + 1e-9
        if not inside.any() or (last and number and np.ptp(film.times[inside]) < 0.4 * limits.window):
            continue
        middle = round(start + 0.5 * limits.window, 3)
        for place, name in enumerate(film.names):
            reading = classify(film.angles[inside, place], smeared=smeared[inside, place], limits=limits)
            found[(middle, name)] = reading.state
    return found
