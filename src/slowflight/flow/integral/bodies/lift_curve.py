"""A lift curve of a section with a flap that is an airfoil of its own."""

from __future__ import annotations

import math
import time
from collections.abc import Callable, Sequence
from dataclasses import replace

from slowflight import __version__
from slowflight.flow.integral import results, row_remarks
from slowflight.flow.integral.bodies.marched_elements import with_marched_rows
from slowflight.flow.integral.bodies.model import (
    FLAP_PANELS,
    ElementsModel,
    SolvedBodies,
    elements_model,
)
from slowflight.flow.integral.bodies.results import (
    as_section,
    element_forces,
    element_layer,
    in_own_chord,
    total,
)
from slowflight.flow.integral.bodies.sweep import GIVE_UP_AFTER, ElementsPoint, sweep_elements
from slowflight.flow.integral.marched_rows import PRINTED, Marching
from slowflight.flow.integral.section_flow import PANELS
from slowflight.flow.lift_curve import (
    FREE_SOURCES,
    NARROWEST_REYNOLDS,
    PAST_A_FOLD,
    SOURCES,
    TREND,
    TWO_ANSWERS,
    VANE_SOURCES,
    WIDEST_REYNOLDS,
    _check,
    _judged,
    _let_go,
    _maximum,
    _stall_sources,
    _stall_words,
)
from slowflight.flow.maximum_lift import Lifts, first_top
from slowflight.flow.separated_blend import with_blend
from slowflight.flow.solution import ElementSummary, FlowPoint, LiftCurve, SurfaceLayer
from slowflight.flow.stall import stall_kind
from slowflight.wing.elements import Elements
from slowflight.wing.vane_row import VaneRow

STANDING_WAKE = 3.5  # shape factor above which air at the middle of a wake stands or runs back
NARROW_SLOT = 0.01  # clearance below which layers fill a good part of a slot [main chords]
APART = (
    "the wing's wake and the flap's layer are kept apart however near they come: their mixing is not computed"
)
UNMEASURED = (
    "a flap of its own: no measured section of this kind stands behind these values; read differences between"
    " settings as sign and rank"
)
SLOT = "the slot is narrower than 1 % of chord: layers fill a good part of it, its flow is a trend at best"


def elements_lift_curve(
    elements: Elements,
    *,
    reynolds: float,
    angles_deg: Sequence[float],
    transition: tuple[float | None, float | None] = (None, None),
    flap_transition: tuple[float | None, float | None] = (None, None),
    critical_amplification: float = 9.0,
    vane_rows: Sequence[VaneRow] = (),
    chord_m: float | None = None,
    speed_follows_lift: bool = False,
    panels: int = PANELS,
    marching: Marching = PRINTED,
    on_point: Callable[[FlowPoint], None] | None = None,
) -> LiftCurve:
    """Compute a lift curve of a main section with a hung or slotted flap with the integral tier.

    Valid for incompressible flow at Reynolds numbers 2e5 to 1e7. The flap may separate; where the wing's own
    wake comes to a stand above the flap, as it does in this tier beyond about 20 degrees of flap, points are
    marked extrapolated. Compared so far with exact inviscid flow about two airfoils, and with one wing's
    increments (see the documents, 'Hung and slotted flaps').

    Parameters
    ----------
    elements : Elements
        A main element, with a flap or without.
    reynolds : float
        On the main chord and flight speed [-], 1e4 to 1e8; where the speed follows the lift, that at a lift
        coefficient of 1.
    angles_deg : sequence of float
        Angles of attack from the main chord line [deg], any order.
    transition, flap_transition : tuple of (float or None, float or None)
        Upper and lower station where the layer is tripped on the main element and on the flap [fractions of
        that element's chord]; ``None`` leaves it free.
    critical_amplification : float
        Critical amplification factor [-].
    vane_rows : sequence of VaneRow
        Rows on the main element.
    chord_m : float or None
        Real main chord [m], needed with vanes.
    speed_follows_lift : bool
        As for ``lift_curve``.
    panels : int
        On the main element; the flap's number keeps the usual proportion to it.
    marching : Marching
        As for ``lift_curve``.
    on_point : callable, optional
        Called with each finished ``FlowPoint``.

    Returns
    -------
    LiftCurve
        Coefficients on the main chord without flap; ``FlowPoint.elements`` and ``layers`` hold ``"main"`` and
        ``"flap"``. Stations of the flap's summary are fractions of its own chord; distributions are in the
        main section's frame.

    Raises
    ------
    RangeError, InputError
        As for ``lift_curve``.

    Notes
    -----
    Formulation: see ``slowflight.flow.integral.bodies``.
    """
    _check(reynolds, angles_deg, transition, critical_amplification, vane_rows, chord_m)
    _check(reynolds, angles_deg, flap_transition, critical_amplification, (), chord_m)
    model = elements_model(
        elements,
        reynolds=reynolds,
        transition=transition,
        flap_transition=flap_transition,
        critical_amplification=critical_amplification,
        vane_rows=vane_rows,
        chord_m=chord_m,
        speed_follows_lift=speed_follows_lift,
        panels=panels,
        flap_panels=round(FLAP_PANELS * panels / PANELS),
    )
    made: dict[float, FlowPoint] = {}
    begun = time.perf_counter()

    def keep(point: ElementsPoint) -> None:
        nonlocal begun
        now = time.perf_counter()
        made[point.alpha] = _flow_point(model, point, now - begun)
        begun = now
        if on_point is not None:
            on_point(made[point.alpha])

    wanted = [math.radians(a) for a in angles_deg]
    model, begin = with_marched_rows(model, wanted, marching)
    swept = sweep_elements(model, wanted, begin=begin, on_solved=keep)
    made |= {p.alpha: _flow_point(model, p, made[p.alpha].seconds) for p in swept if p.other is not None}
    points = [replace(made[p.alpha], alpha_deg=float(a)) for p, a in zip(swept, angles_deg, strict=True)]
    followed = {p.alpha for p in swept if p.how in ("followed", "past a fold")}
    lifts = [(p.alpha_deg, p.cl if w in followed else None) for p, w in zip(points, wanted, strict=True)]
    solved = {p.fold.alpha: p.fold for p in swept if p.fold is not None}
    folds: Lifts = [(math.degrees(a), total(element_forces(model, s)).cl) for a, s in solved.items()]
    lifts += folds
    peak = _maximum(points, lifts, folds)
    x, y = elements.bodies[-1].outline
    tail = float(0.5 * (x[0] + x[-1])), float(0.5 * (y[0] + y[-1]))
    points = with_blend(points, tail=tail)
    kind = stall_kind(points, first_top(lifts) if peak else None, folds=any(a > 0.0 for a, _ in folds))
    points, warnings = _judged(model.sections[0], points, lifts, peak, elements.bodies[0].section)
    alone = len(elements.bodies) == 1
    if not alone:
        warnings = (UNMEASURED, APART, *_wake_warning(points), *warnings)
        if elements.clearance is not None and elements.clearance < NARROW_SLOT:
            warnings = (SLOT, *warnings)
    free = None in transition or (not alone and None in flap_transition)
    return LiftCurve(
        airfoil=elements.name,
        reynolds=reynolds,
        tier="integral",
        reference=_reference(model, transition, flap_transition, chord_m, len(vane_rows)),
        points=tuple(points),
        cl_max=None if peak is None else peak[1],
        alpha_cl_max_deg=None if peak is None else peak[0],
        sources=SOURCES
        + (FREE_SOURCES if free else ())
        + (VANE_SOURCES if any(row.height > 0.0 for row in vane_rows) else ())
        + _stall_sources(points, kind, folds),
        warnings=warnings if kind is None else (*warnings, _stall_words(kind)),
        version=__version__,
        stall=kind,
    )


def _reference(
    model: ElementsModel,
    transition: tuple[float | None, float | None],
    flap_transition: tuple[float | None, float | None],
    chord_m: float | None,
    rows: int,
) -> dict[str, object]:
    elements = model.elements
    reference: dict[str, object] = {
        "chord": "main section without flap, 1",
        "moment_about": "quarter chord, nose up positive",
        "angle_of_attack_from": "chord line",
        "lift_from": "surface pressures",
        "flow": "incompressible",
        "transition": {"upper": transition[0], "lower": transition[1]},
        "critical_amplification_factor": model.critical,
        "chord_m": chord_m,
        "speed": "follows the lift: Reynolds number over the root of the lift coefficient"
        if model.speed_follows_lift
        else None,
        "vane_rows": rows,
        "panels": sum(body.outline.x.size - 1 for body in model.system.bodies),
        "lag_constant": model.lag,
    }
    if len(elements.bodies) > 1:
        reference |= {
            "flap_angle_deg": math.degrees(elements.flap_angle),
            "flap_chord": elements.bodies[1].chord,
            "flap_transition": {"upper": flap_transition[0], "lower": flap_transition[1]},
            "slot_gap": elements.gap,
            "slot_overlap": elements.overlap,
            "slot_clearance": elements.clearance,
        }
    return reference


def _no_answer(point: ElementsPoint) -> FlowPoint:
    solved = point.solved
    if point.how == "not tried":
        why = f"not tried: no answer over {math.degrees(GIVE_UP_AFTER):g} degrees before it"
    elif solved is None:
        why = "no answer: no flow was found to begin from, at this flap setting or by lowering the flap to it"
    else:
        why = (
            "no answer: layers and outer flow did not agree"
            f" within {solved.iterations} iterations, also not in smaller steps or afresh"
        )
    residual = None if solved is None or not math.isfinite(solved.residual) else solved.residual
    return FlowPoint(
        alpha_deg=math.degrees(point.alpha), cl=None, cd=None, cd_vanes=None, cm=None, converged=False,
        residual=residual, steady=True, amplitude=None, extrapolated=False, separation_upper=None,
        elements=(), warnings=(why,), seconds=0.0, reynolds=None,
    )  # fmt: skip


def standing_wake(wake: SurfaceLayer) -> tuple[float, float] | None:
    """Stretch over which a wake that left its trailing edge moving stands or runs back [main chords]."""
    slow = wake.shape_factor > STANDING_WAKE
    if slow[0] or not slow.any():
        return None
    at = wake.x[slow]
    return float(at[0]), float(at[-1])


def _wake_warning(points: Sequence[FlowPoint]) -> tuple[str, ...]:
    over = [p.alpha_deg for p in points if p.converged and standing_wake(p.layers["main"][2]) is not None]
    if not over:
        return ()
    angles = f"{min(over):g} to {max(over):g} deg"
    return (f"the wing's wake comes to a stand above or behind the flap at {angles}: {TREND}",)


def _flow_point(model: ElementsModel, point: ElementsPoint, seconds: float) -> FlowPoint:
    solved = point.solved
    if solved is None or not solved.converged:
        return replace(_no_answer(point), seconds=seconds)
    layers, summaries = _elements(model, solved)
    numbers = total(element_forces(model, solved))
    main = as_section(model, solved, 0)
    warnings = list(row_remarks.vane_remarks(model.sections[0], main))
    if point.how == "from beyond":
        warnings.append(
            "reached from the next angle beyond, on the side of the stall: in flight this may be the branch"
            " of an air flow already stalled"
        )
    if point.how == "past a fold":
        warnings.append(PAST_A_FOLD)
    stalled = None if point.other is None else total(element_forces(model, point.other)).cl
    if stalled is not None:
        warnings.append(TWO_ANSWERS.format(stalled))
    if point.how == "afresh":
        warnings.append("reached from a new guess or from such a point, not followed from attached flow")
    trend = not NARROWEST_REYNOLDS <= solved.reynolds <= WIDEST_REYNOLDS
    if len(model.sections) > 1:
        stands = standing_wake(layers["main"][2])
        if stands is not None:
            where = f"from {stands[0]:.2f} to {stands[1]:.2f} chord"
            warnings.append(f"the wing's wake stands or runs back {where}: {TREND}")
            trend = True
        for layer in layers["flap"][:2]:
            off = _let_go(in_own_chord(model, layer, 1))
            if off is not None:
                where = f"from {100.0 * off[0]:.0f} to {100.0 * off[1]:.0f} % of the flap's chord"
                warnings.append(f"the air is off the flap's {layer.side} side {where}: {TREND}")
                trend = True
    return FlowPoint(
        alpha_deg=math.degrees(point.alpha),
        cl=numbers.cl,
        cd=numbers.cd,
        cd_vanes=numbers.cd_vanes,
        cm=numbers.cm,
        converged=True,
        residual=solved.residual,
        steady=True,
        amplitude=0.0,
        extrapolated=trend,
        separation_upper=results.trailing_separation(layers["main"][0]),
        elements=summaries,
        warnings=tuple(warnings),
        seconds=seconds,
        layers=layers,
        reynolds=solved.reynolds,
        vane_effects=results.vane_effects(model.sections[0], main),
        stalled_cl=stalled,
    )


def _elements(
    model: ElementsModel, solved: SolvedBodies
) -> tuple[dict[str, tuple[SurfaceLayer, ...]], tuple[ElementSummary, ...]]:
    layers, summaries = {}, []
    for k, element in enumerate(model.elements.bodies):
        sides = tuple(element_layer(model, solved, k, side) for side in ("upper", "lower", "wake"))
        layers[element.name] = sides
        own = [results.surface_summary(in_own_chord(model, side, k)) for side in sides[:2]]
        summaries.append(ElementSummary(element.name, *own))
    return layers, tuple(summaries)
