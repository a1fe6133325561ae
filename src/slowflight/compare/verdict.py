"""Whether a trial is worth the builder's afternoon, as far as a prediction can say.

A prediction never clears a wing to be flown slower and never says that vanes should stay: only flights can.
"""

from __future__ import annotations

from dataclasses import dataclass

from slowflight import units
from slowflight.compare.attitude import Attitude
from slowflight.compare.choice import Choice
from slowflight.uncertainty import Banded

WORTH, NOT_WORTH, CANNOT_TELL = "worth a trial", "not worth it", "cannot tell"
# The smallest change of stall speed that a few careful flights a side can show (common practice, no source).
SHOWN_BY_FLIGHTS = 0.514  # 1 kt [m/s]


@dataclass(frozen=True, kw_only=True)
class Verdict:
    """The verdict of a prediction.

    Parameters
    ----------
    finding : str
        ``"worth a trial"``, ``"not worth it"`` or ``"cannot tell"``.
    reasons : tuple of str
        Why, the weightiest first.
    would_settle : tuple of str
        What would make the answer surer.
    """

    finding: str
    reasons: tuple[str, ...]
    would_settle: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class AtSetting:
    """What the row of the prediction does at another setting of the flap.

    Parameters
    ----------
    words : str
        The setting as shown.
    fall : Banded or None
        Of stall speed with the same row [m/s]; ``None`` without an answer or without a row.
    best_station : float or None
        Of the row that is best there [fraction of chord].
    best_fall : Banded or None
        Of stall speed with that row [m/s].
    reaches : bool or None
        Whether the gear lets the wing reach its stall at that setting.
    trend : bool
        Whether the clean stall there is marked as a trend.
    """

    words: str
    fall: Banded | None
    best_station: float | None
    best_fall: Banded | None
    reaches: bool | None
    trend: bool


def judge(
    *,
    choice: Choice | None,
    fall: Banded | None,
    attitude: Attitude,
    claim_finding: str,
    price: float,
    unpredicted: tuple[str, ...],
    nose_stall: bool,
    others: tuple[AtSetting, ...] = (),
    notes: tuple[str, ...] = (),
) -> Verdict:
    """Judge what was predicted.

    Parameters
    ----------
    choice : Choice or None
        The best row; ``None`` where not even the clean wing has an answer.
    fall : Banded or None
        Of stall speed with the best row, or without one with the row that loses least [m/s].
    attitude : Attitude
        Whether the gear lets the wing reach its stall.
    claim_finding : str
        Of the claim check.
    price : float
        Accepted loss of cruise speed [m/s].
    unpredicted : tuple of str
        Flap settings that were not predicted, as shown.
    nose_stall : bool
        Whether the air was seen to separate at the nose near maximum lift.
    others : tuple of AtSetting
        The other flap settings that were predicted.
    notes : tuple of str
        What the reader has to know of where the row was chosen.

    Returns
    -------
    Verdict
        Judged at the setting that decides. Where that says no, a gain at another setting makes it "cannot
        tell": the question is then to be asked there. Where that says yes, so does a loss at another.
    """
    finding, reasons = _finding(choice, fall, price)
    reasons += notes
    if attitude.clean_is_close and finding == WORTH:
        reasons.append(
            "whether a three-point touchdown gets slower too cannot be told: on its three wheels the wing"
            " stands near the angle at which it is predicted to stall"
        )
    elif attitude.reaches_clean_stall is False and finding == WORTH:
        reasons.append(
            "what is gained is gained in the air: on its three wheels the wing does not reach the angle, so a"
            " three-point touchdown gets no slower"
        )
    elif attitude.reaches_vane_stall is False and not attitude.vane_is_close and finding == WORTH:
        reasons.append(
            "only part of the gain can be used in a three-point touchdown: the gear stops the wing first"
        )
    reasons += [_at_setting(other) for other in others]
    gains = [o for o in others if o.best_fall is not None and o.best_fall.value >= SHOWN_BY_FLIGHTS]
    if finding == NOT_WORTH and gains:
        finding = CANNOT_TELL
        reasons.append(
            "what is not worth it at one setting may be at another: set question.flap_setting ="
            f' "{gains[0].words}" and predict again'
        )
    if finding == WORTH and any(o.fall is not None and o.fall.value <= -SHOWN_BY_FLIGHTS for o in others):
        finding = CANNOT_TELL
        reasons.append(
            "what this row gains at one setting it is predicted to lose at another, and you land at only one"
        )
    settle = ["stalls of the clean wing, logged and corrected to one weight, three flights or more"]
    if nose_stall:
        reasons.append(
            "a doubt that stays: near maximum lift the air separates and comes back on at the nose; if this"
            " wing stalls abruptly from the nose, a row behind it does nothing, whatever is predicted here"
        )
        settle.append("tufts from the nose to mid-chord, filmed through a stall with height to spare")
    if unpredicted:
        reasons.append(
            f"with the flap at {', '.join(unpredicted)} nothing is predicted yet: this verdict leaves it out"
        )
    if claim_finding == "lift too high":
        settle.append("the airspeed indicator calibrated near the stall, and the aircraft weighed")
    if finding != NOT_WORTH:
        settle.append("the same row taped on, and the same stalls flown again: clean, fitted, clean")
    return Verdict(finding=finding, reasons=tuple(reasons), would_settle=tuple(settle))


def _at_setting(other: AtSetting) -> str:
    where = f"with the flap at {other.words}"
    if other.fall is None:
        said = f"{where} this row has no answer"
    elif other.fall.value < 0.0:
        # 'a fall of minus one' would be misread, and the approach is flown at this speed
        said = f"{where} the same row is predicted to RAISE the stall speed by {_rise(other.fall)}"
    else:
        said = f"{where} the same row: predicted fall {_knots(other.fall)}"
    if other.best_fall is None:
        said += "; no row tried there has an answer and gains at the accepted price"
    elif other.best_station is not None and other.fall is not other.best_fall:
        said += f"; best there at {100.0 * other.best_station:.0f} % of chord, {_knots(other.best_fall)}"
    if other.trend:
        said += "; a trend, not a prediction"
    if other.reaches is False:
        said += "; on three wheels the wing does not reach its stall"
    elif other.reaches:
        said += "; on three wheels the wing reaches its stall"
    return said


def _finding(choice: Choice | None, fall: Banded | None, price: float) -> tuple[str, list[str]]:
    if choice is None:
        return CANNOT_TELL, [
            "the clean wing has no predicted stall: its maximum lift is not bracketed by answers"
        ]
    shown = units.format_speed(SHOWN_BY_FLIGHTS, "kt")
    if choice.best is None or fall is None:
        if choice.unanswered:
            return CANNOT_TELL, [
                f"{choice.unanswered} rows have no answer, and none of the others lowers the stall speed"
                " at the accepted price"
            ]
        if choice.too_dear:
            limit = units.format_speed(price, "kt")
            return CANNOT_TELL, [
                f"no row is predicted to lower the stall speed for less than {limit} of cruise;"
                f" {choice.too_dear} cost more, but what they cost is as uncalibrated as what they gain"
            ]
        said = "no row that was tried lowers the predicted stall speed"
        if fall is not None and fall.high >= SHOWN_BY_FLIGHTS:
            return CANNOT_TELL, [
                f"{said}; the least bad raises it by {_rise(fall)}, and its band reaches to a gain"
            ]
        return NOT_WORTH, [
            f"{said}, and not even the best end of the band reaches the {shown} that careful flights can show"
        ]
    said = f"predicted fall of stall speed {_knots(fall)}"
    if fall.high < SHOWN_BY_FLIGHTS:
        return NOT_WORTH, [f"{said}: even the most is less than the {shown} that careful flights can show"]
    if fall.value >= SHOWN_BY_FLIGHTS:
        return WORTH, [
            f"{said}: enough for careful flights to show or to refute, and a taped row comes off again"
        ]
    return CANNOT_TELL, [
        f"{said}: careful flights can show about {shown}, and the band reaches to both sides of it"
    ]


def _rise(fall: Banded) -> str:
    """A fall below zero as the rise it is."""
    return _knots(Banded(value=-fall.value + 0.0, low=-fall.high, high=-fall.low))


def _knots(value: Banded) -> str:
    low, high = (units.format_speed(v, "kt") for v in (value.low, value.high))
    return f"{units.format_speed(value.value, 'kt')} (uncalibrated, {low} to {high})"
