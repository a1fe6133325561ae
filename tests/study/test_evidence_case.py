"""What is computed for a published case: only what the case asks, once, and again only where it changed."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from slowflight.compare.evidence.case import Measured
from slowflight.compare.evidence.library import cases
from slowflight.errors import InputError
from slowflight.flow.lift_curve import lift_curve
from slowflight.study import pool
from slowflight.study.evidence_case import SectionRun, WingRun, evidence_run
from slowflight.study.store import RunStore
from slowflight.wing.naca import naca_section
from tests.compare.evidence.comparisons import case

PRESSURE = Measured(
    quantity="mean pressure coefficient, upper side", value=None, reading_error=0.01, angle_deg=4.0
)


def section_run(**changed: Any) -> SectionRun:
    found = evidence_run(case(**changed), tier="integral")
    assert isinstance(found, SectionRun)
    return found


def test_a_section_is_run_as_its_case_says() -> None:
    found = section_run(measured=(PRESSURE,))
    assert found.reynolds == 3e6
    assert found.angles_deg == (0.0, 4.0, 8.0)
    assert found.transition == (None, None)
    assert found.pressures_at == (4.0,)
    assert found.section.name == naca_section("0012").name
    assert found.section.y[0] == found.section.y[-1]  # closed


def test_a_result_is_the_lift_curves_with_the_pressures_asked_for() -> None:
    run = section_run(measured=(PRESSURE,))
    result = run.decode(run.encode(run.compute()))
    curve = lift_curve(run.section, reynolds=3e6, angles_deg=(0.0, 4.0, 8.0))
    assert [p["cl"] for p in result["points"]] == [p.cl for p in curve.points]
    assert [p["cd"] for p in result["points"]] == [p.cd for p in curve.points]
    assert result["pressures"].keys() == {"4"}
    (upper,) = (layer for layer in curve.points[1].layers["main"] if layer.side == "upper")
    assert result["pressures"]["4"]["upper"]["x"] == pytest.approx(upper.x, abs=1e-7)
    assert result["pressures"]["4"]["upper"]["pressure_coefficient"] == pytest.approx(
        upper.pressure_coefficient, abs=1e-7
    )


def test_a_wing_agrees_with_glauerts_series() -> None:
    """Glauert 1926, chapter XI, 200 terms reckoned apart: the strips' own error is below 1e-4."""
    (published,) = (c for c in cases(role="checks") if c.name == "wing-ar6-taper0.5")
    run = evidence_run(published, tier="integral")
    assert run == WingRun(aspect_ratio=6.0, taper=0.5, tier="integral")
    found = run.compute()
    expected = {m.quantity: m.value for m in published.measured}
    assert found["slope"] == pytest.approx(expected["wing lift slope"], rel=1e-4)
    assert found["span_efficiency"] == pytest.approx(expected["span efficiency"], rel=1e-4)
    assert found["largest_local"] == pytest.approx(expected["largest local lift over wing lift"], rel=1e-4)


@pytest.mark.parametrize(
    "changed",
    [
        {"reynolds": 4e6},
        {"airfoil": "naca0015"},
        {"closed_trailing_edge": False},
        {"angles_deg": (0.0, 4.0)},
        {"measured": (PRESSURE,)},
    ],
    ids=["Reynolds number", "airfoil", "trailing edge", "angles", "pressures"],
)
def test_what_the_result_depends_on_is_in_the_key(changed: dict[str, Any]) -> None:
    assert section_run(**changed).key != section_run().key


def test_trips_and_tier_are_in_the_key() -> None:
    run = section_run()
    assert replace(run, transition=(0.05, None)).key != replace(run, transition=(None, 0.05)).key != run.key
    assert replace(run, tier="rans").key != run.key


def test_what_was_measured_is_not_in_the_key() -> None:
    """A misprint mended in a case's figures needs no new computation, only a new comparison."""
    lift = Measured(quantity="maximum lift", value=1.5, reading_error=0.01)
    same = section_run(measured=(lift,), title="other words", role="calibrates", source="Glauert1926")
    assert same.key == section_run().key


def test_cases_that_cannot_be_run_have_no_run() -> None:
    assert evidence_run(case(not_run={"any": "no coordinates"}), tier="integral") is None
    assert evidence_run(case(not_run={"integral": "two bodies"}), tier="integral") is None
    assert evidence_run(case(airfoil=None), tier="integral") is None
    assert evidence_run(case(not_run={"rans": "too slow"}), tier="integral") is not None


def test_a_tier_that_is_not_there_is_refused() -> None:
    with pytest.raises(InputError, match="the one tier there is"):
        evidence_run(case(), tier="rans")


@pytest.mark.parametrize("run", [section_run(), WingRun(aspect_ratio=6.0, taper=1.0, tier="integral")])
def test_another_cases_file_and_a_damaged_one_are_refused(run: SectionRun | WingRun) -> None:
    record = json.loads(run.encode({"cl_max": 1.5}))
    assert record["input"]["tier"] == "integral"
    with pytest.raises(ValueError, match="another case"):
        run.decode(json.dumps({**record, "key": "evidence-other"}).encode())
    with pytest.raises(ValueError, match="damaged"):
        run.decode(json.dumps({**record, "result": {"cl_max": 1.6}}).encode())


def test_only_a_changed_case_is_computed_again(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    computed: list[float] = []
    compute = WingRun.compute

    def counted(run: WingRun) -> dict[str, Any]:
        computed.append(run.aspect_ratio)
        return compute(run)

    monkeypatch.setattr(WingRun, "compute", counted)
    store = RunStore(tmp_path)
    wings = [WingRun(aspect_ratio=a, taper=1.0, tier="integral") for a in (5.0, 6.0, 7.0)]
    first = pool.run(wings, store)
    assert computed == [5.0, 6.0, 7.0]
    wings[1] = replace(wings[1], aspect_ratio=6.5)
    second = pool.run(wings, store)
    assert computed == [5.0, 6.0, 7.0, 6.5]
    assert second[wings[0].key] == first[wings[0].key]
