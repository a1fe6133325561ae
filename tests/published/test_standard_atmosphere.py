"""The air against the standard atmosphere's tables (sources in the case files' own headers)."""

import csv
from pathlib import Path

import pytest

from slowflight import air

HERE = Path(__file__).parent


def rows(name: str) -> list[dict[str, float]]:
    lines = (HERE / name).read_text(encoding="utf-8").splitlines()
    table = csv.DictReader(line for line in lines if not line.startswith("#"))
    return [{key: float(value) for key, value in row.items()} for row in table]


@pytest.mark.parametrize("row", rows("standard_atmosphere.csv"), ids=lambda row: f"{row['altitude_m']:g} m")
def test_standard_atmosphere_table(row: dict[str, float]) -> None:
    found = air.standard_air(altitude=row["altitude_m"])
    assert found.temperature == pytest.approx(row["temperature_k"], rel=1e-9)
    assert found.pressure == pytest.approx(row["pressure_pa"], rel=1e-7)
    assert found.density == pytest.approx(row["density_kg_m3"], rel=1e-7)
    assert found.speed_of_sound == pytest.approx(row["sound_m_s"], rel=1e-7)
    assert found.viscosity == pytest.approx(row["viscosity_pa_s"], rel=1e-7)
    assert found.kinematic_viscosity == pytest.approx(row["kinematic_viscosity_m2_s"], rel=1e-7)


@pytest.mark.parametrize(
    "row",
    rows("standard_atmosphere_density_altitude.csv"),
    ids=lambda row: f"{row['pressure_altitude_m']:g} m {row['temperature_c']:g} C",
)
def test_density_altitude_table(row: dict[str, float]) -> None:
    found = air.air(
        pressure=air.standard_pressure(altitude=row["pressure_altitude_m"]),
        temperature=row["temperature_c"] + 273.15,
    )
    assert found.density == pytest.approx(row["density_kg_m3"], rel=1e-7)
    # Eight digits of density place the altitude to a millimeter.
    assert air.density_altitude(density=found.density) == pytest.approx(row["density_altitude_m"], abs=2e-3)
    ratio = air.true_airspeed(equivalent=1.0, density=found.density)
    assert ratio == pytest.approx(row["true_over_equivalent"], rel=1e-7)


def test_top_of_the_isothermal_layer_from_memory() -> None:
    """USSA 1976 table at 20 km geopotential, from memory: 216.65 K, 5474.9 Pa, 0.08803 kg/m^3."""
    found = air.standard_air(altitude=20_000.0)
    assert found.temperature == pytest.approx(216.65)
    assert found.pressure == pytest.approx(5474.9, rel=1e-4)
    assert found.density == pytest.approx(0.08803, rel=1e-3)
