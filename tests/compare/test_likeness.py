"""Cases like one's own section: counted by shape and Reynolds number, nearest named with its error."""

from slowflight.compare.evidence.record import CaseError
from slowflight.compare.evidence.recorded import recorded_errors
from slowflight.compare.likeness import likeness
from slowflight.wing.naca import naca_section


def case(airfoil: str | None, reynolds: float, error: float | None, kind: str = "section") -> CaseError:
    return CaseError(
        case=f"{airfoil}-{reynolds:g}", kind=kind, tier="integral", role="checks", airfoil=airfoil,
        reynolds=reynolds, maximum_lift=error,
    )  # fmt: skip


ERRORS = (
    case("naca4412", 1.5e6, -0.08),
    case("naca4412", 9e6, 0.02),  # too fast
    case("naca0012", 1.5e6, 0.01),  # no camber
    case("naca4421", 1.5e6, 0.03),  # too thick
    case("naca4412", 1.6e6, None),  # drag alone
    case("naca4412", 1.5e6, 0.1, kind="flap"),
)


def test_alike_are_counted_and_the_nearest_is_named() -> None:
    found = likeness(naca_section("naca4414"), reynolds=2e6, errors=ERRORS)
    assert (found.alike, found.clean, found.flapped, found.with_vanes) == (1, 4, 1, 0)
    assert found.nearest is ERRORS[0]
    first, flap, vanes = found.sentences()
    assert first.startswith("1 measured case like yours")
    assert "NACA 4412 at a Reynolds number of 1.5 million" in first
    assert "-8.0 % off" in first
    assert flap == "1 measured case with the flap down."
    assert vanes == "0 measured cases with vanes."


def test_nothing_on_record_is_said() -> None:
    assert "none on record" in likeness(naca_section("naca4415"), reynolds=2e6, errors=()).sentences()[0]


def test_the_record_that_comes_with_the_package_has_no_vanes() -> None:
    found = likeness(naca_section("naca4412"), reynolds=1.5e6, errors=recorded_errors(tier="integral"))
    assert found.alike >= 1
    assert found.with_vanes == 0
