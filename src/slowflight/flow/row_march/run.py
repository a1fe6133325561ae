"""One march of a row on one plane: the plane's cells, the fields at the vanes' ends, and what came of it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from slowflight.flow.row_march import marching
from slowflight.flow.row_march.layer_profile import turbulent_profile
from slowflight.flow.row_march.marching import march
from slowflight.flow.row_march.plane import Plane, layer_faces, make_plane
from slowflight.flow.row_march.sizes import VaneSizes
from slowflight.flow.row_march.start import (
    DAMPED_TO,
    Wake,
    crossflow,
    drag_thickness,
    lay_wake,
    vane_circulation,
    vortices,
)
from slowflight.flow.row_march.stepping import Fields, Physics, swirl_energy
from slowflight.flow.solution import FloatArray


@dataclass(frozen=True, kw_only=True)
class RowLayer:
    """The clean turbulent layer where the vanes end.

    Parameters
    ----------
    thickness, momentum_thickness : float
        [chords].
    shape_factor : float
        [-].
    """

    thickness: float
    momentum_thickness: float
    shape_factor: float


@dataclass(frozen=True, kw_only=True)
class MarchSettings:
    """How finely and how the march is computed; the standard values are those of the documents.

    Parameters
    ----------
    across : int
        Cells across half a period of a pair; a co-rotating period and a whole period have twice as many.
    fineness : float
        1 is standard: first cell 1 wall unit high, 10 cells per vane height.
    courant : float
        Step over the time to cross a cell [-].
    core : float
        Radius of the vortices at the start (Lamb-Oseen's r_c) [heights].
    core_height : float
        Height of the vortices at the start [heights].
    wake, feed, stop_at_reversal, whole_period : bool
        Lay the vanes' wake; give what the swirl loses to the speed along the skin; stop at local reversal;
        compute both halves of a pair.
    limiter : float
        Constant of the rotation limiter of the turbulence model; 0 is none.
    slowest : float
        Least speed in any division by speed [edge speeds].
    tolerance : float
        Of the pressure equation.
    passes : int
        Over each step.
    stretch : float
        Longest step over the distance from the vanes, where that is more than half a height [-].
    """

    across: int = 24
    fineness: float = 1.0
    courant: float = 0.6
    core: float = 0.25
    core_height: float = 1.0
    wake: bool = True
    feed: bool = True
    stop_at_reversal: bool = True
    whole_period: bool = False
    limiter: float = 2.0
    slowest: float = 0.1
    tolerance: float = 3e-3
    passes: int = 2
    stretch: float = 0.0


STANDARD = MarchSettings()
# for what is handed over to a section method (see the documents for what it costs)
QUICK = MarchSettings(across=12, fineness=0.6, courant=1.0, passes=1, tolerance=1e-2, stretch=0.02)


class Run:
    """One march with its plane, and what came of it."""

    def __init__(
        self, sizes: VaneSizes, layer: RowLayer, nu: float, places: FloatArray, speeds: FloatArray,
        turns: FloatArray, settings: MarchSettings, *, top: float, clean: bool,
    ) -> None:  # fmt: skip
        none = sizes.height <= 0.0
        scale = 0.5 if none else sizes.height
        fine = settings.fineness
        guess = 0.045 if layer.shape_factor < 1.7 else 0.03  # friction speed, for the first cell only
        face = layer_faces(
            first=nu / guess / fine, growth=1.0 + 0.17 / fine, largest=0.1 * scale / fine,
            fine_to=2.2 * scale, outer_growth=1.0 + 0.12 / fine, top=top,
        )  # fmt: skip
        paired = sizes.arrangement != "co-rotating"
        cyclic = not clean and (not paired or settings.whole_period)
        half = paired and not cyclic
        across = 1 if clean else settings.across * (1 if half else 2)
        width = sizes.pitch * (0.5 if half else 1.0)
        self.plane: Plane = make_plane(face=face, width=width, across=across, cyclic=cyclic)
        n, m = len(self.plane.cell), across
        profile = turbulent_profile(
            heights=self.plane.center, momentum_thickness=layer.momentum_thickness / layer.thickness,
            shape_factor=layer.shape_factor, per_nu=1.0 / nu,
        )  # fmt: skip
        lack = (1.0 - profile.speed) * self.plane.cell
        # of the layer without vanes, on this plane
        self.momentum_before = float((profile.speed * lack).sum())
        self.energy_before = float((profile.speed * (1.0 + profile.speed) * lack).sum())
        far = 0.01 * nu
        U = np.repeat(profile.speed[:, None], m, axis=1)
        V, W = np.zeros((n + 1, m)), np.zeros((n, m + 1))
        self.strength = 0.0
        self.sense = 1.0
        self.wake = Wake(momentum_thickness=0.0, in_swirl=0.0, placed=1.0)
        if not clean and not none:
            self.strength = vane_circulation(sizes=sizes, thickness=1.0)
            found = vortices(
                sizes=sizes, strength=self.strength, height=settings.core_height * sizes.height,
                whole_period=cyclic,
            )  # fmt: skip
            self.sense = 1.0 if found[0].strength >= 0.0 else -1.0
            slow_to = DAMPED_TO * sizes.height
            at = np.interp(slow_to, self.plane.center, profile.speed)
            slowing = np.interp(self.plane.face, self.plane.center, profile.speed / at, left=0.0)
            slowing = np.where(self.plane.face < slow_to, np.minimum(slowing, 1.0), 1.0)
            V, W = crossflow(
                plane=self.plane, found=found, pitch=sizes.pitch, core=settings.core * sizes.height,
                slowing=slowing,
            )  # fmt: skip
            if settings.wake:
                total = drag_thickness(
                    sizes=sizes, strength=self.strength, center=self.plane.center, cell=self.plane.cell,
                    speed=profile.speed,
                )  # fmt: skip
                energy = np.zeros(n)
                swirl_energy(V, energy)
                held = float((energy * self.plane.cell).sum())
                U, placed = lay_wake(
                    plane=self.plane, speed=profile.speed, found=found, sizes=sizes, wanted=total - held
                )
                self.wake = Wake(momentum_thickness=total, in_swirl=held, placed=placed)
        fields = Fields(
            U=np.ascontiguousarray(U), V=V, W=W, p=np.zeros((n, m)),
            working=np.repeat(np.maximum(profile.working * nu, far)[:, None], m, axis=1),
            swirl=np.zeros((2, n)),
        )  # fmt: skip
        physics = Physics(
            nu=nu, limiter=settings.limiter, far=far, turbulent=1.0, skin=1.0,
            feed=1.0 if settings.feed else 0.0, slowest=settings.slowest, tolerance=settings.tolerance,
            passes=settings.passes,
        )  # fmt: skip
        k = len(places)
        self.rows = np.full((k, marching.COLUMNS), np.nan)
        self.shear, self.axial = np.zeros((k, n)), np.zeros((k, n))
        longest = max(0.5 * scale, 0.15)
        self.code, self.reached, self.stopped, self.steps = march(
            self.plane, physics, fields, places, speeds, turns, scale, self.sense, settings.courant, longest,
            settings.stretch, 0.02 * scale, settings.stop_at_reversal, self.rows, self.shear, self.axial,
        )  # fmt: skip
        self.rows[self.reached :] = np.nan
        self.shear[self.reached :] = self.shear[self.reached - 1]
        self.axial[self.reached :] = self.axial[self.reached - 1]

    def column(self, number: int) -> FloatArray:
        """One of the numbers that ``marching`` reads off, at all places, shape (k,)."""
        return np.asarray(self.rows[:, number], dtype=np.float64)
