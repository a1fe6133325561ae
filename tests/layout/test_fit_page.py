"""Every example of fit.toml in the documents is read as it stands."""

import re
from pathlib import Path

import pytest

from slowflight.layout.fit import Fit
from slowflight.layout.fit_file import TABLES, read_fit

PAGE = Path(__file__).parents[2] / "docs" / "fitting.md"


BLOCKS = re.findall(r"```toml\n(.*?)```", PAGE.read_text(encoding="utf-8"), re.DOTALL)


@pytest.mark.parametrize("number", range(len(BLOCKS)))
def test_each_example_is_read(tmp_path: Path, number: int) -> None:
    (tmp_path / "fit.toml").write_text(BLOCKS[number], encoding="utf-8")
    assert read_fit(tmp_path / "fit.toml") != Fit()


def test_the_examples_name_every_table() -> None:
    assert {table for block in BLOCKS for table in re.findall(r"^\[+(\w+)\]+", block, re.MULTILINE)} == set(
        TABLES
    )
