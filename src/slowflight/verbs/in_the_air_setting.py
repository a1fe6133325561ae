"""What is known of the aircraft at one flap setting when its behavior in the air is worked out."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from slowflight import units
from slowflight.air import equivalent_airspeed
from slowflight.compare.row_answer import RowAnswer
from slowflight.flight_state.curve import WingCurve
from slowflight.flight_state.power_on import Body
from slowflight.flight_state.propeller import Propeller
from slowflight.flow.lifting_line import SpanCurve
from slowflight.uncertainty import Banded
from slowflight.verbs.prediction_answers import Answers
from slowflight.verbs.prediction_cases import Study
from slowflight.wing.in_the_air import InTheAir

MODEL = "predicted; its band is that of the stall speed, carried along in proportion"


@dataclass(frozen=True, kw_only=True)
class AtSetting:
    """One flap setting.

    Parameters
    ----------
    setting : float
        Of the flap [rad].
    answers : Answers
    clean : WingCurve
    vanes : WingCurve or None
        With the row that is shown at this setting, credited gain only; ``None`` without one.
    rough : WingCurve or None
        Clean, with layers turbulent from near the nose.
    bare : WingCurve or None
        The wing without its flap; ``None`` where no flap is computed, or without an answer.
    row : RowAnswer or None
        That row.
    clean_spans, row_spans : sequence of SpanCurve
        Section curves of one half as computed, cut alike at every setting; without a row empty.
    record : mapping
        The setting's part of the prediction: its stall speeds have the bands.
    body : Body
    propeller : Propeller or None
        ``None`` where thrust or diameter are not known.
    drag_known : bool
        Whether the body's drag was found from glides.
    attitude_doubt : float
        Half-band of the wing's angle on the wheels, where its parts were given as ranges [rad].
    """

    setting: float
    answers: Answers
    clean: WingCurve
    vanes: WingCurve | None
    rough: WingCurve | None
    bare: WingCurve | None
    row: RowAnswer | None
    clean_spans: Sequence[SpanCurve]
    row_spans: Sequence[SpanCurve]
    record: Mapping[str, Any]
    body: Body
    propeller: Propeller | None
    drag_known: bool
    attitude_doubt: float = 0.0

    @property
    def study(self) -> Study:
        """The study at this setting."""
        return self.answers.study

    @property
    def said(self) -> InTheAir:
        """What the owner knows beside the wing."""
        return self.study.file.in_the_air

    @property
    def air(self) -> dict[str, float]:
        """Mass, area and density, as functions of speed take them."""
        return {"mass": self.body.mass, "area": self.body.area, "density": self.body.density}

    def speed(self, true: float | None, *, like: str) -> dict[str, float] | None:
        """Write a true airspeed [m/s] as a calibrated one with its band.

        Parameters
        ----------
        true : float or None
            [m/s]
        like : str
            ``"clean"`` or ``"vanes"``: whose stall speed has the band that is carried along.
        """
        if true is None:
            return None
        calibrated = equivalent_airspeed(true=true, density=self.body.density)
        stall = self.record[f"stall_speed_{like}"]
        knots = units.express(calibrated, "kt")
        return {
            "m_s": calibrated,
            "kt": knots,
            "low_kt": knots * stall["low_kt"] / stall["kt"],
            "high_kt": knots * stall["high_kt"] / stall["kt"],
        }

    def banded(self, speed: Mapping[str, float]) -> Banded:
        """Read a speed of the record back [m/s]."""
        knot = units.express(1.0, "kt")
        return Banded(value=speed["m_s"], low=speed["low_kt"] / knot, high=speed["high_kt"] / knot)

    def stall_banded(self, like: str) -> Banded:
        """Return the calibrated stall speed with its band [m/s]; ``like`` as in `speed`."""
        return self.banded(self.record[f"stall_speed_{like}"])

    @property
    def mass_doubt(self) -> float:
        """Half-band of the mass, where it was given as a range [share of it]."""
        mass = self.study.file.aircraft.mass
        low, high = self.study.file.ranges.get("aircraft.mass", (mass, mass))
        return 0.5 * (high - low) / mass

    def true_stall(self, like: str) -> float | None:
        """Return the stall speed, true [m/s]."""
        curve = self.clean if like == "clean" else self.vanes
        return None if curve is None else self.study.flight.speed(curve.cl_max)

    def wings(self) -> list[tuple[str, WingCurve]]:
        """The wings that there are at this setting, by name."""
        found = [("clean", self.clean)]
        if self.vanes is not None and self.record["stall_speed_vanes"] is not None:
            found.append(("vanes", self.vanes))
        return found


def feet_a_minute(value: float) -> float:
    """Write a rate of climb or sink [m/s] in feet a minute."""
    return 60.0 * units.express(value, "ft")
