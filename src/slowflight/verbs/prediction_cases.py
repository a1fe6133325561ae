"""From what the owner measured to the cases that a prediction computes."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

from slowflight import air, units
from slowflight.compare.row_answer import Flight, cruise_drag_from_power
from slowflight.errors import InputError
from slowflight.flow.lifting_line import linear_lift
from slowflight.study.section_case import SectionCase
from slowflight.wing.candidate import VaneCandidate
from slowflight.wing.planform import WingStation
from slowflight.wing.vane_row import VaneRow, check_against_chord
from slowflight.wing.wing_file import WingFile

ANGLES_DEG = tuple(float(a) for a in range(-6, 25))
WING_ANGLES_DEG = tuple(0.5 * a for a in range(-8, 53))
SECTION_SLOPE = 2.0 * math.pi * 0.95  # only to find how much more a section lifts than the wing
ROUGH_NOSE = (0.05, 0.05)  # the clean wing with its layers tripped near the nose [fraction of chord]


@dataclass(frozen=True, kw_only=True)
class RowToTry:
    """One row of the study: whose vanes, and where they stand."""

    candidate: VaneCandidate
    factor: float
    row: VaneRow
    as_written: bool = False


@dataclass(frozen=True, kw_only=True)
class Study:
    """What a prediction computes.

    Parameters
    ----------
    file : WingFile
    flight : Flight
    air : Air
    drag_note : str
        Where the aircraft's drag in cruise comes from.
    rows : tuple of RowToTry
    unit_speed : float
        True airspeed at a section lift coefficient of 1 [m/s]: every angle's speed follows from it.
    transition : tuple of (float or None, float or None)
        Where the layers are tripped, upper and lower [fraction of chord].
    critical_amplification : float
        [-]
    panels : int or None
        On a section; ``None`` takes the tier's own number.
    """

    file: WingFile
    flight: Flight
    air: air.Air
    drag_note: str
    rows: tuple[RowToTry, ...]
    unit_speed: float
    transition: tuple[float | None, float | None] = (None, None)
    critical_amplification: float = 9.0
    panels: int | None = None

    def clean(self, station: WingStation) -> SectionCase:
        """Return the clean section at a station of the wing."""
        return self._case(station)

    def rough(self) -> Study:
        """Return the study of the same wing with a rough nose."""
        return replace(self, transition=ROUGH_NOSE)

    def vanes(self, station: WingStation, row: VaneRow) -> SectionCase:
        """Return the section with a row of vanes."""
        return replace(self._case(station), rows=(row,))

    def _case(self, station: WingStation) -> SectionCase:
        return SectionCase(
            section=station.section,
            chord=station.chord,
            reynolds_at_unit_lift=air.reynolds_number(
                speed=self.unit_speed, chord=station.chord, air=self.air
            ),
            angles_deg=ANGLES_DEG,
            transition=self.transition,
            critical_amplification=self.critical_amplification,
            panels=self.panels,
        )


def study_of(file: WingFile) -> Study:
    """Set up the study that a wing.toml asks for.

    Parameters
    ----------
    file : WingFile

    Returns
    -------
    Study

    Raises
    ------
    InputError
        Where no row that is asked for can stand on the wing.
    """
    wing, aircraft = file.wing, file.aircraft
    around = air.standard_air(altitude=file.question.density_altitude)
    drag, note = cruise_drag_from_power(
        power=aircraft.power, density=around.density, speed=aircraft.cruise_speed, area=wing.area
    )
    flight = Flight(
        mass=aircraft.mass,
        area=wing.area,
        density=around.density,
        cruise_speed=aircraft.cruise_speed,
        cruise_drag=drag,
    )
    # A section at its maximum has the stall's own speed: the wing's lift is less than the section's there.
    local_share = linear_lift(wing, section_slope=SECTION_SLOPE).largest_local
    return Study(
        file=file,
        air=around,
        flight=flight,
        drag_note=note,
        rows=tuple(_rows(file)),
        unit_speed=flight.speed(1.0 / local_share),
    )


def _rows(file: WingFile) -> Iterator[RowToTry]:
    question = file.question
    shortest = min(station.chord for station in file.wing.stations)
    refused: InputError | None = None
    found = False
    for row in file.rows:
        # as it stands in wing.toml, whatever the question asks
        named = row.name or "row in wing.toml"
        candidate = VaneCandidate(
            name=named, height=row.height, length=row.length, pitch=row.pitch, gap=row.gap,
            incidence=row.incidence, arrangement=row.arrangement, opening=row.opening, shape=row.shape,
        )  # fmt: skip
        span_from = question.row_from if row.span_from is None else row.span_from
        span_to = question.row_to if row.span_to is None else row.span_to
        placed = replace(row, span_from=span_from, span_to=span_to)
        found = True
        yield RowToTry(candidate=candidate, factor=1.0, row=placed, as_written=True)
    for candidate in file.candidates:
        for factor in question.height_factors:
            for station in question.positions:
                row = candidate.row(
                    station=station,
                    height=factor * candidate.height,
                    span_from=question.row_from,
                    span_to=question.row_to,
                )
                try:
                    check_against_chord(
                        row, chord_m=shortest, where=f"{file.path}: candidate {candidate.name!r}"
                    )
                except InputError as error:
                    refused = error
                    continue
                found = True
                yield RowToTry(candidate=candidate, factor=factor, row=row)
    if not found:
        raise refused or InputError(
            where=f"{file.path}: question", found="no row to try", needed="positions and height_factors"
        )


def flap_words(setting: float) -> str:
    """Return a flap setting as shown."""
    return units.format_angle(setting, "deg", decimals=0)
