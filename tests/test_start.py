"""The bootstrap: says in one line what is in the way, and installs only when something changed."""

import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

import start


@pytest.fixture
def copy(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Pretend that the repository is an empty folder with the two files that decide what is installed."""
    monkeypatch.setattr(start, "ROOT", tmp_path)
    monkeypatch.setattr(start, "ENVIRONMENT", tmp_path / ".venv")
    monkeypatch.setattr(start, "STAMP", tmp_path / ".venv" / "slowflight-installed.json")
    monkeypatch.setattr(start, "CONSTRAINTS", tmp_path / "constraints.txt")
    (tmp_path / "pyproject.toml").write_text("a", encoding="utf-8")
    (tmp_path / "constraints.txt").write_text("b", encoding="utf-8")
    start.environment_python().parent.mkdir(parents=True)
    start.environment_python().write_text("", encoding="utf-8")
    return tmp_path


@pytest.fixture
def commands(monkeypatch: pytest.MonkeyPatch) -> list[list[str]]:
    """Record commands instead of running them."""
    ran: list[list[str]] = []

    def pretend(command: list[str], environment: dict[str, str] | None = None) -> None:
        ran.append(command)

    monkeypatch.setattr(start, "quiet", pretend)
    return ran


def pip_installs(commands: list[list[str]]) -> list[str]:
    return [command[-1] for command in commands if "install" in command and "--editable" in command]


def test_old_python_is_told_so_in_one_line(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(sys, "version_info", (3, 10, 4))
    assert start.main(["--help"]) == 2
    assert capsys.readouterr().err == (
        "slowflight: this is Python 3.10.4; slowflight needs 3.11 or newer, from python.org or your system\n"
    )


def test_oldest_python_is_the_one_the_package_asks_for() -> None:
    text = (Path(start.__file__).parent / "pyproject.toml").read_text(encoding="utf-8")
    assert f'requires-python = ">={".".join(map(str, start.OLDEST_PYTHON))}"' in text


def test_installs_once_and_again_only_when_something_changed(copy: Path, commands: list[list[str]]) -> None:
    start.install(())
    assert pip_installs(commands) == [str(copy)]
    commands.clear()
    start.install(())
    assert commands == []
    (copy / "constraints.txt").write_text("other", encoding="utf-8")
    start.install(())
    assert pip_installs(commands) == [str(copy)]


def test_checking_adds_its_tools_and_running_does_not_take_them_away(
    copy: Path, commands: list[list[str]]
) -> None:
    start.install(())
    start.install(start.EXTRAS_TO_CHECK)
    assert pip_installs(commands)[-1] == f"{copy}[dev,docs,layout,report,solids,web]"
    commands.clear()
    start.install(())
    assert commands == []


def test_failed_install_is_not_taken_for_done(
    copy: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(start, "quiet", lambda command, environment=None: "first\nno network")
    with pytest.raises(start.CannotStart):
        start.install(())
    assert not start.STAMP.exists()


def test_damaged_stamp_counts_as_none(copy: Path, commands: list[list[str]]) -> None:
    for damage in ("", "[]", "{not json"):
        start.STAMP.write_text(damage, encoding="utf-8")
        start.install(())
        assert pip_installs(commands) == [str(copy)]
        assert json.loads(start.STAMP.read_text(encoding="utf-8"))["extras"] == []
        commands.clear()


def test_missing_venv_module_names_the_command_that_adds_it(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(shutil, "which", lambda name: "/usr/bin/apt-get")
    monkeypatch.setattr(os, "geteuid", lambda: 1000, raising=False)
    monkeypatch.setattr(sys, "version_info", (3, 11, 2))
    with pytest.raises(start.CannotStart, match=r"run: sudo apt-get install python3\.11-venv"):
        start.install_venv_module()


def test_missing_venv_module_is_added_where_that_is_allowed(
    monkeypatch: pytest.MonkeyPatch, commands: list[list[str]], capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(shutil, "which", lambda name: "/usr/bin/apt-get")
    monkeypatch.setattr(os, "geteuid", lambda: 0, raising=False)
    monkeypatch.setattr(sys, "version_info", (3, 12, 0))
    start.install_venv_module()
    assert commands[-1] == ["apt-get", "install", "-y", "-qq", "python3.12-venv"]
    assert "python3.12-venv" in capsys.readouterr().err


def test_check_runs_every_step_and_fails_with_the_first_failure(
    copy: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    codes = iter([0, 3, 0, 5, 0, 0])
    ran: list[str] = []

    def pretend(command: list[str], **options: object) -> subprocess.CompletedProcess[str]:
        ran.append(command[2] if command[1] == "-m" else Path(command[0]).name)
        return subprocess.CompletedProcess(command, next(codes))

    monkeypatch.setattr(subprocess, "run", pretend)
    assert start.check() == 3
    assert ran == ["ruff", "ruff", "mypy", "lint-imports", "sphinx", "pytest"]
    shown = capsys.readouterr().out
    assert "format: failed (3)" in shown
    assert "tests: good" in shown
