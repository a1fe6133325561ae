"""How far a prediction may be off: stated defaults until enough measured cases stand behind a band."""

from __future__ import annotations

from collections.abc import Sequence

from slowflight.compare.evidence.record import CaseError
from slowflight.compare.model_error import section_band
from slowflight.compare.stall_speed import stall_speed
from slowflight.uncertainty import Banded, combined, exactly, propagated

WING_SHARE = 0.10
WING_WHY = (
    "fuselage, struts, gaps and tank caps are not computed; they take away up to a tenth (common practice, no"
    " source)"
)
FLAP_WHY = (
    "the flap behind the wing is left out: with it maximum lift may be higher by up to its share of chord"
)
FLAP_SHARE = 0.4
FLAP_ADDS_WHY = (
    "what the flap adds to maximum lift rests on fewer than 10 measured cases: 40 % of it either way is a"
    " stated default (the one wing measured with a hung flap gained 29 % more than predicted)"
)
LEAST_OF_LIFT, LEAST_OF_SPEED = (
    0.05,
    0.025,
)  # half-bands of what vanes do, at least [share of the clean value]
GAIN_WHY = (
    "what vanes gain rests on no measured case (0): anything from nothing to twice the predicted is possible,"
    " and 2.5 % of the stall speed either way at least; both are stated defaults"
)
COST_WHY = "what vanes cost in cruise rests on no measured case (0): nothing to twice the predicted"
INPUTS_WHY = "what was not measured exactly: weight, sizes, air, surface, the vanes as made"


def clean_maximum(
    cl_max: float, *, errors: Sequence[CaseError], left_out_chord: float = 0.0, flap_adds: float = 0.0
) -> Banded:
    """Put the band round a predicted maximum lift coefficient of the clean wing.

    Parameters
    ----------
    cl_max : float
        [-]
    errors : sequence of CaseError
        Of the tier, on record.
    left_out_chord : float
        Of a hung or slotted flap that is not computed [share of the main chord].
    flap_adds : float
        Lift coefficient that a computed flap adds to the wing without it [-].

    Returns
    -------
    Banded
    """
    causes = [
        section_band(cl_max, errors),
        Banded(value=cl_max, low=cl_max * (1.0 - WING_SHARE), high=cl_max, why=(WING_WHY,)),
    ]
    if left_out_chord > 0.0:
        high = cl_max * (1.0 + left_out_chord)
        causes.append(Banded(value=cl_max, low=cl_max, high=high, why=(FLAP_WHY,)))
    if flap_adds != 0.0:
        doubt = FLAP_SHARE * abs(flap_adds)
        causes.append(Banded(value=cl_max, low=cl_max - doubt, high=cl_max + doubt, why=(FLAP_ADDS_WHY,)))
    return combined(cl_max, *causes)


def uncalibrated(value: float, *, why: str, least: float = 0.0) -> Banded:
    """Put the band round an effect of vanes.

    Parameters
    ----------
    value : float
        Predicted, in any unit.
    why : str
    least : float
        Half-band at least: what no measured case stands behind cannot be known to be nothing either.

    Returns
    -------
    Banded
        From nothing to twice the size, in its own direction.
    """
    half = max(abs(value), least)
    return Banded(value=value, low=value - half, high=value + half, why=(why,))


def speed_with_band(
    *, mass: float, area: float, density: float, clean: Banded, gain: Banded | None = None
) -> Banded:
    """Stall speed, with the bands of maximum lift and gain carried through [m/s].

    Parameters
    ----------
    mass : float
        [kg]
    area, density : float
        [m2], [kg/m3]
    clean, gain : Banded
        Maximum lift coefficient without vanes, and what they add [-].

    Returns
    -------
    Banded
    """

    def speed(lift: float, added: float) -> float:
        return stall_speed(mass=mass, area=area, density=density, cl_max=lift + added)

    return propagated(speed, lift=clean, added=gain if gain is not None else exactly(0.0))
