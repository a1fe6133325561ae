"""The published cases: complete, rightly filed, and closed to whoever asks for the other role."""

from __future__ import annotations

import math
import shutil
from importlib.resources import files
from itertools import pairwise
from pathlib import Path

import pytest

from slowflight.compare.evidence.case import CALIBRATES, CHECKS, FROM_MEMORY, QUANTITIES, Case
from slowflight.compare.evidence.from_run import ANSWERABLE
from slowflight.compare.evidence.library import cases
from slowflight.errors import InputError
from slowflight.sources import bibliography
from tests.compare.evidence.comparisons import WHOLE, write_case

ALL = cases(role="any")
FOLDER = Path(str(files("slowflight.compare.evidence"))) / "cases"


def by_name(name: str) -> Case:
    (found,) = (case for case in ALL if case.name == name)
    return found


def value_of(name: str, quantity: str, variant: str = "") -> float | None:
    (found,) = (m for m in by_name(name).measured if (m.quantity, m.variant) == (quantity, variant))
    return found.value


@pytest.mark.parametrize("case", ALL, ids=lambda case: case.name)
def test_every_case_says_whence_and_how_well(case: Case) -> None:
    """The loader refuses a file without source, role, provenance or reading error; here the rest."""
    assert case.source in bibliography()
    assert case.measured
    conditions = case.conditions
    assert all((conditions.trips, conditions.turbulence, conditions.aspect_ratio, conditions.tunnel))
    for measured in case.measured:
        exact = measured.quantity == "ranking"
        assert measured.reading_error > 0.0 or exact
        assert measured.value is not None or case.table
    assert ("remembered" in case.name) == (case.provenance == FROM_MEMORY)


@pytest.mark.parametrize("case", ALL, ids=lambda case: case.name)
def test_what_is_run_can_be_answered_and_what_is_not_says_why(case: Case) -> None:
    why = case.why_not("integral")
    if why is None:
        assert {m.quantity for m in case.measured} <= ANSWERABLE
    else:
        assert why.startswith(("cannot be run: ", "not yet predicted by this tier: "))
        assert all(m.value is not None for m in case.measured)


def test_no_name_of_a_number_comes_twice() -> None:
    names = [(case.name, m.quantity, m.variant) for case in ALL for m in case.measured]
    assert len(names) == len(set(names))


def test_remembered_values_never_calibrate() -> None:
    remembered = [case for case in ALL if case.provenance == FROM_MEMORY]
    assert len(remembered) == 10
    assert all(case.role == CHECKS and not case.counts for case in remembered)


def test_what_calibrates() -> None:
    """Ladson's NACA 0012, Coles and Wadcock's NACA 4412; the one set with vanes is kept for it."""
    assert [case.name for case in cases(role=CALIBRATES)] == [
        "ls10421mod-vanes",
        "naca0012-tripped-6e6",
        "naca4412-pressures",
        "naca4412-tripped-1.52e6",
    ]


def test_figures_of_the_sources() -> None:
    """One of each file family, as the source named in it has them; the others were copied the same way."""
    assert value_of("naca0012-tripped-6e6", "maximum lift", "grit no. 120") == 1.635  # Ladson, TM 4074
    assert value_of("naca0012-smooth-6e6", "maximum lift") == 1.596  # Abbott and von Doenhoff
    assert value_of("naca0012-tripped-3e6", "angle of maximum lift") == 16.1  # Gregory and O'Reilly
    assert value_of("naca4412-pressures", "lift") == 1.668  # Coles and Wadcock, 51 pressures
    assert value_of("naca2412-smooth-5.7e6", "maximum lift") == 1.67  # TR 824, second hand
    assert value_of("ls10417-strip-4.3e6", "maximum lift") == 1.78  # TN D-7428, second hand
    assert value_of("clark-y-external-airfoil-flap", "maximum lift with flap", "45 deg") == 1.81  # TN 524
    assert value_of("ls10421mod-vanes", "maximum lift with vanes", "station at the wall") == 1.92
    assert value_of("wing-ar7-taper0.5", "span efficiency") == 0.98578571  # Glauert's series
    ladson = by_name("naca0012-tripped-6e6").table
    assert len(ladson["cl"]) == 53
    assert max(float(cl) for cl in ladson["cl"]) == 1.6347
    assert len(by_name("naca4412-pressures").table["x"]) == 51


def test_lift_of_the_4412_follows_from_its_pressures() -> None:
    """Coles and Wadcock: trapezoids over the 51 pressures give the 1.668 that the case has."""
    table = by_name("naca4412-pressures").table
    taps = list(zip(*(table[name] for name in ("x", "y", "pressure_coefficient")), strict=True))
    along = across = 0.0
    for one, other in pairwise([[float(number) for number in tap] for tap in taps]):
        pressure = 0.5 * (one[2] + other[2])
        along += pressure * (other[1] - one[1])
        across -= pressure * (other[0] - one[0])
    angle = math.radians(13.87)
    assert across * math.cos(angle) - along * math.sin(angle) == pytest.approx(1.668, abs=0.0005)


def test_every_kind_is_there_and_none_with_vanes_can_be_run() -> None:
    assert {case.kind for case in ALL} == {"section", "flap", "vane", "wing"}
    assert not any(case.why_not("integral") is None for case in ALL if case.kind == "vane")


def test_every_quantity_is_used() -> None:
    assert {m.quantity for case in ALL for m in case.measured} == set(QUANTITIES)


def test_every_table_belongs_to_a_case() -> None:
    named = {line.split('"')[1] for file in FOLDER.rglob("*.toml") for line in _table_lines(file)}
    assert {file.name for file in FOLDER.rglob("*.csv")} == named


def _table_lines(file: Path) -> list[str]:
    return [line for line in file.read_text(encoding="utf-8").splitlines() if line.startswith("table = ")]


def test_asking_for_what_calibrates_opens_no_check(tmp_path: Path) -> None:
    shutil.copytree(FOLDER, tmp_path / "cases")
    for file in (tmp_path / "cases" / CHECKS).iterdir():
        file.write_text("= not a case", encoding="utf-8")
    assert len(cases(role=CALIBRATES, folder=tmp_path / "cases")) == 4
    with pytest.raises(InputError, match="no TOML"):
        cases(role="any", folder=tmp_path / "cases")


def test_unknown_role_is_refused() -> None:
    with pytest.raises(InputError, match="role: found 'all'; needs one of calibrates, checks, any"):
        cases(role="all")


def test_a_case_in_the_other_roles_folder_is_refused(tmp_path: Path) -> None:
    write_case(tmp_path, "astray", WHOLE, role=CALIBRATES)
    with pytest.raises(InputError, match="role 'checks' in the folder 'calibrates'"):
        cases(role=CALIBRATES, folder=tmp_path)


def test_a_name_in_both_roles_is_refused(tmp_path: Path) -> None:
    write_case(tmp_path, "twice", WHOLE)
    write_case(tmp_path, "twice", WHOLE.replace('"checks"', '"calibrates"'), role=CALIBRATES)
    with pytest.raises(InputError, match="the name twice"):
        cases(role="any", folder=tmp_path)
