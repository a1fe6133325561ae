"""Whether the slowest speed an owner has seen on the indicator can be true for this weight and this wing.

Weight, area and speed fix the lift coefficient that the wing had to have. Where that is more than the wing
can give, indicator or weight must be wrong, or the engine was pulling; everything built on that speed would
be wrong with it, so this is asked first.
"""

from __future__ import annotations

from dataclasses import dataclass

from slowflight import units
from slowflight.compare.stall_speed import lift_at_speed, stall_speed
from slowflight.errors import RangeError
from slowflight.uncertainty import Banded, exactly, plus_minus, propagated

# How well an owner knows weight and slowest speed. The rule that an airspeed system be within 3 % or 5 kt
# (of old airworthiness codes, from memory) begins at 1.3 stall speeds and says nothing of speeds this low.
MASS_BAND = 0.03  # share of the mass
SPEED_BAND = 2.0 * 1852.0 / 3600.0  # [m/s]
MASS_WHY = "weight ±3 % (common practice, no source)"
SPEED_WHY = "indicator and its reading ±2 kt (common practice, no source)"


@dataclass(frozen=True, kw_only=True)
class Claim:
    """What an indicated speed says about the wing, beside what was predicted.

    Parameters
    ----------
    implied_cl : Banded
        Lift coefficient that carries the weight at the indicated speed [-].
    predicted : Banded or None
        Maximum lift coefficient of the wing as predicted [-]; ``None`` where it is not predicted.
    finding : str
        ``"agrees"``, ``"lift too high"``, ``"lift too low"`` or ``"not yet predicted"``; of the implied lift
        against the predicted.
    needed_speed : Banded or None
        Calibrated airspeed at which the predicted maximum carries the weight [m/s].
    sentence : str
        The finding in a builder's words.
    explanations : tuple of str
        What may be behind it and how to find out, likeliest first.
    """

    implied_cl: Banded
    predicted: Banded | None
    finding: str
    needed_speed: Banded | None
    sentence: str
    explanations: tuple[str, ...]


def check_claim(
    *,
    mass: float,
    area: float,
    indicated_speed: float,
    predicted_cl_max: Banded | None,
    mass_band: float = MASS_BAND,
    speed_band: float = SPEED_BAND,
) -> Claim:
    """Set the lift that an indicated speed implies beside the lift predicted for the wing.

    Parameters
    ----------
    mass : float
        At which the speed was read [kg].
    area : float
        Of the wing, to which the predicted coefficient refers [m^2].
    indicated_speed : float
        Slowest speed seen on the indicator, engine idling [m/s].
    predicted_cl_max : Banded or None
        Predicted maximum lift coefficient of the wing at the same flap setting [-].
    mass_band : float, optional
        Half-band of the mass [share of it].
    speed_band : float, optional
        Half-band of the indicated speed [m/s].

    Returns
    -------
    Claim

    Raises
    ------
    RangeError
        Where mass, area or speed are not above zero, or a band reaches down to zero.

    Notes
    -----
    The indicated speed is taken as calibrated within its band, so the density is that of the sea level
    standard at any altitude. Level unaccelerated flight; no thrust, no load on the tail. The two agree where
    their bands overlap.
    """
    if not 0.0 <= mass_band < 1.0 or not 0.0 <= speed_band < indicated_speed:
        raise RangeError(
            where="claim",
            found=f"bands of {mass_band:g} of the mass and {units.format_speed(speed_band, 'kt')}",
            needed="a share of the mass below 1 and a speed below the indicated one",
        )
    masses = plus_minus(mass, mass_band * mass, why=MASS_WHY if mass_band == MASS_BAND else "weight as given")
    speeds = plus_minus(
        indicated_speed, speed_band, why=SPEED_WHY if speed_band == SPEED_BAND else "indicator as given"
    )
    implied = propagated(lift_at_speed, mass=masses, area=exactly(area), speed=speeds)
    if predicted_cl_max is None:
        return Claim(
            implied_cl=implied,
            predicted=None,
            finding="not yet predicted",
            needed_speed=None,
            sentence=f"The largest lift of this wing is not yet predicted here, so {_kt(indicated_speed)} at "
            f"{_kg(mass)} can be neither confirmed nor doubted.",
            explanations=(),
        )
    needed = propagated(stall_speed, mass=masses, area=exactly(area), cl_max=predicted_cl_max)
    finding = "agrees"
    if not implied.overlaps(predicted_cl_max):
        finding = "lift too high" if implied.value > predicted_cl_max.value else "lift too low"
    other_mass = mass * predicted_cl_max.value / implied.value
    sentence, explanations = {
        "agrees": _agrees,
        "lift too high": _too_high,
        "lift too low": _too_low,
    }[finding](
        mass=mass,
        speed=indicated_speed,
        needed=needed,
        other_mass=other_mass,
        ratio=implied.value / predicted_cl_max.value,
    )
    return Claim(
        implied_cl=implied,
        predicted=predicted_cl_max,
        finding=finding,
        needed_speed=needed,
        sentence=sentence,
        explanations=explanations,
    )


def _agrees(
    *, mass: float, speed: float, needed: Banded, other_mass: float, ratio: float
) -> tuple[str, tuple[str, ...]]:
    return (
        f"{_kt(speed)} at {_kg(mass)} agrees with the wing as predicted, which would slow to "
        f"{_range(needed)} with the engine idling.",
        (
            "Agreement does not prove the indicator right: near the stall it may be several knots out, and a "
            "wrong weight can hide that. Check it against GPS legs in calm air before relying on it.",
        ),
    )


def _too_high(
    *, mass: float, speed: float, needed: Banded, other_mass: float, ratio: float
) -> tuple[str, tuple[str, ...]]:
    return (
        "Either the indicator or the weight must be wrong, or the engine was pulling: to fly at "
        f"{_kt(speed)} with {_kg(mass)} the wing would have to lift {100.0 * (ratio - 1.0):.0f} % more than "
        f"is predicted for it. With the engine idling it would slow to {_range(needed)} of true airspeed at "
        f"sea level: {_knots_out(needed, speed)} more than the indicator showed.",
        (
            f"The indicator reads about {_knots_out(needed, speed)} too low at that attitude: nose-high, the "
            "air meets the pitot tube and the static ports askew. Compare it with GPS legs in calm air.",
            f"The aircraft weighed about {_kg(other_mass)} rather than {_kg(mass)}. Weigh it as flown.",
            "Power was on: propeller pull and propwash carry part of the weight. Read it again with the "
            "engine idling and the speed falling by no more than 1 kt a second, high enough to recover.",
            "The flaps stood further down than the setting it is compared with, or the speed was read in a "
            "gust or while slowing fast, not held.",
        ),
    )


def _too_low(
    *, mass: float, speed: float, needed: Banded, other_mass: float, ratio: float
) -> tuple[str, tuple[str, ...]]:
    return (
        f"At {_kg(mass)} the wing is predicted to slow to {_range(needed)}, {_knots_out(needed, speed)} less "
        f"than the {_kt(speed)} shown. Either the indicator or the weight must be wrong, or the wing "
        "was not yet at its stall when the speed was read.",
        (
            "The wing was not stalled: the stick met its stop, a wing dropped first, or the pilot stopped "
            "short. Then vanes on the wing would not lower this speed by themselves.",
            f"The indicator reads about {_knots_out(needed, speed)} too high there. Compare it with GPS legs "
            "in calm air.",
            f"The aircraft weighed about {_kg(other_mass)} rather than {_kg(mass)}. Weigh it as flown.",
            "The prediction is too hopeful: gaps, struts, dents, dirt and the cabin take lift that it "
            "does not know of.",
        ),
    )


def _knots_out(needed: Banded, speed: float) -> str:
    return units.format_speed(abs(needed.value - speed), "kt", decimals=0)


def _range(speed: Banded) -> str:
    low, high = (units.express(end, "kt") for end in (speed.low, speed.high))
    return f"about {_kt(speed.value)} ({low:.0f} to {high:.0f} kt)"


def _kt(speed: float) -> str:
    return units.format_speed(speed, "kt", decimals=0)


def _kg(mass: float) -> str:
    return units.format_mass(mass, "kg")
