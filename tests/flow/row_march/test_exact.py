"""The march against exact solutions and the plate's published friction."""

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from slowflight.flow.row_march import marching
from slowflight.flow.row_march.layer_profile import turbulent_profile
from slowflight.flow.row_march.plane import layer_faces, make_plane
from slowflight.flow.row_march.sizes import VaneSizes
from slowflight.flow.row_march.start import crossflow, vortices
from slowflight.flow.row_march.turbulence import _source
from slowflight.flow.solution import FloatArray
from tests.flow.row_march.planes import Marched, marched


def blasius(eta: FloatArray) -> FloatArray:
    found = solve_ivp(
        lambda _, y: [y[1], y[2], -0.5 * y[0] * y[2]], [0.0, 12.0], [0.0, 0.0, 0.332057336],
        dense_output=True, rtol=1e-10, atol=1e-12,
    )  # fmt: skip
    return np.asarray(found.sol(np.minimum(eta, 12.0))[1])


def test_laminar_plate_is_blasius() -> None:
    # Schlichting, Boundary-layer theory: friction 0.664, momentum thickness 0.664, shape factor 2.591
    nu, start = 1e-5, 0.5
    d = (nu * start) ** 0.5
    face = layer_faces(
        first=0.1 * d, growth=1.05, largest=0.2 * d, fine_to=10.0 * d, outer_growth=1.1, top=60.0 * d
    )
    plane = make_plane(face=face, width=1.0, across=1, cyclic=False)
    n = len(plane.cell)
    arc = np.linspace(0.5, 2.0, 31)
    found = marched(
        plane, U=blasius(plane.center / d)[:, None], V=np.zeros((n + 1, 1)), W=np.zeros((n, 2)), arc=arc,
        nu=nu, skin=1.0, longest=0.005,
    )  # fmt: skip
    assert found.code == marching.RAN
    friction = found.column(marching.FRICTION) * np.sqrt(arc / nu)
    theta = found.column(marching.MOMENTUM) / np.sqrt(arc * nu)
    shape = found.column(marching.DISPLACEMENT) / found.column(marching.MOMENTUM)
    assert friction == pytest.approx(np.full(31, 0.6641), rel=0.003)
    assert theta == pytest.approx(np.full(31, 0.6641), rel=0.001)
    assert shape == pytest.approx(np.full(31, 2.591), abs=0.004)
    assert np.abs(found.column(marching.RESIDUAL)).max() < 1e-3


PER_NU = 5e6


def plate(longest: float) -> tuple[Marched, FloatArray]:
    theta, nu = 400.0 / PER_NU, 1.0 / PER_NU
    face = layer_faces(first=4e-6, growth=1.15, largest=1.0, fine_to=0.0, outer_growth=1.15, top=0.06)
    plane = make_plane(face=face, width=1.0, across=1, cyclic=False)
    n = len(plane.cell)
    profile = turbulent_profile(
        heights=plane.center, momentum_thickness=theta, shape_factor=1.48, per_nu=PER_NU
    )
    found = marched(
        plane, U=profile.speed[:, None], V=np.zeros((n + 1, 1)), W=np.zeros((n, 2)),
        arc=np.linspace(0.0, 1.4, 281), nu=nu, skin=1.0,
        working=np.maximum(profile.working[:, None], 0.01) * nu, longest=longest, first=1e-4,
    )  # fmt: skip
    return found, found.column(marching.MOMENTUM) * PER_NU


@pytest.mark.parametrize("longest", [0.002, 0.008])
def test_turbulent_plate_has_the_published_friction(longest: float) -> None:
    # Karman and Schoenherr's correlation as the NASA Turbulence Modeling Resource prints it
    found, re_theta = plate(longest)
    log = np.log10(re_theta)
    published = 1.0 / (17.08 * log**2 + 25.11 * log + 6.012)
    friction = found.column(marching.FRICTION)
    settled = re_theta > 2500.0  # the layer it was started with is forgotten
    assert settled.sum() > 200
    assert friction[settled] == pytest.approx(published[settled], rel=0.05)
    shape = found.column(marching.DISPLACEMENT) / found.column(marching.MOMENTUM)
    assert 1.29 < shape[-1] < 1.34  # Coles: about 1.32 at such a Reynolds number (from memory)


@pytest.mark.parametrize("longest", [0.002, 0.004, 0.008])
def test_friction_of_the_plain_march_does_not_wobble(longest: float) -> None:
    found, re_theta = plate(longest)
    friction = found.column(marching.FRICTION)[re_theta > 2000.0]
    assert np.abs(np.diff(friction, 2)).max() < 2e-3 * friction[0]
    assert (np.diff(friction) < 0.0).all()


def test_steps_of_any_length_give_the_same_plate() -> None:
    short, _ = plate(0.002)
    long, _ = plate(0.008)
    settled = short.column(marching.MOMENTUM) * PER_NU > 2000.0
    for column in (marching.FRICTION, marching.MOMENTUM):
        assert long.column(column)[settled] == pytest.approx(short.column(column)[settled], rel=8e-3)


def spread_error(cells: int) -> float:
    """Largest error of peak vorticity of a vortex that turns ten times; its core's area grows 2.1 times."""
    face = np.linspace(0.0, 2.0, cells + 1)
    plane = make_plane(face=face, width=2.0, across=cells, cyclic=True)
    n, m = len(plane.cell), cells
    row = VaneSizes(height=1.0, length=1.0, pitch=2.0, incidence=0.2, arrangement="co-rotating")
    core, strength, nu = 0.12, 0.3, 2e-4
    V, W = crossflow(
        plane=plane, found=vortices(sizes=row, strength=strength, height=1.0, whole_period=True), pitch=2.0,
        core=core, slowing=np.ones(n + 1),
    )  # fmt: skip
    arc = np.linspace(0.0, 20.0, 21)
    found = marched(plane, U=np.ones((n, m)), V=V, W=W, arc=arc, nu=nu, skin=0.0, longest=0.2)
    assert found.code == marching.RAN
    assert found.column(marching.CORE_Y) == pytest.approx(np.full(21, 1.0), abs=0.02)
    # Lamb and Oseen: r_c^2 = r_0^2 + 4 nu t, peak vorticity Gamma / (pi r_c^2)
    exact = strength / (np.pi * (core**2 + 4.0 * nu * arc))
    assert exact[0] / exact[-1] > 2.0
    return float(np.abs(found.column(marching.PEAK) / exact - 1.0).max())


def test_a_vortex_spreads_as_lamb_and_oseen_say() -> None:
    coarse, fine = spread_error(64), spread_error(128)  # 3.8 and 7.7 cells to a core radius
    assert fine < 0.02
    assert fine < coarse / 5.0
    assert coarse < 0.12


@pytest.mark.parametrize("curvature", [0.05, -0.05])
def test_fast_streaks_are_thrown_off_a_bulged_skin_and_onto_a_hollow_one(curvature: float) -> None:
    # Goertler's mechanism: on a convex skin faster air goes outward, and what it draws in fades the streak
    face = np.linspace(0.0, 3.0, 49)
    plane = make_plane(face=face, width=1.0, across=16, cyclic=False)
    z = plane.dz * (np.arange(16) + 0.5)
    mean = np.tanh(2.0 * plane.center)
    streak = 0.05 * np.exp(-((plane.center - 0.4) ** 2) / 0.04)
    U = mean[:, None] + streak[:, None] * np.cos(np.pi * z)[None, :]
    arc = np.linspace(0.0, 4.0, 9)
    runs = [
        marched(
            plane, U=U, V=np.zeros((49, 16)), W=np.zeros((48, 17)), arc=arc, nu=1e-4, skin=1.0, longest=0.1,
            curvature=c,
        )
        for c in (curvature, 0.0)
    ]  # fmt: skip
    bent, flat = runs
    j = int(np.searchsorted(plane.face, 0.4))
    under_fast, under_slow = bent.fields.V[j, 0], bent.fields.V[j, -1]
    assert (under_fast - under_slow) * curvature > 0.0
    height = [float(r.fields.U[j, 0] - r.fields.U[j, -1]) for r in (bent, flat)]
    assert (height[0] - height[1]) * curvature < 0.0


def image_speed(y: float, z: float, pitch: float, strength: float) -> tuple[float, float]:
    """Speeds dz/dt, dy/dt of a vortex of a symmetric row over a wall (Kirchhoff-Routh function)."""

    def function(zz: float, yy: float) -> float:
        a2, b2 = np.sin(2 * np.pi * zz / pitch) ** 2, np.sinh(2 * np.pi * yy / pitch) ** 2
        return float(strength / (8.0 * np.pi) * np.log(a2 * b2 / (a2 + b2)))

    e = 1e-6
    return (
        (function(z, y + e) - function(z, y - e)) / (2 * e),
        -(function(z + e, y) - function(z - e, y)) / (2 * e),
    )


def test_image_speed_has_its_known_value() -> None:
    # equidistant vortices: Gamma / (D sinh(4 pi y / D)); 0.239526 at z = 0.25 D, y = 0.17 D
    dz, dy = image_speed(0.17, 0.25, 1.0, 1.0)
    assert dz == pytest.approx(0.239526, abs=1e-5)
    assert dz == pytest.approx(1.0 / np.sinh(2.0 * 2.0 * np.pi * 0.17), rel=1e-6)
    assert dy == pytest.approx(0.0, abs=1e-8)


def test_a_pair_goes_where_its_images_send_it() -> None:
    pitch, strength = 6.0, 0.7
    face = np.linspace(0.0, 6.0, 65)
    plane = make_plane(face=face, width=3.0, across=48, cyclic=False)
    n, m = len(plane.cell), 48
    row = VaneSizes(height=1.0, length=2.5, pitch=pitch, trailing_gap=1.3, incidence=0.2)
    V, W = crossflow(
        plane=plane, found=vortices(sizes=row, strength=strength, height=1.0, whole_period=False),
        pitch=pitch, core=0.25, slowing=np.ones(n + 1),
    )  # fmt: skip
    arc = np.linspace(0.0, 30.0, 16)
    found = marched(
        plane, U=np.ones((n, m)), V=V, W=W, arc=arc, nu=1e-7, skin=0.0, longest=0.5, first=0.02, courant=0.6
    )
    path = solve_ivp(
        lambda _, p: list(image_speed(p[1], p[0], pitch, strength)), [0.0, 30.0], [0.65, 1.0], t_eval=arc,
        rtol=1e-8,
    )  # fmt: skip
    assert path.y[0, -1] > 1.4  # it has gone somewhere
    assert found.column(marching.CORE_Z) == pytest.approx(path.y[0], abs=0.06)
    assert found.column(marching.CORE_Y) == pytest.approx(path.y[1], abs=0.05)


def test_slope_of_the_turbulence_source_is_that_of_its_value() -> None:
    """Central differences over the working variable, away from the corners of its limits."""
    rng = np.random.default_rng(4)
    nu, checked = 1e-4, 0
    for _ in range(400):
        q, y = nu * 10.0 ** rng.uniform(-1.0, 2.5), 10.0 ** rng.uniform(-2.0, 0.5)
        turn, strain = 10.0 ** rng.uniform(-1.0, 2.0, size=2)
        step = 1e-5 * q
        (low, _), (value, slope), (high, _) = (
            _source(x, y, nu, turn, strain, 2.0) for x in (q - step, q, q + step)
        )
        left, right = (value - low) / step, (high - value) / step
        if abs(left - right) < 1e-3 * (abs(left) + abs(value) / q):
            checked += 1
            assert slope == pytest.approx(0.5 * (left + right), rel=1e-4, abs=1e-5 * abs(value) / q)
    assert checked > 300
