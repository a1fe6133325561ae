"""A sweep of angles of one section by a tier, through stall."""

from __future__ import annotations

import math
import time
from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np

from slowflight import __version__
from slowflight.errors import InputError, RangeError
from slowflight.flow import separated_blend, stall
from slowflight.flow.integral import results, row_remarks
from slowflight.flow.integral.coupling import MOST_SPEEDS
from slowflight.flow.integral.marched_rows import PRINTED, Marching
from slowflight.flow.integral.marched_section import with_marched_rows
from slowflight.flow.integral.section_flow import PANELS, SectionModel, section_model
from slowflight.flow.integral.sweep import GIVE_UP, SweepPoint, sweep
from slowflight.flow.integral.vanes import FITTED_RATIO, HEIGHT
from slowflight.flow.maximum_lift import TREND_DEGREES, Lifts, Top, first_top, first_trough, maximum_lift
from slowflight.flow.solution import ElementSummary, FlowPoint, LiftCurve, Stall, SurfaceLayer
from slowflight.wing.section import Section
from slowflight.wing.vane_row import VaneRow

SOURCES = ("DrelaGiles1987", "Swafford1983", "Veldman2009", "KatzPlotkin2001", "SquireYoung1938")
FREE_SOURCES = ("Mack1977",)
BRANCH_SOURCES = ("Keller1977",)
VANE_SOURCES = ("Wendt2001", "SpalartAllmaras", "Coles1956", "BraslowKnox1958")
# air off the skin from ahead of the first, for good or over more than the second, is beyond the layers'
# equations [chords]; own choice: the bubbles of small Reynolds numbers are shorter
FOREMOST_SEPARATION, LONGEST_BUBBLE = 0.3, 0.2
TREND = "a trend, not a value"
FEWEST_PANELS, MOST_PANELS = 80, 640
NARROWEST_REYNOLDS, WIDEST_REYNOLDS = 2e5, 1e7
UNCALIBRATED = (
    "predicted, uncalibrated: what the vanes do here rests on no measurement; "
    "read the direction, not the size"
)
SPLIT = (
    "split flap: the dead air behind it is taken to close over four times its opening (own choice, no"
    " source), its drag is not to be used, and no measured section with such a flap was computed"
)
PAST_A_FOLD = (
    "past the angle at which the attached answers end: the air has let go at once, and comes back on only"
    " nearer to attached flow"
)
TWO_ANSWERS = "two answers: coming from stalled air, lift at this angle is {:.2f} (hysteresis)"
NOSE = (
    "the air separates and comes back on at the nose near maximum lift: an abrupt stall from the nose, which"
    " this tier does not compute, may come earlier"
)


def lift_curve(
    section: Section,
    *,
    reynolds: float,
    angles_deg: Sequence[float],
    transition: tuple[float | None, float | None] = (None, None),
    critical_amplification: float = 9.0,
    vane_rows: Sequence[VaneRow] = (),
    chord_m: float | None = None,
    speed_follows_lift: bool = False,
    panels: int = PANELS,
    marching: Marching = PRINTED,
    on_point: Callable[[FlowPoint], None] | None = None,
) -> LiftCurve:
    """Compute a lift curve with the integral tier.

    Valid for incompressible flow on single sections (plain flap included) at Reynolds numbers 2e5 to 1e7,
    from attached flow to about 3 degrees past maximum lift where the air lets go from the trailing edge; a
    stall that starts at the nose is not reproduced. The error of maximum lift on measured sections stands in
    the documents ('What the seconds tier was measured to be worth').

    Parameters
    ----------
    section : Section
    reynolds : float
        On chord and flight speed [-], 1e4 to 1e8; outside 2e5 to 1e7 the points are marked extrapolated.
        Where the speed follows the lift, that at a lift coefficient of 1.
    angles_deg : sequence of float
        Angles of attack from the chord line [deg], any order.
    transition : tuple of (float or None, float or None)
        Upper and lower station where the layer is tripped [fraction of chord]; ``None`` leaves it free.
    critical_amplification : float
        Critical amplification factor: 9 in still air on a smooth skin, less in propwash [-].
    vane_rows : sequence of VaneRow
        Rows on the section; they act together.
    chord_m : float or None
        Real chord [m], needed with vanes.
    speed_follows_lift : bool
        Whether each angle has the Reynolds number of steady flight at its own lift (in proportion to one
        over the root of the lift coefficient, held below a coefficient of 0.2) instead of one for all.
    panels : int
        On the body, 80 to 640: more to see what the number of them does to the answer.
    marching : Marching
        At which angles rows of vanes are marched, and how often.
    on_point : callable, optional
        Called with each finished ``FlowPoint``, in the order of solution.

    Returns
    -------
    LiftCurve

    Raises
    ------
    RangeError
        For a Reynolds number, angle, trip or amplification outside what is sensible.
    InputError
        For vanes without a chord.

    Notes
    -----
    Formulation: see ``slowflight.flow.integral``; sources are recorded in the result.
    """
    _check(reynolds, angles_deg, transition, critical_amplification, vane_rows, chord_m)
    if not FEWEST_PANELS <= panels <= MOST_PANELS:
        raise RangeError(
            where="panels", found=str(panels), needed=f"{FEWEST_PANELS} to {MOST_PANELS} on the body"
        )
    model = section_model(
        section,
        reynolds=reynolds,
        transition=transition,
        critical_amplification=critical_amplification,
        vane_rows=vane_rows,
        chord_m=chord_m,
        speed_follows_lift=speed_follows_lift,
        panels=panels,
    )
    made: dict[float, FlowPoint] = {}
    begun = time.perf_counter()

    def keep(point: SweepPoint) -> None:
        nonlocal begun
        now = time.perf_counter()
        made[point.alpha] = _flow_point(model, point, now - begun)
        begun = now
        if on_point is not None:
            on_point(made[point.alpha])

    wanted = [math.radians(a) for a in angles_deg]
    model, begin = with_marched_rows(model, wanted, marching)
    swept = sweep(model, wanted, begin=begin, on_solved=keep)
    # what a whole branch tells of a point was not known when the point was settled
    made |= {p.alpha: _flow_point(model, p, made[p.alpha].seconds) for p in swept if p.other is not None}
    points = [made[p.alpha] for p in swept]
    # the angle as asked for, not as it comes back from radians
    points = [replace(p, alpha_deg=float(a)) for p, a in zip(points, angles_deg, strict=True)]
    followed = {p.alpha for p in swept if p.how in ("followed", "past a fold")}
    lifts = [(p.alpha_deg, p.cl if w in followed else None) for p, w in zip(points, wanted, strict=True)]
    folds = _folds(model, swept)
    lifts += folds
    peak = _maximum(points, lifts, folds)
    tail = 0.5 * (section.x[0] + section.x[-1]), 0.5 * (section.y[0] + section.y[-1])
    points = separated_blend.with_blend(points, tail=tail)
    points, warnings = _judged(model, points, lifts, peak, section)
    kind = stall.stall_kind(points, first_top(lifts) if peak else None, folds=any(a > 0.0 for a, _ in folds))
    return LiftCurve(
        airfoil=section.name,
        reynolds=reynolds,
        tier="integral",
        reference={
            "chord": "main section without flap, 1",
            "moment_about": "quarter chord, nose up positive",
            "angle_of_attack_from": "chord line",
            "lift_from": "surface pressures",
            "flow": "incompressible",
            "transition": {"upper": transition[0], "lower": transition[1]},
            "critical_amplification_factor": critical_amplification,
            "chord_m": chord_m,
            "speed": "follows the lift: Reynolds number over the root of the lift coefficient"
            if speed_follows_lift
            else None,
            "vane_rows": len(vane_rows),
            "panels": model.body_stations - 1,
            "lag_constant": model.lag,
        },
        points=tuple(points),
        cl_max=None if peak is None else peak[1],
        alpha_cl_max_deg=None if peak is None else peak[0],
        sources=SOURCES
        + (FREE_SOURCES if None in transition else ())
        + (VANE_SOURCES if any(row.height > 0.0 for row in vane_rows) else ())
        + _stall_sources(points, kind, folds),
        warnings=warnings if kind is None else (*warnings, _stall_words(kind)),
        version=__version__,
        stall=kind,
    )


def _stall_sources(points: Sequence[FlowPoint], kind: Stall | None, folds: Lifts) -> tuple[str, ...]:
    return (
        (stall.SOURCES if kind is not None else ())
        + (separated_blend.SOURCES if any(p.blended for p in points) else ())
        + (BRANCH_SOURCES if folds else ())
    )


def _stall_words(kind: Stall) -> str:
    words = f"predicted stall: {kind.kind}{', abrupt' if kind.abrupt else ''}: {kind.reason}"
    return words if kind.vane_gain_counts else f"{words}; no gain of vanes may be credited here"


def _folds(model: SectionModel, swept: Sequence[SweepPoint]) -> list[tuple[float, float | None]]:
    """Angle [deg] and lift where a branch turns back: lift drops there at once."""
    solved = {p.fold.alpha: p.fold for p in swept if p.fold is not None}
    return [(math.degrees(a), results.coefficients(model, s).cl) for a, s in solved.items()]


def _check(
    reynolds: float,
    angles_deg: Sequence[float],
    transition: tuple[float | None, float | None],
    critical: float,
    vane_rows: Sequence[VaneRow],
    chord_m: float | None,
) -> None:
    if not (math.isfinite(reynolds) and 1e4 <= reynolds <= 1e8):
        raise RangeError(where="reynolds", found=f"{reynolds:g}", needed="a number from 1e4 to 1e8")
    if len(angles_deg) == 0:
        raise RangeError(where="angles_deg", found="no angle", needed="at least one")
    for angle in angles_deg:
        if not (math.isfinite(angle) and -30.0 <= angle <= 40.0):
            raise RangeError(where="angles_deg", found=f"{angle:g}", needed="angles from -30 to 40 degrees")
    for name, station in zip(("upper", "lower"), transition, strict=True):
        if station is not None and not 0.0 < station <= 1.0:
            needed = "a fraction of chord above 0, at most 1"
            raise RangeError(where=f"{name} transition", found=f"{station:g}", needed=needed)
    if not (math.isfinite(critical) and 1.0 <= critical <= 15.0):
        raise RangeError(
            where="critical_amplification", found=f"{critical:g}", needed="a number from 1 to 15"
        )
    if vane_rows and chord_m is None:
        raise InputError(
            where="chord_m", found="none", needed="the chord in meters, because vanes are measured in mm"
        )


def _why_none(point: SweepPoint) -> str:
    """Why an angle has no answer, and what was tried."""
    solved = point.solved
    if point.how == "not tried":
        return f"not tried: no answer over {math.degrees(GIVE_UP):g} degrees before it"
    if solved is not None and not solved.common_speed:
        why = f"no answer: lift and speed did not agree within {MOST_SPEEDS} rounds"
    elif solved is not None:
        why = (
            "no answer: layers and outer flow did not agree"
            f" within {solved.iterations} iterations (residual {solved.residual:.1e})"
        )
    else:
        why = "no answer: no attached flow was found to begin from"
    if not point.tried:
        return why
    *first, last = point.tried
    return f"{why}, also not {', '.join(first)}{' or ' if first else ''}{last}"


def _flow_point(model: SectionModel, point: SweepPoint, seconds: float) -> FlowPoint:
    solved = point.solved
    alpha_deg = math.degrees(point.alpha)
    if solved is None or not solved.converged:
        why = _why_none(point)
        residual = None if solved is None or not math.isfinite(solved.residual) else solved.residual
        return FlowPoint(
            alpha_deg=alpha_deg, cl=None, cd=None, cd_vanes=None, cm=None, converged=False,
            residual=residual, steady=True, amplitude=None, extrapolated=False, separation_upper=None,
            elements=(), warnings=(why,), seconds=seconds, reynolds=None,
        )  # fmt: skip
    upper, lower, wake = (results.surface_layer(model, solved, s) for s in ("upper", "lower", "wake"))
    numbers = results.coefficients(model, solved)
    warnings = list(row_remarks.vane_remarks(model, solved))
    if point.how == "from beyond":
        warnings.append(
            "reached from the next angle beyond, on the side of the stall: in flight this may be the branch"
            " of an air flow already stalled"
        )
    if point.how == "past a fold":
        warnings.append(PAST_A_FOLD)
    stalled = None
    if point.other is not None:
        stalled = results.coefficients(model, point.other).cl
        warnings.append(TWO_ANSWERS.format(stalled))
    if point.how == "afresh":
        warnings.append("reached from a new guess or from such a point, not followed from attached flow")
    return FlowPoint(
        alpha_deg=alpha_deg,
        cl=numbers.cl,
        cd=numbers.cd,
        cd_vanes=numbers.cd_vanes,
        cm=numbers.cm,
        converged=True,
        residual=solved.residual,
        steady=True,
        amplitude=0.0,
        extrapolated=not NARROWEST_REYNOLDS <= solved.reynolds <= WIDEST_REYNOLDS,
        separation_upper=results.trailing_separation(upper),
        elements=(ElementSummary("main", results.surface_summary(upper), results.surface_summary(lower)),),
        warnings=tuple(warnings),
        seconds=seconds,
        layers={"main": (upper, lower, wake)},
        reynolds=solved.reynolds,
        vane_effects=results.vane_effects(model, solved),
        stalled_cl=stalled,
    )


def _judged(
    model: SectionModel,
    points: list[FlowPoint],
    lifts: Lifts,
    peak: tuple[float, float] | None,
    section: Section,
) -> tuple[list[FlowPoint], tuple[str, ...]]:
    """Mark what lies beyond the tier's range and say what the reader has to know of the whole."""
    warnings: list[str] = []
    if np.any(model.rows[:, HEIGHT] > 0.0):
        warnings += [
            UNCALIBRATED,
            *row_remarks.of_rows(model, [p.alpha_deg for p in points if p.converged]),
            *_height_remarks(model, points),
        ]
    outside = [
        p.alpha_deg
        for p in points
        if p.reynolds is not None and not NARROWEST_REYNOLDS <= p.reynolds <= WIDEST_REYNOLDS
    ]
    if outside:
        which = "every point is" if len(outside) == len(points) else f"{len(outside)} points are"
        warnings.append(f"Reynolds number outside 2e5 to 1e7: {which} extrapolated")
    if section.flap is not None and section.flap.kind == "split" and section.flap.angle > 0.0:
        warnings.append(SPLIT)
    elif section.flap is not None and math.degrees(abs(section.flap.angle)) > 25.0:
        warnings.append("flap beyond 25 degrees: separated from its shoulder on, a trend at best")
    below = [
        p.alpha_deg
        for p in points
        if p.converged
        and (p.cl or 0.0) > 0.0
        and results.trailing_separation(p.layers["main"][1]) is not None
    ]
    if below:
        warnings.append(
            f"the air lets go ahead of the trailing edge on the lower side at {_span(below, 'g')} deg: lift"
            " bends there, and whether it does in flight hangs on how smooth that side is"
        )
    failed = [p.alpha_deg for p in points if p.cl is None]
    blended = [p.alpha_deg for p in points if p.blended]
    if _nose_may_go(points, lifts):
        warnings.append(NOSE)
    if len(points) > 2 and peak is None:
        warnings.append("maximum lift is not bracketed by the angles asked for and answered")
    if blended:
        warnings.append(
            f"blended, not computed, at {_span(blended, 'g')} deg: a plate with dead air behind it"
        )
    if failed:
        warnings.append("no answer at " + ", ".join(f"{a:g}" for a in failed) + " deg")
    return _with_trends(points, lifts), tuple(warnings)


def _height_remarks(model: SectionModel, points: list[FlowPoint]) -> list[str]:
    """Over which angles the layer at a row is thinner or thicker than its vanes' strength was fitted on."""
    remarks = []
    low, high = FITTED_RATIO
    for r in np.nonzero(model.rows[:, HEIGHT] > 0.0)[0]:
        met = [
            (p.alpha_deg, float(model.rows[r, HEIGHT]) / p.vane_effects[r].layer_thickness)
            for p in points
            if p.vane_effects and p.vane_effects[r].layer_thickness > 0.0
        ]
        for out, words in (
            ([m for m in met if m[1] > high], f"more than the {high:g}"),
            ([m for m in met if m[1] < low], f"less than the {low:g}"),
        ):
            if out:
                remarks.append(
                    f"vane row {r + 1} is {_span([m[1] for m in out], '.2g')} times the layer's thickness at"
                    f" {_span([m[0] for m in out], 'g')} deg, {words} its strength was fitted on"
                )
    return remarks


def _span(values: list[float], form: str) -> str:
    least, most = format(min(values), form), format(max(values), form)
    return least if least == most else f"{least} to {most}"


def _let_go(layer: SurfaceLayer) -> tuple[float, float] | None:
    """The stretch over which the air is off the skin, if that is more than the tier can follow [chords]."""
    for start, end in results.reversed_stretches(layer):
        if start < FOREMOST_SEPARATION and (end - start > LONGEST_BUBBLE or end > layer.x[-1] - 1e-9):
            return start, end
    return None


def _maximum(points: list[FlowPoint], lifts: Lifts, folds: Lifts = ()) -> tuple[float, float] | None:
    """Maximum lift, unless it is a swell of lift in air that has let go almost from the nose."""
    found = maximum_lift(lifts)
    if found is None:
        return None
    ends = min((a for a, _ in folds if a > 0.0), default=math.inf)
    nearest = min(
        (p for p in points if p.converged and p.alpha_deg <= ends), key=lambda p: abs(p.alpha_deg - found[0])
    )
    return found if _let_go(nearest.layers["main"][0]) is None else None


def _nose_may_go(points: list[FlowPoint], lifts: Lifts) -> bool:
    """Whether air separates and comes back on at the nose where lift is largest, or where its answers end."""
    top = first_top(lifts)
    if top is None:
        return False
    answered = [p for p in points if p.converged]
    # where no lift falls, the nose may have let go all the same, on a thin section
    gone = [p.alpha_deg for p in answered if p.alpha_deg > 0.0 and _let_go(p.layers["main"][0]) is not None]
    end = min([top.angle, *gone])
    if end == max(p.alpha_deg for p in points):
        return False  # lift still rises where the angles asked for end
    near = [p for p in answered if end - 3.0 <= p.alpha_deg <= end + 0.5]
    return any(results.nose_bubble(p.layers["main"][0]) for p in near)


def _with_trends(points: list[FlowPoint], lifts: Lifts) -> list[FlowPoint]:
    """Mark points past a first fall of lift, and those whose air has let go almost from the nose."""
    top, trough = first_top(lifts), first_trough(lifts)
    marked = []
    for p in points:
        remarks = []
        if p.converged and top is not None and trough is not None:
            if p.alpha_deg > top.limit:
                remarks.append(_past("maximum", top))
            if p.alpha_deg < trough.limit:
                remarks.append(_past("minimum", trough))
            for layer in p.layers["main"][:2]:
                off = _let_go(layer)
                if off is not None:
                    where = f"from {100.0 * off[0]:.0f} to {100.0 * off[1]:.0f} % of chord"
                    remarks.append(f"the air is off the {layer.side} side {where}: {TREND}")
        marked.append(replace(p, extrapolated=True, warnings=(*p.warnings, *remarks)) if remarks else p)
    return marked


def _past(which: str, top: Top) -> str:
    if abs(top.limit - top.angle) >= TREND_DEGREES - 1e-9:
        return f"more than {TREND_DEGREES:g} degrees past {which} lift: {TREND}"
    return f"past {which} lift and the drop behind it: {TREND}"
