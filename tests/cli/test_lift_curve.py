"""``lift-curve`` around a made-up solver: what reaches it, what comes out, and what each slip says."""

import csv
import json
import math
from collections.abc import Callable
from pathlib import Path

import pytest

from slowflight.cli.app import run
from tests.verbs.curves import MadeUpFlow

SWEEP = ["lift-curve", "naca4412", "--reynolds", "1.5e6", "--angles", "-4:2:2"]

PLAIN_FLAP = '[flap]\nkind = "plain"\nchord = "25 %"\n'
ROW = """
[[vane_row]]
surface = "upper"
station = "9 %"
height = "7 mm"
length = "20 mm"
incidence = "17 deg"
arrangement = "counter-rotating"
opening = "downstream"
pitch = "72 mm"
gap = "18 mm"
"""

Solver = Callable[..., MadeUpFlow]


@pytest.fixture
def solver(monkeypatch: pytest.MonkeyPatch) -> Solver:
    """Return a function that puts a made-up solver in place of the real one."""

    def place(**options: object) -> MadeUpFlow:
        flow = MadeUpFlow(**options)  # type: ignore[arg-type]
        monkeypatch.setattr("slowflight.flow.lift_curve.lift_curve", flow)
        return flow

    return place


@pytest.fixture
def file(tmp_path: Path) -> Callable[[str, str], str]:
    """Return a function that writes a file and gives its name back."""

    def write(name: str, text: str) -> str:
        (tmp_path / name).write_text(text, encoding="utf-8")
        return str(tmp_path / name)

    return write


File = Callable[[str, str], str]


def test_plain_options_reach_the_solver(solver: Solver, capsys: pytest.CaptureFixture[str]) -> None:
    flow = solver()
    assert run([*SWEEP, "--json"]) == 0
    assert flow.given["angles_deg"] == (-4.0, -2.0, 0.0, 2.0)
    assert flow.given["reynolds"] == 1.5e6
    assert flow.given["transition"] == (None, None)
    assert flow.given["critical_amplification"] == 9.0
    assert flow.given["vane_rows"] == ()
    assert flow.given["chord_m"] is None
    record = json.loads(capsys.readouterr().out)
    assert [point["alpha_deg"] for point in record["points"]] == [-4.0, -2.0, 0.0, 2.0]
    assert record["cl_max"] == 1.5


def test_every_other_option_reaches_the_solver(solver: Solver, file: File) -> None:
    flow = solver()
    options = [
        "--chord",
        "60 in",
        "--transition",
        "0.025,0.103",
        "--amplification",
        "7",
        "--tier",
        "integral",
    ]
    options += ["--vanes", file("vanes.toml", ROW + ROW.replace("9 %", "20 %"))]
    assert run([*SWEEP, *options]) == 0
    assert flow.given["chord_m"] == pytest.approx(1.524)
    assert flow.given["transition"] == (0.025, 0.103)
    assert flow.given["critical_amplification"] == 7.0
    assert [row.station for row in flow.given["vane_rows"]] == [pytest.approx(0.09), pytest.approx(0.20)]
    assert flow.given["vane_rows"][0].height == pytest.approx(0.007)


def test_flap_turns_the_section(solver: Solver, file: File) -> None:
    flow = solver()
    assert run([*SWEEP, "--flap", file("flap.toml", PLAIN_FLAP), "--flap-angle", "20"]) == 0
    turned = flow.given["section"]
    assert turned.flap.angle == pytest.approx(math.radians(20.0))
    # Exact: the trailing edge of a rigid part turns about the hinge, here down and forward.
    reach = 1.0 - turned.flap.hinge_x
    assert turned.x[0] == pytest.approx(turned.flap.hinge_x + reach * math.cos(math.radians(20.0)), abs=0.02)
    assert turned.y[0] < -0.2 * reach


def test_negative_flap_angle_is_no_option(solver: Solver, file: File) -> None:
    flow = solver()
    assert run([*SWEEP, "--flap", file("flap.toml", PLAIN_FLAP), "--flap-angle", "-5"]) == 0
    assert flow.given["section"].flap.angle == pytest.approx(math.radians(-5.0))


def test_table_shows_numbers_sources_and_caution(solver: Solver, capsys: pytest.CaptureFixture[str]) -> None:
    solver()
    assert run(SWEEP) == 0
    shown = capsys.readouterr()
    assert "-4.00" in shown.out
    assert "-0.4000" in shown.out
    assert "80 % chord" in shown.out
    assert "1.500 at 15.0 deg" in " ".join(shown.out.split())
    assert "U.S. Standard Atmosphere, 1976" in shown.out
    assert "Note: made up" in shown.out
    assert "Caution: section values" in shown.out
    assert shown.err == ""


def test_distributions_are_written(solver: Solver, tmp_path: Path) -> None:
    solver()
    path = tmp_path / "layers.csv"
    assert run([*SWEEP, "--distributions", str(path)]) == 0
    with path.open(encoding="utf-8", newline="") as stream:
        rows = list(csv.DictReader(stream))
    assert {row["alpha_deg"] for row in rows} == {"-4.0", "-2.0", "0.0", "2.0"}


def test_unconverged_angles_are_marked_written_and_code_3(
    solver: Solver, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    solver(failing=(0.0,))
    path = tmp_path / "layers.csv"
    assert run([*SWEEP, "--json", "--distributions", str(path)]) == 3
    shown = capsys.readouterr()
    failed = json.loads(shown.out)["points"][2]
    assert failed["converged"] is False
    assert failed["cl"] is None
    assert shown.err == "slowflight: 1 of 4 angles have no converged answer and are marked: 0 deg\n"
    assert path.exists()


def test_table_marks_a_failed_angle(solver: Solver, capsys: pytest.CaptureFixture[str]) -> None:
    solver(failing=(0.0,))
    assert run(SWEEP) == 3
    line = next(line for line in capsys.readouterr().out.splitlines() if line.split()[:1] == ["0.00"])
    assert line.split()[1:4] == ["-", "-", "-"]
    assert "not converged" in line


def test_interrupting_keeps_what_was_computed(
    solver: Solver, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    solver(stop_after=2)
    path = tmp_path / "layers.csv"
    assert run([*SWEEP, "--distributions", str(path)]) == 130
    shown = capsys.readouterr()
    assert shown.err.startswith("slowflight: interrupted after 2 finished angles")
    assert shown.err.count("\n") == 1
    with path.open(encoding="utf-8", newline="") as stream:
        assert {row["alpha_deg"] for row in csv.DictReader(stream)} == {"-4.0", "-2.0"}


def test_interrupting_before_the_first_angle_leaves_an_old_file_alone(solver: Solver, file: File) -> None:
    solver(stop_after=0)
    old = file("layers.csv", "old")
    assert run([*SWEEP, "--distributions", old]) == 130
    assert Path(old).read_text(encoding="utf-8") == "old"


@pytest.mark.parametrize(
    ("options", "says"),
    [
        (["--reynolds", "9999"], "--reynolds: found '9999'; needs a Reynolds number from 10000 to 1e+08"),
        (["--reynolds", "1e9"], "--reynolds: found '1e9'"),
        (["--reynolds", "nan"], "--reynolds: found 'nan'"),
        (["--reynolds", "inf"], "--reynolds: found 'inf'"),
        (["--reynolds", "fast"], "--reynolds: found 'fast'"),
        (["--angles", "0:50:1"], "--angles: found '0:50:1'; needs angles from -30 to 40 degrees"),
        (["--angles", "0:0.3:0.0175"], "radians"),
        (["--angles", "0:30:0.01"], "at most 2,000"),
        (["--angles", "0-10"], "FROM:TO:STEP"),
        (["--chord", "60"], "--chord: found '60' without a unit; needs a length"),
        (["--chord", "60 kg"], "--chord: found '60 kg', a mass; needs a length"),
        (["--chord", "60 mm", "--reynolds", "nan"], "--reynolds"),
        (["--chord", "63 ft"], "--chord: found '63 ft', 19.2024 m; needs a wing chord from 0.05 to 10 m"),
        (["--chord", "1.5 mm"], "check the unit"),
        (["--chord", "-1.5 m"], "needs a wing chord"),
        (["--amplification", "0.5"], "--amplification: found '0.5'; needs an exponent from 1 to 15"),
        (["--amplification", "16"], "--amplification"),
        (["--transition", "laminar"], "--transition"),
        (["--transition", "5"], "5 %"),
        (["--tier", "slab"], "this version computes the integral and the rans tier"),
        (["--tier", "magic"], "this version computes the integral and the rans tier"),
        (["--transition", "turbulent"], "--transition: found 'turbulent'"),
        (["--tier", "rans", "--vanes", "vanes.toml"], "--chord"),
        (["--tier", "rans", "--grid", "huge"], "needs preview or medium or default or fine"),
        (["--tier", "rans", "--distributions", "layers.csv"], "does not write layers yet"),
        (["--keep", "points"], "needs --tier rans with it"),
        (["--flap-angle", "10"], "needs --flap FILE"),
        (["--flap", "flap.toml"], "needs --flap-angle DEG"),
        (["--vanes", "vanes.toml"], "--chord"),
        (["--vanes", "no-such.toml", "--chord", "1.5 m"], "no-such.toml"),
        (["--flap", "no-such.toml", "--flap-angle", "10"], "no-such.toml"),
        (["--distributions", "."], "found the folder '.'"),
        (["--distributions", "a" * 5000], "File name too long"),
        (["--distributions", "no-such-folder/layers.csv"], "no folder 'no-such-folder'"),
    ],
)
def test_nonsense_is_one_line_and_code_2(
    options: list[str], says: str, solver: Solver, capsys: pytest.CaptureFixture[str]
) -> None:
    flow = solver()
    assert run([*SWEEP, *options]) == 2
    shown = capsys.readouterr()
    assert says in shown.err
    assert shown.err.startswith("slowflight: ")
    assert shown.err.count("\n") == 1
    assert shown.out == ""
    assert flow.given == {}  # nothing was computed


@pytest.mark.parametrize("airfoil", ["no-such.csv", "naca44", "naca", "", ".", "naca9999999", "a" * 5000])
def test_airfoil_that_is_none_is_one_line_and_code_2(
    airfoil: str, solver: Solver, capsys: pytest.CaptureFixture[str]
) -> None:
    flow = solver()
    assert run(["lift-curve", airfoil, *SWEEP[2:]]) == 2
    shown = capsys.readouterr()
    assert shown.err.startswith("slowflight: ")
    assert shown.err.count("\n") == 1
    assert flow.given == {}


@pytest.mark.parametrize(
    ("kind", "says"), [("split", "not yet predicted"), ("hung", "airfoil"), ("slotted", "airfoil")]
)
def test_split_flap_is_not_yet_predicted_and_others_need_their_airfoil(
    kind: str, says: str, solver: Solver, file: File, capsys: pytest.CaptureFixture[str]
) -> None:
    flow = solver()
    flap = file("flap.toml", PLAIN_FLAP.replace("plain", kind))
    assert run([*SWEEP, "--flap", flap, "--flap-angle", "20"]) == 2
    shown = capsys.readouterr().err
    assert says in shown
    assert "flap.toml" in shown
    assert shown.count("\n") == 1
    assert flow.given == {}


@pytest.mark.parametrize(
    ("before", "after", "says"),
    [
        ('"25 %"', '"2.5 %"', "flap chord"),
        ('"25 %"', "25", "flap chord"),
        ("chord", "cord", "rename 'cord' to 'chord'"),
        ('"plain"', '"plane"', "did you mean 'plain'?"),
        ("[flap]", "[flaps]", "did you mean 'flap'?"),
        ("[flap]\n", "", "unknown key 'kind'"),
        ('chord = "25 %"', 'chord = "25 %"\nsettings = [18]', "settings"),
        ('chord = "25 %"', 'chord = "25 %"\nhinge = "aft"', "hinge"),
        ("=", "", "slip in the TOML"),
    ],
)
def test_flap_slips_are_one_line_and_code_2(
    before: str, after: str, says: str, solver: Solver, file: File, capsys: pytest.CaptureFixture[str]
) -> None:
    assert before in PLAIN_FLAP
    flow = solver()
    flap = file("flap.toml", PLAIN_FLAP.replace(before, after))
    assert run([*SWEEP, "--flap", flap, "--flap-angle", "20"]) == 2
    shown = capsys.readouterr().err
    assert "flap.toml" in shown
    assert says in shown
    assert shown.count("\n") == 1
    assert flow.given == {}


@pytest.mark.parametrize(
    ("before", "after", "says"),
    [
        ('height = "7 mm"', 'height = "70 mm"', "height"),
        ('pitch = "72 mm"', 'pitch = "7.2 mm"', "pitch"),
        ('height = "7 mm"', "height = 7", "height"),
        ('pitch = "72 mm"\n', "", "pitch"),
        ('incidence = "17 deg"', 'incidence = "0.3 deg"', "incidence"),
        ('gap = "18 mm"', 'gapp = "18 mm"', "gap"),
    ],
)
def test_vane_slips_are_one_line_and_code_2(
    before: str, after: str, says: str, solver: Solver, file: File, capsys: pytest.CaptureFixture[str]
) -> None:
    assert before in ROW
    flow = solver()
    vanes = file("vanes.toml", ROW.replace(before, after))
    assert run([*SWEEP, "--chord", "1500 mm", "--vanes", vanes]) == 2
    shown = capsys.readouterr().err
    assert "vanes.toml" in shown
    assert says in shown
    assert shown.count("\n") == 1
    assert flow.given == {}


def test_failed_run_leaves_an_old_file_alone(solver: Solver, file: File) -> None:
    solver()
    old = file("layers.csv", "old")
    assert run([*SWEEP, "--reynolds", "nan", "--distributions", old]) == 2
    assert Path(old).read_text(encoding="utf-8") == "old"


@pytest.mark.parametrize(
    ("options", "says"),
    [
        (["--turbulence", "both"], "--turbulence: found --tier integral"),
        (["--tier", "rans", "--turbulence", "both"], "--turbulence: found both models with laminar layers"),
        (
            ["--tier", "rans", "--turbulence", "best"],
            "--turbulence: found 'best'; needs one-equation or both",
        ),
        (
            ["--tier", "rans", "--transition", "turbulent", "--turbulence", "both", "--time-average"],
            "--time-average: found --turbulence both",
        ),
    ],
)
def test_both_turbulence_models_are_computed_where_they_can_be(
    options: list[str], says: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run([*SWEEP, *options]) == 2
    assert says in capsys.readouterr().err.replace("\n", " ")


@pytest.mark.parametrize(
    ("options", "says"),
    [
        ([], "--transition: found laminar layers with a hung or slotted flap"),
        (["--transition", "turbulent", "--time-average"], "--time-average: found it with a hung"),
        (["--transition", "turbulent", "--keep", "kept"], "--keep: found it with a hung"),
        (["--transition", "turbulent", "--turbulence", "both"], "--turbulence: found it with a hung"),
    ],
)
def test_the_minutes_tier_says_what_it_lacks_with_a_hung_flap(
    options: list[str], says: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    flap = tmp_path / "flap.toml"
    flap.write_text(
        '[flap]\nkind = "hung"\nchord = "23 %"\nairfoil = "naca2414"\naxis_aft = "1.1 %"\n'
        'axis_below = "5 %"\naxis_in_flap = "26 %"\n'
    )
    asked = [*SWEEP, "--tier", "rans", "--flap", str(flap), "--flap-angle", "16", *options]
    assert run(asked) == 2
    assert says in capsys.readouterr().err
