"""Opening a project folder and writing the demonstration into one."""

from __future__ import annotations

from pathlib import Path

import pytest

from slowflight.errors import InputError
from slowflight.project import DEMO_FILES, open_project, write_demo


def content(folder: Path) -> dict[str, bytes]:
    return {str(path.relative_to(folder)): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def test_the_demonstration_in_a_new_folder(tmp_path: Path) -> None:
    folder = tmp_path / "new" / "demo"
    project = write_demo(folder)
    assert set(content(folder)) == set(DEMO_FILES)
    assert project == open_project(folder)
    assert project.wing_file == folder / "wing.toml"
    assert not project.runs.exists()
    assert not project.layout.exists()
    assert not project.report.exists()


def test_written_again_it_goes_on_with_what_is_there(tmp_path: Path) -> None:
    project = write_demo(tmp_path)
    (project.ready(project.runs) / "result.json").write_text("{}", encoding="utf-8")
    before, time = content(tmp_path), project.wing_file.stat().st_mtime_ns
    assert write_demo(tmp_path) == project
    assert content(tmp_path) == before
    assert project.wing_file.stat().st_mtime_ns == time


def test_what_an_earlier_start_left_out_is_added(tmp_path: Path) -> None:
    project = write_demo(tmp_path)
    whole = content(tmp_path)
    project.wing_file.unlink()
    write_demo(tmp_path)
    assert content(tmp_path) == whole


@pytest.mark.parametrize("name", DEMO_FILES)
def test_another_file_of_the_name_is_never_overwritten(tmp_path: Path, name: str) -> None:
    (tmp_path / name).write_text("my own\n", encoding="utf-8")
    before = content(tmp_path)
    with pytest.raises(InputError, match="nothing is overwritten") as caught:
        write_demo(tmp_path)
    assert str(caught.value).startswith(str(tmp_path / name))
    assert content(tmp_path) == before


def test_a_demonstration_the_owner_changed_is_his(tmp_path: Path) -> None:
    project = write_demo(tmp_path)
    text = project.wing_file.read_text(encoding="utf-8")
    project.wing_file.write_text(text.replace("82 kt", "83 kt"), encoding="utf-8")
    before = content(tmp_path)
    with pytest.raises(InputError, match="another file than the demonstration's"):
        write_demo(tmp_path)
    assert content(tmp_path) == before


def test_a_dangling_link_is_in_the_way(tmp_path: Path) -> None:
    (tmp_path / "wing.toml").symlink_to(tmp_path / "elsewhere")
    with pytest.raises(InputError, match="another file"):
        write_demo(tmp_path)
    assert not (tmp_path / "elsewhere").exists()
    assert not (tmp_path / "rib.csv").exists()


def test_a_file_in_place_of_the_folder(tmp_path: Path) -> None:
    (tmp_path / "demo").write_text("", encoding="utf-8")
    with pytest.raises(InputError, match="found a file; needs a folder"):
        write_demo(tmp_path / "demo")
    with pytest.raises(InputError, match="cannot be written"):
        write_demo(tmp_path / "demo" / "inside")


def test_other_line_ends_are_the_same_file(tmp_path: Path) -> None:
    project = write_demo(tmp_path)
    project.wing_file.write_bytes(project.wing_file.read_bytes().replace(b"\n", b"\r\n"))
    assert write_demo(tmp_path) == project


def test_folders_are_made_when_they_are_needed(tmp_path: Path) -> None:
    project = write_demo(tmp_path)
    inside = project.ready(project.report / "pictures")
    assert inside.is_dir()
    assert project.ready(inside) == inside
    project.runs.write_text("", encoding="utf-8")
    with pytest.raises(InputError, match="found a file; needs a folder of that name"):
        project.ready(project.runs)
    with pytest.raises(InputError, match="runs"):
        project.ready(project.runs / "inside")


@pytest.mark.parametrize(
    ("name", "message"),
    [
        ("nowhere", "no such folder"),
        ("empty", "no wing.toml; needs a folder with that file; 'slowflight demo' writes one"),
        ("full/wing.toml", "found a file; needs the project folder; give the folder it is in"),
    ],
)
def test_no_project(tmp_path: Path, name: str, message: str) -> None:
    (tmp_path / "empty").mkdir()
    write_demo(tmp_path / "full")
    with pytest.raises(InputError) as caught:
        open_project(tmp_path / name)
    assert message in str(caught.value)
    assert str(caught.value).startswith(str(tmp_path / name))
    assert caught.value.exit_code == 2
