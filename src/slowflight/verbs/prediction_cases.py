"""From what the owner measured to the cases that a prediction computes."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path

from slowflight import air, units
from slowflight.compare.row_answer import Flight, cruise_drag_from_power
from slowflight.errors import InputError
from slowflight.flow.lifting_line import linear_lift
from slowflight.study.section_case import SectionCase
from slowflight.wing.airfoils import airfoil
from slowflight.wing.candidate import VaneCandidate
from slowflight.wing.elements import Element, planned
from slowflight.wing.flap import deflect, deflect_split
from slowflight.wing.own_airfoil_flap_file import OWN_AIRFOIL
from slowflight.wing.planform import WingStation
from slowflight.wing.section import Section
from slowflight.wing.vane_row import VaneRow, check_against_chord
from slowflight.wing.wing_file import WingFile

# Section angles: a degree apart where sections stall, two elsewhere; lower where a flap down lifts more.
ANGLES_DEG = (*(float(a) for a in range(-6, 6, 2)), *(float(a) for a in range(6, 19)), 20.0, 22.0, 24.0)
FLAP_DOWN_DEG = (-14.0, -12.0, -10.0, -8.0)
WING_ANGLES_DEG = tuple(0.5 * a for a in range(-8, 53))
SECTION_SLOPE = 2.0 * math.pi * 0.95  # only to find how much more a section lifts than the wing
NO_FLAP_BEHIND = math.radians(0.5)  # a flap within this of neutral is up
NO_PLACE = "not yet predicted: the {kind} flap is not described; wing.toml lacks {missing} in its [flap]"
ROUGH_NOSE = (0.05, 0.05)  # the clean wing with its layers tripped near the nose [fraction of chord]


@dataclass(frozen=True, kw_only=True)
class RowToTry:
    """One row of the study: whose vanes, and where they stand.

    ``own_height`` marks the height factor nearest to one: other heights are tried of the best vane only.
    """

    candidate: VaneCandidate
    factor: float
    row: VaneRow
    as_written: bool = False
    own_height: bool = False


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
    setting : float or None
        Of the flap, trailing edge down positive [rad]; ``None`` where the main wing alone is computed.
    own_flap : Section or None
        Airfoil of a hung or slotted flap.
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
    setting: float | None = None
    own_flap: Section | None = None

    @property
    def flap_span(self) -> tuple[float, float]:
        """Where the flap starts and ends, from the centerline [m]."""
        flap = self.file.flap
        tip = self.file.wing.semi_span
        if flap is None:
            return (tip, tip)
        return (flap.span_from or 0.0, tip if flap.span_to is None else flap.span_to)

    @property
    def left_out(self) -> float:
        """Chord of a flap behind the wing that is not computed [share of the main chord], else 0."""
        flap = self.file.flap
        behind = flap is not None and flap.kind in OWN_AIRFOIL
        return flap.chord if flap is not None and behind and self.setting is None else 0.0

    @property
    def bare(self) -> Study:
        """The study of the main wing alone, without its flap."""
        return replace(self, setting=None)

    def at(self, setting: float) -> Study:
        """Return the study with the flap at a setting [rad]; errors of the flap's geometry."""
        study = replace(self, setting=setting)
        for station in self.file.wing.stations:
            study.clean(station)
        return study

    def clean(self, station: WingStation) -> SectionCase:
        """Return the clean section at a station of the wing."""
        return self._case(station)

    def rough(self) -> Study:
        """Return the study of the same wing with a rough nose: no layer is tripped later than it was."""
        return self.tripped(*ROUGH_NOSE)

    def tripped(self, *stations: float | None) -> Study:
        """Return the study with trips at an upper and a lower station beside those the skin has."""
        both = zip(stations, self.transition, strict=True)
        upper, lower = (min((at for at in places if at is not None), default=None) for places in both)
        return replace(self, transition=(upper, lower))

    def vanes(self, station: WingStation, *rows: VaneRow) -> SectionCase:
        """Return the section with rows of vanes that act together."""
        return replace(self._case(station), rows=rows)

    def _angles(self) -> tuple[float, ...]:
        down = self.setting is not None and self.setting > NO_FLAP_BEHIND
        return (*FLAP_DOWN_DEG, *ANGLES_DEG) if down else ANGLES_DEG

    def _case(self, station: WingStation) -> SectionCase:
        section, flap = _with_flap(self, station.section)
        return SectionCase(
            section=section,
            flap=flap,
            chord=station.chord,
            reynolds_at_unit_lift=air.reynolds_number(
                speed=self.unit_speed, chord=station.chord, air=self.air
            ),
            angles_deg=self._angles(),
            transition=self.transition,
            critical_amplification=self.critical_amplification,
            panels=self.panels,
        )


def at_setting(study: Study, setting: float) -> Study | str:
    """Set the flap of a study.

    Parameters
    ----------
    study : Study
    setting : float
        Trailing edge down positive [rad].

    Returns
    -------
    Study or str
        The study at that setting; with a flap that is up but cannot be computed, the main wing alone. Text,
        ready to show, where the setting cannot be predicted.
    """
    plan = study.file.flap
    up = abs(setting) <= NO_FLAP_BEHIND
    if plan is None or (up and plan.kind not in OWN_AIRFOIL):
        return study.bare
    if plan.kind in OWN_AIRFOIL:
        names = ("airfoil", "axis_aft", "axis_below", "axis_in_flap")
        missing = [name for name in names if getattr(plan, name) is None]
        if missing:
            return study.bare if up else NO_PLACE.format(kind=plan.kind, missing=", ".join(missing))
    try:
        return study.at(setting)
    except InputError as problem:
        return f"not predicted: {problem}"


def is_up(setting: float) -> bool:
    """Whether a flap setting counts as up [rad]."""
    return abs(setting) <= NO_FLAP_BEHIND


def _with_flap(study: Study, section: Section) -> tuple[Section, Element | None]:
    """Turn a plain flap, or put one that is an airfoil of its own behind the section."""
    plan = study.file.flap
    if study.setting is None or plan is None:
        return section, None
    if plan.kind == "split":
        return deflect_split(section, chord=plan.chord, angle=study.setting), None
    plain = plan.plain()
    if plain is not None:
        return deflect(section, flap=plain, angle=study.setting), None
    if study.own_flap is None:
        raise InputError(
            where="flap airfoil", found="unknown", needed="the flap's own section",
            fix='name it, such as airfoil = "naca2412", or trace one rib',
        )  # fmt: skip
    return section, planned(section, study.own_flap, plan=plan, angle=study.setting).bodies[1]


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
        transition=wing.surface.transition,
        critical_amplification=wing.surface.critical_amplification,
        own_flap=None
        if file.flap is None or file.flap.airfoil is None
        else airfoil(file.flap.airfoil, base_folder=Path(file.path).parent),
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
        if span_to <= span_from:
            raise InputError(
                where=f"{file.path}: vane_row {named!r}",
                found=f"a row from {units.format_length(span_from, 'm', decimals=3)} to"
                f" {units.format_length(span_to, 'm', decimals=3)}, one of them from [question]",
                needed="the end outboard of the start", fix="give the row both span_from and span_to",
            )  # fmt: skip
        placed = replace(row, span_from=span_from, span_to=span_to)
        found = True
        yield RowToTry(candidate=candidate, factor=1.0, row=placed, as_written=True)
    own = min(question.height_factors, key=lambda factor: abs(math.log(factor)))
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
                yield RowToTry(candidate=candidate, factor=factor, row=row, own_height=factor == own)
    if not found:
        raise refused or InputError(
            where=f"{file.path}: question", found="no row to try", needed="positions and height_factors"
        )


def flap_words(setting: float) -> str:
    """Return a flap setting as shown, with no more decimals than it needs."""
    return units.format_angle(setting, "deg").replace(".0 ", " ")
