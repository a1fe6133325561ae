"""Keep, move, remove or fly more: what the flights allow to be said, by rules fixed before them.

In this order: a red handling finding; a cruise loss; speeds that cannot be compared; the speeds. 'Keep' needs
everything, 'remove' one thing, and what is not shown is said to be not shown.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from slowflight import units
from slowflight.errors import InputError
from slowflight.flights.cruise.speed_power import CruiseAnswer
from slowflight.flights.handling.scorecard import AMBER, NOT_FLOWN, RED, Scorecard
from slowflight.flights.statistics.gain import Gain
from slowflight.flights.statistics.headline import headline, odds
from slowflight.flights.statistics.speed_rule import ABSENT, OPEN, SHOWN, SpeedRule, speed_finding
from slowflight.flights.verdict.next_flight import NextFlight, flights_to_settle, most_informative

KEEP, MOVE, REMOVE, FLY_MORE = "keep", "move", "remove", "fly more"
CRUISE_LOSS_SURE = 0.90
EXPERT = "have a test-experienced pilot and a licensed engineer look before it flies slowly again"


@dataclass(frozen=True, kw_only=True)
class Setting:
    """One flap setting and what the flights say of it.

    Parameters
    ----------
    name : str
        Such as ``"flap up"``.
    gain : Gain or None
        None where it was not flown in both configurations.
    landing : bool
        Whether it is the landing setting, whose gain decides; the others must not lose.
    """

    name: str
    gain: Gain | None
    landing: bool


@dataclass(frozen=True, kw_only=True)
class Situation:
    """What else the verdict has to know.

    Parameters
    ----------
    better_line : str
        An untested line of vanes that tufts or prediction say is better, in words; empty if none.
    flights_left : int
        That the owner is ready to fly.
    positions_tried : int
        How many lines of vanes were flown in all.
    confirmed : bool
        Whether the line was chosen before the flights judged here: the best of several looks better than it
        is on the flights that chose it.
    """

    better_line: str = ""
    flights_left: int = 0
    positions_tried: int = 1
    confirmed: bool = False


@dataclass(frozen=True, kw_only=True)
class FlightVerdict:
    """The verdict of the flights.

    Parameters
    ----------
    finding : str
        ``"keep"``, ``"move"``, ``"remove"`` or ``"fly more"``.
    headlines : tuple of str
        One line for each flap setting.
    reasons : tuple of str
        The weightiest first.
    next_flight : NextFlight or None
        The most informative one; None where none should be flown like this.
    """

    finding: str
    headlines: tuple[str, ...]
    reasons: tuple[str, ...]
    next_flight: NextFlight | None


def judge_flights(
    settings: Sequence[Setting],
    *,
    handling: Scorecard | None,
    cruise: CruiseAnswer | None,
    rule: SpeedRule,
    situation: Situation | None = None,
    unit: str = "kt",
) -> FlightVerdict:
    """Judge a campaign.

    Parameters
    ----------
    settings : sequence of Setting
        Every flap setting of the aircraft that matters, one of them the landing setting.
    handling : Scorecard or None
        None where it was not flown.
    cruise : CruiseAnswer or None
        None where it was not flown.
    rule : SpeedRule
        Fixed beforehand.
    situation : Situation, optional
        Other lines, flights left, positions tried.
    unit : str, optional
        For the words.

    Returns
    -------
    FlightVerdict

    Raises
    ------
    InputError
        Where there is not exactly one landing setting.
    """
    landings = [setting for setting in settings if setting.landing]
    if len(landings) != 1:
        raise InputError(
            where="verdict",
            found=f"{len(landings)} landing settings",
            needed="exactly one among the settings",
        )
    around = situation or Situation()
    lines = tuple(
        f"{one.name}: {headline(one.gain, threshold=rule.worth_having, unit=unit)}"
        if one.gain is not None
        else f"{one.name}: not flown in both configurations"
        for one in settings
    )
    against = _removes(settings, handling, cruise, rule, unit)
    if against:
        following = None
        if handling is not None and handling.red:
            following = NextFlight(words=f"none like this: {EXPERT}")
        elif around.better_line:
            following = NextFlight(
                words=f"another line may do better and is a new campaign: {around.better_line}"
            )
        return FlightVerdict(finding=REMOVE, headlines=lines, reasons=tuple(against), next_flight=following)
    missing = _missing(settings, handling, cruise, rule, around, unit)
    gain = landings[0].gain
    if not missing and gain is not None and handling is not None and cruise is not None:
        return FlightVerdict(
            finding=KEEP,
            headlines=lines,
            reasons=tuple(_for_keeping(landings[0].name, gain, handling, cruise, rule, unit)),
            next_flight=None,
        )
    reasons = tuple(words for words, _ in missing)
    following = next(flight for _, flight in missing if flight is not None)
    if _could_move(landings[0], rule, around):
        move = f"an untested line looks better: {around.better_line}"
        return FlightVerdict(
            finding=MOVE,
            headlines=lines,
            reasons=(move, *reasons),
            next_flight=NextFlight(
                words=f"move the vanes, {around.better_line}, and fly the same cards, flap up first"
            ),
        )
    return FlightVerdict(finding=FLY_MORE, headlines=lines, reasons=reasons, next_flight=following)


def _removes(
    settings: Sequence[Setting],
    handling: Scorecard | None,
    cruise: CruiseAnswer | None,
    rule: SpeedRule,
    unit: str,
) -> list[str]:
    """Say what forbids keeping them; empty where nothing does."""
    found = []
    if handling is not None and handling.red:
        found += [f"{one.item}: {one.words}" for one in handling.at(RED)]
        found.append("a red handling finding outranks any gain of speed")
    if cruise is not None:
        likely = cruise.probability_of_loss(cruise.equivalence.margin)
        if likely > CRUISE_LOSS_SURE:
            margin = units.format_speed(cruise.equivalence.margin, unit)
            found.append(f"cruise: {odds(likely)} that more than {margin} is lost")
    for one in settings:
        if one.gain is None or one.gain.unlike:
            continue
        if one.landing and speed_finding(one.gain, rule) == ABSENT:
            chance = odds(one.gain.probability_above(rule.worth_having))
            found.append(f"{one.name}: only {chance} that the gain is worth having")
        lost = 1.0 - one.gain.probability_above(-rule.worth_having)
        if lost > rule.needed and min(one.gain.flights) >= rule.fewest_to_dismiss:
            found.append(
                f"{one.name}: {odds(lost)} that the stall is faster by more than would be worth having"
            )
    return found


def _missing(
    settings: Sequence[Setting],
    handling: Scorecard | None,
    cruise: CruiseAnswer | None,
    rule: SpeedRule,
    around: Situation,
    unit: str,
) -> list[tuple[str, NextFlight | None]]:
    """Say what is not shown yet, and which flight would show it, the first to be flown first."""
    found: list[tuple[str, NextFlight | None]] = []
    for one in sorted(settings, key=lambda setting: setting.landing):
        if one.gain is None:
            found.append(
                (
                    f"{one.name} was not flown both clean and with vanes",
                    NextFlight(words=f"fly the stall card, {one.name}, in the configuration that is missing"),
                )
            )
            continue
        for unlike in one.gain.unlike:
            found.append(
                (f"{one.name}: {unlike.words}", NextFlight(words=_like_for_like(one.name, unlike.kind)))
            )
        if one.gain.drift is not None and abs(one.gain.drift[0]) > 2.0 * one.gain.drift[1]:
            moved = units.format_speed(one.gain.drift[0], unit)
            found.append((f"{one.name}: the clean wing itself changed by {moved} over the campaign", None))
    if handling is None or not handling.complete:
        lacking = "all of it" if handling is None else ", ".join(one.item for one in handling.at(NOT_FLOWN))
        found.append(
            (f"handling not flown: {lacking}", NextFlight(words=f"fly the handling card: {lacking}"))
        )
    found += _speeds_missing(settings, rule, unit)
    if cruise is None:
        found.append(
            (
                "cruise was not flown",
                NextFlight(words="fly the cruise card, clean and with vanes, two flights each"),
            )
        )
    elif not cruise.equivalence.not_worse:
        margin = units.format_speed(cruise.equivalence.margin, unit)
        found.append(
            (
                f"no loss of cruise speed beyond {margin} is not shown, which is not the same as a loss",
                NextFlight(words="fly the cruise card once more on each side"),
            )
        )
    if around.positions_tried > 1 and not around.confirmed:
        found.append(
            (
                f"the best of {around.positions_tried} lines was picked by these flights and so looks better"
                " than it is",
                NextFlight(words="fly the chosen line afresh, three flights, and judge by those alone"),
            )
        )
    if found and all(flight is None for _, flight in found):
        found.append(
            (
                "a change of the clean wing has to be explained first",
                NextFlight(words="find what changed (mass, rigging, instrument), then fly clean once more"),
            )
        )
    return found


def _speeds_missing(
    settings: Sequence[Setting], rule: SpeedRule, unit: str
) -> list[tuple[str, NextFlight | None]]:
    found: list[tuple[str, NextFlight | None]] = []
    for one in sorted(settings, key=lambda setting: not setting.landing):
        if one.gain is None:
            continue
        if one.landing and speed_finding(one.gain, rule) == OPEN:
            found.append(
                (
                    _not_shown(one.gain, one.name, rule),
                    most_informative(one.gain, setting=one.name, unit=unit),
                )
            )
        if not one.landing and one.gain.probability_above(-rule.worth_having) < rule.shown_at:
            found.append(
                (
                    f"{one.name}: that the stall is no faster than before is not shown",
                    most_informative(one.gain, setting=one.name, unit=unit),
                )
            )
    return found


def _not_shown(gain: Gain, name: str, rule: SpeedRule) -> str:
    fewest = min(gain.flights)
    if fewest < rule.fewest_to_show:
        return f"{name}: {fewest} flights on one side; 'keep' needs {rule.fewest_to_show} on each"
    total = flights_to_settle(gain, rule=rule)
    more = (
        f"about {total} flights a side in all would settle it if the gain is what it looks like"
        if total is not None
        else "even twelve flights a side would hardly settle a gain of this size"
    )
    chance = odds(gain.probability_above(rule.worth_having))
    return f"{name}: {chance} that the gain is worth having, short of the {odds(rule.needed)} needed; {more}"


def _like_for_like(name: str, kind: str) -> str:
    what = {
        "ending": "fly both configurations to the same ending; if the clean wing drops its nose and the"
        " wing with vanes sinks at full aft stick, there is no common stall speed: compare sink and warning"
        " instead",
        "center of gravity": "fly with the center of gravity within 1 % of the matching flight, written down",
        "power": "fly the stalls at idle in both configurations",
        "flap": "fly the stalls at one flap setting in both configurations",
    }
    return f"{name}: {what[kind]}"


def _for_keeping(
    name: str, gain: Gain, handling: Scorecard, cruise: CruiseAnswer, rule: SpeedRule, unit: str
) -> list[str]:
    chance = odds(gain.probability_above(rule.worth_having))
    found = [
        f"{name}: {chance} that the gain is worth having, over {sum(gain.flights)} flights",
        f"no loss of cruise speed beyond {units.format_speed(cruise.equivalence.margin, unit)} is shown",
        "nothing red in handling",
    ]
    found += [f"watch: {one.item}, {one.words}" for one in handling.at(AMBER)]
    return found


def _could_move(landing: Setting, rule: SpeedRule, around: Situation) -> bool:
    """Whether the gain straddles what is worth having while a better line waits and flights are left."""
    if not around.better_line or around.flights_left < 1 or landing.gain is None or landing.gain.unlike:
        return False
    low, high = landing.gain.band(0.90)
    return speed_finding(landing.gain, rule) != SHOWN and low < rule.worth_having < high
