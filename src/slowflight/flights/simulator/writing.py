"""Write a simulated log the way recorders do: tables of any kind, GPX, NMEA 0183, IGC, a phone."""

from __future__ import annotations

import math
from collections.abc import Mapping
from datetime import UTC, datetime
from pathlib import Path

import numpy as np

from slowflight.flights.logs.channel import CHANNELS
from slowflight.flights.logs.log import FloatArray, Log
from slowflight.flights.logs.nmea import KNOT, checksum

USUAL_COLUMNS: Mapping[str, tuple[str, str, int]] = {
    "IAS (kt)": ("indicated_airspeed", "kt", 1),
    "Ground speed (kt)": ("ground_speed", "kt", 2),
    "Track (deg)": ("track", "deg", 1),
    "Latitude (deg)": ("latitude", "deg", 7),
    "Longitude (deg)": ("longitude", "deg", 7),
    "Altitude (ft)": ("altitude", "ft", 0),
    "Pressure altitude (ft)": ("pressure_altitude", "ft", 1),
    "Vertical speed (ft/min)": ("vertical_speed", "ft/min", 0),
    "OAT (C)": ("outside_temperature", "c", 1),
    "Pitch (deg)": ("pitch", "deg", 2),
    "Roll (deg)": ("roll", "deg", 2),
    "Normal acceleration (g)": ("load_factor", "g", 3),
    "Pitch rate (deg/s)": ("pitch_rate", "deg/s", 2),
    "Roll rate (deg/s)": ("roll_rate", "deg/s", 2),
    "Flap (deg)": ("flap", "deg", 0),
    "Stick (%)": ("stick", "%", 0),
    "RPM": ("engine_speed", "rpm", 0),
}
"""By column name: channel, unit and decimals."""


def write_table(
    log: Log,
    path: Path,
    *,
    columns: Mapping[str, tuple[str, str, int]] = USUAL_COLUMNS,
    delimiter: str = ",",
    decimal: str = ".",
    encoding: str = "utf-8",
    elapsed: bool = False,
) -> Path:
    """Write a table with ISO times, or seconds since its start.

    Parameters
    ----------
    log : Log
        What to write; NaN becomes a blank cell.
    path : Path
        File to write.
    columns : mapping, optional
        As `USUAL_COLUMNS`.
    delimiter, decimal, encoding : str, optional
        How.
    elapsed : bool, optional
        Seconds since the start in place of date and time.

    Returns
    -------
    Path
        The file.
    """
    stamps = [f"{s - log.time[0]:.2f}" if elapsed else _iso(s) for s in log.time]
    cells = [stamps]
    for channel, unit, digits in columns.values():
        scale = CHANNELS[channel].quantity.units[unit]
        values = (log.channels[channel] - scale.offset) / scale.factor
        texts = [f"{value:.{digits}f}" if math.isfinite(value) else "" for value in values.tolist()]
        cells.append([text.replace(".", ",") for text in texts] if decimal == "," else texts)
    head = delimiter.join(["Time (s)" if elapsed else "Time (UTC)", *columns])
    lines = [delimiter.join(row) for row in zip(*cells, strict=True)]
    path.write_text("\n".join([head, *lines, ""]), encoding=encoding)
    return path


def write_gpx(log: Log, path: Path, *, speeds: bool = False) -> Path:
    """Write a GPX 1.1 track, one point a second; with speeds as an extension where asked for."""
    lines = ['<?xml version="1.0" encoding="UTF-8"?>']
    lines.append(
        '<gpx version="1.1" creator="simulated" xmlns="http://www.topografix.com/GPX/1/1"><trk><trkseg>'
    )
    for i in _each_second(log):
        lat, lon = (math.degrees(log.channels[name][i]) for name in ("latitude", "longitude"))
        extra = (
            f"<extensions><speed>{log.channels['ground_speed'][i]:.3f}</speed></extensions>" if speeds else ""
        )
        lines.append(
            f'<trkpt lat="{lat:.7f}" lon="{lon:.7f}"><ele>{log.channels["altitude"][i]:.1f}</ele>'
            f"<time>{_iso(log.time[i])}</time>{extra}</trkpt>"
        )
    lines.append("</trkseg></trk></gpx>\n")
    path.write_text("\n".join(lines), encoding="utf-8")
    return path


def write_nmea(log: Log, path: Path) -> Path:
    """Write RMC and GGA sentences, one pair a second."""
    lines = []
    for i in _each_second(log):
        moment = datetime.fromtimestamp(log.time[i], UTC)
        clock = f"{moment:%H%M%S}.{moment.microsecond // 10_000:02d}"
        lat = _minutes(log.channels["latitude"][i], 2, "NS")
        lon = _minutes(log.channels["longitude"][i], 3, "EW")
        speed, track = log.channels["ground_speed"][i] / KNOT, math.degrees(log.channels["track"][i])
        lines.append(f"GPRMC,{clock},A,{lat},{lon},{speed:.2f},{track:.1f},{moment:%d%m%y},,,A")
        lines.append(f"GPGGA,{clock},{lat},{lon},1,09,0.9,{log.channels['altitude'][i]:.1f},M,47.0,M,,")
    path.write_text(
        "".join(f"${line}*{checksum(line):02X}\r\n" for line in lines), encoding="ascii", newline=""
    )
    return path


def write_igc(log: Log, path: Path) -> Path:
    """Write an IGC record with a fix each second."""
    first = datetime.fromtimestamp(log.time[0], UTC)
    lines = ["AXXX001simulated", f"HFDTE{first:%d%m%y}"]
    for i in _each_second(log):
        moment = datetime.fromtimestamp(log.time[i], UTC)
        lat = _minutes(log.channels["latitude"][i], 2, "NS", thousandths=True)
        lon = _minutes(log.channels["longitude"][i], 3, "EW", thousandths=True)
        heights = "".join(f"{round(log.channels[name][i]):05d}" for name in ("pressure_altitude", "altitude"))
        lines.append(f"B{moment:%H%M%S}{lat}{lon}A{heights}")
    path.write_text("\r\n".join([*lines, ""]), encoding="ascii", newline="")
    return path


def write_phone(log: Log, path: Path, *, start: float = 12_345.0) -> Path:
    """Write what a phone lying flat, top forward, records: accelerations with gravity, rates, time.

    Its axes are x right, y forward, z up; at rest z reads +9.81 m/s2.
    """
    pitch, load = log.channels["pitch"], log.channels["load_factor"]
    along = np.gradient(log.channels["ground_speed"], log.time) + 9.80665 * np.sin(pitch)
    columns: list[FloatArray] = [
        log.time - log.time[0] + start,
        np.zeros(len(log)),
        along,
        9.80665 * load,
        log.channels["pitch_rate"],
        log.channels["roll_rate"],
        np.zeros(len(log)),
    ]
    head = "seconds_elapsed,accel_x,accel_y,accel_z,gyro_x,gyro_y,gyro_z"
    np.savetxt(path, np.column_stack(columns), delimiter=",", header=head, comments="", fmt="%.5f")
    return path


def _each_second(log: Log) -> list[int]:
    found, last = [], -math.inf
    for i, second in enumerate(log.time.tolist()):
        if second >= last + 0.999:
            found.append(i)
            last = second
    return found


def _iso(second: float) -> str:
    return (
        datetime.fromtimestamp(round(float(second), 3), UTC)
        .isoformat(timespec="milliseconds")
        .replace("+00:00", "Z")
    )


def _minutes(angle: float, digits: int, sides: str, *, thousandths: bool = False) -> str:
    side = sides[0] if angle >= 0.0 else sides[1]
    minutes = abs(math.degrees(angle)) * 60.0
    minutes = round(minutes, 3 if thousandths else 5)
    whole, rest = divmod(minutes, 60.0)
    if thousandths:
        return f"{int(whole):0{digits}d}{round(rest * 1000.0):05d}{side}"
    return f"{int(whole):0{digits}d}{rest:08.5f},{side}"
