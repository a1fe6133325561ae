"""Pressure height and temperature that the log does not have: worked vectors, and what not knowing costs."""

from __future__ import annotations

import csv
import math
from pathlib import Path

import numpy as np
import pytest

from slowflight import air
from slowflight.flights.book.reading import read_book
from slowflight.flights.logs.log import Log
from slowflight.flights.logs.mapping import guess_mapping, save_mapping
from slowflight.flights.reduction.air_flown_in import NO_HEIGHT, NO_SETTING, UNKNOWN_AIR, with_air
from slowflight.flights.statistics.stall_terms import AIR_NAME
from tests.flights.reduction.flown_campaign import KNOT, Reduce

FOOT = 0.3048


def bare(**channels: float) -> Log:
    return Log(
        source="x.csv",
        kind="table",
        part=1,
        time=np.arange(3.0),
        absolute=False,
        rows=np.arange(1, 4),
        channels={name: np.full(3, value) for name, value in channels.items()},
    )


def entry(tmp_path: Path, more: str = "") -> object:
    place = tmp_path / "flights.toml"
    place.write_text('[[flight]]\nname = "x"\nside = "before"\nlog = "x.csv"\n' + more, encoding="utf-8")
    return read_book(place).flights[0]


def test_pressure_height_of_a_field_by_its_setting(tmp_path: Path) -> None:
    """2,000 ft with 1003.25 hPa set is 2,274.2 ft (worked vector, standard atmosphere)."""
    flight = entry(tmp_path, 'pressure_setting = "1003.25 hPa"\ntemperature = "12 C"\n')
    log, remarks = with_air(bare(altitude=2000.0 * FOOT), flight)  # type: ignore[arg-type]
    assert log.channels["pressure_altitude"] / FOOT == pytest.approx(2274.2, abs=0.1)
    assert log.channels["outside_temperature"] == pytest.approx(285.15)
    assert remarks == []
    assert log.history[0].what == "pressure height from height above sea level"


def test_pressure_height_of_static_pressure(tmp_path: Path) -> None:
    """89,874.56 Pa is 1,000 m (U.S. Standard Atmosphere 1976, as tabulated)."""
    log, _ = with_air(bare(static_pressure=89_874.56), entry(tmp_path))  # type: ignore[arg-type]
    assert log.channels["pressure_altitude"] == pytest.approx(1000.0, abs=0.02)


def test_what_is_missing_is_said(tmp_path: Path) -> None:
    _, remarks = with_air(bare(altitude=600.0), entry(tmp_path))  # type: ignore[arg-type]
    assert remarks[0] == NO_SETTING
    assert "1.8 %" in remarks[1]
    _, remarks = with_air(bare(), entry(tmp_path))  # type: ignore[arg-type]
    assert remarks[0] == NO_HEIGHT
    # Ten kelvin at 288 are 1.7 % of speed by the root of temperature; evenly spread, over root three.
    assert math.sqrt(3.0) * UNKNOWN_AIR == pytest.approx(math.sqrt(298.15 / 288.15) - 1.0, rel=0.02)


def test_air_that_nobody_measured_widens_the_band(reduce: Reduce) -> None:
    known = reduce()
    unknown = reduce((r'temperature = "[^"]*"\n', ""))
    assert known.decision is not None
    assert unknown.decision is not None
    for one, other in zip(known.decision.settings, unknown.decision.settings, strict=True):
        assert one.gain is not None
        assert other.gain is not None
        (term,) = [term for term in other.gain.budget.terms if term.name == AIR_NAME]
        assert not any(term.name == AIR_NAME for term in one.gain.budget.terms)
        speeds = [r.speed_reference for s in other.gain.sets for r in s.stalls]
        # Once for each side.
        assert term.contribution == pytest.approx(math.sqrt(2.0) * UNKNOWN_AIR * np.mean(speeds), rel=1e-6)
        assert other.gain.budget.half_band(0.9) > one.gain.budget.half_band(0.9)
    assert any("neither recorded nor written down" in r for r in unknown.flights[0].flown.remarks)


def test_height_above_sea_level_serves_where_pressure_height_is_missing(reduce: Reduce, logs: Path) -> None:
    """The same log with its height 30 m off and the setting that makes it so: the same calibration."""
    with (logs / "before-1.csv").open(encoding="utf-8", newline="") as stream:
        rows = list(csv.reader(stream))
    place = rows[0].index("Pressure altitude (ft)")
    lower = air.pressure_altitude(pressure=100_964.0)
    lines = [[*rows[0][:place], "GPS altitude (m)", *rows[0][place + 1 :]]]
    lines += [
        [*row[:place], f"{float(row[place]) * FOOT - lower:.2f}", *row[place + 1 :]] for row in rows[1:]
    ]
    (logs / "gps.csv").write_text("\n".join(",".join(line) for line in lines), encoding="utf-8")
    save_mapping(guess_mapping(logs / "gps.csv").confirm(), logs / "columns-gps.toml")
    change = (
        r'log = "before-1.csv"\ncolumns = "columns-1.toml"',
        'log = "gps.csv"\ncolumns = "columns-gps.toml"\npressure_setting = "1009.64 hPa"',
    )
    found, usual = reduce(change).flights[0], reduce().flights[0]
    assert len(found.records) == len(usual.records)
    for one, other in zip(found.records, usual.records, strict=True):
        assert one.speed_calibrated == pytest.approx(other.speed_calibrated, abs=0.05 * KNOT)
    wrong = reduce((change[0], change[1].replace('\npressure_setting = "1009.64 hPa"', ""))).flights[0]
    assert NO_SETTING in wrong.flown.remarks
