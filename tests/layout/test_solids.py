"""Solids read back by a general mesh library: closed, of the sizes asked for, hand and toe the right way."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import trimesh

from slowflight.errors import RangeError
from slowflight.layout.fit import Fit, Part
from slowflight.layout.plan import LayoutPlan, lay_out
from slowflight.layout.solids.coupon import coupon
from slowflight.layout.solids.jig import Jig, jigs
from slowflight.layout.solids.solid import Solid, write_3mf, write_stl
from slowflight.layout.solids.solid_set import vane_size, write_solids
from slowflight.layout.solids.vane_solid import VaneSize, vane_solid
from slowflight.wing.naca import naca_section
from tests.layout.wings import straight_wing, tapered_wing, vane_row

SHAPES = ("rectangular", "trapezoidal", "triangular", "ogival")


def size(**changes: object) -> VaneSize:
    values = {"height": 8.0, "length": 24.0, "shape": "rectangular", "hand": "A", "toe": 16.0}
    return VaneSize(**{**values, **changes})  # type: ignore[arg-type]


def read_back(solid: Solid, folder: Path) -> list[trimesh.Trimesh]:
    files = (write_stl(solid, folder / "part.stl"), write_3mf(solid, folder / "part.3mf"))
    return [loaded(file) for file in files]


def loaded(file: Path) -> trimesh.Trimesh:
    mesh = trimesh.load(file, force="mesh")
    assert isinstance(mesh, trimesh.Trimesh)
    return mesh


def slices(mesh: trimesh.Trimesh, at: Any, normal: Any) -> list[np.ndarray]:
    """Closed lines where a plane cuts a solid, in space."""
    cut = mesh.section(plane_origin=at, plane_normal=normal)
    assert cut is not None
    return [np.asarray(loop) for loop in cut.discrete]


@pytest.mark.parametrize("hand", ["A", "B"])
@pytest.mark.parametrize("shape", SHAPES)
def test_vanes_are_closed_and_have_the_sizes_asked_for(tmp_path: Path, shape: str, hand: str) -> None:
    asked = size(shape=shape, hand=hand)
    solid = vane_solid(asked)
    for mesh in read_back(solid, tmp_path):
        assert mesh.is_watertight
        assert mesh.is_winding_consistent
        assert mesh.euler_number == 2  # one piece without a hole
        assert mesh.volume == pytest.approx(solid.volume, rel=1e-3)
        wide, deep = asked.foot_size
        assert mesh.extents == pytest.approx([wide, deep, 8.0], abs=0.01)


@pytest.mark.parametrize("shape", SHAPES)
def test_side_of_the_fin_has_the_share_that_the_prediction_takes(tmp_path: Path, shape: str) -> None:
    """Height halfway along, by the shape's own name: 1, 1, a half, three quarters (a parabola)."""
    half = {"rectangular": 1.0, "trapezoidal": 1.0, "triangular": 0.5, "ogival": 0.75}[shape]
    mesh, _ = read_back(vane_solid(size(shape=shape, toe=15.0)), tmp_path)
    loops = slices(mesh, (0.0, 0.5 * mesh.extents[1], 0.0), (0, 1, 0))
    assert float(np.vstack(loops)[:, 2].max()) == pytest.approx(8.0 * half, abs=0.15)


@pytest.mark.parametrize(("hand", "sign"), [("A", 1.0), ("B", -1.0)])
@pytest.mark.parametrize("toe", [5.0, 16.0, 35.0])
def test_hand_toe_length_draft_and_rounded_top(tmp_path: Path, hand: str, sign: float, toe: float) -> None:
    """Seen from outside, y forward: hand A's forward tip lies left of its trailing tip."""
    asked = size(hand=hand, toe=toe)
    mesh, _ = read_back(vane_solid(asked), tmp_path)
    for height in (3.0, 6.0):
        (loop,) = slices(mesh, (0, 0, height), (0, 0, 1))
        points = loop[:, :2] - loop[:, :2].mean(axis=0)
        aft = np.array([sign * math.sin(math.radians(toe)), -math.cos(math.radians(toe))])
        across = np.array([-aft[1], aft[0]])
        assert np.ptp(points @ aft) == pytest.approx(24.0, abs=0.3)
        # draft: from 1 mm at the rounded top's middle (7.5 mm up) to the root at the foot, straight
        share = (7.5 - height) / (7.5 - 1.2)
        wanted = 1.0 + share * (asked.root - 1.0)
        assert np.ptp(points @ across) == pytest.approx(wanted, abs=0.06)
    near_top = slices(mesh, (0, 0, 7.9), (0, 0, 1))[0][:, :2]
    thick = np.ptp((near_top - near_top.mean(axis=0)) @ across)
    # a round of 0.5 mm: 0.4 mm above its middle it is 2 sqrt(0.25 - 0.16) = 0.6 mm wide
    assert thick == pytest.approx(0.6, abs=0.06)
    at_foot = slices(mesh, (0, 0, 1.3), (0, 0, 1))[0][:, :2]
    assert np.ptp((at_foot - at_foot.mean(axis=0)) @ across) > asked.root + 0.7  # the fillet


def test_notches_tell_the_hands_apart(tmp_path: Path) -> None:
    lost = {}
    for hand in "AB":
        mesh, _ = read_back(vane_solid(size(hand=hand)), tmp_path)
        lost[hand] = mesh.volume
    # half a cylinder of 0.7 mm radius through 1.2 mm
    assert lost["A"] - lost["B"] == pytest.approx(0.5 * math.pi * 0.49 * 1.2, rel=0.05)


def made_jig(plan: LayoutPlan, wing: object) -> tuple[list[Jig], VaneSize]:
    asked = vane_size(plan.row, part=plan.fit.part, hand="A")
    return jigs(plan, wing=wing, size=asked, tape=1000.0 * plan.fit.part.tape), asked  # type: ignore[arg-type]


def unmoved(jig: Jig, mesh: trimesh.Trimesh) -> trimesh.Trimesh:
    """Back to where it was built: x aft from the nose, y to starboard, z up [mm]."""
    points = mesh.vertices - np.array(jig.solid.moved)
    back = mesh.copy()
    # It lies on its side: up had become -y, starboard z.
    back.vertices = np.column_stack((points[:, 0], points[:, 2], -points[:, 1]))
    return back


@pytest.mark.parametrize("surface", ["upper", "lower"])
@pytest.mark.parametrize("opening", ["downstream", "upstream"])
def test_jig_seats_on_the_section_and_holds_station_and_toe(
    tmp_path: Path, surface: str, opening: str
) -> None:
    wing = straight_wing()
    row = vane_row(station=0.08, surface=surface, opening=opening)
    plan = lay_out(wing=wing, row=row, fit=Fit(part=Part(tape=0.001)))
    (jig,), asked = made_jig(plan, wing)
    assert (jig.sides, jig.everywhere) == (("left", "right"), True)
    meshes = read_back(jig.solid, tmp_path)
    for mesh in meshes:
        assert mesh.is_watertight
        assert mesh.is_winding_consistent
        assert mesh.euler_number == 2 - 2 * 2  # two slots through it
    mesh = unmoved(jig, meshes[0])
    section = naca_section("4415", points=4999, closed_trailing_edge=True)
    fine = np.linspace(1500, 3500, 40_001)
    exact = 1500.0 * np.column_stack(
        [np.interp(fine, np.arange(4999), side) for side in (section.x, section.y)]
    )
    # Clear of the slots, at its side: every point is on the skin, on the outside, or on the two ends.
    (loop,) = slices(mesh, (0, mesh.bounds[0][1] + 2.0, 0), (0, 1, 0))
    off = np.array([np.min(np.hypot(*(exact - spot).T)) for spot in loop[:, [0, 2]]])
    assert np.sum(off < 0.05) > 150
    assert np.all((off < 0.05) | (np.abs(off - 7.0) < 0.05) | (off > 0.2))
    assert off.max() < 7.05
    # Slots, cut 5 mm off the skin and along it: their forward ends at the row's station, their lean its toe.
    upper = surface == "upper"
    tips = np.array([tip_on(exact, 1000.0 * d, upper=upper) for d in tape_of(plan)])
    aft = (tips[1] - tips[0]) / np.linalg.norm(tips[1] - tips[0])
    out = np.array([-aft[1], aft[0]]) if upper else np.array([aft[1], -aft[0]])
    at = tips[0] + 5.0 * out
    holes = slices(mesh, (at[0], 0.0, at[1]), (out[0], 0.0, out[1]))
    slots = sorted((hole for hole in holes if np.ptp(hole[:, 1]) < 15.0), key=lambda hole: hole[:, 1].mean())
    assert len(slots) == 2
    right = plan.on("right")[:2]
    middle = 500.0 * sum(v.span_position for v in right)
    for hole, vane in zip(slots, right, strict=True):
        flat = np.column_stack(((hole[:, [0, 2]] - at) @ aft, hole[:, 1]))
        toe = vane.toe
        along = np.array([math.cos(toe), -math.sin(toe)])
        across = np.array([math.sin(toe), math.cos(toe)])
        tip = np.array([0.0, 1000.0 * vane.span_position - middle])
        assert np.ptp(flat @ along) == pytest.approx(23.5, abs=0.01)
        assert np.ptp(flat @ across) == pytest.approx(asked.root + 0.5, abs=0.01)
        # play of a quarter of a millimeter ahead of the tip; and the middle line through it
        assert float((flat @ along).min()) == pytest.approx(float(tip @ along) - 0.25, abs=0.1)
        assert 0.5 * ((flat @ across).min() + (flat @ across).max()) == pytest.approx(
            float(tip @ across), abs=0.1
        )


def tape_of(plan: LayoutPlan) -> tuple[float, float]:
    vane = plan.vanes[0]
    return vane.skin_distance, vane.trailing_skin_distance


def tip_on(exact: np.ndarray, distance: float, *, upper: bool) -> np.ndarray:
    """A point of the formula's outline by tape from its foremost point [mm]."""
    fore = int(np.argmin(exact[:, 0]))
    half = exact[fore:] if upper else exact[fore::-1]
    along = np.concatenate(([0.0], np.cumsum(np.hypot(*np.diff(half, axis=0).T))))
    return np.array([np.interp(distance, along, half[:, column]) for column in (0, 1)])


def test_single_vanes_get_a_jig_for_each_wing_and_a_taper_one_for_each_end(tmp_path: Path) -> None:
    plan = lay_out(wing=straight_wing(), row=vane_row(arrangement="co-rotating"))
    found, _ = made_jig(plan, straight_wing())
    assert [jig.sides for jig in found] == [("left",), ("right",)]
    left, right = (unmoved(jig, read_back(jig.solid, tmp_path)[0]) for jig in found)
    # Mirror images: what is far to port on the left one is far to starboard on the right one.
    assert left.centroid * (1, -1, 1) == pytest.approx(right.centroid, abs=0.01)
    assert left.volume == pytest.approx(right.volume, rel=1e-4)
    wing = tapered_wing()
    found, _ = made_jig(lay_out(wing=wing, row=vane_row()), wing)
    assert [(jig.span_position, jig.everywhere) for jig in found] == [(0.6, False), (3.8, False)]


def test_coupon_has_the_block_that_the_notes_name(tmp_path: Path) -> None:
    for mesh in read_back(coupon(), tmp_path):
        assert mesh.is_watertight
        assert mesh.euler_number == 0  # one hole
        assert mesh.extents == pytest.approx([70.0, 22.0, 12.0], abs=1e-3)
        loops = slices(mesh, (0, 0, 11.0), (0, 0, 1))
        assert np.ptp(loops[0], axis=0)[:2] == pytest.approx([20.0, 10.0], abs=1e-3)


def test_the_set_with_notes_and_the_same_bytes_again(tmp_path: Path) -> None:
    plan = lay_out(wing=straight_wing(), row=vane_row(), fit=Fit(part=Part(tape=0.001)))
    files = write_solids(plan, tmp_path, stem="row", wing=straight_wing())
    assert [file.name for file in files] == [
        *(f"row-{part}{kind}" for part in ("vane-A", "vane-B", "jig", "coupon") for kind in (".stl", ".3mf")),
        "row-print-notes.txt",
    ]
    notes = files[-1].read_text(encoding="utf-8")
    for needed in ("ot for certified aircraft without approval", "84 of hand A", "coupon", "common practice"):
        assert needed.lower() in notes.lower()
    for caution in plan.cautions:
        assert caution in notes
    # The tape's millimeter is taken off, so that the top stands where it was predicted.
    assert loaded(files[0]).extents[2] == pytest.approx(7.0, abs=1e-3)
    before = [file.read_bytes() for file in files]
    write_solids(plan, tmp_path, stem="row", wing=straight_wing())
    assert [file.read_bytes() for file in files] == before
    assert b"not for certified aircraft" in files[0].read_bytes()[:80]


def test_what_cannot_be_printed_is_refused() -> None:
    with pytest.raises(RangeError, match="at least"):
        size(height=2.0)
    close = replace(vane_row(), gap=0.002)
    with pytest.raises(RangeError, match="room for two feet"):
        vane_size(close, part=Part(), hand="A")


def test_no_pocket_is_left_between_fin_and_fillet(tmp_path: Path) -> None:
    """A steep forward edge, which once came out in two pieces."""
    solid = vane_solid(size(height=18.8, length=15.45, shape="trapezoidal", toe=33.8))
    for mesh in read_back(solid, tmp_path):
        assert mesh.is_watertight
        assert mesh.euler_number == 2


def test_without_a_gauge_there_is_no_jig_and_the_notes_say_so(tmp_path: Path) -> None:
    wing = tapered_wing(root="4412", tip="4418")
    files = write_solids(lay_out(wing=wing, row=vane_row()), tmp_path, stem="row", wing=wing)
    assert not any("jig" in file.name for file in files)
    assert "No jig" in files[-1].read_text(encoding="utf-8")
