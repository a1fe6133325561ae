"""Guessing, confirming and saving what each column is."""

from pathlib import Path

import pytest

from slowflight.errors import InputError
from slowflight.flights.logs.mapping import guess_mapping, read_mapping, save_mapping
from slowflight.flights.logs.reading import read_log
from tests.flights.logs.base import ROUNDING, differences, good, table, text, write


@pytest.mark.parametrize(
    ("name", "channel", "unit", "sure"),
    [
        ("IAS (kt)", "indicated_airspeed", "kt", True),
        ("ias_mph", "indicated_airspeed", "mph", True),
        ("Indicated Airspeed [km/h]", "indicated_airspeed", "km/h", True),
        ("airspeed", "indicated_airspeed", "kt", False),
        ("GndSpd", None, "", False),
        ("groundspeed kt", "ground_speed", "kt", True),
        ("OAT degC", "outside_temperature", "c", True),
        ("oat_f", "outside_temperature", "f", True),
        ("Altitude (ft)", "altitude", "ft", True),
        ("Pressure altitude (m)", "pressure_altitude", "m", True),
        ("altitude", "altitude", "ft", False),
        ("Vertical Speed (fpm)", "vertical_speed", "ft/min", True),
        ("pitch", "pitch", "deg", True),
        ("MAP (inHg)", "manifold_pressure", "inhg", True),
        ("fuel flow (gph)", "fuel_flow", "gal/h", True),
        ("gyroX (deg/s)", "rotation_x", "deg/s", True),
        ("accelerationZ (m/s^2)", "acceleration_z", "m/s2", True),
        ("airspeed (furlong)", None, "", False),
    ],
)
def test_names_and_units(name: str, channel: str | None, unit: str, sure: bool, tmp_path: Path) -> None:
    rows = [["time (s)", name, "n"], *([f"{i}", f"{40 + i}", f"{i % 7}"] for i in range(20))]
    column = guess_mapping(write(tmp_path, text(rows))).columns[1]
    assert (column.channel, column.unit) == (channel, unit)
    assert column.remark.startswith("unsure") == ((not sure and channel is not None) or "furlong" in name)


def test_a_guess_is_not_used_before_it_is_confirmed(tmp_path: Path) -> None:
    path = write(tmp_path, text(table()).replace("IAS (kt)", "IAS"))
    with pytest.raises(InputError, match=r"unsure of 'IAS' \(kt\)"):
        read_log(path)
    assert len(read_log(path, mapping=guess_mapping(path).confirm())) == len(good())
    log = read_log(path, accept_guess=True)
    assert any("nobody has confirmed" in step.what for step in log.history)


def test_a_saved_mapping_comes_back_and_serves_columns_in_another_order(tmp_path: Path) -> None:
    rows = table()
    path = write(tmp_path, text(rows))
    mapping = guess_mapping(path).confirm()
    save_mapping(mapping, tmp_path / "recorder.toml")
    again = read_mapping(tmp_path / "recorder.toml")
    assert again == mapping
    turned = write(tmp_path, text([row[::-1] for row in rows]), "turned.csv")
    off = differences(read_log(turned, mapping=again))
    assert all(worst <= 1.02 * ROUNDING[name] for name, worst in off.items())


def test_hand_made_mapping_for_names_nobody_knows(tmp_path: Path) -> None:
    rows = table()
    names = [f"ch{i}" for i in range(len(rows[0]))]
    path = write(tmp_path, text([names, *rows[1:]]))
    (tmp_path / "m.toml").write_text(
        'confirmed = true\ndelimiter = "comma"\ndecimal = "."\nutc_offset = "+00:00"\n'
        '[[column]]\nname = "ch0"\nchannel = "timestamp"\nunit = "ymd"\n'
        '[[column]]\nname = "ch1"\nchannel = "indicated_airspeed"\nunit = "knots"\n'
        '[[column]]\nname = "ch9"\nchannel = "angle_of_attack_raw"\nunit = "number"\n',
        encoding="utf-8",
    )
    log = read_log(path, mapping=read_mapping(tmp_path / "m.toml"))
    assert differences(log)["indicated_airspeed"] <= ROUNDING["indicated_airspeed"]


def test_miles_an_hour_read_the_same_as_knots(tmp_path: Path) -> None:
    rows = table()
    rows[0][1] = "IAS (mph)"
    for row in rows[1:]:
        row[1] = f"{float(row[1]) * 1.852 / 1.609344:.4f}"
    log = read_log(write(tmp_path, text(rows)), accept_guess=True)
    assert differences(log)["indicated_airspeed"] <= ROUNDING["indicated_airspeed"] + 1e-4


def test_local_time_with_an_offset(tmp_path: Path) -> None:
    rows = table()
    for row in rows[1:]:
        row[0] = row[0].rstrip("Z")
    path = write(tmp_path, text(rows))
    save_mapping(guess_mapping(path).confirm(), tmp_path / "m.toml")
    saved = (tmp_path / "m.toml").read_text(encoding="utf-8")
    assert 'utc_offset = "unknown"' in saved
    (tmp_path / "m.toml").write_text(saved.replace('"unknown"', '"+02:00"'), encoding="utf-8")
    local = read_log(path, mapping=read_mapping(tmp_path / "m.toml"))
    assert local.time - good().time == pytest.approx(-7200.0, abs=1e-3)
    unknown = read_log(path, mapping=guess_mapping(path).confirm())
    assert any("no offset is known" in step.what for step in unknown.history)


@pytest.mark.parametrize(
    ("change", "message"),
    [
        (('unit = "kt"', 'unit = "furlong"'), "a unit of a speed"),
        (('channel = "track"', 'channel = "course"'), "channel 'course'"),
        (('channel = "track"', 'channel = "ground_speed"'), "unit 'deg'"),
        (('channel = "pitch"', 'channel = "track"'), "twice"),
        (('delimiter = "comma"', 'delimiter = "dot"'), "delimiter"),
        (('utc_offset = "unknown"', 'utc_offset = "summer"'), "utc_offset"),
    ],
)
def test_mapping_with_a_slip_is_refused(change: tuple[str, str], message: str, tmp_path: Path) -> None:
    save_mapping(guess_mapping(write(tmp_path, text(table()))), tmp_path / "m.toml")
    saved = (tmp_path / "m.toml").read_text(encoding="utf-8")
    assert change[0] in saved
    (tmp_path / "m.toml").write_text(saved.replace(*change, 1), encoding="utf-8")
    with pytest.raises(InputError, match=message):
        read_mapping(tmp_path / "m.toml")


def test_mapping_of_another_recorder_is_refused(tmp_path: Path) -> None:
    mapping = guess_mapping(write(tmp_path, text(table()))).confirm()
    other = write(tmp_path, text(table()).replace("IAS (kt)", "airspeed kt"), "other.csv")
    with pytest.raises(InputError, match=r"no column 'IAS \(kt\)'"):
        read_log(other, mapping=mapping)
