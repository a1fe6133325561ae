"""What a slip in fitting costs in predicted stall speed, as far as the prediction tried such things.

The prediction tries places along the chord and heights of one vane. Toe, spacing and missing vanes it does
not try, unless two candidates differ in nothing else; what was not tried is said not to be predicted.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from slowflight import units
from slowflight.layout.placed import LayoutPlan

# Common practice, no source: what a careful builder holds, and what a print or a tape adds.
PLACE_M, TOE_DEG, HEIGHT_M = 0.002, 2.0, 0.0005
NEAR = 1e-6
NOT_PREDICTED = "not predicted"


@dataclass(frozen=True, kw_only=True)
class Slip:
    """One slip and its price.

    Parameters
    ----------
    name : str
        What is off.
    cost_kt : float or None
        At most this much of the predicted fall is lost or gained [kt]; None where it is not predicted.
    sentence : str
        The same in words, with where the number comes from.
    """

    name: str
    cost_kt: float | None
    sentence: str


@dataclass(frozen=True, kw_only=True)
class FallCurve:
    """Predicted fall of the stall speed over a row's place, for one vane at one flap setting.

    Parameters
    ----------
    stations : tuple of float
        Of the forward tips, rising, those with an answer [shares of the chord].
    falls : tuple of float
        [kt]
    height : float
        Of the vane [m].
    pitch : float
        [m]
    candidate : str
    flap_deg : float
    resolved : float
        What half as many panels do to the fall, or the band of ties: less than that is not told apart [kt].
    """

    stations: tuple[float, ...]
    falls: tuple[float, ...]
    height: float
    pitch: float | None
    candidate: str
    flap_deg: float
    resolved: float

    def at(self, station: float) -> float | None:
        """Fall at a place, straight between those tried [kt]; None beyond them."""
        if not self.stations or not self.stations[0] - NEAR <= station <= self.stations[-1] + NEAR:
            return None
        for left, right in zip(range(len(self.stations)), range(1, len(self.stations)), strict=False):
            low, high = self.stations[left], self.stations[right]
            if station <= high + NEAR:
                share = min(1.0, max(0.0, (station - low) / (high - low)))
                return self.falls[left] + share * (self.falls[right] - self.falls[left])
        return self.falls[0]


def fall_curves(prediction: Mapping[str, Any] | None) -> list[FallCurve]:
    """Every fall over places in a prediction, at the setting that decides.

    Parameters
    ----------
    prediction : mapping or None
        As it is kept in ``runs/prediction.json``.

    Returns
    -------
    list of FallCurve
        Empty where there is no prediction, or none with answers.
    """
    if prediction is None:
        return []
    decided = prediction.get("decided_at_deg")
    for setting in prediction.get("settings", ()):
        if setting.get("predicted") and decided in (None, setting.get("flap_deg")):
            return [
                curve
                for table in setting.get("gain_tables", ())
                if (curve := _curve(table, setting)).stations
            ]
    return []


def row_curve(curves: Sequence[FallCurve], plan: LayoutPlan) -> FallCurve | None:
    """Find the curve of a plan's own vane: its candidate's name, its height within a twentieth."""
    name = plan.row.name or plan.name
    return next(
        (c for c in curves if c.candidate == name and abs(c.height / plan.row.height - 1.0) < 0.05), None
    )


def error_budget(plan: LayoutPlan, *, prediction: Mapping[str, Any] | None) -> tuple[Slip, ...]:
    """Price the slips of a fitting in predicted stall speed.

    Parameters
    ----------
    plan : LayoutPlan
        What is to be fitted.
    prediction : mapping or None
        As it is kept in ``runs/prediction.json``; its places and heights are the only source.

    Returns
    -------
    tuple of Slip
        Of place, height, toe, a skipped vane and closer pitch, in that order.
    """
    curves = fall_curves(prediction)
    mine = row_curve(curves, plan)
    return (
        _place(plan, mine),
        _height(plan, curves, mine),
        Slip(
            name=f"{TOE_DEG:.0f} deg of toe",
            cost_kt=None,
            sentence=f"{NOT_PREDICTED}: the prediction tries places and heights, not toe angles; hold 1"
            " degree (common practice, no source)",
        ),
        _skipped(plan, mine),
        _pitch(plan, curves, mine),
    )


def _curve(table: Mapping[str, Any], setting: Mapping[str, Any]) -> FallCurve:
    pairs = [
        (float(station), float(fall))
        for station, fall, answered in zip(
            table["stations"], table["fall_kt"], table["answered"], strict=True
        )
        if answered and fall is not None
    ]
    rows = [setting.get("best"), setting.get("row"), *setting.get("ties", ())]
    like = next((r for r in rows if r and r.get("candidate") == table["candidate"]), None)
    panels = (setting.get("panels_kt") or {}).get("fall")
    return FallCurve(
        stations=tuple(station for station, _ in pairs),
        falls=tuple(fall for _, fall in pairs),
        height=1e-3 * float(table["height_mm"]),
        pitch=None if like is None else 1e-3 * float(like["pitch_mm"]),
        candidate=str(table["candidate"]),
        flap_deg=float(setting["flap_deg"]),
        resolved=max(abs(panels or 0.0), setting.get("tie_band_kt") or 0.0),
    )


def _place(plan: LayoutPlan, curve: FallCurve | None) -> Slip:
    name = f"{1000.0 * PLACE_M:.0f} mm along the skin"
    here = None if curve is None else curve.at(plan.row.station)
    if curve is None or here is None or len(curve.stations) < 2:
        why = "there is no prediction of this vane at this place and its neighbors"
        return Slip(name=name, cost_kt=None, sentence=f"{NOT_PREDICTED}: {why}")
    # On the skin a millimeter is less than one along the chord, so this is rather too much.
    step = PLACE_M / min(point.chord for point in plan.ribs)
    slopes = []
    for number, (low, high) in enumerate(zip(curve.stations, curve.stations[1:], strict=False)):
        if low - NEAR <= plan.row.station <= high + NEAR:
            slopes.append(abs(curve.falls[number + 1] - curve.falls[number]) / (high - low))
    cost = max(slopes) * step
    return Slip(
        name=name,
        cost_kt=cost,
        sentence=f"{_kt(cost)} at most of the predicted fall, straight between the places tried; the"
        f" prediction itself tells {_kt(curve.resolved)} apart at best (predicted, uncalibrated)",
    )


def _height(plan: LayoutPlan, curves: Sequence[FallCurve], curve: FallCurve | None) -> Slip:
    name = f"{1000.0 * HEIGHT_M:.1f} mm of height, as a thicker tape or a poor print makes"
    slopes = []
    if curve is not None:
        here = curve.at(plan.row.station)
        for other in curves:
            there = other.at(plan.row.station)
            off = other.height - curve.height
            if other.candidate == curve.candidate and abs(off) > NEAR and None not in (here, there):
                slopes.append(abs((there or 0.0) - (here or 0.0)) / abs(off))
    if not slopes or curve is None:
        return Slip(
            name=name, cost_kt=None, sentence=f"{NOT_PREDICTED}: no other height of this vane was tried"
        )
    cost = max(slopes) * HEIGHT_M
    return Slip(
        name=name,
        cost_kt=cost,
        sentence=f"{_kt(cost)} at most, straight between the heights tried (predicted, uncalibrated)",
    )


def _skipped(plan: LayoutPlan, curve: FallCurve | None) -> Slip:
    name = "a skipped or lost vane"
    fall = None if curve is None else curve.at(plan.row.station)
    words = f"{NOT_PREDICTED}: rows with a gap are not computed, and a gap can start the stall where it is"
    if fall is not None:
        share = abs(fall) / max(1, len(plan.on("left")))
        words += (
            f"; shared evenly over the row each vane of a wing stands for {_kt(share)}, which is no forecast"
        )
    return Slip(name=name, cost_kt=None, sentence=words)


def _pitch(plan: LayoutPlan, curves: Sequence[FallCurve], curve: FallCurve | None) -> Slip:
    name = "closer pitch"
    fall = None if curve is None else curve.at(plan.row.station)
    if curve is not None and fall is not None and curve.pitch is not None:
        for other in curves:
            there = other.at(plan.row.station)
            same_height = abs(other.height / curve.height - 1.0) < 0.01
            if (
                there is not None
                and same_height
                and other.pitch is not None
                and other.pitch < curve.pitch - NEAR
            ):
                return Slip(
                    name=name,
                    cost_kt=there - fall,
                    sentence=f"candidate {other.candidate!r} of the same height at"
                    f" {units.format_length(other.pitch, 'mm')} in place of"
                    f" {units.format_length(curve.pitch, 'mm')}: predicted fall {there - fall:+.2f} kt"
                    " (uncalibrated; check that nothing but the pitch differs)",
                )
    return Slip(
        name=name,
        cost_kt=None,
        sentence=f"{NOT_PREDICTED}: no other pitch of this vane was tried; add a [[candidate]] that differs"
        " in pitch alone and predict again. It costs vanes, mass and drag in any case",
    )


def _kt(value: float) -> str:
    return f"{value:.2f} kt" if value >= 0.005 else "less than 0.01 kt"
