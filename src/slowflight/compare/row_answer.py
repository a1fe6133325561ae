"""What one row of vanes does to the wing: maximum lift, stall speed, drag in cruise, and why."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from slowflight.compare.stall_speed import lift_at_speed, speed_at_lift
from slowflight.flow.lifting_line import WingLift
from slowflight.wing.vane_row import VaneRow

CRUISE_POWER, PROPELLER = 0.75, 0.72
USUAL_DRAG = 0.05


@dataclass(frozen=True, kw_only=True)
class Flight:
    """The flight in question.

    Parameters
    ----------
    mass : float
        [kg]
    area : float
        Reference area [m2].
    density : float
        Of the air [kg/m3].
    cruise_speed : float
        True airspeed [m/s].
    cruise_drag : float
        Drag coefficient of the whole aircraft in cruise, on the reference area [-].
    """

    mass: float
    area: float
    density: float
    cruise_speed: float
    cruise_drag: float

    def speed(self, cl: float) -> float:
        """True airspeed at a wing lift coefficient [m/s]."""
        return speed_at_lift(mass=self.mass, area=self.area, density=self.density, cl=cl)


@dataclass(frozen=True, kw_only=True)
class RowAnswer:
    """A row beside the clean wing.

    Parameters
    ----------
    candidate : str
        Name of the vane.
    row : VaneRow
    lift : WingLift or None
        ``None`` where there is no answer; ``problem`` says why.
    cl_max, stall_angle : float or None
        Of the wing [-], and the wing angle there [rad].
    stall_speed, fall : float or None
        True airspeed, and how much slower than clean [m/s].
    drag_counts, cruise_loss : float or None
        Drag in cruise over the clean wing's [1e-4] and the speed that costs [m/s].
    problem : str
        Empty where there is an answer.
    second : VaneRow or None
        Another row behind ``row`` that acts together with it.
    """

    candidate: str
    row: VaneRow
    lift: WingLift | None
    cl_max: float | None
    stall_angle: float | None
    stall_speed: float | None
    fall: float | None
    drag_counts: float | None
    cruise_loss: float | None
    problem: str = ""
    second: VaneRow | None = None

    @property
    def answered(self) -> bool:
        """Whether stall speed and cruise cost are both there."""
        return self.fall is not None and self.cruise_loss is not None


def row_answer(
    *,
    candidate: str,
    row: VaneRow,
    lift: WingLift,
    clean: WingLift,
    flight: Flight,
    flaps_up: RowAnswer | None = None,
) -> RowAnswer:
    """Set the wing with a row beside the clean wing.

    Parameters
    ----------
    candidate : str
        Name of the vane.
    row : VaneRow
    lift, clean : WingLift
        With the row and without, over the same wing angles.
    flight : Flight
    flaps_up : RowAnswer, optional
        The same row with the flap up, whose cost in cruise is this one's too; without it the cost is found on
        the wing given here.

    Returns
    -------
    RowAnswer
        The maximum is that of the answer followed through stall: the first strip to reach its section's
        maximum stands outside a part-span row and would hide what the row does.
    """
    cl_max, clean_max = lift.cl_max_continued, clean.cl_max_continued
    cruise = drag_counts(lift, clean, cl=cruise_lift(flight)) if flaps_up is None else None
    counts = cruise if flaps_up is None else flaps_up.drag_counts
    problems = []
    if cl_max is None:
        problems.append("maximum lift of the wing with this row is not bracketed by answered angles")
    if counts is None:
        problems.append("cruise lift is not among the answered angles")
    slow = None if cl_max is None else flight.speed(cl_max)
    known = slow is not None and clean_max is not None
    return RowAnswer(
        candidate=candidate,
        row=row,
        lift=lift,
        cl_max=cl_max,
        stall_angle=lift.angle_continued,
        stall_speed=slow,
        fall=flight.speed(clean_max) - slow if known and clean_max is not None and slow is not None else None,
        drag_counts=counts,
        cruise_loss=None if counts is None else cruise_loss(flight, counts=counts),
        problem="; ".join(problems),
    )


def cruise_lift(flight: Flight) -> float:
    """Wing lift coefficient in cruise [-]."""
    return lift_at_speed(
        mass=flight.mass, area=flight.area, density=flight.density, speed=flight.cruise_speed
    )


def drag_counts(lift: WingLift, clean: WingLift, *, cl: float) -> float | None:
    """Profile drag over the clean wing's at one lift coefficient [1e-4], or ``None`` without an answer."""
    found = []
    for wing in (lift, clean):
        top = wing.angle_continued if wing.angle_continued is not None else math.inf
        use = wing.converged & (wing.angles <= top)
        order = np.argsort(wing.angles[use])
        cls, drags = wing.cl[use][order], wing.cd_profile[use][order]
        if cls.size < 2 or not cls[0] <= cl <= cls.max():
            return None
        found.append(float(np.interp(cl, cls, drags)))
    return 1e4 * (found[0] - found[1])


def cruise_loss(flight: Flight, *, counts: float) -> float:
    """Speed that added drag costs at unchanged power [m/s].

    Notes
    -----
    Power ``D V`` constant, ``D = q S CD``: ``dV / V = -dCD / (3 CD)`` for a drag that is mostly not induced.
    Derived here.
    """
    return flight.cruise_speed * 1e-4 * counts / (3.0 * flight.cruise_drag)


def cruise_drag_from_power(
    *, power: float | None, density: float, speed: float, area: float
) -> tuple[float, str]:
    """Estimate the drag coefficient of the whole aircraft in cruise.

    Parameters
    ----------
    power : float or None
        Rated power of the engine [W].
    density, speed, area : float
        Of the air [kg/m3], true airspeed [m/s], reference area [m2].

    Returns
    -------
    tuple of (float, str)
        Coefficient [-] and where it comes from.
    """
    if power is None:
        return (
            USUAL_DRAG,
            f"{USUAL_DRAG} taken for the whole aircraft's drag coefficient (common practice, no source)",
        )
    drag = 2.0 * CRUISE_POWER * PROPELLER * power / (density * speed**3 * area)
    return drag, (
        f"drag coefficient {drag:.3f} from {100 * CRUISE_POWER:.0f} % power and a propeller efficiency of"
        f" {PROPELLER:.2f} (common practice, no source)"
    )
