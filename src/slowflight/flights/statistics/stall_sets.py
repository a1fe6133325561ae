"""Stalls that may be compared, and why two sets of them may not."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from slowflight.errors import InputError
from slowflight.flights.stall_record import STALL_ENDINGS, WARNING_ONLY, StallRecord

# Common practice, no source: centers of gravity within 1 % of the chord of each other's middle, one ending in
# two stalls of three, and no more than one run in three broken off at the warning.
CENTRE_OF_GRAVITY_RANGE = 0.02
MAIN_ENDING_SHARE = 2.0 / 3.0
MOST_BROKEN_OFF = 1.0 / 3.0
FLAP_RANGE_DEG = 1.0

ENDING, CENTRE, POWER, FLAP = "ending", "center of gravity", "power", "flap"


@dataclass(frozen=True, kw_only=True)
class StallSet:
    """The accepted stalls of one configuration at one flap setting.

    Parameters
    ----------
    configuration : str
        Such as ``"clean"``.
    stalls : tuple of StallRecord
        Accepted, and stalled in truth.
    broken_off : tuple of StallRecord
        Runs that ended at the warning, whether counted or not: the stall lies at or below their speed.
    struck : int
        How many more there were that do not count.
    """

    configuration: str
    stalls: tuple[StallRecord, ...]
    broken_off: tuple[StallRecord, ...]
    struck: int

    @property
    def flights(self) -> tuple[str, ...]:
        """Names of the flights, in order of appearance."""
        return tuple(dict.fromkeys(record.flight for record in self.stalls))

    @property
    def main_ending(self) -> str:
        """The commonest ending."""
        return Counter(record.ending for record in self.stalls).most_common(1)[0][0]

    def share_of(self, ending: str) -> float:
        """Return the share of stalls that ended so."""
        return sum(record.ending == ending for record in self.stalls) / len(self.stalls)


@dataclass(frozen=True, kw_only=True)
class Unlike:
    """One way in which two sets differ that forbids calling their difference a gain.

    Parameters
    ----------
    kind : str
        ``"ending"``, ``"center of gravity"``, ``"power"`` or ``"flap"``.
    words : str
        For the pilot.
    """

    kind: str
    words: str


def stall_set(
    records: Iterable[StallRecord], *, configuration: str, flap_deg: float | None = None
) -> StallSet:
    """Pick the stalls of one configuration.

    Parameters
    ----------
    records : iterable of StallRecord
        Of any flights.
    configuration : str
        Which to take.
    flap_deg : float, optional
        Only this setting, to within one degree.

    Returns
    -------
    StallSet

    Raises
    ------
    InputError
        Where no accepted stall is left.
    """
    chosen = [
        record
        for record in records
        if record.configuration == configuration
        and (flap_deg is None or abs(record.flap_deg - flap_deg) <= FLAP_RANGE_DEG)
    ]
    stalls = tuple(record for record in chosen if record.accepted and record.ending in STALL_ENDINGS)
    broken_off = tuple(record for record in chosen if record.ending == WARNING_ONLY)
    if not stalls:
        setting = "" if flap_deg is None else f" with the flap at {flap_deg:g} degrees"
        raise InputError(
            where=f"stalls, {configuration}{setting}",
            found=f"{len(chosen)} runs and no accepted stall among them",
            needed="at least one flight with accepted stalls",
        )
    return StallSet(
        configuration=configuration,
        stalls=stalls,
        broken_off=broken_off,
        struck=len(chosen) - len(stalls) - len(broken_off),
    )


def differences(sets: Sequence[StallSet]) -> tuple[Unlike, ...]:
    """Say in what sets of stalls differ besides the vanes.

    Parameters
    ----------
    sets : sequence of StallSet
        To be compared with each other.

    Returns
    -------
    tuple of Unlike
        Empty where they may be compared. What was not recorded cannot be shown to be alike and counts as a
        difference.
    """
    return (*_endings(sets), *_centers(sets), *_powers(sets), *_flaps(sets))


def _endings(sets: Sequence[StallSet]) -> list[Unlike]:
    found = []
    for one in sets:
        runs = len(one.stalls) + len(one.broken_off)
        if len(one.broken_off) > MOST_BROKEN_OFF * runs:
            found.append(
                f"{one.configuration}: {len(one.broken_off)} of {runs} runs were broken off at the warning,"
                " which only says that the stall is slower"
            )
        if one.share_of(one.main_ending) < MAIN_ENDING_SHARE - 1e-9:
            kinds = ", ".join(sorted({record.ending for record in one.stalls}))
            found.append(f"{one.configuration}: the stalls end in different ways ({kinds})")
    endings = {one.configuration: one.main_ending for one in sets}
    if len(set(endings.values())) > 1:
        told = "; ".join(f"{name} mostly {ending}" for name, ending in endings.items())
        found.append(f"the stalls no longer end alike ({told}): two different speeds are being measured")
    return [Unlike(kind=ENDING, words=words) for words in found]


def _centers(sets: Sequence[StallSet]) -> list[Unlike]:
    centers = [record.centre_of_gravity for one in sets for record in one.stalls]
    known = [center for center in centers if center is not None]
    if len(known) < len(centers):
        words = (
            f"the center of gravity of {len(centers) - len(known)} of {len(centers)} stalls was not recorded"
        )
    elif max(known) - min(known) > CENTRE_OF_GRAVITY_RANGE + 1e-9:
        words = (
            f"centers of gravity range from {100 * min(known):.1f} to {100 * max(known):.1f} % of the chord;"
            f" at most {100 * CENTRE_OF_GRAVITY_RANGE:.0f} % apart may be compared"
        )
    else:
        return []
    return [Unlike(kind=CENTRE, words=words)]


def _powers(sets: Sequence[StallSet]) -> list[Unlike]:
    powers = sorted({record.power for one in sets for record in one.stalls})
    if len(powers) == 1:
        return []
    return [Unlike(kind=POWER, words=f"flown at different power ({', '.join(powers)})")]


def _flaps(sets: Sequence[StallSet]) -> list[Unlike]:
    flaps = [record.flap_deg for one in sets for record in one.stalls]
    if max(flaps) - min(flaps) <= FLAP_RANGE_DEG:
        return []
    told = f"flown with the flap between {min(flaps):g} and {max(flaps):g} degrees"
    return [Unlike(kind=FLAP, words=told)]
