"""Time to reduce a day of flying, and memory to read a log of 2 GB.

A simulated flight of ten hours at ten readings a second is written as a table and reduced: read, cleaned,
legs, calibration, stalls. With ``--large`` a table of 2 GB, which never touches the disk, is read from
a pipe.
"""

from __future__ import annotations

import math
import os
import resource
import sys
import tempfile
import threading
import time
from pathlib import Path

from slowflight.flights.airspeed.calibrating import speed_points
from slowflight.flights.airspeed.position_error import fit_position_error
from slowflight.flights.airspeed.steady import find_legs
from slowflight.flights.logs.block import Tally
from slowflight.flights.logs.cleaning import clean
from slowflight.flights.logs.flights_apart import stretches
from slowflight.flights.logs.mapping import guess_mapping
from slowflight.flights.logs.opening import HEAD_BYTES, LogText
from slowflight.flights.logs.reading import read_log
from slowflight.flights.logs.table_reader import read_table
from slowflight.flights.simulator.flying import simulate
from slowflight.flights.simulator.invented import KNOT, InventedAircraft
from slowflight.flights.simulator.maneuvers import Leg, StallRun, Turn
from slowflight.flights.simulator.writing import write_table
from slowflight.flights.stalls.finding import find_stalls
from slowflight.flights.stalls.reducing import FlightFacts, reduce_flight

CRAFT = InventedAircraft(fuel_burn=0.0)
HOURS = 10.0


def plan() -> list[Leg | Turn | StallRun]:
    legs: list[Leg | Turn | StallRun] = [
        Leg(speed=knots * KNOT, heading=i * math.pi / 2.0, seconds=45.0)
        for knots in (41.0, 45.0, 52.0, 62.0, 78.0)
        for i in range(4)
    ]
    stalls: list[Leg | Turn | StallRun] = [StallRun(heading=math.pi * (i % 2)) for i in range(300)]
    return [*legs, *stalls, *[Leg(speed=80.0 * KNOT, heading=0.5, seconds=900.0)] * 20]


def reduce_file(path: Path) -> tuple[int, int, int]:
    mapping = guess_mapping(path).confirm()
    log = clean(read_log(path, mapping=mapping))
    points = speed_points(find_legs(log), flap_deg=0.0, mass_at=lambda _: CRAFT.mass)
    curve = fit_position_error([one.point for one in points], area=CRAFT.area)
    events = find_stalls(log, stall_speed=38.0 * KNOT, lag=0.5)
    facts = FlightFacts(
        flight="long", configuration="clean", mass_at=lambda _: CRAFT.mass, reference_mass=CRAFT.mass
    )
    return len(log), len(points), sum(r.accepted for r in reduce_flight(events, facts, curves=[curve]))


def ten_hours() -> None:
    with tempfile.TemporaryDirectory() as folder:
        flight = simulate(plan(), seed=1, aircraft=CRAFT)
        rows = int(HOURS * 36_000)
        path = write_table(flight.log.rows_of(slice(0, rows)), Path(folder) / "long.csv")
        wall, cpu = time.perf_counter(), time.process_time()
        readings, points, stalls = reduce_file(path)
        wall, cpu = time.perf_counter() - wall, time.process_time() - cpu
        print(
            f"{readings:,} readings ({path.stat().st_size / 1e6:.0f} MB), {points} calibrated speeds,"
            f" {stalls} stalls: {cpu:.1f} s of processor time, {wall:.1f} s by the clock"
        )


def large(gigabytes: float) -> None:
    head = "seconds,IAS kt,groundspeed kt,track deg,lat deg,lon deg,palt ft,pitch deg,nz g\n"
    tail = ",".join(["38.25", "44.10", "123.4", "46.1234567", "8.1234567", "6512.5", "5.25", "1.002"])

    def pieces(size: float) -> bytes:
        return "".join(f"{size + i * 0.1:.1f},{tail}\n" for i in range(10_000)).encode()

    with tempfile.TemporaryDirectory() as folder:
        sample, pipe = Path(folder) / "sample.csv", Path(folder) / "pipe"
        sample.write_bytes(head.encode() + pieces(0.0))
        os.mkfifo(pipe)
        written = [0]

        def write() -> None:
            with pipe.open("wb") as stream:
                stream.write(head.encode())
                start = 0.0
                while written[0] < gigabytes * 1e9:
                    written[0] += stream.write(pieces(start))
                    start += 1000.0

        threading.Thread(target=write, daemon=True).start()
        text = LogText(path=pipe, encoding="utf-8", head=sample.read_text()[:HEAD_BYTES])
        before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0
        cpu, rows, parts = time.process_time(), 0, 0
        for held, _ in stretches(read_table(text, guess_mapping(sample).confirm(), Tally())):
            rows, parts = rows + sum(block.time.size for block in held), parts + 1
        after = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0
        print(
            f"{written[0] / 1e9:.2f} GB, {rows:,} readings in {parts} parts:"
            f" {time.process_time() - cpu:.0f} s, memory from {before:.0f} to {after:.0f} MB at most"
        )


if __name__ == "__main__":
    if "--large" in sys.argv:
        large(2.0)
    else:
        ten_hours()
