"""Airfoils from caliper offsets: stations along a straightedge, heights of upper and lower skin above it."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np
import numpy.typing as npt

from slowflight import units
from slowflight.errors import RangeError, SectionError
from slowflight.wing.caliper_header import CaliperColumns, is_caliper_header, read_caliper_header
from slowflight.wing.chord_line import lay
from slowflight.wing.coordinates import orientation_cautions
from slowflight.wing.fairing import fair, scatter
from slowflight.wing.file_remarks import METERS, PER_CENT, FileRemarks, read_remarks
from slowflight.wing.number_lines import NumberLine, read_numbers
from slowflight.wing.outline import FloatArray
from slowflight.wing.real_size import LONGEST_CHORD_M, SHORTEST_CHORD_M
from slowflight.wing.section import Section
from slowflight.wing.tomlfile import read_text

FEWEST_STATIONS = 8
POINTS_PER_SIDE = 100
# Common practice, no source: what a caliper and a straightedge reach on a covered wing.
USUAL_ERROR_BAR_M = 0.5e-3
# A reading is a gross slip beyond this many times the usual scatter, error bar and share of chord at once.
SLIP_SCATTERS, SLIP_ERROR_BARS, SLIP_SHARE = 8.0, 3.0, 0.002
FIRST_STATION_CAUTION, FIRST_STATION_LIMIT = 0.025, 0.08
SAME_CHORD = 0.02
# Nose radii that no wing of this kind goes below and above [chords].
SHARP_NOSE, BLUNT_NOSE = 0.001, 0.08


@dataclass(frozen=True, eq=False)
class Readings:
    """The rows of a caliper file in meters, by rising station.

    Parameters
    ----------
    station, upper, lower : FloatArray
        Along the straightedge and above it [m], shape (n,).
    line : IntArray
        Line of the file, shape (n,).
    """

    station: FloatArray
    upper: FloatArray
    lower: FloatArray
    line: npt.NDArray[np.intp]


def read_calipers(path: Path | str) -> Section:
    """Read an airfoil from caliper offsets.

    Parameters
    ----------
    path : Path or str
        A text file whose header names the columns with their units, ``station in, upper in, lower in`` in any
        order, and below it three numbers to a line. Stations are measured along a straightedge from where a
        square touches the nose, heights from the straightedge, positive on the upper side. The first row
        may be the nose itself (upper equal to lower), the last is the trailing edge. Remarks such as
        ``# chord 1500 mm`` and ``# error 0.5 mm`` are understood.

    Returns
    -------
    Section
        A smooth outline of 201 points about its chord line, with the real chord; its notes say how far
        readings were moved and how much they scatter.

    Raises
    ------
    InputError
        Where the file is missing, a folder, binary or empty.
    SectionError
        Where header, rows, nose or trailing edge cannot be used, or one reading is grossly off its neighbors.
    RangeError
        Where the chord would be no wing's.

    Notes
    -----
    The nose is closed by one smoothing spline over the signed root of the distance from the foremost
    point, see `fairing`. The radius it gives is implied by the first stations, not measured.
    """
    place = Path(path)
    where = str(place)
    text = read_text(place, needed="a file of caliper offsets")
    header = next((line for line in text.splitlines()[:100] if is_caliper_header(line)), None)
    if header is None:
        raise SectionError(
            where=where,
            found="no header",
            needed='a line naming the columns, like "station mm, upper mm, lower mm"',
        )
    numbers = read_numbers(text, where=where)
    remarks = read_remarks(
        [remark for remark in numbers.remarks if not is_caliper_header(remark)], where=where
    )
    columns = read_caliper_header(header, unit=remarks.unit, where=where)
    readings = _readings(numbers.lines, columns, remarks=remarks, where=where)
    return _section(readings, remarks=remarks, path=place, title=numbers.title)


def _readings(
    lines: tuple[NumberLine, ...], columns: CaliperColumns, *, remarks: FileRemarks, where: str
) -> Readings:
    for line in lines:
        if len(line.values) != len(columns.place):
            raise SectionError(
                where=f"{where} line {line.line}",
                found=f"{len(line.values)} numbers",
                needed="three: station, upper and lower",
                fix="mend that line, or delete it",
            )
    if len(lines) < FEWEST_STATIONS:
        raise SectionError(
            where=where,
            found=f"{len(lines)} stations",
            needed=f"at least {FEWEST_STATIONS}, closest together at the nose",
            fix="for example at 0, 1, 2.5, 5, 10, 20, 30, 50, 70, 90 and 100 % of chord",
        )
    if columns.unit["station"] == PER_CENT and remarks.chord_m is None:
        raise SectionError(
            where=where,
            found="stations in per cent without a chord",
            needed="the chord",
            fix='add a line "# chord 1500 mm"',
        )
    table = np.array([line.values for line in lines])
    sizes = {
        name: float(remarks.chord_m or 0.0) / 100.0 if unit == PER_CENT else METERS[str(unit)]
        for name, unit in columns.unit.items()
    }
    station, upper, lower = (
        table[:, columns.place[name]] * sizes[name] for name in ("station", "upper", "lower")
    )
    order = np.argsort(station, kind="stable")
    numbers = np.array([line.line for line in lines], dtype=np.intp)[order]
    readings = Readings(station[order], upper[order], lower[order], numbers)
    _refuse_bad_rows(readings, where=where)
    return readings


def _refuse_bad_rows(readings: Readings, *, where: str) -> None:
    same = np.flatnonzero(np.diff(readings.station) <= 0.0)
    if same.size:
        raise SectionError(
            where=f"{where} line {readings.line[same[0] + 1]}",
            found=f"the station of line {readings.line[same[0]]} again",
            needed="each station once",
            fix="keep the better reading",
        )
    thickness = readings.upper - readings.lower
    if np.all(thickness[1:-1] <= 0.0):
        raise SectionError(
            where=where,
            found="upper heights below the lower ones",
            needed="heights above the straightedge, positive upward",
            fix="exchange the columns or their signs",
        )
    _refuse_depths(readings, where=where)
    crossed = np.flatnonzero(thickness < 0.0)
    if crossed.size:
        raise SectionError(
            where=f"{where} line {readings.line[crossed[0]]}",
            found=f"an upper height {units.format_length(-thickness[crossed[0]], 'mm')} below the lower one",
            needed="the upper skin above the lower one",
            fix="heights count from the straightedge, positive upward: what lies below it has a minus sign",
        )


def _refuse_depths(readings: Readings, *, where: str) -> None:
    """Suspect depths written as heights: the nose then comes out sharp, and round with the signs turned."""
    length = float(readings.station[-1])
    index = int(np.argmax(readings.station > 0.005 * length))
    behind = float(readings.station[index])
    if not 0.0 < behind < 0.05 * length:
        return
    # Near a nose of radius r the skins are sqrt(8 r x) apart.
    as_heights, as_depths = (
        float(readings.upper[index] + sign * readings.lower[index]) ** 2 / (8.0 * behind * length)
        for sign in (-1.0, 1.0)
    )
    if as_heights < SHARP_NOSE < 2.0 * SHARP_NOSE < as_depths < BLUNT_NOSE and readings.lower[index] > 0.0:
        raise SectionError(
            where=f"{where} line {readings.line[index]}",
            found="lower readings that look like depths below the straightedge: the nose would be sharp",
            needed="heights above the straightedge",
            fix="write depths with a minus sign",
        )


def _section(readings: Readings, *, remarks: FileRemarks, path: Path, title: str) -> Section:
    where = str(path)
    length = float(readings.station[-1] - min(readings.station[0], 0.0))
    if not SHORTEST_CHORD_M <= length <= LONGEST_CHORD_M:
        raise RangeError(
            where=where,
            found=f"stations over {units.format_length(length, 'mm')}",
            needed=f"a chord of {SHORTEST_CHORD_M * 1000:.0f} mm to {LONGEST_CHORD_M:.0f} m",
            fix="check the unit in the header",
        )
    error = USUAL_ERROR_BAR_M if remarks.error_bar_m is None else remarks.error_bar_m
    root, height, line, nose, first = _unrolled(readings, error=error, length=length, where=where)
    off = scatter(root, height)
    usual = 1.4826 * float(np.median(np.abs(off)))
    worst = int(np.argmax(np.abs(off)))
    if abs(off[worst]) > max(SLIP_SCATTERS * usual, SLIP_ERROR_BARS * error, SLIP_SHARE * length):
        side = "lower" if root[worst] < 0.0 else "upper"
        raise SectionError(
            where=f"{where} line {line[worst]}",
            found=f"a height of the {side} skin some {units.format_length(abs(off[worst]), 'mm')} off"
            " its neighbors",
            needed="readings that lie near a smooth skin",
            fix="measure that station again",
        )
    faired = fair(root, height, most=error)
    x, y = _drawn(faired.spline, aft=float(readings.station[-1]) - nose)
    laid = lay(x, y, where=where)
    _refuse_other_chord(laid.chord, remarks=remarks, where=where)
    rms = float(np.sqrt(np.mean(faired.moved**2)))
    most = float(np.max(np.abs(faired.moved)))

    def mm(value: float) -> str:
        return units.format_length(value, "mm", decimals=2)

    said = "as the file says" if remarks.error_bar_m is not None else "common practice, no source"
    notes = (
        f"faired through {readings.station.size} stations, error bar +-{mm(error)} ({said})",
        f"readings moved by {mm(rms)} rms, {mm(most)} at most; they scatter by {mm(usual)}",
        f"nose closed by the fairing; first station {mm(first)} behind the foremost point",
        *laid.notes,
    )
    cautions = []
    if usual > error:
        cautions.append(
            f"the readings scatter by {mm(usual)}, more than their error bar of {mm(error)}: measure again"
        )
    if first > FIRST_STATION_CAUTION * length:
        cautions.append(
            f"the first station lies {100 * first / length:.1f} % of chord behind the nose:"
            " its radius is a guess, and maximum lift hangs on it; measure at 1 and 2 %"
        )
    return Section(
        name=" ".join(title.split()) if title and not is_caliper_header(title) else path.stem,
        x=laid.x,
        y=laid.y,
        chord_m=laid.chord,
        source=where,
        notes=notes,
        cautions=(*cautions, *orientation_cautions(laid.x, laid.y)),
        error_bar_m=remarks.error_bar_m,
    )


def _unrolled(
    readings: Readings, *, error: float, length: float, where: str
) -> tuple[FloatArray, FloatArray, npt.NDArray[np.intp], float, float]:
    """Heights over the signed root of the distance from the nose, lower side first."""
    closed = abs(readings.upper[0] - readings.lower[0]) <= 2.0 * error
    nose = float(readings.station[0]) if closed else 0.0
    begin = 1 if closed else 0
    if readings.station[begin] <= nose:
        raise SectionError(
            where=f"{where} line {readings.line[begin]}",
            found=f"two heights {units.format_length(readings.upper[0] - readings.lower[0], 'mm')} apart"
            " at the foremost station",
            needed="one height there, or no row",
            fix="station 0 is where a square touches the nose; below the straightedge goes a minus sign",
        )
    behind = readings.station[begin:] - nose
    if behind[0] > FIRST_STATION_LIMIT * length:
        raise SectionError(
            where=f"{where} line {readings.line[begin]}",
            found=f"a first station {100 * behind[0] / length:.0f} % of chord behind the nose",
            needed=f"at most {100 * FIRST_STATION_LIMIT:.0f} %",
            fix="measure at 1, 2.5 and 5 %",
        )
    root = np.sqrt(behind)
    middle = [0.5 * (readings.upper[0] + readings.lower[0])] if closed else []
    return (
        np.concatenate((-root[::-1], np.zeros(len(middle)), root)),
        np.concatenate((readings.lower[begin:][::-1], middle, readings.upper[begin:])),
        np.concatenate((readings.line[begin:][::-1], readings.line[:begin], readings.line[begin:])),
        nose,
        float(behind[0]),
    )


def _drawn(spline: object, *, aft: float) -> tuple[FloatArray, FloatArray]:
    """The outline of a fairing at cosine stations, lower trailing edge first [m]."""
    angle = np.linspace(-np.pi, np.pi, 2 * POINTS_PER_SIDE + 1)
    x = 0.5 * aft * (1.0 - np.cos(angle))
    height = spline(np.sign(angle) * np.sqrt(x))  # type: ignore[operator]
    return x, np.asarray(height, dtype=np.float64)


def _refuse_other_chord(chord: float, *, remarks: FileRemarks, where: str) -> None:
    if remarks.chord_m is not None and abs(chord / remarks.chord_m - 1.0) > SAME_CHORD:
        raise SectionError(
            where=where,
            found=f"stations over a chord of {units.format_length(chord, 'mm')}",
            needed=f"the chord stated, {units.format_length(remarks.chord_m, 'mm')}",
            fix="measure to the trailing edge, or mend the chord or the unit",
        )
