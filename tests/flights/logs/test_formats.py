"""GPX, NMEA 0183, IGC and phone logs: published lines, whole files with known truth, and broken ones."""

import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from slowflight.air import GRAVITY
from slowflight.errors import InputError
from slowflight.flights.logs.block import Tally
from slowflight.flights.logs.igc import read_igc
from slowflight.flights.logs.log import Log
from slowflight.flights.logs.mapping import guess_mapping
from slowflight.flights.logs.nmea import sentence
from slowflight.flights.logs.opening import open_log
from slowflight.flights.logs.phone import aircraft_axes
from slowflight.flights.logs.positions import with_speed_from_positions
from slowflight.flights.logs.reading import read_log, read_logs
from slowflight.flights.simulator.writing import write_gpx, write_igc, write_nmea, write_phone
from slowflight.units import SPEED
from tests.flights.logs.base import good, write

KT = SPEED.factors["kt"]


def said(log: Log) -> str:
    return " | ".join(step.what for step in log.history)


@pytest.mark.parametrize(
    ("line", "field", "value"),
    [
        # Published example sentences of NMEA 0183 with their sums.
        ("$GPGGA,123519,4807.038,N,01131.000,E,1,08,0.9,545.4,M,46.9,M,,*47", 9, "545.4"),
        ("$GPVTG,220.86,T,,M,2.550,N,4.724,K,A*34", 5, "2.550"),
        ("$GPVTG,45.5,T,67.5,M,30.45,N,56.40,K*4B", 1, "45.5"),
    ],
)
def test_published_sentences(line: str, field: int, value: str) -> None:
    found = sentence(line)
    assert found is not None
    assert found[field] == value
    assert sentence(line.replace("5", "6", 1)) is None


def test_published_position_of_a_sentence(tmp_path: Path) -> None:
    lines = "".join(
        f"$GPGGA,{clock},4807.038,N,01131.000,E,1,08,0.9,545.4,M,46.9,M,,*{total}\n"
        for clock, total in (("123519", "47"), ("123520", "4D"))
    )
    log = read_log(write(tmp_path, lines, "a.nmea"))
    assert not log.absolute
    assert log.time == pytest.approx([45319.0, 45320.0])
    # 48 degrees 7.038 minutes north, 11 degrees 31.000 minutes east.
    assert np.degrees(log.channels["latitude"]) == pytest.approx([48.1173] * 2)
    assert np.degrees(log.channels["longitude"]) == pytest.approx([11.0 + 31.0 / 60.0] * 2)
    assert log.channels["altitude"] == pytest.approx([545.4] * 2)


def test_published_fix_of_an_igc_record(tmp_path: Path) -> None:
    # FAI/IGC technical specification: 11:01:35, 52 deg 06.343 min N, 000 deg 06.198 min W, 587 and 558 m.
    lines = "HFDTE010203\nB1101355206343N00006198WA0058700558\nB1101365206343N00006198WA0058700558\n"
    log = read_log(write(tmp_path, lines, "a.igc"))
    assert np.degrees(log.channels["latitude"][0]) == pytest.approx(52.0 + 6.343 / 60.0)
    assert np.degrees(log.channels["longitude"][0]) == pytest.approx(-6.198 / 60.0)
    assert (log.channels["pressure_altitude"][0], log.channels["altitude"][0]) == (587.0, 558.0)
    assert np.datetime64(int(log.time[0]), "s") == np.datetime64("2003-02-01T11:01:35")


@pytest.mark.parametrize("writer", [write_gpx, write_nmea, write_igc])
def test_whole_file_comes_back(writer: object, tmp_path: Path) -> None:
    base = good()
    log = read_log(writer(base, tmp_path / "a"))  # type: ignore[operator]
    assert log.absolute
    assert len(log) == len(base)
    # Whole seconds in IGC, hundredths in the sentences.
    assert np.max(np.abs(log.time - base.time)) < 0.011
    for name in ("latitude", "longitude"):
        assert np.max(np.abs(log.channels[name] - base.channels[name])) < 2e-7
    assert np.max(np.abs(log.channels["altitude"] - base.channels["altitude"])) <= 0.51
    if "ground_speed" in log.channels:
        assert np.max(np.abs(log.channels["ground_speed"] - base.channels["ground_speed"])) < 0.003


def test_speed_in_a_gpx_extension(tmp_path: Path) -> None:
    log = read_log(write_gpx(good(), tmp_path / "a.gpx", speeds=True))
    assert np.max(np.abs(log.channels["ground_speed"] - good().channels["ground_speed"])) < 0.001


def test_speed_from_positions_is_right_on_legs_and_said(tmp_path: Path) -> None:
    log = with_speed_from_positions(read_log(write_gpx(good(), tmp_path / "a.gpx")))
    legs = log.time < log.time[0] + 35.0
    off = log.channels["ground_speed"][legs] - good().channels["ground_speed"][legs]
    assert abs(np.nanmean(off)) < 0.1
    assert "worked out from positions" in said(log)


def test_gpx_cut_off_keeps_what_came_before(tmp_path: Path) -> None:
    text = write_gpx(good(), tmp_path / "a.gpx").read_text()
    log = read_log(write(tmp_path, text[: len(text) // 2], "b.gpx"))
    assert len(good()) // 2 - 3 <= len(log) <= len(good()) // 2 + 1
    assert "breaks off" in said(log)


def test_gpx_damaged_in_the_middle_keeps_what_came_before(tmp_path: Path) -> None:
    lines = write_gpx(good(), tmp_path / "a.gpx").read_text().splitlines()
    lines[60] = lines[60][:30] + "<<<"
    log = read_log(write(tmp_path, "\n".join(lines), "b.gpx"))
    assert len(log) == 58
    assert "damaged from here on" in said(log)


def test_gpx_with_two_tracks_is_two_flights(tmp_path: Path) -> None:
    text = write_gpx(good(), tmp_path / "a.gpx").read_text()
    later = write_gpx(good().done(time=good().time + 300_000.0), tmp_path / "b.gpx").read_text()
    second = later[later.index("<trk>") : later.index("</gpx>")]
    logs = list(read_logs(write(tmp_path, text.replace("</gpx>", second + "</gpx>"), "c.gpx")))
    assert [len(log) for log in logs] == [len(good())] * 2
    with pytest.raises(InputError, match="2 flights"):
        read_log(tmp_path / "c.gpx")
    assert len(read_log(tmp_path / "c.gpx", part=2)) == len(good())


@pytest.mark.parametrize(
    ("change", "message"),
    [
        (lambda text: text.replace("<time>", "<when>").replace("</time>", "</when>"), "no readings"),
        (lambda text: text.replace("<gpx", '<!DOCTYPE x [<!ENTITY a "b">]>\n<gpx', 1), "document type"),
    ],
)
def test_gpx_that_is_refused(change: object, message: str, tmp_path: Path) -> None:
    text = write_gpx(good(), tmp_path / "a.gpx").read_text()
    with pytest.raises(InputError, match=message):
        read_log(write(tmp_path, change(text), "b.gpx"))  # type: ignore[operator]


def test_one_damaged_sentence_costs_one_instant_at_most(tmp_path: Path) -> None:
    lines = write_nmea(good(), tmp_path / "a").read_text().splitlines()
    lines[100] = lines[100].replace(",A,", ",B,", 1)  # its sum is now wrong
    log = read_log(write(tmp_path, "\n".join(lines), "b"))
    assert len(log) == len(good())
    assert "1 sentences" in " ".join(f"{step.count} {step.what}" for step in log.history)
    assert np.isnan(log.channels["ground_speed"]).sum() == 1
    assert np.isfinite(log.channels["altitude"]).all()


def test_sentences_without_fix_are_left_out_and_counted(tmp_path: Path) -> None:
    from slowflight.flights.logs.nmea import checksum

    lines = write_nmea(good(), tmp_path / "a").read_text().splitlines()
    for i in range(0, 20, 2):
        body = lines[i][1 : lines[i].index("*")].replace(",A,", ",V,", 1)
        lines[i] = f"${body}*{checksum(body):02X}"
    log = read_log(write(tmp_path, "\n".join(lines), "b"))
    assert np.isnan(log.channels["ground_speed"]).sum() == 10
    assert any(step.count == 10 and "valid fix" in step.what for step in log.history)


def test_garbled_and_invalid_igc_fixes(tmp_path: Path) -> None:
    lines = write_igc(good(), tmp_path / "a").read_text().splitlines()
    lines[50] = lines[50][:20]
    lines[60] = lines[60].replace("A", "V", 1)
    log = read_log(write(tmp_path, "\n".join(lines), "b"))
    assert len(log) == len(good()) - 1
    assert np.isnan(log.channels["latitude"]).sum() == 1
    assert np.isfinite(log.channels["pressure_altitude"]).all()


def test_igc_past_midnight(tmp_path: Path) -> None:
    base = good()
    late = base.done(time=base.time - base.time[100] % 86_400.0 + 86_400.0)
    log = read_log(write_igc(late, tmp_path / "a"))
    assert np.all(np.diff(log.time) > 0.0)
    assert np.max(np.abs(log.time - late.time)) < 1.0


def test_igc_extra_columns(tmp_path: Path) -> None:
    # An I record that gives three digits of true airspeed... in hundredths of km/h: 09000 is 25 m/s.
    lines = "HFDTE010203\nI013640TAS\n" + "".join(
        f"B11013{i}5206343N00006198WA005870055809000\n" for i in range(5)
    )
    (block,) = read_igc(open_log(write(tmp_path, lines)), Tally())
    assert block.channels["true_airspeed"] == pytest.approx([25.0] * 5)


def phone_log(tmp_path: Path) -> Log:
    base = good(10.0)
    path = write_phone(base, tmp_path / "phone.csv")
    log = read_log(path, mapping=guess_mapping(path).confirm())
    # A minute on the ground first, engine off.
    n, step = 600, 0.1
    rest = {name: np.zeros(n) for name in log.channels} | {"acceleration_z": np.full(n, GRAVITY)}
    return replace(
        log,
        time=np.concatenate([log.time[0] - step * np.arange(n, 0, -1), log.time]),
        rows=np.arange(n + len(log)),
        channels={name: np.concatenate([rest[name], values]) for name, values in log.channels.items()},
    )


def turned(log: Log, matrix: np.ndarray[tuple[int, ...], np.dtype[np.float64]], sign: float) -> Log:
    channels = dict(log.channels)
    for kind, factor in (("acceleration", sign), ("rotation", 1.0)):
        whole = np.column_stack([log.channels[f"{kind}_{axis}"] for axis in "xyz"]) @ matrix.T * factor
        channels |= {f"{kind}_{axis}": whole[:, i] for i, axis in enumerate("xyz")}
    return log.done(channels=channels)


@pytest.mark.parametrize(
    ("forward", "upward", "axes"),
    [
        ("y", "z", [[1, 0, 0], [0, 1, 0], [0, 0, 1]]),
        ("-x", "z", [[0, -1, 0], [1, 0, 0], [0, 0, 1]]),
        ("z", "-x", [[0, 0, -1], [-1, 0, 0], [0, 1, 0]]),
    ],
)
@pytest.mark.parametrize("sign", [1.0, -1.0], ids=["gravity up", "gravity down"])
def test_phone_however_it_is_fastened(
    forward: str, upward: str, axes: list[list[int]], sign: float, tmp_path: Path
) -> None:
    tilt = math.radians(12.0)  # and not quite straight
    lean = np.array([[1, 0, 0], [0, math.cos(tilt), -math.sin(tilt)], [0, math.sin(tilt), math.cos(tilt)]])
    log = turned(phone_log(tmp_path), np.array(axes, dtype=np.float64) @ lean, sign)
    start = float(log.time[0])
    found = aircraft_axes(log, level=(start + 5.0, start + 55.0), forward=forward, upward=upward)
    base = good(10.0)
    for name, tolerance in (("load_factor", 1e-3), ("pitch_rate", 1e-3), ("roll_rate", 1e-3)):
        assert np.max(np.abs(found.channels[name][600:] - base.channels[name])) < tolerance, name


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        ({"forward": "up"}, "one of x, -x"),
        ({"forward": "z"}, "vertical"),
        ({"upward": "x"}, "far from axis"),
        ({"level": (0.0, 1.0)}, "readings"),
    ],
)
def test_phone_that_is_refused(changes: dict[str, object], message: str, tmp_path: Path) -> None:
    log = phone_log(tmp_path)
    start = float(log.time[0])
    usual: dict[str, object] = {"level": (start, start + 55.0), "forward": "y", "upward": "z"}
    with pytest.raises(InputError, match=message):
        aircraft_axes(log, **(usual | changes))  # type: ignore[arg-type]


def test_phone_that_takes_gravity_off_is_refused(tmp_path: Path) -> None:
    log = phone_log(tmp_path)
    bare = log.done(
        channels={**log.channels, "acceleration_z": log.channels["acceleration_z"] - GRAVITY + 0.5}
    )
    with pytest.raises(InputError, match="must not be taken off"):
        aircraft_axes(bare, level=(float(log.time[0]), float(log.time[500])), forward="y", upward="z")
