"""Guess what each column of a table is, in which unit, and say how sure the guess is."""

from __future__ import annotations

import re
from dataclasses import dataclass

import numpy as np

from slowflight.flights.logs.cells import is_comma_number
from slowflight.flights.logs.channel import CHANNELS
from slowflight.flights.logs.table_shape import TableShape
from slowflight.flights.logs.time_guess import TIME_NAMES, guess_time

SURE, LIKELY, UNSURE = "sure", "likely", "unsure"

# Words of the trade and their abbreviations, squeezed to letters.
NAMES: dict[str, tuple[str, ...]] = {
    "indicated_airspeed": ("ias", "indicatedairspeed", "airspeed", "asi", "indicated", "airspeedindicated"),
    "calibrated_airspeed": ("cas", "calibratedairspeed"),
    "true_airspeed": ("tas", "trueairspeed", "airspeedtrue"),
    "ground_speed": ("gs", "groundspeed", "gpsspeed", "speedoverground", "sog", "speed", "gpsgroundspeed"),
    "track": ("track", "trk", "groundtrack", "course", "cog", "courseoverground", "gpstrack", "truetrack"),
    "heading": ("heading", "hdg", "magneticheading", "head", "yaw"),
    "latitude": ("lat", "latitude", "gpslatitude", "gpslat"),
    "longitude": ("lon", "long", "lng", "longitude", "gpslongitude", "gpslon"),
    "altitude": (
        "altgps",
        "gpsaltitude",
        "gpsalt",
        "altitude",
        "alt",
        "elevation",
        "ele",
        "altmsl",
        "height",
    ),
    "pressure_altitude": ("pressurealtitude", "palt", "altpressure", "pressalt", "altp", "baroaltitude"),
    "vertical_speed": ("vs", "vsi", "verticalspeed", "climb", "climbrate", "rateofclimb", "roc", "vario"),
    "outside_temperature": (
        "oat",
        "outsideairtemperature",
        "outsidetemperature",
        "airtemp",
        "outsideairtemp",
    ),
    "static_pressure": ("pressure", "staticpressure", "baro", "barometer", "barometricpressure"),
    "pitch": ("pitch", "pitchangle", "pitchattitude", "theta"),
    "roll": ("roll", "bank", "rollangle", "bankangle", "phi"),
    "pitch_rate": ("pitchrate", "q"),
    "roll_rate": ("rollrate", "p"),
    "yaw_rate": ("yawrate", "r", "turnrate"),
    "rotation_x": ("gyrox", "gyroscopex", "gx", "rotationratex", "rotationx", "wx"),
    "rotation_y": ("gyroy", "gyroscopey", "gy", "rotationratey", "rotationy", "wy"),
    "rotation_z": ("gyroz", "gyroscopez", "gz", "rotationratez", "rotationz", "wz"),
    "acceleration_x": ("accelerationx", "accelx", "accx", "ax", "accelerometerx"),
    "acceleration_y": ("accelerationy", "accely", "accy", "ay", "accelerometery"),
    "acceleration_z": ("accelerationz", "accelz", "accz", "az", "accelerometerz"),
    "load_factor": ("loadfactor", "normalacceleration", "nz", "normalg", "normalaccel", "gload", "verticalg"),
    "lateral_load": ("lateralacceleration", "ny", "lateralg", "lateralaccel", "slipskid"),
    "flap": ("flap", "flaps", "flapangle", "flapposition"),
    "angle_of_attack_raw": ("aoa", "angleofattack", "alpha"),
    "stick": ("stick", "stickposition", "elevator", "elevatorposition"),
    "engine_speed": ("rpm", "enginespeed", "enginerpm"),
    "manifold_pressure": ("map", "manifoldpressure", "manifold"),
    "fuel_flow": ("fuelflow", "ff"),
    "satellites": ("sats", "satellites", "numsats", "satellitesused"),
    "dilution": ("hdop", "dilution"),
}
_BY_NAME = {name: channel for channel, names in NAMES.items() for name in names}
# Without a written unit: what it most often is. Common practice, no source; always shown as unsure or likely.
_USUAL_UNIT = {
    "a speed": "kt",
    "a height": "ft",
    "a vertical speed": "ft/min",
    "an angle": "deg",
    "a temperature": "c",
    "a pressure": "hpa",
    "a load factor": "g",
    "an acceleration": "m/s2",
    "a rate of turn": "rad/s",
    "an engine speed": "rpm",
    "a fuel flow": "l/h",
    "a number": "number",
}
_BRACKETED = re.compile(r"[(\[{]([^)\]}]*)[)\]}]")
_CAMEL = re.compile(r"(?<=[a-z])(?=[A-Z])")


@dataclass(frozen=True, kw_only=True)
class ColumnGuess:
    """What one column seems to be.

    Parameters
    ----------
    name : str
        As the file names it.
    channel : str or None
        A channel of `CHANNELS`, one of the time channels, or None where the column is left out.
    unit : str
        In which it is written.
    confidence : str
        ``"sure"``, ``"likely"`` or ``"unsure"``.
    why : str
        What the guess rests on.
    """

    name: str
    channel: str | None
    unit: str
    confidence: str
    why: str


def guess_columns(shape: TableShape) -> tuple[ColumnGuess, ...]:
    """Guess channel and unit of every column.

    Parameters
    ----------
    shape : TableShape
        How the table is written, with its first lines.

    Returns
    -------
    tuple of ColumnGuess
        One for each column, each channel at most once: the first column that claims it gets it.
    """
    guesses: list[ColumnGuess] = []
    taken: set[str] = set()
    for place, name in enumerate(shape.names):
        cells = [cells[place] for cells in shape.sample]
        guess = _guess(name, shape.units[place] if place < len(shape.units) else "", cells, shape.decimal)
        if guess.channel in taken:
            guess = ColumnGuess(
                name=name, channel=None, unit="", confidence=UNSURE, why=f"a second {guess.channel}"
            )
        if guess.channel:
            taken.add(guess.channel)
        guesses.append(guess)
    return tuple(guesses)


def _guess(name: str, unit_below: str, cells: list[str], decimal: str) -> ColumnGuess:
    bare, written = _name_and_unit(name)
    written = unit_below or written
    if bare in TIME_NAMES:
        channel, unit, confidence, why = guess_time(TIME_NAMES[bare], written, cells)
        return ColumnGuess(name=name, channel=channel, unit=unit, confidence=confidence, why=why)
    channel_name = _BY_NAME.get(bare)
    if channel_name is None:
        return ColumnGuess(name=name, channel=None, unit="", confidence=LIKELY, why="no channel of that name")
    if channel_name == "altitude" and "pressure" in name.lower():
        channel_name = "pressure_altitude"
    quantity = CHANNELS[channel_name].quantity
    values = _values(cells, decimal)
    if written:
        unit_found = quantity.unit(written)
        if unit_found is None:
            return ColumnGuess(
                name=name, channel=None, unit="", confidence=UNSURE, why=f"{written!r} is no unit of it"
            )
        if channel_name == "load_factor" and unit_found == "g":
            return _load_factor(name, values)
        return ColumnGuess(
            name=name, channel=channel_name, unit=unit_found, confidence=SURE, why="unit written"
        )
    if channel_name == "load_factor":
        return _load_factor(name, values)
    usual = _USUAL_UNIT[quantity.name]
    confidence, why = UNSURE, f"no unit written; {usual} is usual"
    if quantity.name in ("an angle", "a number", "an engine speed"):
        confidence = LIKELY
        if (
            quantity.name == "an angle"
            and values.size
            and np.max(np.abs(values)) <= 1.6
            and "pitch" not in bare
        ):
            confidence, why = UNSURE, "no unit written, and small enough to be rad"
    return ColumnGuess(name=name, channel=channel_name, unit=usual, confidence=confidence, why=why)


def _load_factor(name: str, values: np.ndarray[tuple[int, ...], np.dtype[np.float64]]) -> ColumnGuess:
    """Level flight reads 1, 0 or -1, depending on who made the recorder."""
    middle = float(np.median(values)) if values.size else 1.0
    for near, unit in ((1.0, "g"), (0.0, "g-1"), (-1.0, "-g")):
        if abs(middle - near) < 0.35:
            why = f"reads about {near:g} in steady flight"
            return ColumnGuess(name=name, channel="load_factor", unit=unit, confidence=LIKELY, why=why)
    if 6.0 < middle < 14.0:
        return ColumnGuess(
            name=name, channel="load_factor", unit="m/s2", confidence=LIKELY, why="reads about 9.8"
        )
    return ColumnGuess(
        name=name, channel="load_factor", unit="g", confidence=UNSURE, why="reads neither 1 nor 0"
    )


def _name_and_unit(name: str) -> tuple[str, str]:
    """Part a column's name from a unit in brackets, or after its last space or underscore."""
    found = _BRACKETED.search(name)
    if found:
        return _squeezed(_BRACKETED.sub("", name)), found[1].strip()
    words = re.split(r"[\s_]+", name.strip())
    if len(words) > 1 and _squeezed(name) not in _BY_NAME and _squeezed(name) not in TIME_NAMES:
        unit = words[-1].lower()
        return _squeezed("".join(words[:-1])), unit
    words = _CAMEL.split(name.strip())
    if len(words) > 1 and _squeezed(name) not in _BY_NAME and _squeezed("".join(words[:-1])) in _BY_NAME:
        return _squeezed("".join(words[:-1])), words[-1]
    return _squeezed(name), ""


def _squeezed(name: str) -> str:
    return re.sub(r"[^a-z0-9]", "", name.lower())


def _values(cells: list[str], decimal: str) -> np.ndarray[tuple[int, ...], np.dtype[np.float64]]:
    found = []
    for cell in cells:
        text = cell.replace(",", ".") if decimal == "," and is_comma_number(cell) else cell
        try:
            found.append(float(text))
        except ValueError:
            continue
    values = np.array(found, dtype=np.float64)
    return values[np.isfinite(values)]
