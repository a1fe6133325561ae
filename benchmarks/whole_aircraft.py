"""Time of an angle sweep of the whole aircraft from ready section curves, and errors against exact wings."""

from __future__ import annotations

import statistics
import time
from collections.abc import Callable
from dataclasses import replace

import numpy as np
from threadpoolctl import threadpool_limits

from slowflight.flight_state.curve import curve_of
from slowflight.flight_state.glide import glide_at
from slowflight.flight_state.landing import touchdown
from slowflight.flight_state.power_on import Body, slowest_level
from slowflight.flight_state.propeller import Propeller
from slowflight.flow.lifting_line import SectionCurve, SpanCurve, whole_wing, wing_lift
from slowflight.flow.lifting_line.ground import over_ground
from slowflight.flow.lifting_line.induced import downwash
from slowflight.flow.lifting_line.strips import Strips, strips_of
from slowflight.wing.naca import naca_section
from slowflight.wing.planform import Wing, WingStation

REPEATS = 25
ANGLES = np.radians(np.arange(-4.0, 26.1, 0.5))  # as a prediction asks for


def section(more: float = 0.0) -> SectionCurve:
    """Invent a section that stalls softly at 14 degrees."""
    degrees = np.arange(-12.0, 30.0, 1.0)
    bend = np.clip(degrees - 8.0, 0.0, 6.0)
    cl = 0.1 * (np.minimum(degrees, 8.0) + 4.0 + bend - bend**2 / 12.0) + more
    cl -= 0.02 * np.maximum(degrees - 14.0, 0.0)
    return SectionCurve(alpha=np.radians(degrees), cl=cl, cd=0.01 + 0.01 * cl**2)


def wing() -> Wing:
    """Return a rectangular wing with two degrees of washout."""
    shape = naca_section("4415")
    stations = tuple(
        WingStation(span_station=y, chord=1.4, washout=w, section=shape, airfoil="naca4415")
        for y, w in ((0.0, 0.0), (4.7, np.radians(2.0)))
    )
    return Wing(span=9.4, incidence=0.04, stations=stations, cabin_width=1.1)


def times_ms(action: Callable[[], object]) -> tuple[float, float]:
    """Shortest and median of wall-clock times [ms]; other programs only ever add to them."""
    times = []
    for _ in range(REPEATS):
        begin = time.perf_counter()
        action()
        times.append(1e3 * (time.perf_counter() - begin))
    return min(times), statistics.median(times)


def whole_aircraft(span: list[SpanCurve], flown: Wing) -> None:
    """Sweep the angles of one configuration and work out what the aircraft does with it."""
    lift = wing_lift(flown, curve_at=span, angles=ANGLES, smoothing=0.2)
    curve = curve_of(lift)
    assert curve is not None
    body = Body(mass=520.0, area=flown.area, density=1.225, extra_drag=0.5, incidence=0.04, immersed=1.0)
    slowest_level(curve, body, Propeller(static_thrust=1600.0, diameter=1.7))
    glide_at(curve, body, angle=curve.angle_of(curve.cl_max / 1.21) or 0.1)
    touchdown(curve, curve, on_wheels=0.26, mass=520.0, area=flown.area, density=1.225)


def ground_error(height: float) -> tuple[float, float]:
    """Share of induced drag the ground takes from an elliptic loading: computed and published."""
    strips: Strips = strips_of(wing(), points=64)
    loading, weight = np.sin(strips.turn), strips.share * np.sin(strips.turn)
    near = replace(strips, air=over_ground(strips, height=height * strips.span))
    assert near.air is not None
    share = 1.0 - float(weight @ (near.air @ loading)) / float(weight @ (downwash(64) @ loading))
    return share, (1.0 - 1.32 * height) / (1.05 + 7.4 * height)


def main() -> None:
    flown, bare, flapped = wing(), section(), section(0.4)
    span = [
        SpanCurve(span_from=0.0, span_to=0.6, inner=bare, outer=bare),
        SpanCurve(span_from=0.6, span_to=4.7, inner=flapped, outer=flapped),
    ]
    matrix = np.random.default_rng(1).normal(size=(64, 64)) + 64.0 * np.eye(64)
    one = times_ms(lambda: [np.linalg.solve(matrix, matrix[:, 0]) for _ in range(100)])[0] / 100.0
    for name, action in (
        ("whole aircraft, one sweep of 61 angles", lambda: whole_aircraft(span, flown)),
        (
            "both halves not alike, one sweep of 27 angles",
            lambda: whole_wing(
                flown,
                right=span,
                left=[span[0], replace(span[1], inner=bare, outer=bare)],
                angles=ANGLES[::2],
            ),
        ),
    ):
        least, middle = times_ms(action)
        print(
            f"{name}: {least:.1f} ms at best, median {middle:.1f} ms, {least / one:.0f} solves of 64;"
            " wanted below 50 ms"
        )
    for height in (0.05, 0.1, 0.15, 0.2, 0.25):
        found, published = ground_error(height)
        print(
            f"ground at {height:.2f} of the span takes {found:.4f}, published {published:.4f},"
            f" error {found - published:+.4f}"
        )


if __name__ == "__main__":
    with threadpool_limits(limits=1):
        main()
