"""Invented campaigns with a known truth, to see whether the statistics keep their promises."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from slowflight import units
from slowflight.flights.stall_record import CLEAN, IDLE, NOSE_DROP, VANES, SourceRows, StallRecord
from slowflight.flights.statistics.entry_rate import STANDARD_ENTRY_RATE

_KNOT = units.speed("1 kt", where="invented campaign")


@dataclass(frozen=True, kw_only=True)
class Truth:
    """What is true of an invented campaign.

    Parameters
    ----------
    gain : float
        Fall of stall speed with vanes [m/s].
    clean_speed : float
        Stall speed of the clean wing at reference mass, 1 g and 1 kt/s [m/s].
    between, within : float
        Scatter from flight to flight and within a flight [m/s].
    slope : float
        Change of stall speed with entry rate [s].
    common_error : float
        Standard deviation of an error that all flights of a campaign share [m/s]; it cancels.
    lasting_error : float
        Standard deviation of an error of all flights with vanes [m/s]; it does not cancel.
    drift : float
        Change of all speeds from one flight to the next [m/s].
    """

    gain: float = 0.0
    clean_speed: float = 39.0 * _KNOT
    between: float = 0.4 * _KNOT
    within: float = 0.5 * _KNOT
    slope: float = -0.6
    common_error: float = 0.0
    lasting_error: float = 0.0
    drift: float = 0.0


def invent_records(
    truth: Truth,
    *,
    random: np.random.Generator,
    flights: tuple[tuple[str, int], ...] = ((CLEAN, 3), (VANES, 3)),
    stalls: int = 6,
    ending: str = NOSE_DROP,
) -> list[StallRecord]:
    """Invent the stalls of one campaign.

    Parameters
    ----------
    truth : Truth
        What they are made from.
    random : numpy Generator
        Where the chance comes from.
    flights : tuple of (str, int)
        Configurations in the order flown and their numbers of flights; all but ``"vanes"`` stall at the clean
        speed.
    stalls : int
        In each flight, entered at 0.6 to 1.5 kt/s in random order.
    ending : str
        Of every stall.

    Returns
    -------
    list of StallRecord
    """
    shared = truth.common_error * random.standard_normal()
    lasting = truth.lasting_error * random.standard_normal()
    records: list[StallRecord] = []
    number = 0
    for configuration, count in flights:
        fitted = configuration == VANES
        for _ in range(count):
            number += 1
            level = truth.clean_speed + shared + truth.drift * (number - 1)
            level += (lasting - truth.gain) * fitted + truth.between * random.standard_normal()
            rates = random.permutation(np.linspace(0.6, 1.5, stalls)) * STANDARD_ENTRY_RATE
            rates = rates + 0.05 * STANDARD_ENTRY_RATE * random.standard_normal(stalls)
            speeds = level + truth.slope * (rates - STANDARD_ENTRY_RATE)
            speeds = speeds + truth.within * random.standard_normal(stalls)
            records.extend(
                _record(f"flight {number}", configuration, float(rate), float(speed), row, ending)
                for row, (rate, speed) in enumerate(zip(rates, speeds, strict=True), start=1)
            )
    return records


def _record(flight: str, configuration: str, rate: float, speed: float, row: int, ending: str) -> StallRecord:
    return StallRecord(
        flight=flight,
        configuration=configuration,
        flap_deg=0.0,
        power=IDLE,
        centre_of_gravity=0.25,
        mass=600.0,
        ending=ending,
        entry_rate=rate,
        load_factor=1.0,
        speed_calibrated=speed,
        speed_reference=speed,
        speed_uncertainty=0.25,
        angle_of_attack=None,
        accepted=True,
        reason="invented",
        source=SourceRows(file="invented", first=row, last=row),
    )
