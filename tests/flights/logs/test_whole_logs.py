"""Long logs in bounded memory, one clock from two recorders, flights told apart, cleaning alone."""

import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

import slowflight
from slowflight.errors import InputError
from slowflight.flights.logs.cleaning import clean
from slowflight.flights.logs.log import SPIKE, Log, gaps
from slowflight.flights.logs.mapping import guess_mapping
from slowflight.flights.logs.reading import read_log, read_logs
from slowflight.flights.logs.spells import airborne_spells
from slowflight.flights.logs.synchronize import find_offset, joined
from slowflight.flights.simulator.writing import write_gpx, write_nmea, write_table
from slowflight.units import SPEED
from tests.flights.logs.base import good, write

KT = SPEED.factors["kt"]


def long_table(path: Path, rows: int) -> Path:
    """Ten readings a second, cheap to make: the same ten thousand lines with another time."""
    tail = ",".join(["38.25", "44.10", "123.4", "46.1234567", "8.1234567", "6512.5", "5.25", "1.002"])
    with path.open("w", encoding="ascii") as stream:
        stream.write("seconds,IAS kt,groundspeed kt,track deg,lat deg,lon deg,palt ft,pitch deg,nz g\n")
        for start in range(0, rows, 10_000):
            stream.write("".join(f"{(start + i) * 0.1:.1f},{tail}\n" for i in range(10_000)))
    return path


READ = """
import sys, tracemalloc
from slowflight.flights.logs.mapping import Mapping, guess_mapping
from slowflight.flights.logs.reading import read_logs
path, most = sys.argv[1], int(sys.argv[2])
# what this process itself takes: the system's figure begins with that of the process it was forked from
tracemalloc.start()
rows = parts = 0
for log in read_logs(path, accept_guess=True, most_rows=most):
    rows, parts = rows + len(log), parts + 1
print(rows, parts, tracemalloc.get_traced_memory()[1])
"""


def read_apart(path: Path, most_rows: int) -> tuple[int, int, float]:
    """Rows, parts and greatest memory [MB] of a process that does nothing but read."""
    source = Path(slowflight.__file__).parents[1]
    done = subprocess.run(
        [sys.executable, "-c", READ, str(path), str(most_rows)],
        check=True,
        capture_output=True,
        text=True,
        env={"PYTHONPATH": str(source), "PATH": ""},
    )
    rows, parts, peak = done.stdout.split()
    return int(rows), int(parts), float(peak) / 1e6


def test_memory_does_not_grow_with_the_file(tmp_path: Path) -> None:
    # Benchmarks read 2 GB; here a file four times as long must need no more than the shorter one.
    short = read_apart(long_table(tmp_path / "a.csv", 100_000), 40_000)
    long = read_apart(long_table(tmp_path / "b.csv", 400_000), 40_000)
    assert (short[0], long[0]) == (100_000, 400_000)
    assert long[1] >= 10
    assert long[2] < short[2] + 12.0  # holding it all would take 29 MB more


def test_a_long_flight_comes_in_parts_that_say_so(tmp_path: Path) -> None:
    path = long_table(tmp_path / "a.csv", 60_000)
    logs = list(read_logs(path, mapping=guess_mapping(path).confirm(), most_rows=40_000))
    assert [len(log) for log in logs] == [40_000, 20_000]
    assert any("goes on in the next part" in step.what for step in logs[0].history)
    assert logs[1].time[0] - logs[0].time[-1] == pytest.approx(0.1, abs=1e-6)


def test_gpx_memory_is_bounded_too(tmp_path: Path) -> None:
    point = '<trkpt lat="46.1" lon="8.1"><ele>1500.0</ele><time>2026-05-01T{}Z</time></trkpt>\n'
    peaks = []
    for count in (20_000, 80_000):
        clock = (f"{i // 3600:02d}:{i // 60 % 60:02d}:{i % 60:02d}" for i in range(count))
        body = "".join(point.format(c) for c in clock)
        path = write(tmp_path, f'<gpx version="1.1"><trk><trkseg>\n{body}</trkseg></trk></gpx>', "a.gpx")
        rows, _, peak = read_apart(path, 10_000)
        assert rows == count
        peaks.append(peak)
    assert peaks[1] < peaks[0] + 6.0  # the tree of 60,000 points would take some 50 MB


@pytest.mark.parametrize("shift", [0.0, 7.3, -18.0, 26.4])
def test_two_recorders_on_one_clock(shift: float, tmp_path: Path) -> None:
    # A receiver on GPS time is 18 s ahead of UTC.
    panel = clean(good(10.0))
    receiver = read_log(write_nmea(good(10.0), tmp_path / "a"))
    receiver = receiver.done(time=receiver.time + shift)
    offset = find_offset(panel, clean(receiver))
    assert offset.seconds == pytest.approx(-shift, abs=0.25)
    assert offset.correlation > 0.9
    bare = panel.done(channels={n: v for n, v in panel.channels.items() if n not in ("altitude",)})
    both = joined(bare, receiver, offset)
    assert both.kind == "joined"
    off = both.channels["altitude"] - good(10.0).channels["altitude"]
    assert abs(np.nanmean(off)) < 0.5
    assert np.isfinite(off).mean() > 0.9
    assert np.array_equal(both.channels["track"], panel.channels["track"], equal_nan=True)


def test_an_offset_is_found_between_readings() -> None:
    # Exact: one log beside itself, its clock moved by no whole number of readings.
    panel = clean(good(10.0))
    for shift in (7.34, -3.06):
        offset = find_offset(panel, panel.done(time=panel.time + shift))
        assert offset.seconds == pytest.approx(-shift, abs=0.02)


def test_directions_are_joined_across_north() -> None:
    panel = clean(good(10.0))
    track = (0.2 * np.sin(panel.time / 3.0)) % (2.0 * np.pi)
    other = panel.done(channels={"ground_speed": panel.channels["ground_speed"], "track": track})
    base = panel.done(channels={"ground_speed": panel.channels["ground_speed"]})
    offset = replace(find_offset(base, other), seconds=0.05)
    found = joined(base, other, offset).channels["track"]
    inside = slice(5, -5)
    off = (found[inside] - (0.2 * np.sin((panel.time[inside] - 0.05) / 3.0)) + np.pi) % (2.0 * np.pi) - np.pi
    assert np.nanmax(np.abs(off)) < 0.01


def test_logs_that_cannot_be_matched_are_refused(tmp_path: Path) -> None:
    panel = clean(good(10.0))
    noise = np.random.default_rng(3).normal(25.0, 1.0, len(panel))
    with pytest.raises(InputError, match="stands out"):
        find_offset(panel, panel.done(channels={"ground_speed": noise}))
    with pytest.raises(InputError, match="in common"):
        find_offset(panel, panel.done(time=panel.time + 5000.0))
    with pytest.raises(InputError, match="no channel in common"):
        find_offset(panel, panel.done(channels={"flap": np.zeros(len(panel))}))
    repeating = 25.0 + 3.0 * np.sin(panel.time * 2.0 * np.pi / 10.0)
    same = panel.done(channels={"ground_speed": repeating})
    with pytest.raises(InputError, match="next best"):
        find_offset(same, same)


def test_two_flights_in_one_recording_are_told_apart_on_the_ground() -> None:
    flight = clean(good(10.0))
    n, step = 2400, 0.1
    ground = {name: np.zeros(n) for name in flight.channels}
    length = float(flight.time[-1] - flight.time[0])
    pieces = [
        (flight.time, flight.channels),
        (flight.time[-1] + step * np.arange(1, n + 1), ground),
        (flight.time + length + step * (n + 1), flight.channels),
    ]
    both = Log(
        source="a",
        kind="table",
        part=1,
        time=np.concatenate([t for t, _ in pieces]),
        absolute=True,
        rows=np.arange(2 * len(flight) + n),
        channels={name: np.concatenate([c[name] for _, c in pieces]) for name in flight.channels},
    )
    spells = airborne_spells(both)
    assert [spell.part for spell in spells] == [1, 2]
    assert all(spell.time[-1] - spell.time[0] == pytest.approx(length + 60.0, abs=10.0) for spell in spells)
    assert airborne_spells(flight) == [flight]


def test_ten_readings_to_a_second_stamped_alike_are_spread(tmp_path: Path) -> None:
    log = good(10.0)
    whole = log.done(time=np.floor(log.time))
    found = read_log(write_table(whole, tmp_path / "a.csv"), accept_guess=True)
    assert len(found) == len(log)
    assert np.max(np.abs(found.time - log.time)) < 0.11
    assert any("spread evenly" in step.what for step in found.history)


def test_spikes_are_found_and_nothing_else() -> None:
    log = good(10.0)
    places = np.random.default_rng(2).choice(np.arange(20, len(log) - 20), 40, replace=False)
    spiked = log.channels["indicated_airspeed"].copy()
    spiked[places] += np.where(np.arange(40) % 2, 15.0, -12.0)
    found = clean(log.done(channels={**log.channels, "indicated_airspeed": spiked}))
    wrong = np.flatnonzero(found.flags["indicated_airspeed"] & SPIKE)
    assert set(places) <= set(wrong.tolist())
    assert wrong.size <= 42
    assert all(np.isnan(found.channels["indicated_airspeed"][places]))
    # A clean log loses nothing; a log cleaned twice loses nothing more.
    assert clean(log).history == log.history
    assert clean(found).history == found.history


def test_a_coarse_display_in_steady_flight_is_not_stuck() -> None:
    # Whole knots hold for many seconds while the wind changes the ground speed round the legs.
    log = good()
    coarse = np.round(log.channels["indicated_airspeed"] / KT) * KT
    part = log.done(channels={**log.channels, "indicated_airspeed": coarse}).rows_of(slice(0, 190))
    runs = np.diff(
        np.flatnonzero(np.concatenate([[True], np.diff(part.channels["indicated_airspeed"]) != 0, [True]]))
    )
    assert np.max(runs) > 10
    assert np.isfinite(clean(part).channels["indicated_airspeed"]).all()


def test_gaps_are_reported() -> None:
    log = good()
    kept = np.ones(len(log), dtype=np.bool_)
    kept[50:70] = False
    holed = replace(log, time=log.time[kept], rows=log.rows[kept], channels={})
    assert gaps(holed) == [(float(log.time[49]), float(log.time[70]))]
    assert gaps(log) == []


def test_each_step_names_its_function_version_and_rows(tmp_path: Path) -> None:
    text = write_table(good(), tmp_path / "a.csv").read_text().splitlines()
    text[40] = text[40].replace(",", ",,", 1)
    log = clean(read_log(write(tmp_path, "\n".join(text)), accept_guess=True))
    step = next(step for step in log.history if "too few" in step.what)
    assert (step.first_row, step.last_row, step.count, step.by) == (41, 41, 1, "read_logs")
    assert all(step.version for step in log.history)


def test_channel_that_is_not_there_is_named(tmp_path: Path) -> None:
    log = read_log(write_gpx(good(), tmp_path / "a.gpx"))
    with pytest.raises(InputError, match="no indicated airspeed; it has"):
        log.channel("indicated_airspeed")
