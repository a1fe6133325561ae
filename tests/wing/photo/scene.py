"""A photograph drawn from a formula: a dark rib and both cards, seen askew, in shadow, with noise."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from PIL import Image, ImageDraw
from scipy import ndimage

from slowflight.wing.naca import naca_section
from slowflight.wing.outline import FloatArray
from slowflight.wing.photo.cards import DOT, NOSE_CARD, RING, TAIL_CARD, WHITE, Card

STEP = 0.2  # of the drawn plane [mm]


@dataclass(frozen=True, kw_only=True)
class Scene:
    airfoil: str = "4415"
    chord: float = 1400.0
    pixels: tuple[int, int] = (1700, 4000)  # rows, columns
    tilt: float = 12.0
    yaw: float = 9.0
    roll: float = 2.0
    distance: float = 3600.0
    lens: float = -0.015
    noise: float = 0.02
    shadow: float = 0.6
    blur: float = 0.9
    rib_gray: float = 0.12
    ground: float = 0.85
    tail_card: bool = True
    card_scale: float = 1.0
    seed: int = 1


WIDE, HIGH = 1760.0, 640.0
ORIGIN = (180.0, 190.0)  # of the nose on the plane [mm], y down


def plane(scene: Scene) -> FloatArray:
    """The scene from straight above, without light [0 to 1]."""
    fine = 2
    size = (round(WIDE / STEP) * fine, round(HIGH / STEP) * fine)
    image = Image.new("L", size, round(255 * scene.ground))
    draw = ImageDraw.Draw(image)
    k = fine / STEP
    section = naca_section(scene.airfoil, points=1999, closed_trailing_edge=True)
    outline = [
        ((ORIGIN[0] + scene.chord * x) * k, (ORIGIN[1] - scene.chord * y) * k)
        for x, y in zip(section.x, section.y, strict=True)
    ]
    draw.polygon(outline, fill=round(255 * scene.rib_gray))
    _card(draw, NOSE_CARD, (210.0, 450.0), 3.0, k, scene.card_scale)
    if scene.tail_card:
        _card(draw, TAIL_CARD, (1530.0, 440.0), -5.0, k, scene.card_scale)
    return np.asarray(image.reduce(fine), dtype=np.float64) / 255.0


def _card(
    draw: ImageDraw.ImageDraw, card: Card, at: tuple[float, float], turn: float, k: float, s: float
) -> None:
    cosine, sine = np.cos(np.radians(turn)), np.sin(np.radians(turn))

    def place(x: float, y: float) -> tuple[float, float]:
        return (at[0] + s * (x * cosine - y * sine)) * k, (at[1] + s * (x * sine + y * cosine)) * k

    draw.polygon([place(x, y) for x, y in ((-95, -130), (95, -130), (95, 130), (-95, 130))], fill=242)
    # Bars and lines of words, as on the printed page.
    for x0, y0, x1, y1 in (
        (-50, 40, 50, 40.4),
        (-50, 50, 51.6, 50.4),
        (64, -30, 64.4, 70),
        (-30, -56, 30, -50),
        *((-62 + 9.0 * n, -46 + 4.0 * m, -55 + 9.0 * n, -44 + 4.0 * m) for n in range(13) for m in range(5)),
    ):
        draw.polygon([place(x, y) for x, y in ((x0, y0), (x1, y0), (x1, y1), (x0, y1))], fill=40)
    for x, y in card.targets:
        u, v = place(x, y)
        for radius, fill in ((RING, 12), (WHITE, 242), (DOT, 12)):
            r = radius * k * s
            draw.ellipse((u - r, v - r, u + r, v + r), fill=fill)


def photograph(scene: Scene) -> FloatArray:
    """What a camera sees, 0 to 1, shape (rows, columns)."""
    rows, columns = scene.pixels
    focal = columns * scene.distance / (WIDE * 1.06)
    angles = np.radians([scene.tilt, scene.yaw, scene.roll])
    (cx, cy, cz), (sx, sy, sz) = np.cos(angles), np.sin(angles)
    turn = (
        np.array([[cz, -sz, 0], [sz, cz, 0], [0, 0, 1]])
        @ np.array([[cy, 0, sy], [0, 1, 0], [-sy, 0, cy]])
        @ np.array([[1, 0, 0], [0, cx, -sx], [0, sx, cx]])
    )
    middle = np.array([WIDE / 2, HIGH / 2])
    # A point (x, y) of the plane, from its middle, in the camera's frame and then on the film.
    to_film = np.array([[focal, 0, columns / 2], [0, focal, rows / 2], [0, 0, 1]]) @ np.column_stack(
        (turn[:, 0], turn[:, 1], np.array([0.0, 0.0, scene.distance]))
    )
    down, across = np.mgrid[0:rows, 0:columns].astype(float)
    film = np.stack((across, down), axis=-1)
    half, center = 0.5 * np.hypot(rows, columns), np.array([columns - 1.0, rows - 1.0]) / 2
    # The lens: where the ideal ray of a shown pixel is, solved by substitution.
    shown = (film - center) / half
    ideal = shown
    for _ in range(12):
        ideal = shown / (1.0 + scene.lens * np.sum(ideal**2, axis=-1, keepdims=True))
    rays = center + half * ideal
    lifted = np.concatenate((rays, np.ones((rows, columns, 1))), axis=-1) @ np.linalg.inv(to_film).T
    spots = lifted[..., :2] / lifted[..., 2:] + middle
    flat = plane(scene)
    picture = ndimage.map_coordinates(
        flat, [spots[..., 1] / STEP - 0.5, spots[..., 0] / STEP - 0.5], order=1, mode="nearest"
    )
    light = 1.0 - 0.25 * across / columns + 0.1 * down / rows
    # A soft shadow lies over the rib from above, slanting.
    edge = (spots[..., 0] - 620.0) + 0.6 * (spots[..., 1] - 150.0)
    light = light * (
        1.0 - (1.0 - scene.shadow) / (1.0 + np.exp(-edge / 12.0)) / (1.0 + np.exp((edge - 330.0) / 12.0))
    )
    rng = np.random.default_rng(scene.seed)
    seen = ndimage.gaussian_filter(picture * light, scene.blur)
    return np.asarray(np.clip(seen + rng.normal(0.0, scene.noise, seen.shape), 0.0, 1.0))
