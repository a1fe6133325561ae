"""The wrong analysis, kept to show why: every stall taken as an independent number."""

from collections.abc import Sequence

from slowflight.flights.stall_record import CLEAN, VANES, StallRecord
from slowflight.flights.statistics.two_samples import TDifference, welch


def pooled_gain(records: Sequence[StallRecord]) -> TDifference:
    """Compare all clean stalls with all stalls with vanes, whatever flight they belong to."""
    sides = [
        [record.speed_reference for record in records if record.configuration == name]
        for name in (CLEAN, VANES)
    ]
    return welch(*sides)
