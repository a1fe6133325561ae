"""A drawn photograph of a known section comes back; bad ones are refused with the reason."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
from scipy.spatial import cKDTree

from slowflight.errors import InputError
from slowflight.wing.naca import naca_section
from slowflight.wing.outline import FloatArray
from slowflight.wing.photo.cards import NOSE_CARD, TAIL_CARD
from slowflight.wing.photo.rib_photo import RibOutline, outline_from_photo
from slowflight.wing.photo.targets import find_targets
from tests.wing.photo.scene import Scene, photograph

# The same views at fewer pixels, for what is refused before the outline matters.
SMALL = Scene(pixels=(850, 2000), blur=0.7)


def formula(airfoil: str) -> tuple[FloatArray, float]:
    """The section (NACA Report 460) of 1.4 m, laid from the point farthest from its tail; and that length."""
    section = naca_section(airfoil, points=4999, closed_trailing_edge=True)
    fine = np.linspace(0, 4998, 49_981)
    points = 1400.0 * np.column_stack(
        [np.interp(fine, np.arange(4999), side) for side in (section.x, section.y)]
    )
    tail = 0.5 * (points[0] + points[-1])
    nose = points[np.argmax(np.hypot(*(points - tail).T))]
    length = float(np.hypot(*(tail - nose)))
    cosine, sine = (tail - nose) / length
    moved = points - nose
    return np.column_stack((moved @ (cosine, sine), moved @ (-sine, cosine))), length


def laid_on(points: FloatArray, exact: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Turned and shifted, not scaled, to lie best on the true section; and how far off each is, outward."""
    tree = cKDTree(exact)
    way = np.gradient(exact, axis=0)
    normal = np.column_stack((-way[:, 1], way[:, 0])) / np.hypot(*way.T)[:, None]
    placed = points.copy()
    off = np.zeros(len(points))
    for _ in range(30):
        _, nearest = tree.query(placed)
        n = normal[nearest]
        off = np.sum((placed - exact[nearest]) * n, axis=1)
        system = np.column_stack((n, n[:, 1] * placed[:, 0] - n[:, 0] * placed[:, 1]))
        dx, dy, turn = np.linalg.lstsq(system, -off, rcond=None)[0]
        cosine, sine = np.cos(turn), np.sin(turn)
        placed = placed @ np.array([[cosine, sine], [-sine, cosine]]) + (dx, dy)
    return placed, off


def nose_radius(points: FloatArray) -> float:
    """Of the circle that lies best on the outline within 14 mm of its foremost point."""
    near = points[np.hypot(*(points - points[np.argmin(points[:, 0])]).T) < 14.0]
    system = np.column_stack((near, np.ones(len(near))))
    found = np.linalg.lstsq(system, np.sum(near**2, axis=1), rcond=None)[0]
    return float(np.sqrt(found[2] + np.sum(found[:2] ** 2) / 4.0))


@pytest.fixture(
    scope="module",
    params=[Scene(), Scene(airfoil="2412", tilt=-8.0, yaw=-14.0, roll=-3.0, lens=0.01, seed=2)],
    ids=["4415", "2412 from the other side"],
)
def taken(request: pytest.FixtureRequest) -> tuple[Scene, RibOutline, FloatArray]:
    scene: Scene = request.param
    exact, length = formula(scene.airfoil)
    # The owner's tape: half a millimeter long.
    found = outline_from_photo(photograph(scene), chord=length + 0.5, where="rib.jpg")
    return scene, found, exact


def test_section_comes_back_in_perspective_noise_and_shadow(
    taken: tuple[Scene, RibOutline, FloatArray],
) -> None:
    """Asked for: 0.3 % of the chord anywhere, 0.5 mm ahead of 20 %, the nose radius within 10 %."""
    _, found, exact = taken
    placed, off = laid_on(found.points, exact)
    assert np.abs(off).max() < 0.003 * 1400.0
    assert np.abs(off[placed[:, 0] < 280.0]).max() < 0.5
    assert nose_radius(found.points) == pytest.approx(nose_radius(exact), rel=0.10)
    # As it comes, by its own chord line: that line's direction hangs on a nose whose end is hard to tell.
    raw, _ = cKDTree(exact).query(found.points)
    assert raw.max() < 0.003 * 1400.0


def test_what_it_says_about_itself(taken: tuple[Scene, RibOutline, FloatArray]) -> None:
    scene, found, _ = taken
    assert abs(found.scale_off) < 0.004
    assert found.fit_mm < 0.2
    assert found.camera.residual_mm < 0.15
    assert found.camera.lens == pytest.approx(scene.lens, abs=0.01)
    assert 0.35 < found.camera.pixel_mm < 0.6


def test_cards_tell_themselves_apart_and_which_way_up_they_lie() -> None:
    assert (len(NOSE_CARD.targets), len(TAIL_CARD.targets)) == (8, 7)
    for card in (NOSE_CARD, TAIL_CARD):
        turned = {(-x, -y) for x, y in card.targets}
        assert turned != set(card.targets)
    assert len(find_targets(photograph(SMALL))) == 15


def cover(picture: FloatArray) -> FloatArray:
    """A finger on one target."""
    x, y = find_targets(picture)[0].astype(int)
    out = picture.copy()
    out[y - 12 : y + 12, x - 12 : x + 12] = 0.5
    return out


def bend(picture: FloatArray) -> FloatArray:
    """One card has slid: its pixels are moved by 8."""
    out = picture.copy()
    half = picture.shape[0] // 2 + 40
    out[half:-8, 1500:] = picture[half + 8 :, 1500:]
    return out


def crop(picture: FloatArray) -> FloatArray:
    """Something dark at the border joins the rib."""
    out = picture.copy()
    out[:260, 700:760] = 0.05
    return out


def dim(picture: FloatArray) -> FloatArray:
    return 0.55 + 0.02 * picture


def keep(picture: FloatArray) -> FloatArray:
    return picture


@pytest.mark.parametrize(
    ("scene", "spoil", "chord", "said"),
    [
        (SMALL, cover, 1400.7, "14 round targets"),
        (replace(SMALL, tail_card=False), keep, 1400.7, "8 round targets"),
        (SMALL, dim, 1400.7, "0 round targets"),
        (SMALL, crop, 1400.7, "runs out of the picture"),
        (SMALL, keep, 1440.0, "off the 1440 mm typed"),
        (replace(SMALL, card_scale=0.97), keep, 1400.7, "by the cards"),
        (replace(SMALL, rib_gray=0.62), keep, 1400.7, "no dark shape|contrast|hidden|runs out"),
        (replace(SMALL, blur=6.0), keep, 1400.7, "targets|blurred"),
        (Scene(pixels=(420, 1000), blur=0.5), keep, 1400.7, "targets|pixels of"),
    ],
    ids=["finger", "one card", "faint", "joined", "chord", "scaled card", "pale rib", "blur", "coarse"],
)  # fmt: skip
def test_bad_photographs_are_refused_with_the_reason(
    scene: Scene, spoil: Callable[[FloatArray], FloatArray], chord: float, said: str
) -> None:
    with pytest.raises(InputError, match=said) as raised:
        outline_from_photo(spoil(photograph(scene)), chord=chord, where="rib.jpg")
    assert str(raised.value).startswith("rib.jpg: found")
