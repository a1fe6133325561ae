"""Someone's test: what it should have shown on this wing, and whether its method could show it."""

from __future__ import annotations

import math
from dataclasses import dataclass

from slowflight import units
from slowflight.uncertainty import Banded

KNOT = 1852.0 / 3600.0
# What each way of reading a speed leaves unknown of a difference between two configurations, as a half-band
# [m/s] (common practice, no source): the indicator's static error changes with the angle that vanes allow.
READINGS = {
    "indicator": 2.0 * KNOT,
    "GPS one way": 5.0 * KNOT,
    "GPS both ways": 2.0 * KNOT,
    "GPS legs": 0.5 * KNOT,
    "calibrated": 0.3 * KNOT,
}
READING_WHY = {
    "indicator": "an indicator's error changes with the angle, and vanes change the angle of the stall",
    "GPS one way": "wind goes straight into a speed over the ground",
    "GPS both ways": "wind across the track stays in the mean of two ways, and wind changes between them",
    "GPS legs": "three legs or more give wind and airspeed together",
    "calibrated": "the indicator's error was measured at these angles",
}
TWO_SIDED = 1.96


@dataclass(frozen=True, kw_only=True)
class Explained:
    """What a reported test should have shown.

    Parameters
    ----------
    expected : Banded or None
        Fall of the speed in question [m/s], positive slower; ``None`` where it is not predicted.
    resolution : float
        Half-band of what the method could tell apart [m/s].
    could_see : bool or None
        Whether a change as predicted stands out of it; ``None`` where it is not predicted.
    finding : str
        ``"as predicted"``, ``"within the band"`` (not as predicted, and no contradiction either), ``"could
        not have seen it"``, ``"more than predicted"``, ``"less than predicted"`` or ``"not yet predicted"``.
    sentences : tuple of str
    """

    expected: Banded | None
    resolution: float
    could_see: bool | None
    finding: str
    sentences: tuple[str, ...]


def resolution(*, reading: str, scatter_error: float, weighed: bool, mass: float, speed: float) -> float:
    """Half-band of a difference of stall speeds found in a given way [m/s].

    Parameters
    ----------
    reading : str
        A key of `READINGS`.
    scatter_error : float
        Standard error of the difference from the scatter of stalls and flights [m/s].
    weighed : bool
        Whether weight was the same or corrected for; else 15 kg are taken (common practice, no source).
    mass, speed : float
        [kg], [m/s].

    Returns
    -------
    float
        Root of the sum of squares of reading, scatter (95 %) and weight.
    """
    weight = 0.0 if weighed else 0.5 * speed * 15.0 / mass
    return math.hypot(READINGS[reading], TWO_SIDED * scatter_error, weight)


def explain(*, expected: Banded | None, claimed: float | None, reading: str, resolution: float) -> Explained:
    """Set a claim beside the prediction, in the light of what its method could show.

    Parameters
    ----------
    expected : Banded or None
        Predicted fall of the speed in question [m/s].
    claimed : float or None
        Fall that is claimed [m/s]; ``None`` where the claim is only 'no difference', which is 0.
    reading : str
        A key of `READINGS`.
    resolution : float
        See `resolution` [m/s].

    Returns
    -------
    Explained
    """
    said = 0.0 if claimed is None else claimed
    method = (
        f"read by {reading}, the test could tell apart {_kt(resolution)} and more: {READING_WHY[reading]}"
    )
    if expected is None:
        return Explained(
            expected=None, resolution=resolution, could_see=None, finding="not yet predicted",
            sentences=("that is not yet predicted: what it should have shown is not known", method),
        )  # fmt: skip
    could_see = abs(expected.value) > resolution
    shown = (
        f"on this wing that row is predicted to change the speed by {_change(expected.value)}"
        f" ({_change(expected.low)} to {_change(expected.high)}, uncalibrated)"
    )
    low, high = expected.low - resolution, expected.high + resolution
    if said > high:
        finding, last = (
            "more than predicted",
            "what is claimed is more than vanes and the method's doubt together",
        )
    elif said < low:
        finding, last = "less than predicted", "what is claimed is less than even the least predicted"
    elif not could_see:
        finding = "could not have seen it"
        last = (
            "a change as predicted drowns in this method: neither 'they work' nor 'they do nothing' follows"
        )
    elif abs(said - expected.value) > resolution:
        finding = "within the band"
        last = (
            "what is claimed differs from what is predicted by more than the method's doubt, but the"
            " prediction's own band holds it, which rests on no measured case: neither refutes the other"
        )
    else:
        finding, last = "as predicted", "the claim and the prediction agree within both bands"
    return Explained(
        expected=expected, resolution=resolution, could_see=could_see, finding=finding,
        sentences=(shown, method, last),
    )  # fmt: skip


def _change(fall: float) -> str:
    """A fall as a change that is read without thinking about signs."""
    if abs(fall) < 0.05 * KNOT:
        return "nothing"
    return f"{_kt(abs(fall))} {'less' if fall > 0.0 else 'MORE'}"


def _kt(speed: float) -> str:
    return units.format_speed(speed, "kt")
