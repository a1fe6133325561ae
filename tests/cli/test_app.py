"""The command line as a whole: quick, quiet, and one line for every slip."""

import os
import subprocess
import sys
import time
from pathlib import Path

import pytest

import slowflight
from slowflight import __version__
from slowflight.cli.app import run

NUMERICAL = ("numpy", "scipy", "numba", "matplotlib", "rich")


def python(*arguments: str) -> subprocess.CompletedProcess[str]:
    source = str(Path(slowflight.__file__).parents[1])
    environment = {**os.environ, "PYTHONPATH": source}
    return subprocess.run(
        [sys.executable, *arguments], capture_output=True, text=True, check=False, env=environment
    )


@pytest.mark.parametrize("arguments", [["--help"], ["lift-curve", "--help"], ["--version"], ["nonsense"]])
def test_nothing_numerical_is_imported_before_a_command_runs(arguments: list[str]) -> None:
    code = f"""
import sys
import time
from slowflight.cli.app import run
run({arguments!r})
print("IMPORTED", *[name for name in {NUMERICAL!r} if name in sys.modules])
"""
    done = python("-c", code)
    assert done.returncode == 0, done.stderr
    assert done.stdout.splitlines()[-1].split() == ["IMPORTED"]


def test_cold_help_takes_less_than_600_ms() -> None:
    # The best of five, so that a busy machine does not decide it.
    def once() -> float:
        start = time.perf_counter()
        assert python("-m", "slowflight", "--help").returncode == 0
        return time.perf_counter() - start

    assert min(once() for _ in range(5)) < 0.6


def test_that_search_would_see_a_numerical_import() -> None:
    done = python("-c", f"import sys, numpy; print(*[name for name in {NUMERICAL!r} if name in sys.modules])")
    assert done.stdout.split() == ["numpy"]


@pytest.mark.parametrize("arguments", [["--help"], ["-h"], []])
def test_help_names_the_commands_and_the_danger(
    arguments: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(arguments) == 0
    shown = capsys.readouterr().out
    assert "lift-curve" in shown
    assert "slow flight and stalls kill" in shown


def test_version(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["--version"]) == 0
    assert capsys.readouterr().out == f"slowflight {__version__}\n"


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (["lift-curv"], "No such command 'lift-curv'"),
        (["lift-curve"], "Missing argument 'AIRFOIL'"),
        (["lift-curve", "naca0012", "--angles", "0:1:1"], "Missing option '--reynolds'"),
        (["lift-curve", "naca0012", "--reynolds", "1e6"], "Missing option '--angles'"),
        (["lift-curve", "naca0012", "--speed", "3"], "No such option: --speed"),
        (["lift-curve", "naca0012", "--reynolds"], "'--reynolds' requires an argument"),
        (["lift-curve", "a", "b", "--reynolds", "1e6", "--angles", "0:1:1"], "unexpected extra argument"),
    ],
)
def test_usage_slips_are_one_line_and_code_2(
    arguments: list[str], says: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(arguments) == 2
    shown = capsys.readouterr()
    assert shown.out == ""
    assert shown.err.startswith("slowflight: ")
    assert says in shown.err
    assert shown.err.count("\n") == 1


def test_module_runs_as_a_program() -> None:
    done = python("-m", "slowflight", "lift-curve", "naca0012", "--speed")
    assert done.returncode == 2
    assert done.stdout == ""
    assert done.stderr.count("\n") == 1
