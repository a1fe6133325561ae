"""Distribution files: complete or not there at all."""

import csv
import os
from pathlib import Path

import pytest

from slowflight.errors import InputError
from slowflight.flow.solution import FlowPoint
from slowflight.verbs import check_destination, write_distributions
from tests.verbs.curves import made_up_point


def test_every_angle_element_and_side_has_its_rows(tmp_path: Path) -> None:
    path = tmp_path / "layers.csv"
    write_distributions([made_up_point(4.0), made_up_point(-2.0), made_up_point(9.0, failed=True)], path)
    with path.open(encoding="utf-8", newline="") as stream:
        rows = list(csv.DictReader(stream))
    assert [(row["alpha_deg"], row["side"]) for row in rows[::3]] == [
        ("-2.0", "upper"),
        ("-2.0", "lower"),
        ("4.0", "upper"),
        ("4.0", "lower"),
    ]
    assert len(rows) == 12
    assert {row["element"] for row in rows} == {"main"}
    assert float(rows[1]["x"]) == 0.5
    assert float(rows[2]["shape_factor"]) == 3.0
    assert rows[0]["friction_coefficient"] == ""  # what is not known is empty, never NaN


def test_an_old_file_is_replaced(tmp_path: Path) -> None:
    path = tmp_path / "layers.csv"
    path.write_text("old", encoding="utf-8")
    write_distributions([made_up_point(0.0)], path)
    assert path.read_text(encoding="utf-8").startswith("alpha_deg,element,side,arc,x,y,pressure_coefficient,")
    assert list(tmp_path.iterdir()) == [path]


def test_a_failed_write_leaves_the_old_file_alone(tmp_path: Path) -> None:
    path = tmp_path / "layers.csv"
    path.write_text("old", encoding="utf-8")

    class Broken(dict[str, object]):
        def items(self) -> object:  # type: ignore[override]
            raise ZeroDivisionError

    point = made_up_point(0.0)
    broken = FlowPoint(**{**vars(point), "layers": Broken()})
    with pytest.raises(ZeroDivisionError):
        write_distributions([point, broken], path)
    assert path.read_text(encoding="utf-8") == "old"
    assert list(tmp_path.iterdir()) == [path]


def test_destination_that_cannot_be_written_is_refused(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="--distributions: found the folder"):
        check_destination(tmp_path, where="--distributions")
    with pytest.raises(InputError, match="make the folder first"):
        check_destination(tmp_path / "none" / "layers.csv", where="--distributions")
    assert check_destination(tmp_path / "layers.csv", where="--distributions") == tmp_path / "layers.csv"


def test_a_device_is_refused_and_stays_one() -> None:
    with pytest.raises(InputError, match="which is no file"):
        check_destination(os.devnull, where="--distributions")


def test_a_link_stays_a_link(tmp_path: Path) -> None:
    real = tmp_path / "real.csv"
    real.write_text("old", encoding="utf-8")
    link = tmp_path / "link.csv"
    link.symlink_to(real)
    write_distributions([made_up_point(0.0)], link)
    assert link.is_symlink()
    assert real.read_text(encoding="utf-8").startswith("alpha_deg,")


def test_write_into_a_folder_that_went_away_is_one_clear_error(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="cannot be written"):
        write_distributions([], tmp_path / "none" / "layers.csv")
