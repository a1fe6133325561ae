"""``lift-curve`` with the real solver, as an owner runs it."""

import csv
import json
import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest

import slowflight
from slowflight.cli.app import run

ENVIRONMENT = {**os.environ, "PYTHONPATH": str(Path(slowflight.__file__).parents[1])}


def test_json_has_every_angle_and_the_file_its_pressures(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "layers.csv"
    sweep = ["lift-curve", "naca0012", "--reynolds", "3e6", "--angles", "-2:2:1", "--json"]
    assert run([*sweep, "--distributions", str(path)]) == 0
    record = json.loads(capsys.readouterr().out)
    points = record["points"]
    assert [point["alpha_deg"] for point in points] == [-2.0, -1.0, 0.0, 1.0, 2.0]
    assert all(point["converged"] for point in points)
    # Exact: a symmetric section has no lift and no moment at zero angle, and odd lift about it.
    assert points[2]["cl"] == pytest.approx(0.0, abs=1e-3)
    assert points[0]["cl"] == pytest.approx(-points[4]["cl"], abs=2e-3)
    # Thin-airfoil theory, 2 pi per radian, within a tenth: thickness raises it, layers lower it.
    assert points[4]["cl"] == pytest.approx(0.2193, rel=0.1)
    assert record["cl_max"] is None  # not bracketed by these angles
    assert "DrelaGiles1987" in record["sources"]
    assert "Jacobs1933" in record["sources"]
    with path.open(encoding="utf-8", newline="") as stream:
        rows = [row for row in csv.DictReader(stream) if row["alpha_deg"] == "0.0" and row["side"] == "upper"]
    # Exact: pressure coefficient and edge speed obey Bernoulli's equation, and the flow rests at the nose.
    for row in rows:
        assert float(row["pressure_coefficient"]) == pytest.approx(
            1.0 - float(row["edge_speed"]) ** 2, abs=1e-6
        )
    assert max(float(row["pressure_coefficient"]) for row in rows) > 0.9


def listen_to_ctrl_c() -> None:
    """Undo what a shell does to its background jobs, so that the test may run in one."""
    signal.signal(signal.SIGINT, signal.SIG_DFL)


@pytest.mark.skipif(
    os.name != "posix", reason="sends the signal that Ctrl-C sends, which only POSIX lets us do"
)
def test_ctrl_c_keeps_what_was_computed(tmp_path: Path) -> None:
    path = tmp_path / "layers.csv"
    command = [sys.executable, "-m", "slowflight", "lift-curve", "naca4412", "--reynolds", "1.5e6"]
    command += ["--angles", "-10:9:0.01", "--distributions", str(path)]
    with subprocess.Popen(
        command,
        env=ENVIRONMENT,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        preexec_fn=listen_to_ctrl_c,
    ) as child:
        assert child.stderr is not None
        first = child.stderr.readline()  # the first line of progress: some angles are done
        child.send_signal(signal.SIGINT)
        out, err = child.communicate(timeout=120)
    assert "angles" in first
    assert child.returncode == 130
    assert out == ""
    assert "interrupted after" in err.splitlines()[-1]
    assert "Traceback" not in err
    with path.open(encoding="utf-8", newline="") as stream:
        assert len({row["alpha_deg"] for row in csv.DictReader(stream)}) >= 1


def test_hung_flap_adds_lift_and_is_an_element_of_its_own(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Direction only, as every measured flap of this kind shows (Noyes, NACA TN 524)."""
    flap = tmp_path / "flap.toml"
    flap.write_text(
        '[flap]\nkind = "hung"\nairfoil = "naca0012"\nchord = "20 %"\naxis_aft = "1.5 %"\n'
        'axis_below = "3.5 %"\naxis_in_flap = "22 %"\n',
        encoding="utf-8",
    )
    lifts = []
    for angle in ("0", "15"):
        asked = ["lift-curve", "naca4415", "--reynolds", "1.5e6", "--angles", "0:4:4", "--json"]
        assert run([*asked, "--flap", str(flap), "--flap-angle", angle]) == 0
        record = json.loads(capsys.readouterr().out)
        assert [element["name"] for element in record["points"][0]["elements"]] == ["main", "flap"]
        assert any("no measured section" in warning for warning in record["warnings"])
        lifts.append(record["points"][0]["cl"])
    assert lifts[1] > lifts[0] + 0.3
