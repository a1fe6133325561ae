"""Which words say where to compute."""

from __future__ import annotations

from pathlib import Path

import pytest

from slowflight.cli.app import run
from slowflight.cli.workers import workers_of
from slowflight.errors import InputError


@pytest.mark.parametrize(
    ("word", "means"),
    [
        ("serial", 1),
        ("local", 6),
        ("cluster", "cluster"),
        ("cluster:4", "cluster:4"),
        ("tcp://10.0.0.5:8786", "tcp://10.0.0.5:8786"),
        ("tls://head.example:8786", "tls://head.example:8786"),
    ],
)
def test_known_words(word: str, means: int | str) -> None:
    assert workers_of(word, cores=6) == means


@pytest.mark.parametrize(
    "word",
    ["", "Local", "cluster:", "cluster:0", "cluster:-1", "tcp://", "tcp://10.0.0.5", "http://a:1", "4"],
)
def test_other_words_are_one_error(word: str) -> None:
    with pytest.raises(InputError, match=r"--scheduler: found .*needs 'local'"):
        workers_of(word, cores=6)


@pytest.mark.parametrize("command", ["predict", "demo"])
def test_a_wrong_word_leaves_nothing_behind(
    command: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = tmp_path / "new"
    assert run([command, str(folder), "--scheduler", "moon"]) == 2
    assert "found 'moon'" in capsys.readouterr().err
    assert not folder.exists()
