"""Figures behind the promises of the flights: coverage, false 'keep', pooled stalls, planned chances.

The tests assert limits; this prints what came out, of 500 invented campaigns each at the tests' seeds. It
takes about four minutes of one core.
"""

from __future__ import annotations

import numpy as np

from slowflight.flights.campaign.invented import Truth, invent_records
from slowflight.flights.campaign.settles import chances
from slowflight.flights.statistics.budget import of_difference
from slowflight.flights.statistics.gain import measure_gain
from slowflight.flights.statistics.scatter import Scatter
from slowflight.flights.statistics.speed_rule import SHOWN, SpeedRule, speed_finding
from tests.flights.campaign.pooled_stalls import pooled_gain
from tests.flights.campaign.test_promises import CAMPAIGNS, COMMON, KNOT, LASTING, TERMS, gains, share
from tests.flights.verdict.campaigns import TERMS as JUDGE_TERMS
from tests.flights.verdict.test_judge import share_kept


def coverage() -> None:
    for everything in (True, False):
        for between in (0.0, 0.2, 0.4, 0.8):
            truth = Truth(
                gain=1.4 * KNOT,
                between=between * KNOT,
                common_error=COMMON,
                lasting_error=LASTING if everything else 0.0,
            )
            bands = [gain.band(0.90) for gain in gains(truth, seed=20, with_terms=everything)]
            held = share([low <= truth.gain <= high for low, high in bands])
            what = "all error" if everything else "flights only"
            print(f"90 % bands, {what}, flights differing by {between:g} kt: held in {100 * held:.1f} %")


def pooled() -> None:
    random = np.random.default_rng(40)
    by_flights, by_stalls = [], []
    for _ in range(CAMPAIGNS):
        records = invent_records(Truth(slope=0.0), random=random, stalls=4)
        low, high = measure_gain(records, terms=()).band(0.95)
        by_flights.append(not low <= 0.0 <= high)
        by_stalls.append(pooled_gain(records).p < 0.05)
    print(
        f"nothing changed, 'a change' at 5 %: by flights {100 * share(by_flights):.1f} %,"
        f" by pooled stalls {100 * share(by_stalls):.1f} %"
    )


def false_keep() -> None:
    lasting = of_difference(JUDGE_TERMS).standard_uncertainty
    truth = Truth(gain=0.0, common_error=KNOT, lasting_error=lasting)
    for worth, seed in ((0.0, 81), (1.0, 82)):
        kept = share_kept(truth, seed=seed, rule=SpeedRule(worth_having=worth * KNOT))
        print(f"nothing changed, {worth:g} kt worth having: 'keep' in {100 * kept:.1f} %")


def planned() -> None:
    rule = SpeedRule()
    for gain, flights in ((2.0, 3), (2.5, 3), (3.0, 4)):
        truth = Truth(gain=gain * KNOT, common_error=COMMON, lasting_error=LASTING)
        promised = chances(
            truth.gain,
            flights=flights,
            stalls=6,
            scatter=Scatter(between=truth.between, within=truth.within, why="true"),
            terms=TERMS,
            rule=rule,
        ).shown
        found = share([speed_finding(g, rule) == SHOWN for g in gains(truth, seed=50, flights=flights)])
        print(
            f"gain {gain:g} kt, {flights} flights a side: shown in {100 * found:.1f} %, planned"
            f" {100 * promised:.1f} %"
        )


if __name__ == "__main__":
    coverage()
    pooled()
    false_keep()
    planned()
