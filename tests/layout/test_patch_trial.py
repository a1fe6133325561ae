"""Patch trials: mirrored bays, tufts behind, refusals."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from slowflight.errors import InputError
from slowflight.layout.fit import Fit, Moving, Patch
from slowflight.layout.paper_set import write_patch_papers
from slowflight.layout.patch_trial import PatchTrial, lay_out_patches
from tests.layout.measured import read_pages
from tests.layout.wings import straight_wing, tapered_wing, vane_row


def patch(station: float, start: float, **changes: object) -> Patch:
    values = {"name": f"P{100 * station:.0f}", "side": "both", "station": station, "span_from": start}
    return Patch(**{**values, "span_to": start + 0.3, **changes})  # type: ignore[arg-type]


GOOD = (patch(0.05, 1.0), patch(0.10, 1.8), patch(0.15, 2.6))


def trial(*patches: Patch, fit: Fit | None = None) -> PatchTrial:
    return lay_out_patches(
        wing=tapered_wing(), row=vane_row(), fit=replace(fit or Fit(), patches=patches or GOOD)
    )


def test_bays_are_mirrored_and_stations_are_those_asked_for() -> None:
    found = trial()
    assert [plan.row.station for plan in found.plans] == [0.05, 0.10, 0.15]
    for plan, asked in zip(found.plans, GOOD, strict=True):
        left, right = plan.on("left"), plan.on("right")
        assert [v.span_position for v in left] == [v.span_position for v in right]
        assert {v.hand for v in left} == {"A", "B"}
        assert all(asked.span_from <= v.span_position <= asked.span_to for v in left)


def test_tufts_stand_behind_each_patch_and_beside_it_on_bare_skin() -> None:
    found = trial()
    for plan in found.plans:
        behind = [tuft for tuft in found.tufts if tuft.bay == plan.name]
        bare = [tuft for tuft in found.tufts if tuft.bay == f"bare beside {plan.name}"]
        assert len(behind) == len(bare) >= 4
        last = max(vane.trailing_skin_distance for vane in plan.vanes)
        assert all(tuft.skin_distance > last + 0.03 for tuft in behind)
        for tuft in bare:
            assert not any(p.span_from <= tuft.span_position <= p.span_to for p in found.plans)


@pytest.mark.parametrize(
    ("patches", "said"),
    [
        (GOOD[:1], "two or three"),
        ((*GOOD, patch(0.2, 3.2)), "two or three"),
        ((GOOD[0], patch(0.10, 1.8, side="left")), "unmirrored"),
        ((patch(0.05, 2.4), patch(0.10, 3.0)), "outboard patches only"),
        ((GOOD[0], patch(0.05, 2.0)), "one station twice"),
        ((GOOD[0], patch(0.10, 1.2)), "bays apart"),
        ((GOOD[0], patch(0.10, 3.9)), "at most"),
    ],
)
def test_refusals(patches: tuple[Patch, ...], said: str) -> None:
    with pytest.raises(InputError) as raised:
        trial(*patches)
    assert said in str(raised.value)


def test_moving_surfaces_hold_for_patches_too() -> None:
    slat = Moving(name="slat", span_from=0.5, span_to=4.0, begins=0.0, ends=0.07, gap_travel=0.01)
    with pytest.raises(InputError, match="flutter"):
        trial(fit=Fit(moving=(slat,)))


def test_papers_are_always_trial_and_carry_the_card(tmp_path: Path) -> None:
    wing = straight_wing()
    found = lay_out_patches(wing=wing, row=vane_row(), fit=Fit(patches=GOOD))
    files = write_patch_papers(
        found, tmp_path, wing=wing, aircraft="Invented two-seater", revision="7", made_on="today"
    )
    assert [file.name for file in files] == [
        f"patch-{name}-{paper}.pdf" for paper in ("a4", "letter") for name in ("trial", "1", "2", "3")
    ]
    pages = read_pages(files[0])
    assert all(any(words.text == "TRIAL" for words in page.words) for page in pages)
    text = " ".join(words.text for page in pages for words in page.words)
    for needed in ("well above the stall", "5,000 ft", "1.3 times", "bare beside P5", "BOTH wings"):
        assert needed in text
