"""What else could make a stall look slower: other explanations, on the scale of the vanes' own effect."""

from __future__ import annotations

from dataclasses import dataclass

from slowflight.compare.stall_speed import speed_at_lift

PRESSURE_ERROR = (
    0.05  # of the static port's pressure coefficient between two stall angles (common practice, no source)
)


@dataclass(frozen=True, kw_only=True)
class Rival:
    """Something other than vanes that changes the stall speed, or only what is read.

    Parameters
    ----------
    name : str
        In a builder's words.
    change : float or None
        Of the speed that is read at the stall, clean wing, calibrated [m/s]; negative is slower. ``None``
        where it is not predicted.
    real : bool
        False where only the reading changes, not the speed.
    how : str
        How the number was found.
    """

    name: str
    change: float | None
    real: bool
    how: str


def lighter(*, kilograms: float, mass: float, area: float, density: float, cl_max: float) -> float:
    """Change of stall speed with weight taken out [m/s]: the speed goes with the root of the weight."""
    before, after = (
        speed_at_lift(mass=m, area=area, density=density, cl=cl_max) for m in (mass, mass - kilograms)
    )
    return after - before


def misread(speed: float, *, pressure_error: float = PRESSURE_ERROR) -> float:
    """Change of the indicated speed where the static port's error changes with the angle [m/s].

    Notes
    -----
    Indicated dynamic pressure is the true one less the static error, ``dV / V = -dCp / 2``. Vanes let
    the wing reach a larger angle, where the port's error is another: a fall on the indicator without
    any in the air.
    """
    return -0.5 * pressure_error * speed
