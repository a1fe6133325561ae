"""What a book of flights holds, in SI."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from slowflight import units
from slowflight.flights.campaign.schedule import CLEAN_AGAIN
from slowflight.flights.handling.observation import Observation
from slowflight.flights.stall_record import CLEAN, VANES

PANEL, GROUND = "panel", "ground"
BEFORE, AFTER, BEFORE_AGAIN = "before", "after", "before again"
SIDES = {BEFORE: CLEAN, AFTER: VANES, BEFORE_AGAIN: CLEAN_AGAIN}
"""The owner's word for a side, and the configuration that the statistics know."""


@dataclass(frozen=True, kw_only=True)
class Mark:
    """The pilot's word on one stall.

    Parameters
    ----------
    stall : int
        Which of its flight, from 1, as listed.
    counts : bool
        False strikes it, true restores a struck one.
    reason : str
        Kept with it.
    """

    stall: int
    counts: bool
    reason: str


@dataclass(frozen=True, kw_only=True)
class FlightEntry:
    """One flight of the book.

    Parameters
    ----------
    name, side : str
        Its name, and one of `SIDES`.
    log, columns, stall_card, leg_card : Path or None
        The raw log and the mapping of its columns; stalls and legs typed from cards.
    second_log, second_columns : Path or None
        Of another recorder in the same flight, whose clock is brought to that of the log.
    temperature : float or None
        Outside, at the height of the test, where the log has none [K].
    pressure_setting : float or None
        Pressure at sea level as set on the altimeter, where the log has no pressure height [Pa].
    pitch_when_level : float or None
        Pitch that the recorder shows while the aircraft stands level on the line from which wing.toml
        measures the three-point attitude, for this flight [rad]; that of the rules without it.
    clocks_apart : float or None
        To add to the second log's time where no match is found [s].
    digest : str
        SHA-256 of the log when it was added; "" where none was written down.
    part : int or None
        Which flight of the log, from 1.
    mass : float or None
        At the start of the log [kg].
    fuel_burn : float
        [kg/s].
    flap_deg : float or None
        Where the log has no flap [degrees].
    power : str
        ``"idle"``, or what it was.
    centre_of_gravity : float or None
        Fraction of mean chord [-].
    pilot, notes : str
        As written.
    marks : tuple of Mark
        Stalls struck or restored.
    where : str
        File and table, for messages.
    """

    name: str
    side: str
    log: Path | None
    columns: Path | None
    stall_card: Path | None
    leg_card: Path | None
    digest: str
    part: int | None
    mass: float | None
    fuel_burn: float
    flap_deg: float | None
    power: str
    centre_of_gravity: float | None
    pilot: str
    notes: str
    marks: tuple[Mark, ...]
    where: str
    second_log: Path | None = None
    second_columns: Path | None = None
    clocks_apart: float | None = None
    temperature: float | None = None
    pressure_setting: float | None = None
    pitch_when_level: float | None = None

    @property
    def configuration(self) -> str:
        """How the statistics call its side."""
        return SIDES[self.side]


@dataclass(frozen=True, kw_only=True)
class HandlingEntry:
    """The handling card of one side at one flap setting.

    Parameters
    ----------
    side : str
        ``"before"`` or ``"after"``.
    flap_deg : float
        [degrees].
    seen : Observation
        The worst of it.
    """

    side: str
    flap_deg: float
    seen: Observation


@dataclass(frozen=True, kw_only=True)
class CruiseRun:
    """One level run of the cruise card.

    Parameters
    ----------
    flight, side : str
        Whose it is, and one of `SIDES`.
    true_speed : float
        From legs both ways or a circle of headings [m/s].
    fuel_flow : float
        At one mixture rule [m^3/s].
    height : float
        Pressure altitude [m].
    temperature : float
        Outside [K].
    mass : float or None
        [kg].
    """

    flight: str
    side: str
    true_speed: float
    fuel_flow: float
    height: float
    temperature: float
    mass: float | None


@dataclass(frozen=True, kw_only=True)
class TimedClimb:
    """One run of the climb card.

    Parameters
    ----------
    flight, side : str
        Whose it is, and one of `SIDES`.
    indicated : float
        As held [m/s].
    seconds : float
        From the lower to the upper height [s].
    bottom, top : float
        Pressure heights [m].
    temperature : float
        Outside, at the middle [K].
    mass : float or None
        [kg].
    heading : str
        ``"out"``, ``"back"`` or "".
    """

    flight: str
    side: str
    indicated: float
    seconds: float
    bottom: float
    top: float
    temperature: float
    mass: float | None
    heading: str


@dataclass(frozen=True, kw_only=True)
class FieldRoll:
    """One ground roll of the field card.

    Parameters
    ----------
    side : str
        ``"before"`` or ``"after"``.
    landing : bool
    distance, ground_speed : float
        [m], [m/s]; from cones in a video where they were not given.
    headwind : float
        Along the strip [m/s], tailwind negative.
    mass : float or None
        [kg].
    filmed : bool
        Whether distance and speed come from cones.
    """

    side: str
    landing: bool
    distance: float
    ground_speed: float
    headwind: float
    mass: float | None
    filmed: bool


@dataclass(frozen=True, kw_only=True)
class TuftPlanEntry:
    """Where the owner wants tufts; what is None is as usual.

    Parameters
    ----------
    span_from, span_to, span_pitch : float or None
        From the centerline, and between stations [m].
    rows : tuple of float
        Along the chord [chords]; empty for the usual ones.
    """

    span_from: float | None = None
    span_to: float | None = None
    span_pitch: float | None = None
    rows: tuple[float, ...] = ()


@dataclass(frozen=True, kw_only=True)
class TuftFilm:
    """One film of tufts.

    Parameters
    ----------
    name : str
        Its own.
    flight, side : str
        In which it was taken, and one of `SIDES`.
    frames : Path
        A folder of pictures, or a video.
    rate : float or None
        Pictures a second of a folder [1/s].
    begins : float
        When its first frame is, from the first reading of the flight's log [s].
    places, scores : Path or None
        Where tufts are in the picture; states by eye.
    yarn : str
        ``"dark"`` or ``"light"``.
    """

    name: str
    flight: str
    side: str
    frames: Path
    rate: float | None
    begins: float
    places: Path | None
    scores: Path | None
    yarn: str


@dataclass(frozen=True, kw_only=True)
class RollRecord:
    """One record of rolls from bank to bank.

    Parameters
    ----------
    side : str
        ``"before"`` or ``"after"``.
    log, columns : Path, Path or None
        The gyroscope's record, and the mapping of its columns.
    times : float
        Multiple of the configuration's own stall speed at which it was flown [-].
    axis : str
        The channel about the aircraft's long axis, with a minus where right wing down reads negative.
    still : float
        How long it begins in steady wings-level flight [s].
    """

    side: str
    log: Path
    columns: Path | None
    times: float
    axis: str
    still: float


@dataclass(frozen=True, kw_only=True)
class Rules:
    """What was fixed before the first flight, and what else the verdict asks.

    Parameters
    ----------
    unit : str
        Of the airspeed indicator.
    worth_having, cruise_margin : float or None
        Smallest gain worth keeping vanes for and largest loss of cruise that does not matter [m/s].
    flaps_deg : tuple of float
        Settings that matter [degrees]; empty for all of wing.toml.
    landing_flap_deg : float or None
        [degrees]; the largest where not given.
    flights_a_side, looks : int
        Planned.
    removable : bool
        Whether the vanes come off again.
    airspeed : str
        By what stalls are measured: ``"panel"``, or ``"ground"`` for ground velocity and wind.
    airspeed_lag : float
        Of the indicator [s].
    better_line : str
        An untested line that looks better, in words.
    flights_left, positions_tried : int
    confirmed : bool
        Whether the line was chosen before these flights.
    landings : int
        With these vanes so far.
    approach : float or None
        Present approach speed as indicated [m/s].
    note : str
        To stand above every result.
    pitch_when_level : float or None
        Pitch that the recorder shows while the aircraft stands level [rad]; without it no angle of attack.
    """

    unit: str = "kt"
    worth_having: float = units.speed("1 kt", where="rules")
    cruise_margin: float | None = None
    flaps_deg: tuple[float, ...] = ()
    landing_flap_deg: float | None = None
    flights_a_side: int = 3
    looks: int = 1
    removable: bool = True
    airspeed: str = PANEL
    airspeed_lag: float = 0.0
    better_line: str = ""
    flights_left: int = 0
    positions_tried: int = 1
    confirmed: bool = False
    landings: int = 0
    approach: float | None = None
    note: str = ""
    pitch_when_level: float | None = None


@dataclass(frozen=True, kw_only=True)
class Book:
    """The whole book.

    Parameters
    ----------
    path : Path
    rules : Rules
    flights : tuple of FlightEntry
        In the order of the file.
    handling : tuple of HandlingEntry
    cruise : tuple of CruiseRun
    rolls : tuple of RollRecord
    climbs : tuple of TimedClimb
    field : tuple of FieldRoll
    tuft_plan : TuftPlanEntry
    films : tuple of TuftFilm
    """

    path: Path
    rules: Rules
    flights: tuple[FlightEntry, ...]
    handling: tuple[HandlingEntry, ...]
    cruise: tuple[CruiseRun, ...]
    rolls: tuple[RollRecord, ...] = ()
    climbs: tuple[TimedClimb, ...] = ()
    field: tuple[FieldRoll, ...] = ()
    tuft_plan: TuftPlanEntry = TuftPlanEntry()
    films: tuple[TuftFilm, ...] = ()
