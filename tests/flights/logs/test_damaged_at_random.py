"""Logs damaged at random: whatever happens to the bytes, a clear message or a log that can be used."""

from pathlib import Path

import numpy as np
import pytest

from slowflight.errors import InputError
from slowflight.flights.logs.cleaning import clean
from slowflight.flights.logs.reading import read_logs
from slowflight.flights.logs.spells import airborne_spells
from slowflight.flights.simulator.writing import write_gpx, write_igc, write_nmea
from slowflight.flights.stalls.finding import find_stalls
from tests.flights.logs.base import good, table, text

ROUNDS = 40


def damaged(raw: bytes, noise: np.random.Generator) -> bytes:
    data = bytearray(raw)
    for _ in range(int(noise.integers(1, 30))):
        at = int(noise.integers(0, max(len(data), 1)))
        kind, length = int(noise.integers(0, 6)), int(noise.integers(1, 200))
        if kind == 0:
            del data[at : at + length]
        elif kind == 1:
            data[at:at] = bytes(noise.integers(0, 256, length, dtype=np.uint8))
        elif kind == 2:
            data[at:at] = data[at : at + 10 * length]
        elif kind == 3 and data:
            data[min(at, len(data) - 1)] = int(noise.integers(0, 256))
        elif kind == 4:
            data[at:at] = noise.choice([b"\n", b",", b'"', b";", b"-", b"99999999", b"nan", b"\0", b"1e309"])
        else:
            del data[len(data) - length :]
    return bytes(data)


@pytest.mark.parametrize("kind", ["table", "gpx", "nmea", "igc"])
def test_damage_never_gets_through(kind: str, tmp_path: Path) -> None:
    source = tmp_path / "good"
    if kind == "table":
        source.write_text(text(table()), encoding="utf-8")
    else:
        {"gpx": write_gpx, "nmea": write_nmea, "igc": write_igc}[kind](good(), source)
    raw, used = source.read_bytes(), 0
    messages: list[str] = []
    for seed in range(ROUNDS):
        path = tmp_path / "damaged"
        path.write_bytes(damaged(raw, np.random.default_rng(seed)))
        try:
            logs = [clean(log) for log in read_logs(path, accept_guess=True)]
        except InputError as error:
            messages.append(str(error))
            continue
        for log in logs:
            assert len(log) >= 2
            assert np.isfinite(log.time).all()
            assert (np.diff(log.time) > 0.0).all()
            assert all(values.size == len(log) for values in log.channels.values())
            assert not any(np.isinf(values).any() for values in log.channels.values())
            airborne_spells(log)
            if log.has("indicated_airspeed") and len(log) >= 20:
                find_stalls(log, stall_speed=20.0)
        used += 1
    assert used > ROUNDS // 4
    assert not any("\n" in message for message in messages)
