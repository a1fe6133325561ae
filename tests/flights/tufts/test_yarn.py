"""Directions of invented tufts whose truth is known, and how often windows of them are judged right."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import numpy.typing as npt
import pytest
from PIL import Image, ImageOps

from slowflight.errors import InputError
from slowflight.flights.tufts.film import film_scores, read_film
from slowflight.flights.tufts.frames import frames_of
from slowflight.flights.tufts.in_picture import TuftInPicture
from slowflight.flights.tufts.scores import compare_scores
from slowflight.flights.tufts.states import ATTACHED, REVERSED, STATES, UNSTEADY
from slowflight.flights.tufts.yarn import read_yarn
from tests.flights.tufts.drawn import SIZE, draw, rows_of_tufts
from tests.flights.tufts.films import film

TUFTS = rows_of_tufts()


def gray(picture: Image.Image) -> npt.NDArray[np.float64]:
    return np.asarray(picture.convert("L"), dtype=np.float64) / 255.0


@pytest.mark.parametrize("light_yarn", [False, True])
@pytest.mark.parametrize("grain", [0.01, 0.05])
def test_every_direction_is_read(light_yarn: bool, grain: float) -> None:
    random = np.random.default_rng(7)
    off: list[float] = []
    for seed in range(100, 106):
        angles = random.uniform(-math.pi, math.pi, len(TUFTS)).tolist()
        picture = draw(TUFTS, angles, seed=seed, light_yarn=light_yarn, grain=grain)
        found = read_yarn(gray(picture), TUFTS, yarn="light" if light_yarn else "dark")
        off += [abs(math.remainder(a - b, 2.0 * math.pi)) for a, b in zip(angles, found.angles, strict=True)]
    assert np.isfinite(off).all()
    assert math.degrees(float(np.median(off))) < 3.0
    assert math.degrees(float(np.quantile(off, 0.95))) < 8.0


def test_the_sense_is_that_of_the_picture() -> None:
    """Positive turns from x toward y, which points down: a tuft that lies downward and turns to its left."""
    picture = draw(TUFTS, [math.radians(40.0)] * len(TUFTS), curl=0.0)
    found = read_yarn(gray(picture), TUFTS)
    assert np.degrees(found.angles) == pytest.approx([40.0] * len(TUFTS), abs=5.0)
    turned = read_yarn(gray(ImageOps.mirror(picture)), mirrored())
    assert np.degrees(turned.angles) == pytest.approx([-40.0] * len(TUFTS), abs=5.0)


def mirrored() -> tuple[TuftInPicture, ...]:
    width = SIZE[0] - 1.0
    return tuple(
        TuftInPicture(name=t.name, base=(width - t.base[0], t.base[1]), tip=(width - t.tip[0], t.tip[1]))
        for t in TUFTS
    )


def test_bare_skin_has_no_tufts() -> None:
    seen = 0
    for seed in range(6):
        picture = draw(TUFTS, [math.nan] * len(TUFTS), seed=seed)
        seen += int(np.count_nonzero(np.isfinite(read_yarn(gray(picture), TUFTS).angles)))
    assert seen <= 3  # of 90


def test_a_wing_of_the_other_color_is_not_read_backward() -> None:
    picture = draw(TUFTS, [0.0] * len(TUFTS), light_yarn=True)
    found = read_yarn(gray(picture), TUFTS, yarn="dark")
    assert np.count_nonzero(np.isfinite(found.angles)) <= 2
    with pytest.raises(InputError, match="dark or light"):
        read_yarn(gray(picture), TUFTS, yarn="red")
    with pytest.raises(InputError, match="tuft A1: found a base at 80, 30"):
        read_yarn(gray(picture)[:20], TUFTS)


@pytest.mark.parametrize("light_yarn", [False, True])
def test_confusion_matrix_of_invented_films(tmp_path: Path, light_yarn: bool) -> None:
    """States drawn at random for each tuft and window: what the pictures say beside the truth."""
    random = np.random.default_rng(11)
    truth: dict[tuple[float, str], str] = {}

    def state(time: float, tuft: str) -> str:
        key = (round(math.floor(time / 0.5 + 1e-9) * 0.5 + 0.25, 3), tuft)
        return truth.setdefault(key, STATES[int(random.integers(3))])

    folder = film(tmp_path / "frames", state, seconds=5.0, seed=500, light_yarn=light_yarn)
    read = read_film(frames_of(folder, rate=12.0), TUFTS, yarn="light" if light_yarn else "dark")
    found = compare_scores(truth, film_scores(read))
    assert found.total + found.unseen == 10 * len(TUFTS)
    assert found.unseen <= 0.03 * len(truth)
    assert found.agreement >= 0.85
    assert found.beyond_chance >= 0.78
    # The mistake that would matter: calm taken for reversed or the other way round.
    assert found.counts.get((ATTACHED, REVERSED), 0) == 0
    assert found.counts.get((REVERSED, ATTACHED), 0) == 0
    assert found.counts[(UNSTEADY, UNSTEADY)] > 0.6 * sum(s == UNSTEADY for s in truth.values())
