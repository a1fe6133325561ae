"""Where would help help? Along the upper skin: helps, no matter, hurts, in millimeters from the nose.

The strip answers for *mixing that arrives at a place*, at the angle of maximum lift of the clean wing. A row
of vanes acts downstream of itself, so the row's place lies ahead of where the strip says that mixing helps.

What counts as 'no matter'. Two things make the band at each place: how far the answer differs between the
variants of the model that its own record cannot tell apart (lag constants that measured sections ask for,
another number of panels), and a least effect below which nobody could tell. A place whose effect lies inside
its band is 'no matter': it may be small, and it may be in doubt.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from itertools import groupby
from typing import Any

import numpy as np

from slowflight.compare.cautions import PREDICTION_CAUTIONS
from slowflight.flow.integral.mixing_problem import Problem, response
from slowflight.flow.integral.sensitivity import DOSE, DOSE_LENGTH, SkinSensitivity, bump, sensitivity
from slowflight.flow.solution import FloatArray

HELPS, NO_MATTER, HURTS, LAMINAR = "helps", "no matter", "hurts", "laminar"
HALF_WIDTH = 0.02  # of the hump that a place stands for [chords]
SPACING = 0.01  # of places [chords]
DOSES_OF_A_ROW = 20.0  # D_v of 0.001 over a fifth of the chord (own estimate, no source)
LEAST_SHARE = 0.005  # of maximum lift that a whole row has to bring to be told: 0.25 % of speed (own choice)
CHECKS = (0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.75)  # places solved anew [share of the skin]
STATUS = "predicted, uncalibrated"
# of measured sections, one asks for the first, one for the second (see documents, 'What it was set by')
LAG_CONSTANTS = (4.6, 8.0)
STRIP_CAUTIONS = (
    "Predicted and uncalibrated: no measured case with vanes stands behind it. Read the direction, not the"
    " size.",
    "The strip shows where mixing has to arrive, not where vanes should stand: a row acts downstream of"
    " itself.",
    "It is the first bit of mixing at one angle. Vanes also trip a laminar layer and leave a wake; neither is"
    " in it.",
    *PREDICTION_CAUTIONS,
)
SOURCES = ("DrelaGiles1987", "Veldman2009")


def help_strip(
    *,
    setting: str,
    chord_m: float,
    base: Problem,
    variants: Mapping[str, Problem | None],
    body: str = "main",
    sources: Sequence[str] = SOURCES,
) -> dict[str, Any]:
    """Lay out where mixing would help on one upper skin.

    Parameters
    ----------
    setting : str
        The flap setting in words.
    chord_m : float
        Real main chord [m].
    base : Problem
        The clean flow at maximum lift (``flow.integral.at_maximum``) or at another angle.
    variants : mapping of str to (Problem or None)
        The same by other variants of the model, each at its own maximum; ``None`` had no answer and is said.
    body : str
        ``"main"`` or ``"flap"``.
    sources : sequence of str
        Keys of the bibliography.

    Returns
    -------
    dict
        Plain data for JSON. ``places``: lists along the skin, effects in change of the lift coefficient per
        dose; ``stretches``; ``checks``: humps solved anew, ``None`` where that did not converge.
    """
    found = sensitivity(base)
    skin = found.skin(body)
    at = np.arange(HALF_WIDTH, float(skin.along[-1]) - HALF_WIDTH, SPACING)
    effect = _smoothed(skin, skin.lift, at)
    others = {name: sensitivity(p) for name, p in variants.items() if p is not None}
    spread = np.zeros_like(at)
    for other in others.values():
        theirs = other.skin(body)
        spread = np.maximum(spread, np.abs(_smoothed(theirs, theirs.lift, at) - effect))
    least = LEAST_SHARE * abs(found.cl) / DOSES_OF_A_ROW
    band = np.maximum(spread, least)
    laminar = np.interp(at, skin.along, skin.turbulent_share) < 0.5
    kinds = [
        LAMINAR if lam else HELPS if e > b else HURTS if e < -b else NO_MATTER
        for e, b, lam in zip(effect, band, laminar, strict=True)
    ]
    x = np.interp(at, skin.along, skin.x)
    mm = 1000.0 * chord_m
    return {
        "setting": setting,
        "body": body,
        "side": "upper",
        "status": STATUS,
        "angle_deg": math.degrees(base.alpha),
        "lift_coefficient": found.cl,
        "reynolds": found.reynolds,
        "backflow_mm": mm * found.backflow,
        "chord_mm": mm,
        "dose": {
            "dissipation": DOSE,
            "over_chord_share": DOSE_LENGTH,
            "meaning": "extra dissipation coefficient of 0.001 over 1 % of chord, spread over 4 %",
        },
        "places": {
            "along_skin_mm": _list(mm * at),
            "along_chord_mm": _list(mm * x),
            "effect": _list(effect),
            "low": _list(effect - band),
            "high": _list(effect + band),
            "backflow_effect_mm": _list(mm * _smoothed(skin, skin.backflow, at)),
            "kind": kinds,
        },
        "stretches": _stretches(kinds, at=mm * at, x=mm * x, half=0.5 * mm * SPACING),
        "checks": [_check(base, skin, place, mm) for place in _checked(at, laminar)],
        "band": {
            "least": least,
            "variants": {name: None if name not in others else others[name].cl for name in variants},
            "why": [
                f"effects of less than {100.0 * LEAST_SHARE:g} % of maximum lift for a whole row"
                f" ({DOSES_OF_A_ROW:g} doses) are told by no flight: own choice",
                "largest difference to the variants of the model at each place"
                if others
                else "no variant of the model had an answer: the band is the least effect only",
            ],
        },
        "cautions": list(STRIP_CAUTIONS),
        "sources": list(sources),
    }


def row_effect(
    skin: SkinSensitivity, *, front: float, distance: FloatArray, dissipation: FloatArray
) -> float:
    """Change of the lift coefficient by a row whose dissipation behind it is known, to first order.

    Parameters
    ----------
    skin : SkinSensitivity
    front : float
        The row's place along the skin from the nose [chords].
    distance, dissipation : FloatArray
        Distances behind the row [chords] and D_v there [-], shape (k,); nothing beyond the last.

    Returns
    -------
    float
        Wake and trip of the vanes are not in it.
    """
    there = np.interp(skin.along - front, distance, dissipation, left=0.0, right=0.0)
    return float((skin.lift * skin.width) @ there) / (DOSE * DOSE_LENGTH)


def with_variants(
    make: Callable[..., Problem | None], *, lag: float, panels: int
) -> dict[str, Problem | None]:
    """The variants of the model that make the band.

    Parameters
    ----------
    make : callable
        Takes ``lag`` and ``panels`` and returns the flow at maximum lift, or ``None``.
    lag, panels : float, int
        Of the model itself.
    """
    variants = {f"lag constant {k:g}": make(lag=k, panels=panels) for k in LAG_CONSTANTS}
    finer = round(1.25 * panels)
    return variants | {f"{finer} panels": make(lag=lag, panels=finer)}


def _smoothed(skin: SkinSensitivity, values: FloatArray, at: FloatArray) -> FloatArray:
    """Effect of one dose spread as ``bump`` spreads it, at each place."""
    shape = np.clip(1.0 - ((skin.along - at[:, None]) / HALF_WIDTH) ** 2, 0.0, None) ** 2 * skin.width
    return np.asarray(shape @ values / np.maximum(shape.sum(axis=1), 1e-12))


def _checked(at: FloatArray, laminar: np.ndarray) -> list[float]:
    wanted = at[0] + (at[-1] - at[0]) * np.array(CHECKS)
    return [float(at[k]) for k in sorted({int(np.argmin(np.abs(at - w))) for w in wanted}) if not laminar[k]]


def _check(base: Problem, skin: SkinSensitivity, place: float, mm: float) -> dict[str, float | None]:
    added = bump(skin, base.base.state.shape[0], at=place, length=HALF_WIDTH, doses=1.0)
    return {
        "along_skin_mm": mm * place,
        "along_chord_mm": mm * float(np.interp(place, skin.along, skin.x)),
        "predicted": float(_smoothed(skin, skin.lift, np.array([place]))[0]),
        "resolved": response(base, added).lift,
    }


def _stretches(kinds: Sequence[str], *, at: FloatArray, x: FloatArray, half: float) -> list[dict[str, Any]]:
    told, first = [], 0
    for kind, group in groupby(kinds):
        last = first + len(list(group)) - 1
        told.append(
            {
                "kind": kind,
                "from_skin_mm": float(at[first]) - half,
                "to_skin_mm": float(at[last]) + half,
                "from_chord_mm": float(x[first]),
                "to_chord_mm": float(x[last]),
            }
        )
        first = last + 1
    return told


def _list(values: FloatArray) -> list[float]:
    return [float(v) for v in values]
