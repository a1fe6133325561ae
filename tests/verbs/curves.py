"""A made-up lift curve for tests of what surrounds the solver: no number in it means anything."""

from collections.abc import Callable, Sequence
from typing import Any

import numpy as np

from slowflight.flow.solution import ElementSummary, FlowPoint, LiftCurve, SurfaceLayer, SurfaceSummary


def made_up_layer(side: str = "upper", size: int = 3) -> SurfaceLayer:
    row = np.linspace(0.0, 1.0, size)
    return SurfaceLayer(
        side=side,
        arc=row,
        x=row,
        y=0.1 * row,
        pressure_coefficient=-row,
        edge_speed=np.sqrt(1.0 + row),
        displacement_thickness=0.01 * row,
        momentum_thickness=0.005 * row,
        shape_factor=2.0 + row,
        friction_coefficient=np.where(row == 0.0, np.nan, 0.003),
        turbulent_share=row,
    )


def made_up_point(angle: float, *, failed: bool = False) -> FlowPoint:
    side = SurfaceSummary(transition=0.3, separated=((0.8, 1.0),))
    return FlowPoint(
        alpha_deg=angle,
        cl=None if failed else 0.1 * angle,
        cd=None if failed else 0.01,
        cd_vanes=None if failed else 0.0,
        cm=None if failed else -0.05,
        converged=not failed,
        residual=None if failed else 1e-9,
        steady=True,
        amplitude=None,
        extrapolated=False,
        separation_upper=None if failed else 0.8,
        elements=() if failed else (ElementSummary("main", upper=side, lower=SurfaceSummary(None)),),
        warnings=("gave up",) if failed else (),
        seconds=0.01,
        layers={} if failed else {"main": (made_up_layer("upper"), made_up_layer("lower"))},
    )


class MadeUpFlow:
    """Stands in for the solver: remembers what it was given and returns made-up points."""

    def __init__(self, *, failing: Sequence[float] = (), stop_after: int | None = None) -> None:
        self.failing = failing
        self.stop_after = stop_after
        self.given: dict[str, Any] = {}

    def __call__(
        self,
        section: Any,
        *,
        angles_deg: Sequence[float],
        on_point: Callable[[FlowPoint], None] | None = None,
        **given: Any,
    ) -> LiftCurve:
        self.given = {"section": section, "angles_deg": tuple(angles_deg), **given}
        points = []
        for count, angle in enumerate(angles_deg):
            if count == self.stop_after:
                raise KeyboardInterrupt
            points.append(made_up_point(angle, failed=angle in self.failing))
            if on_point is not None:
                on_point(points[-1])
        return LiftCurve(
            airfoil=section.name,
            reynolds=given["reynolds"],
            tier="integral",
            reference={"moment_center": 0.25, "not_finite": float("nan")},
            points=tuple(points),
            cl_max=1.5,
            alpha_cl_max_deg=15.0,
            sources=("USSA1976",),
            warnings=("made up",),
            version="0",
        )
