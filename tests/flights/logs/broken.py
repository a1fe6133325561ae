"""Logs broken in every way that recorders, spreadsheets and memory cards know, and what is to come of it."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np

from tests.flights.logs.base import cells, clocks, good, stamps, table, text, write


@dataclass(frozen=True, kw_only=True)
class Expected:
    """What is to come of a broken log.

    Parameters
    ----------
    refused : str
        Part of the one-line message, where nothing can be done.
    rows : tuple of int
        Readings of each flight, where something can.
    says : tuple of str
        What the histories have to say between them.
    missing : dict of str to int
        Values left out, by channel, first flight.
    clock : float
        Largest shift against the good log's time once constant offsets are taken off [s].
    """

    refused: str = ""
    rows: tuple[int, ...] = ()
    says: tuple[str, ...] = ()
    missing: dict[str, int] = field(default_factory=dict)
    clock: float = 0.01


@dataclass(frozen=True, kw_only=True)
class Broken:
    name: str
    make: Callable[[Path], Path]
    expected: Expected


CASES: list[Broken] = []
ALL = len(good())


def broken(expected: Expected) -> Callable[[Callable[[Path], Path]], Callable[[Path], Path]]:
    def kept(make: Callable[[Path], Path]) -> Callable[[Path], Path]:
        CASES.append(Broken(name=make.__name__.strip("_").replace("_", " "), make=make, expected=expected))
        return make

    return kept


@broken(Expected(rows=(ALL - 1,), says=("too few or too many cells",)))
def _cut_off_in_a_line(folder: Path) -> Path:
    return write(folder, text(table())[:-25])


@broken(Expected(rows=(ALL,)))
def _names_with_commas_over_numbers_with_semicolons(folder: Path) -> Path:
    rows = table()
    return write(folder, ",".join(rows[0]) + "\n" + text(rows[1:], ";"))


@broken(Expected(rows=(ALL,)))
def _semicolons_and_decimal_commas(folder: Path) -> Path:
    rows = table()
    return write(
        folder, text([rows[0], *([row[0], *(c.replace(".", ",") for c in row[1:])] for row in rows[1:])], ";")
    )


@broken(Expected(rows=(ALL,)))
def _tabs(folder: Path) -> Path:
    return write(folder, text(table(), "\t"))


@broken(Expected(rows=(ALL,)))
def _bars(folder: Path) -> Path:
    return write(folder, text(table(), "|"))


@broken(Expected(rows=(ALL,)))
def _blanks_around_every_cell(folder: Path) -> Path:
    return write(folder, text(table(), " ; "))


@broken(Expected(refused="decimal marks"))
def _commas_between_cells_and_in_numbers(folder: Path) -> Path:
    rows = table()
    return write(
        folder, text([rows[0], *([row[0], *(c.replace(".", ",") for c in row[1:])] for row in rows[1:])])
    )


@broken(Expected(rows=(ALL,)))
def _utf_16(folder: Path) -> Path:
    return write(folder, text(table()).encode("utf-16"))


@broken(Expected(rows=(ALL,)))
def _utf_16_without_its_mark(folder: Path) -> Path:
    return write(folder, text(table()).encode("utf-16-le"))


@broken(Expected(rows=(ALL,)))
def _utf_16_big_end_first(folder: Path) -> Path:
    return write(folder, b"\xfe\xff" + text(table()).encode("utf-16-be"))


@broken(Expected(rows=(ALL,)))
def _utf_8_with_a_mark(folder: Path) -> Path:
    return write(folder, text(table()).encode("utf-8-sig"))


@broken(Expected(rows=(ALL,)))
def _latin_1_degree_signs(folder: Path) -> Path:
    return write(folder, text(table()).replace("(deg)", "(°)").encode("latin-1"))


@broken(Expected(rows=(ALL,)))
def _carriage_returns_alone(folder: Path) -> Path:
    return write(folder, text(table()).replace("\n", "\r"))


@broken(Expected(rows=(ALL,)))
def _blank_lines_between_all_lines(folder: Path) -> Path:
    return write(folder, text(table()).replace("\n", "\r\n\r\n"))


@broken(Expected(rows=(ALL,)))
def _a_comma_at_the_end_of_every_line(folder: Path) -> Path:
    return write(folder, text(table()).replace("\n", ",\n"))


@broken(Expected(rows=(ALL,), says=("the clock was set by",)))
def _clock_put_forward_an_hour_in_flight(folder: Path) -> Path:
    log = good()
    moved = log.done(time=log.time + 3600.0 * (np.arange(ALL) >= 120))
    return write(folder, text(table(times=stamps(moved))))


@broken(Expected(rows=(ALL,), says=("the clock was set by",)))
def _clock_put_back_an_hour_in_flight(folder: Path) -> Path:
    log = good()
    moved = log.done(time=log.time - 3600.0 * (np.arange(ALL) >= 120))
    return write(folder, text(table(times=stamps(moved))))


@broken(Expected(rows=(ALL,), says=("the clock was set by",)))
def _clock_corrected_by_forty_seconds_at_the_first_fix(folder: Path) -> Path:
    log = good()
    moved = log.done(time=log.time + 40.0 * (np.arange(ALL) >= 90))
    return write(folder, text(table(times=stamps(moved))))


@broken(Expected(rows=(ALL,), says=("passed midnight",)))
def _midnight_on_a_clock_without_a_date(folder: Path) -> Path:
    log = good()
    shift = 86_400.0 - float(log.time[100]) % 86_400.0
    return write(folder, text(table(times=clocks(log, shift=shift), time_name="Time")))


@broken(Expected(rows=(100, ALL - 160)))
def _two_flights_with_an_hour_between(folder: Path) -> Path:
    log = good()
    moved = log.done(time=log.time + 3600.0 * (np.arange(ALL) >= 130))
    rows = table(times=stamps(moved))
    return write(folder, text(rows[:101] + rows[161:]))


@broken(Expected(rows=(ALL, ALL)))
def _two_logs_one_behind_the_other(folder: Path) -> Path:
    log = good()
    later = log.done(time=log.time + 7200.0)
    return write(folder, text(table()) + text(table(times=stamps(later))))


@broken(Expected(rows=(ALL,), says=("repeat the one before",)))
def _every_third_line_twice(folder: Path) -> Path:
    rows = table()
    return write(
        folder, text([row for i, row in enumerate(rows) for _ in range(2 if i and i % 3 == 0 else 1)])
    )


@broken(Expected(rows=(ALL,), says=("out of order",)))
def _lines_written_late(folder: Path) -> Path:
    rows = table()
    for i in range(20, ALL - 5, 25):
        rows[i], rows[i + 2] = rows[i + 2], rows[i]
    return write(folder, text(rows))


@broken(Expected(rows=(ALL - 30,)))
def _half_a_minute_missing(folder: Path) -> Path:
    rows = table()
    return write(folder, text(rows[:61] + rows[91:]))


@broken(Expected(rows=(ALL,), says=("far off its neighbors",), missing={"indicated_airspeed": 6}))
def _spikes(folder: Path) -> Path:
    rows = table()
    for i in range(25, 150, 22):
        rows[i][1] = "112.00"
    return write(folder, text(rows))


@broken(Expected(rows=(ALL,), says=("outside what is possible",), missing={"pressure_altitude": 4}))
def _sentinels(folder: Path) -> Path:
    rows = table()
    for i in range(30, 110, 20):
        rows[i][6] = "-99999"
    return write(folder, text(rows))


@broken(Expected(rows=(ALL,), says=("stuck",), missing={"indicated_airspeed": 39}))
def _airspeed_stuck_through_a_stall(folder: Path) -> Path:
    rows = table()
    start = ALL - 50
    for row in rows[start : start + 40]:
        row[1] = rows[start][1]
    return write(folder, text(rows))


@broken(Expected(rows=(ALL,), says=("showed nothing in flight",), missing={"indicated_airspeed": 12}))
def _airspeed_of_nothing_in_flight(folder: Path) -> Path:
    rows = table()
    for row in rows[50:62]:
        row[1] = "0"
    return write(folder, text(rows))


@broken(Expected(rows=(ALL,), says=("unit seems to change",), missing={"indicated_airspeed": 60}))
def _knots_to_miles_an_hour_and_back(folder: Path) -> Path:
    rows = table()
    for row in rows[41:101]:
        row[1] = f"{float(row[1]) * 1.852 / 1.609344:.2f}"
    return write(folder, text(rows))


@broken(Expected(rows=(ALL,), says=("unit seems to change",), missing={"pressure_altitude": 70}))
def _feet_to_meters(folder: Path) -> Path:
    rows = table()
    for row in rows[-70:]:
        row[6] = f"{float(row[6]) * 0.3048:.2f}"
    return write(folder, text(rows))


@broken(Expected(rows=(ALL,), says=("in another unit than the column's",)))
def _units_in_the_cells_and_not_all_the_same(folder: Path) -> Path:
    rows = table()
    for i, row in enumerate(rows[1:]):
        row[1] = f"{float(row[1]) * 1.852:.3f} km/h" if i % 2 else f"{row[1]} kt"
    return write(folder, text(rows))


@broken(Expected(rows=(ALL,)))
def _ten_lines_of_talk_and_a_line_of_units(folder: Path) -> Path:
    rows = table()
    names = [name.split(" (")[0] for name in rows[0]]
    units = ["", *(name.split("(")[1][:-1] if "(" in name else "" for name in rows[0][1:])]
    talk = "".join(f"#recorder says {i}, serial 12-{i}\n" for i in range(10))
    return write(folder, talk + text([names, units, *rows[1:]]))


@broken(Expected(refused="no line that names the columns"))
def _no_names(folder: Path) -> Path:
    return write(folder, text(table()[1:]))


@broken(Expected(refused="an empty file"))
def _empty(folder: Path) -> Path:
    return write(folder, b"")


@broken(Expected(refused="no lines of numbers"))
def _names_only(folder: Path) -> Path:
    return write(folder, text(table()[:1]))


@broken(Expected(refused="no text"))
def _a_picture(folder: Path) -> Path:
    noise = np.random.default_rng(1).integers(0, 256, 50_000, dtype=np.uint8).tobytes()
    return write(folder, b"\x89PNG\r\n\x1a\n" + noise)


@broken(Expected(refused="unpack"))
def _packed(folder: Path) -> Path:
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w", zipfile.ZIP_DEFLATED) as packed:
        packed.writestr("log.csv", text(table()))
    return write(folder, held.getvalue())


@broken(Expected(refused="a folder"))
def _a_folder(folder: Path) -> Path:
    return folder


@broken(Expected(refused="no such file"))
def _not_there(folder: Path) -> Path:
    return folder / "nothing.csv"


@broken(Expected(rows=(ALL,)))
def _zeros_at_the_end_after_a_power_cut(folder: Path) -> Path:
    return write(folder, text(table()).encode() + b"\0" * 4096)


@broken(Expected(rows=(ALL - 1,), says=("too few or too many cells",)))
def _zeros_in_the_middle(folder: Path) -> Path:
    rows = [",".join(row) for row in table()]
    rows[80] = rows[80][:30] + "\0" * 200
    return write(folder, "\n".join(rows) + "\n")


@broken(Expected(rows=(ALL,)))
def _quotation_marks(folder: Path) -> Path:
    rows = table()
    quoted = [[f'"{cell}"' for cell in row] for row in rows]
    quoted[0].append('"Remark, by hand"')
    for row in quoted[1:]:
        row.append('"calm, smooth"')
    return write(folder, text(quoted))


@broken(Expected(rows=(ALL - 7,), says=("too few or too many cells",)))
def _cells_missing_here_and_there(folder: Path) -> Path:
    rows = table()
    for i in range(10, 150, 20):
        del rows[i][3]
    return write(folder, text(rows))


@broken(Expected(rows=(ALL,), says=("no number",), missing={"indicated_airspeed": 10}))
def _words_for_numbers(folder: Path) -> Path:
    rows = table()
    for i, row in enumerate(rows[40:50]):
        row[1] = ("ERR", "---", "fail", "NaN", "")[i % 5]
    return write(folder, text(rows))


@broken(Expected(rows=(ALL,)))
def _load_factor_of_zero_in_level_flight(folder: Path) -> Path:
    rows = table()
    for row in rows[1:]:
        row[8] = f"{float(row[8]) - 1.0:.3f}"
    return write(folder, text(rows))


@broken(Expected(rows=(ALL,)))
def _load_factor_with_the_other_sign(folder: Path) -> Path:
    rows = table()
    for row in rows[1:]:
        row[8] = f"{-float(row[8]):.3f}"
    return write(folder, text(rows))


@broken(Expected(rows=(ALL,)))
def _day_before_month(folder: Path) -> Path:
    times = [f"{s[8:10]}/{s[5:7]}/{s[:4]} {s[11:-1]}" for s in stamps(good())]
    return write(folder, text(table(times=times)))


@broken(Expected(rows=(ALL,), clock=0.51))
def _twelve_hour_clock_beside_a_date(folder: Path) -> Path:
    rows = table()
    for row, stamp in zip(rows[1:], stamps(good()), strict=True):
        hour = int(stamp[11:13])
        row[0] = stamp[:10]
        row.append(f"{(hour - 1) % 12 + 1}:{stamp[14:19]} {'PM' if hour >= 12 else 'AM'}")
    rows[0][0] = "Date"
    rows[0].append("Time")
    return write(folder, text(rows))


@broken(Expected(refused="no column of time"))
def _no_time(folder: Path) -> Path:
    return write(folder, text([row[1:] for row in table()]))


@broken(Expected(rows=(ALL,)))
def _milliseconds_since_1970(folder: Path) -> Path:
    return write(folder, text(table(times=[f"{t * 1000.0:.0f}" for t in good().time], time_name="timestamp")))


@broken(Expected(refused="none known"))
def _names_nobody_knows(folder: Path) -> Path:
    rows = table()
    return write(folder, text([[f"ch{i}" for i in range(len(rows[0]))], *rows[1:]]))


@broken(Expected(rows=(ALL,)))
def _one_name_twice(folder: Path) -> Path:
    rows = table()
    for row in rows:
        row.append(row[1])
    return write(folder, text(rows))


@broken(Expected(rows=(ALL,), says=("without a time",)))
def _times_missing_at_the_start(folder: Path) -> Path:
    rows = table()
    extra = [["", *row[1:]] for row in rows[1:6]]
    return write(folder, text([rows[0], rows[1], *extra, *rows[2:]]))


@broken(Expected(refused="longer than|more than"))
def _a_line_without_end(folder: Path) -> Path:
    return write(folder, text(table()) + "1," * 700_000)


@broken(Expected(rows=(ALL,)))
def _columns_of_a_spreadsheet_in_aligned_blanks(folder: Path) -> Path:
    names = ["time_s", "IAS_kt", "groundspeed_kt", "AOA"]
    log = good()
    columns = [
        [f"{t - log.time[0]:.2f}" for t in log.time],
        cells(log, "IAS (kt)"),
        cells(log, "Ground speed (kt)"),
        cells(log, "AOA"),
    ]
    lines = ["  ".join(f"{cell:>16}" for cell in row) for row in [names, *zip(*columns, strict=True)]]
    return write(folder, "\n".join(lines) + "\n")
