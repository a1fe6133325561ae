"""Campaigns from simulated logs to gain: whether 90 % bands hold, and what pooled stalls would have said.

Give the number of campaigns and how much flights differ [kt], 500 and 0.4 if not given; 500 campaigns of six
flights take about three minutes of one core.
"""

from __future__ import annotations

import sys
from dataclasses import replace

import numpy as np

from slowflight.flights.simulator.invented import KNOT
from slowflight.flights.stall_record import CLEAN, NOSE_DROP, VANES, StallRecord
from slowflight.flights.statistics.gain import measure_gain
from slowflight.flights.statistics.speed_rule import SHOWN, SpeedRule, speed_finding
from tests.flights.campaign.pooled_stalls import pooled_gain
from tests.flights.verdict.test_whole_campaign import CLEAN_CRAFT, flight


def campaign(seed: int, *, between: float) -> list[StallRecord]:
    """Invent three clean flights and three with vanes that do nothing; flights differ by `between` [m/s]."""
    random = np.random.default_rng(seed + 7)
    records: list[StallRecord] = []
    for number in range(3):
        for configuration, offset in ((CLEAN, 0), (VANES, 50)):
            shift = between * random.standard_normal()
            craft = replace(
                CLEAN_CRAFT,
                stall_speeds={flap: speed + shift for flap, speed in CLEAN_CRAFT.stall_speeds.items()},
            )
            records += flight(
                f"{configuration} {number}",
                configuration,
                craft,
                seed=seed + offset + number,
                ending=NOSE_DROP,
            )
    return records


def main() -> None:
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 500
    between = (float(sys.argv[2]) if len(sys.argv) > 2 else 0.4) * KNOT
    held, changed, pooled, values = [], [], [], []
    shown: dict[float, list[bool]] = {0.0: [], 1.0: []}
    for number in range(count):
        records = campaign(20_000 + 137 * number, between=between)
        gain = measure_gain(records, terms=())
        low, high = gain.band(0.90)
        held.append(low <= 0.0 <= high)
        low, high = gain.band(0.95)
        changed.append(not low <= 0.0 <= high)
        pooled.append(pooled_gain([record for record in records if record.accepted]).p < 0.05)
        values.append(gain.value / KNOT)
        for worth, found in shown.items():
            found.append(speed_finding(gain, SpeedRule(worth_having=worth * KNOT)) == SHOWN)
    print(f"{count} campaigns in which nothing changed, flights differing by {between / KNOT:g} kt")
    print(f"90 % bands hold           {100 * np.mean(held):5.1f} %")
    print(f"'a change' by flights     {100 * np.mean(changed):5.1f} %   (promised 5)")
    print(f"'a change' by all stalls  {100 * np.mean(pooled):5.1f} %   (promised 5)")
    for worth, found in shown.items():
        print(f"speeds enough for 'keep' if {worth:g} kt is worth having: {100 * np.mean(found):.1f} %")
    print(f"gain {np.mean(values):+.3f} kt, scatter {np.std(values):.3f} kt")


if __name__ == "__main__":
    main()
