"""A row of vortex generators as the owner describes it.

One description drives prediction, template and report. A station is that of the vanes' forward tips; the
vortex leaves at the trailing tips, which `vane_trailing_station` finds along the skin.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from pathlib import Path

from slowflight import units
from slowflight.errors import InputError, RangeError
from slowflight.wing.section import Section
from slowflight.wing.skin import skin_station, station_along_skin
from slowflight.wing.tomlfile import Table, read_toml, refuse_unknown

ARRANGEMENTS = ("counter-rotating", "co-rotating")
OPENINGS = ("downstream", "upstream")
SHAPES = ("rectangular", "triangular", "trapezoidal", "ogival")
SURFACES = ("upper", "lower")

# Top-level tables that a file with vane rows may hold besides them: those of wing.toml.
OTHER_TABLES = ("aircraft", "wing", "flap", "candidate", "question")

FOREMOST_STATION, AFTMOST_STATION = 0.01, 0.90
TALLEST_M, TALLEST_SHARE = 0.025, 0.03
LONGEST_M, SHORTEST_PER_HEIGHT = 0.15, 0.5
SMALLEST_INCIDENCE, LARGEST_INCIDENCE = math.radians(2.0), math.radians(40.0)
# Common practice, no source: rows are pitched 4 to 10 heights, so half a meter is a slip in the unit.
WIDEST_PITCH_M = 0.5


@dataclass(frozen=True, kw_only=True)
class VaneRow:
    """A spanwise row of like vanes.

    Parameters
    ----------
    station : float
        Forward tips, along the chord from the nose [chords].
    height, length : float
        Of one vane, above the local skin and along itself [m].
    pitch : float
        From one pair to the next, or from vane to vane where co-rotating [m].
    gap : float
        Between the forward tips of the two vanes of a pair [m]; read as 0 where co-rotating.
    incidence : float
        Between a vane and the chordwise direction (toe) [rad], positive.
    arrangement : str
        ``"counter-rotating"`` (mirrored pairs) or ``"co-rotating"`` (all alike).
    opening : str
        Of a pair: ``"downstream"`` where its trailing tips are wider apart than its forward tips,
        ``"upstream"`` where closer. Without meaning where co-rotating.
    shape : str
        Seen from the side: ``"rectangular"``, ``"triangular"``, ``"trapezoidal"`` or ``"ogival"``.
    surface : str
        ``"upper"`` or ``"lower"``.
    element : str
        ``"main"``.
    span_from, span_to : float or None
        Where the row starts and ends, from the aircraft's centerline [m].
    name : str or None
        What the owner calls it.

    Raises
    ------
    RangeError
        Where a number is not finite or negative, or the station is not on the chord. Zero height is allowed:
        such a row must act as none.
    """

    station: float
    height: float
    length: float
    pitch: float
    incidence: float
    gap: float = 0.0
    arrangement: str = "counter-rotating"
    opening: str = "downstream"
    shape: str = "rectangular"
    surface: str = "upper"
    element: str = "main"
    span_from: float | None = None
    span_to: float | None = None
    name: str | None = None

    def __post_init__(self) -> None:
        for name in ("station", "height", "length", "pitch", "incidence", "gap"):
            value = getattr(self, name)
            least_excluded = name in ("station", "length", "pitch")
            if not math.isfinite(value) or value < 0.0 or (least_excluded and value == 0.0):
                needed = "a number above zero" if least_excluded else "zero or more"
                raise RangeError(where=f"vane_row {name}", found=str(value), needed=needed)
        if self.station >= 1.0:
            raise RangeError(
                where="vane_row station", found=str(self.station), needed="a fraction of chord below 1"
            )

    @property
    def footprint(self) -> float:
        """Greatest spanwise width of a pair, or of one vane where co-rotating [m]."""
        spread = self.length * math.sin(self.incidence)
        if self.arrangement == "co-rotating":
            return spread
        return self.gap + 2.0 * spread if self.opening == "downstream" else self.gap

    @property
    def trailing_gap(self) -> float:
        """Between the trailing tips of a pair [m]; 0 where co-rotating."""
        if self.arrangement == "co-rotating":
            return 0.0
        spread = 2.0 * self.length * math.sin(self.incidence)
        return self.gap + spread if self.opening == "downstream" else self.gap - spread


@dataclass(frozen=True)
class TrailingTips:
    """Where the vanes end and their vortices start.

    Parameters
    ----------
    station : float
        Along the chord from the nose [chords].
    skin_distance : float
        Along the skin from the foremost point [chords].
    """

    station: float
    skin_distance: float


def vane_trailing_station(row: VaneRow, section: Section, chord_m: float) -> TrailingTips:
    """Find where the trailing tips lie: forward tips plus length times cos(incidence) along the skin.

    Parameters
    ----------
    row : VaneRow
        The row.
    section : Section
        The airfoil it stands on.
    chord_m : float
        The local chord [m].

    Returns
    -------
    TrailingTips

    Raises
    ------
    RangeError
        Where the vanes would reach past the trailing edge, or the chord is not positive.
    """
    tip = skin_station(section, station=row.station, surface=row.surface, chord_m=chord_m)
    distance = tip.skin_distance + row.length * math.cos(row.incidence) / chord_m
    station = station_along_skin(section, skin_distance=distance, surface=row.surface)
    return TrailingTips(station=station, skin_distance=distance)


def check_against_chord(row: VaneRow, *, chord_m: float, where: str) -> None:
    """Refuse vanes whose size makes no sense on this chord.

    Parameters
    ----------
    row : VaneRow
        The row.
    chord_m : float
        The local chord [m].
    where : str
        File and table, for the message.

    Raises
    ------
    RangeError
        Where the height is above 3 % of chord, or the vanes reach past 95 % of it.
    """
    if not chord_m > 0.0:
        raise RangeError(where="chord", found=f"{chord_m} m", needed="a chord above zero")
    if row.height > TALLEST_SHARE * chord_m:
        raise RangeError(
            where=f"{where} height",
            found=f"{units.format_length(row.height, 'mm')},"
            f" {100 * row.height / chord_m:.1f} % of a chord of"
            f" {units.format_length(chord_m, 'mm', decimals=0)}",
            needed=f"at most {100 * TALLEST_SHARE:.0f} % of chord",
            fix="check the units of height and chord",
        )
    end = row.station + row.length * math.cos(row.incidence) / chord_m
    if end > 0.95:
        raise RangeError(
            where=f"{where} length",
            found=f"vanes that end at {100 * end:.0f} % of a chord of"
            f" {units.format_length(chord_m, 'mm', decimals=0)}",
            needed="vanes that end before 95 %",
            fix="check the units of length and chord",
        )


def read_vane_rows(path: Path | str, *, chord_m: float | None = None) -> tuple[VaneRow, ...]:
    """Read every ``[[vane_row]]`` of a TOML file.

    Parameters
    ----------
    path : Path or str
        The file; the tables of wing.toml may stand beside the rows.
    chord_m : float, optional
        The local chord [m], to check the vanes' size against.

    Returns
    -------
    tuple of VaneRow
        At least one.

    Raises
    ------
    InputError
        Where the file is none, a key is missing or unknown, a row is on a moving surface, or there is no row.
    UnitError
        Where a value lacks its unit.
    RangeError
        Where vanes would overlap, or a size, angle or place makes no sense.
    """
    place = str(path)
    content = read_toml(path)
    refuse_unknown(content, known=("vane_row", *OTHER_TABLES), where=place)
    tables = content.get("vane_row")
    if isinstance(tables, dict):
        raise InputError(
            where=place, found="[vane_row]", needed="[[vane_row]]", fix="double the square brackets"
        )
    if not isinstance(tables, list) or not tables:
        raise InputError(
            where=place, found="no [[vane_row]]", needed="at least one", fix="add a table [[vane_row]]"
        )
    rows = []
    for number, values in enumerate(tables, start=1):
        where = f"{place}: vane_row {number}" if len(tables) > 1 else f"{place}: vane_row"
        rows.append(read_vane_row(Table(values, where=where)))
        if chord_m is not None:
            check_against_chord(rows[-1], chord_m=chord_m, where=where)
    return tuple(rows)


def read_vane_row(table: Table) -> VaneRow:
    """Read one row from a TOML table and refuse what makes no sense; errors as for `read_vane_rows`."""
    element = table.choice(
        "element", ("main", "flap", "aileron", "flaperon", "slat", "elevator"), default="main"
    )
    if element != "main":
        raise InputError(
            where=table.field("element"),
            found=repr(element),
            needed='"main"',
            fix="this version puts no vanes on a moving surface: they change its loads and can start flutter",
        )
    arrangement = table.choice("arrangement", ARRANGEMENTS)
    paired = arrangement == "counter-rotating"
    row = VaneRow(
        station=_within(
            table,
            "station",
            table.fraction("station"),
            FOREMOST_STATION,
            AFTMOST_STATION,
            "1 % to 90 % of chord",
        ),
        height=_within(table, "height", table.length("height"), 0.0, TALLEST_M, "0 to 25 mm"),
        length=_within(table, "length", table.length("length"), 1e-4, LONGEST_M, "0.1 to 150 mm"),
        pitch=_within(table, "pitch", table.length("pitch"), 1e-4, WIDEST_PITCH_M, "0.1 to 500 mm"),
        gap=_within(table, "gap", table.length("gap"), 0.0, WIDEST_PITCH_M, "0 to 500 mm") if paired else 0.0,
        incidence=_incidence(table),
        arrangement=arrangement,
        opening=table.choice("opening", OPENINGS, default=None if paired else "downstream"),
        shape=table.choice("shape", SHAPES, default="rectangular"),
        surface=table.choice("surface", SURFACES, default="upper"),
        element=element,
        span_from=table.length("span_from") if table.has("span_from") else None,
        span_to=table.length("span_to") if table.has("span_to") else None,
        name=_name(table),
    )
    table.has("gap")  # without meaning where co-rotating, yet no slip
    table.finish()
    _check_spacing(row, where=table.where)
    return row


def _name(table: Table) -> str | None:
    if not table.has("name"):
        return None
    found = table.value("name", needed="a name")
    if not isinstance(found, str) or not found.strip():
        raise InputError(
            where=table.field("name"), found=repr(found), needed='a name in quotes such as "printed"'
        )
    return " ".join(found.split())


def _within(table: Table, key: str, value: float, low: float, high: float, needed: str) -> float:
    if not low <= value <= high:
        raise RangeError(
            where=table.field(key),
            found=repr(table.value(key, needed=needed)),
            needed=needed,
            fix="check its unit",
        )
    return value


def _incidence(table: Table) -> float:
    value = table.angle("incidence")
    if SMALLEST_INCIDENCE <= value <= LARGEST_INCIDENCE:
        return value
    radians = 0.0 < value < SMALLEST_INCIDENCE
    raise RangeError(
        where=table.field("incidence"),
        found=repr(table.value("incidence", needed="an angle")),
        needed="2 to 40 deg",
        fix='write "rad" if radians are meant' if radians else "give the angle between vane and chord line",
    )


def _check_spacing(row: VaneRow, *, where: str) -> None:
    def mm(value: float) -> str:
        return units.format_length(value, "mm")

    if row.footprint >= row.pitch:
        what = "vane" if row.arrangement == "co-rotating" else "pair"
        raise RangeError(
            where=f"{where} pitch",
            found=f"{mm(row.pitch)}, where one {what} is {mm(row.footprint)} wide: the vanes would overlap",
            needed=f"more than {mm(row.footprint)}",
            fix="check the units of pitch, gap and length",
        )
    if row.trailing_gap < 0.0:
        raise RangeError(
            where=f"{where} gap",
            found=f"{mm(row.gap)} between forward tips: the vanes of a pair would cross behind",
            needed=f"at least {mm(row.gap - row.trailing_gap)} for a pair that opens upstream",
        )
    if row.length < SHORTEST_PER_HEIGHT * row.height:
        raise RangeError(
            where=f"{where} length",
            found=f"{mm(row.length)} for vanes {mm(row.height)} high",
            needed="at least half the height",
            fix="check the units of length and height",
        )
    if row.span_from is not None and row.span_to is not None and not 0.0 <= row.span_from < row.span_to:
        raise RangeError(
            where=f"{where} span_to",
            found=f"a row from {mm(row.span_from)} to {mm(row.span_to)}",
            needed="0 or more, and the end outboard of the start",
        )
