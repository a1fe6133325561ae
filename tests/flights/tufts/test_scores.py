"""Scores by eye: read, refused, set beside the pictures; kappa by a statistics library."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from statsmodels.stats.inter_rater import cohens_kappa

from slowflight.errors import InputError
from slowflight.flights.tufts.in_picture import read_places
from slowflight.flights.tufts.scores import compare_scores, read_scores
from slowflight.flights.tufts.states import ATTACHED, REVERSED, STATES, UNSEEN, UNSTEADY
from tests.flights.tufts.drawn import rows_of_tufts
from tests.flights.tufts.films import places_text


def written(tmp_path: Path, text: str) -> Path:
    place = tmp_path / "table.csv"
    place.write_text(text, encoding="utf-8")
    return place


def test_keys_and_words_are_read(tmp_path: Path) -> None:
    found = read_scores(
        written(tmp_path, "# mine\ntime s;tuft;state\n0.25;A1;a\n0.25;A2;reversed\n0.75;A1;N\n0.75;A2;u\n")
    )
    assert found == {
        (0.25, "A1"): ATTACHED,
        (0.25, "A2"): REVERSED,
        (0.75, "A1"): UNSEEN,
        (0.75, "A2"): UNSTEADY,
    }


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("time s,tuft,state\n0.25,A1,x\n", "line 2: found 'x'"),
        ("time s,tuft,state\n0.25,A1,a\n0.25,A1,r\n", "A1 at 0.25 s twice"),
        ("time s,tuft,state\nsoon,A1,a\n", "'soon'; needs a number"),
        ("time s,tuft\n0.25,A1\n", "no column 'state'"),
        ("time s,tuft,state\n0.25,,a\n", "no tuft"),
        ("time s,tuft,state\n", "no line below"),
        ("", "empty file"),
    ],
)
def test_slips_in_scores(tmp_path: Path, text: str, said: str) -> None:
    with pytest.raises(InputError, match=said):
        read_scores(written(tmp_path, text))


def test_places_come_back_as_saved(tmp_path: Path) -> None:
    found = read_places(written(tmp_path, places_text()))
    assert [one.name for one in found] == [one.name for one in rows_of_tufts()]
    assert found[0].length == pytest.approx(34.0, abs=0.1)
    with pytest.raises(InputError, match="yarn of 1 pixels"):
        read_places(written(tmp_path, "tuft,base x,base y,tip x,tip y\nA1,5,5,6,5\n"))
    with pytest.raises(InputError, match="tuft A1 twice"):
        read_places(written(tmp_path, "tuft,base x,base y,tip x,tip y\nA1,5,5,50,5\nA1,5,5,60,5\n"))


def test_agreement_and_kappa_are_those_of_a_statistics_library() -> None:
    random = np.random.default_rng(4)
    eye = {(0.5 * n, "A1"): STATES[int(random.integers(3))] for n in range(60)}
    picture = {
        key: state if random.uniform() < 0.7 else STATES[int(random.integers(3))]
        for key, state in eye.items()
    }
    found = compare_scores(eye, picture)
    table = [[found.counts.get((a, b), 0) for b in STATES] for a in STATES]
    assert found.beyond_chance == pytest.approx(cohens_kappa(np.array(table)).kappa, abs=1e-12)
    assert found.agreement == pytest.approx(np.mean([eye[key] == picture[key] for key in eye]))
    assert found.total == 60


def test_windows_are_matched_by_time_and_unseen_is_no_disagreement() -> None:
    eye = {(0.3, "A1"): ATTACHED, (5.0, "A1"): REVERSED, (0.3, "B1"): UNSEEN, (0.3, "C1"): REVERSED}
    picture = {(0.25, "A1"): ATTACHED, (0.25, "B1"): ATTACHED, (0.25, "C1"): UNSEEN}
    found = compare_scores(eye, picture)
    assert found.counts == {(ATTACHED, ATTACHED): 1}
    assert found.unseen == 1
    assert "1 scores are few" in found.words
    assert "no tuft" in compare_scores({}, picture).words
