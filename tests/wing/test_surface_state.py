"""Skin and air in words."""

from pathlib import Path

import pytest

from slowflight import sources
from slowflight.errors import InputError, RangeError, UnitError
from slowflight.wing.answers import Notebook
from slowflight.wing.planform_file import read_wing
from slowflight.wing.surface_state import (
    BUGS,
    PROPWASH,
    SMOOTH,
    amplification_in_turbulence,
    fabric_lap,
    surface_state,
)


def test_words_mean_what_they_say() -> None:
    assert surface_state("smooth", where="w") is SMOOTH
    assert surface_state(" Bugs ", where="w") is BUGS
    assert surface_state("propwash", where="w") is PROPWASH
    lap = surface_state({"fabric_lap": "12 %"}, where="w")
    assert lap.transition == (0.12, 0.12)
    assert lap == fabric_lap(0.12)
    for state in (SMOOTH, BUGS, PROPWASH, lap):
        assert state.basis
        assert 1.0 <= state.critical_amplification <= 15.0
        assert set(state.sources) <= set(sources.bibliography())


def test_turbulence_lowers_the_factor() -> None:
    """Mack's formula gives the usual 9 at a turbulence of 0.07 % (9.0 is what such tunnels are taken for)."""
    assert amplification_in_turbulence(7e-4) == pytest.approx(9.0, abs=0.05)
    assert PROPWASH.critical_amplification < SMOOTH.critical_amplification
    with pytest.raises(RangeError):
        amplification_in_turbulence(0.1)


@pytest.mark.parametrize(
    ("value", "error"),
    [
        ("rough", InputError),
        ("fabric lap", InputError),
        ({"fabric_lap": "12 mm"}, UnitError),
        ({"fabric_lap": "95 %"}, RangeError),
        ({"lap": "12 %"}, InputError),
        (3, InputError),
    ],
)
def test_other_things_are_refused_by_place(value: object, error: type[Exception]) -> None:
    with pytest.raises(error, match="wing surface"):
        surface_state(value, where="wing surface")


def test_wing_file_takes_it() -> None:
    table = {"span": "9 m", "section": [{"chord": "1400 mm", "airfoil": "naca4412"}]}
    plain = read_wing(dict(table), place=Path("wing.toml"), notebook=Notebook())
    assert plain.surface is SMOOTH
    lap = read_wing(
        {**table, "surface": {"fabric_lap": "15 %"}}, place=Path("wing.toml"), notebook=Notebook()
    )
    assert lap.surface.transition == (0.15, 0.15)
