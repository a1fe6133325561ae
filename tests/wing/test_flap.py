"""A plain flap turned about a real hinge: plane geometry, so every check is exact."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from slowflight.errors import RangeError, SectionError
from slowflight.wing import outline
from slowflight.wing.curve import OutlineCurve, nearest, outline_curve
from slowflight.wing.flap import PlainFlap, deflect, rotated
from slowflight.wing.naca import naca_section
from slowflight.wing.outline import FloatArray
from slowflight.wing.section import Section

SECTIONS = ["0012", "4412", "4418", "23012", "6409", "0006"]


def points(section: Section) -> FloatArray:
    return np.column_stack((section.x, section.y))


def hinge(section: Section) -> FloatArray:
    assert section.flap is not None
    return np.array([section.flap.hinge_x, section.flap.hinge_y])


def wedge() -> Section:
    """Straight skins of slope 1 in 10 behind a rounded nose, dense enough that arcs are the only polygons."""
    x = np.linspace(0.1, 1.0, 91)
    y = (1.05 - x) / 10
    angle = np.linspace(0.0, np.pi, 41)[1:-1]
    nose = np.column_stack((0.1 - 0.1 * np.sin(angle), -0.095 * np.cos(angle)))
    return Section(
        name="wedge",
        x=np.concatenate((x[::-1], nose[:, 0], x)),
        y=np.concatenate((-y[::-1], nose[:, 1], y)),
    )


def distances(curve: OutlineCurve, targets: FloatArray) -> FloatArray:
    """Distance of each target from the curve, by Newton's method from the nearest of many points on it."""
    ends = curve.knots[0], curve.knots[-1]
    dense = np.linspace(*ends, 4001)
    offsets = curve.at(dense)[None] - targets[:, None]
    at = dense[np.argmin(np.hypot(offsets[..., 0], offsets[..., 1]), axis=1)]
    for _ in range(6):
        direction = curve.direction(at)
        along = np.sum((targets - curve.at(at)) * direction, axis=1) / np.sum(direction**2, axis=1)
        at = np.clip(at + along, *ends)
    return np.asarray(np.hypot(*(curve.at(at) - targets).T))


@pytest.mark.parametrize("digits", SECTIONS)
def test_no_angle_changes_no_point(digits: str) -> None:
    section = naca_section(digits)
    same = deflect(section, flap=PlainFlap(chord=0.2), angle=0.0)
    assert np.array_equal(points(same), points(section))
    assert same.flap is not None
    assert deflect(same, flap=PlainFlap(chord=0.2), angle=0.1).flap is not None


@settings(max_examples=40)
@given(
    digits=st.sampled_from(SECTIONS),
    chord=st.floats(0.06, 0.45),
    place=st.sampled_from(["middle", "lower", "upper"]),
    degrees=st.floats(-20.0, 60.0).filter(lambda value: abs(value) > 1e-3),
    count=st.sampled_from([101, 201]),
)
def test_every_point_is_fixed_or_turned_or_on_the_arc(
    digits: str, chord: float, place: str, degrees: float, count: int
) -> None:
    section = naca_section(digits, points=count)
    angle = math.radians(degrees)
    turned = deflect(section, flap=PlainFlap(chord=chord, hinge=place), angle=angle)
    about = hinge(turned)
    assert about[0] == pytest.approx(1.0 - chord, abs=1e-12)
    radii = [distance_to_hinge_of_skin(section, about, upper) for upper in (False, True)]
    curve = outline_curve(section)
    found = points(turned)
    off_arcs = [np.abs(np.hypot(*(found - about).T) - radius) for radius in radii]
    off_skins = [distances(curve, found), distances(curve, rotated(found, about=about, angle=-angle))]
    assert np.max(np.min([*off_arcs, *off_skins], axis=0)) < 1e-9
    # The trailing edge and every original point well away from the hinge are kept.
    assert turned.trailing_edge_gap == pytest.approx(section.trailing_edge_gap, abs=1e-12)
    reach = 0.02 + max(radii) * (1.0 + math.tan(abs(angle) / 2.0))
    fixed = points(section)[section.x < about[0] - reach]
    moved = rotated(points(section)[section.x > about[0] + reach], about=about, angle=angle)
    for kept in (*fixed, *moved):
        assert float(np.min(np.hypot(*(points(turned) - kept).T))) < 1e-12
    # Thickness is read across a polygon, good to 0.01 % of chord with 100 points.
    assert turned.max_thickness <= section.max_thickness + 1e-4


def distance_to_hinge_of_skin(section: Section, about: FloatArray, upper: bool) -> float:
    curve = outline_curve(section)
    nose = section.nose_index
    side = np.arange(nose, section.x.size) if upper else np.arange(nose, -1, -1)
    index = int(side[np.argmin(np.hypot(section.x[side] - about[0], section.y[side] - about[1]))])
    at = curve.at(nearest(curve, index, to=(float(about[0]), float(about[1]))))
    return float(np.hypot(*(at - about)))


@given(
    digits=st.sampled_from(SECTIONS),
    chord=st.floats(0.05, 0.5),
    place=st.sampled_from(["middle", "lower", "upper"]),
    degrees=st.floats(-20.0, 60.0),
    count=st.sampled_from([61, 101, 201, 301]),
)
def test_no_flap_crosses_itself_and_spacing_stays_even(
    digits: str, chord: float, place: str, degrees: float, count: int
) -> None:
    section = naca_section(digits, points=count)
    turned = deflect(section, flap=PlainFlap(chord=chord, hinge=place), angle=math.radians(degrees))
    assert outline.first_crossing(turned.x, turned.y) is None
    steps = outline.segment_lengths(turned.x, turned.y)
    assert np.max(np.maximum(steps[1:] / steps[:-1], steps[:-1] / steps[1:])) < 5.0
    assert turned.x.size < 1.35 * section.x.size + 40


@pytest.mark.parametrize("degrees", [2.0, 20.0, 45.0, 60.0])
def test_area_of_a_wedge(degrees: float) -> None:
    """A sector is gained where the skin opens, a kite lost where it closes: r^2 a / 2 and r^2 tan(a / 2)."""
    section, angle = wedge(), math.radians(degrees)
    turned = deflect(section, flap=PlainFlap(chord=0.3), angle=angle)
    radius = 0.035 / math.hypot(1.0, 0.1)
    gained = 0.5 * radius**2 * angle - radius**2 * math.tan(angle / 2.0)
    change = outline.enclosed_area(section.x, section.y) - outline.enclosed_area(turned.x, turned.y)
    assert change == pytest.approx(gained, abs=0.5 * radius**2 * angle * math.radians(6.0) ** 2 / 5.0)


@pytest.mark.parametrize("place", ["lower", "upper"])
def test_a_hinge_on_the_skin_leaves_a_plain_corner(place: str) -> None:
    section, angle = wedge(), math.radians(15.0)
    turned = deflect(section, flap=PlainFlap(chord=0.3, hinge=place), angle=angle)
    gap = np.hypot(*(points(turned) - hinge(turned)).T)
    assert float(gap.min()) < 1e-9
    corner = int(np.argmin(gap)) - 1
    assert abs(outline.turns(turned.x, turned.y)[corner]) == pytest.approx(angle, abs=1e-6)


@given(
    degrees=st.floats(0.5, 20.0), chord=st.floats(0.1, 0.4), digits=st.sampled_from(["0009", "0012", "0018"])
)
def test_up_mirrors_down_on_a_symmetrical_section(degrees: float, chord: float, digits: str) -> None:
    section = naca_section(digits)
    down = deflect(section, flap=PlainFlap(chord=chord), angle=math.radians(degrees))
    up = deflect(section, flap=PlainFlap(chord=chord), angle=math.radians(-degrees))
    assert down.x == pytest.approx(up.x[::-1], abs=1e-9)
    assert down.y == pytest.approx(-up.y[::-1], abs=1e-9)


def test_trailing_edge_goes_down_with_a_positive_angle() -> None:
    turned = deflect(naca_section("0012"), flap=PlainFlap(chord=0.25), angle=math.radians(30.0))
    assert 0.5 * (turned.y[0] + turned.y[-1]) == pytest.approx(
        -0.25 * math.sin(math.radians(30.0)), abs=1e-12
    )
    assert 0.5 * (turned.x[0] + turned.x[-1]) == pytest.approx(
        0.75 + 0.25 * math.cos(math.radians(30.0)), abs=1e-12
    )
    assert "flap 30.0 deg" in turned.name
    assert "25.0 % chord" in turned.notes[-1]


def test_the_opening_side_is_smooth_and_the_closing_side_has_one_corner() -> None:
    turned = deflect(naca_section("4415"), flap=PlainFlap(chord=0.25), angle=math.radians(30.0))
    bends = np.degrees(outline.turns(turned.x, turned.y))
    aft = turned.x[1:-1] > 0.5
    upper = np.arange(1, turned.x.size - 1) > turned.nose_index
    assert np.max(np.abs(bends[aft & upper])) < 7.0
    assert np.sum(np.abs(bends[aft & ~upper]) > 7.0) == 1
    assert np.max(np.abs(bends[aft & ~upper])) == pytest.approx(30.0, abs=2.0)


@pytest.mark.parametrize("degrees", [-21.0, 61.0, 90.0, float("nan"), 20.0 * 180.0 / math.pi])
def test_angles_out_of_range_are_refused(degrees: float) -> None:
    with pytest.raises(RangeError, match="needs -20 to 60 deg"):
        deflect(naca_section("0012"), flap=PlainFlap(chord=0.2), angle=math.radians(degrees))


def test_other_refusals() -> None:
    section = naca_section("0012")
    turned = deflect(section, flap=PlainFlap(chord=0.2), angle=0.3)
    with pytest.raises(RangeError, match=r"a flap already at 17\.2 deg"):
        deflect(turned, flap=PlainFlap(chord=0.2), angle=0.1)
    with pytest.raises(RangeError, match="not yet predicted"):
        deflect(section, flap=PlainFlap(chord=0.2, hinge=-0.05), angle=0.1)
    with pytest.raises(RangeError, match="5 % to 50 %"):
        PlainFlap(chord=0.6)
    with pytest.raises(RangeError, match="5 % to 50 %"):
        PlainFlap(chord=float("nan"))
    with pytest.raises(RangeError, match="middle, lower, upper"):
        PlainFlap(chord=0.2, hinge="bottom")
    with pytest.raises(RangeError, match="middle, lower, upper"):
        PlainFlap(chord=0.2, hinge=float("nan"))


def test_a_flap_too_short_for_its_thickness_is_refused() -> None:
    """A blunt body: half a chord thick where the flap begins, so that the skins cannot meet."""
    angle = np.linspace(0.0, 2.0 * np.pi, 101)
    body = Section(name="oval", x=0.5 + 0.5 * np.cos(angle), y=-0.28 * np.sin(angle))
    with pytest.raises(SectionError, match=r"skins that do not meet|trimmed away|crosses itself|ends at"):
        deflect(body, flap=PlainFlap(chord=0.05), angle=math.radians(60.0))


def test_a_closed_trailing_edge_stays_closed_at_any_angle() -> None:
    """Rounding let the two turned ends cross at some angles."""
    bare = naca_section("2411")
    x, y = bare.x.copy(), bare.y.copy()
    x[[0, -1]], y[[0, -1]] = 1.0, 0.0
    closed = Section(name="closed", x=x, y=y)
    for angle in np.radians(np.arange(1.0, 45.0, 0.7)):
        assert deflect(closed, flap=PlainFlap(chord=0.138), angle=float(angle)).trailing_edge_gap == 0.0
