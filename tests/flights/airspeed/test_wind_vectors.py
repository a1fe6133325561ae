"""Wind and true airspeed: published worked examples, legs built from known winds, and laws that must hold."""

import math
from itertools import permutations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from slowflight.errors import InputError
from slowflight.flights.airspeed.circle_fit import Leg, fit_legs
from slowflight.flights.airspeed.near_stall import true_airspeed_from_ground
from slowflight.flights.airspeed.three_speeds import headings_a_third_apart, headings_square, tracks_square
from slowflight.units import SPEED

KT = SPEED.factors["kt"]


def legs_of(pairs: list[tuple[float, float]], unit: float = KT) -> list[Leg]:
    return [Leg(ground_speed=speed * unit, track=math.radians(track)) for speed, track in pairs]


def built_legs(
    true: float, wind: float, wind_from: float, headings: list[float]
) -> list[tuple[float, float]]:
    """Exact ground speed and track [deg] by adding the wind to the velocity through the air."""
    found = []
    for heading in headings:
        north = true * math.cos(math.radians(heading)) - wind * math.cos(math.radians(wind_from))
        east = true * math.sin(math.radians(heading)) - wind * math.sin(math.radians(wind_from))
        found.append((math.hypot(north, east), math.degrees(math.atan2(east, north)) % 360.0))
    return found


def test_published_three_leg_example() -> None:
    # D. Gray, 'Using GPS to accurately establish true airspeed', 1998, his worked example: legs (140, 192),
    # (112, 283), (120, 20) give true airspeed 130.0 and wind 20.6 from 314.8 degrees.
    fit = fit_legs(legs_of([(140, 192), (112, 283), (120, 20)]))
    assert fit.true_airspeed.value / KT == pytest.approx(130.0, abs=0.05)
    assert fit.wind_speed / KT == pytest.approx(20.6, abs=0.05)
    assert math.degrees(fit.wind_from) == pytest.approx(314.8, abs=0.05)


# Exact: velocities added; true airspeed, wind, wind from, then (ground speed, track) to eight digits.
EXACT = {
    "four square headings": (60, 12, 250, [(65.088471, 9.9765972), (71.394379, 86.704426),
                                           (57.021847, 168.59434), (48.896243, 274.81495)]),
    "a third apart": (45, 15, 30, [(30.3399, 44.924985), (55.836935, 171.87573), (52.074247, 264.29534)]),
    "square, turned by ten": (100, 20, 305, [(93.324846, 21.19954), (118.42817, 104.09275),
                                             (109.95669, 180.51159), (82.308984, 274.10587)]),
}  # fmt: skip


@pytest.mark.parametrize("name", EXACT)
def test_exact_legs_give_back_airspeed_and_wind(name: str) -> None:
    true, wind, wind_from, pairs = EXACT[name]
    fit = fit_legs(legs_of(pairs))
    assert fit.true_airspeed.value / KT == pytest.approx(true, abs=1e-5)
    assert fit.wind_speed / KT == pytest.approx(wind, abs=1e-5)
    assert math.degrees(fit.wind_from) == pytest.approx(wind_from, abs=1e-4)


def test_six_noisy_legs_with_their_standard_error() -> None:
    # Computed once with a general least-squares routine from the same six legs: geometric fit, wind toward
    # (4.1779, 11.2079), true airspeed 52.0315 with standard error 0.0735 and scatter 0.180, all in knots.
    pairs = [(57.5, 11.7), (63.7, 61.5), (60.5, 111.4), (48.9, 167.3), (40.4, 236.7), (45.3, 311.8)]
    fit = fit_legs(legs_of(pairs), leg_uncertainty=0.0)
    assert fit.true_airspeed.value / KT == pytest.approx(52.0315, abs=1e-4)
    assert fit.standard_uncertainty / KT == pytest.approx(0.0735, abs=1e-4)
    assert fit.residual / KT == pytest.approx(0.180, abs=1e-3)
    assert (fit.wind_north / KT, fit.wind_east / KT) == pytest.approx((4.1779, 11.2079), abs=1e-4)


@pytest.mark.parametrize(
    ("headings", "published_ground_speeds"),
    [
        # Gratton, Aeronautical Journal 111 (2007) and texts before him: 100 kt, wind 270/20.
        ([0.0, 90.0, 180.0, 270.0], [102.0, 120.0, 102.0, 80.0]),
        ([300.0, 120.0, 305.0], [83.3, 117.7, 84.4]),
    ],
)
def test_published_examples_against_averaging(
    headings: list[float], published_ground_speeds: list[float]
) -> None:
    legs = built_legs(100.0, 20.0, 270.0, headings)
    assert [speed for speed, _ in legs] == pytest.approx(published_ground_speeds, abs=0.06)


def test_published_example_of_tracks_a_third_apart() -> None:
    # Published: 100 kt, wind 045/30, ground tracks 0, 120, 240 flown on headings 12.2, 103.2 and 244.5 give
    # 76.5, 87.9 and 128.7 kt; their root mean square is 100.2, not 100.
    legs = built_legs(100.0, 30.0, 45.0, [12.25, 103.16, 244.45])
    speeds = [speed for speed, _ in legs]
    assert speeds == pytest.approx([76.5, 87.9, 128.7], abs=0.06)
    assert [round(track) % 360 for _, track in legs] == [0, 120, 240]
    assert math.sqrt(sum(speed**2 for speed in speeds) / 3.0) == pytest.approx(100.2, abs=0.05)
    assert fit_legs(legs_of(legs)).true_airspeed.value / KT == pytest.approx(100.0, abs=1e-6)


def test_closed_forms_on_one_wind() -> None:
    # Exact: true airspeed 52, wind 250/12, ground speeds to four decimals.
    assert headings_a_third_apart(57.2262, 60.4169, 40.2363) == pytest.approx((52.0, 12.0), abs=1e-3)
    assert headings_square(57.2262, 63.4093, 49.2053) == pytest.approx((52.0, 4.1042, 11.2763), abs=1e-3)
    true, ahead, right = tracks_square(54.8669, 63.1141, 46.6584)
    assert true == pytest.approx(52.0, abs=1e-3)
    assert math.hypot(ahead, right) == pytest.approx(12.0, abs=1e-3)
    assert math.degrees(math.atan2(-right, -ahead)) % 360 == pytest.approx(250.0, abs=0.01)


def test_rounded_legs() -> None:
    # Exact case rounded to 0.1 kt and 0.1 degree: 51.968.
    fit = fit_legs(legs_of([(57.2, 11.4), (60.4, 111.2), (40.2, 237.0)]))
    assert fit.true_airspeed.value / KT == pytest.approx(51.968, abs=1e-3)


def test_averaging_is_wrong_by_what_was_published() -> None:
    # Exact: the mean of four headings over-reads by 0.69 kt here.
    speeds = [speed for speed, _ in built_legs(52.0, 12.0, 250.0, [0.0, 90.0, 180.0, 270.0])]
    assert sum(speeds) / 4.0 - 52.0 == pytest.approx(0.69, abs=0.005)


@pytest.mark.parametrize(
    ("headings", "amplification"),
    [
        # Exact: least squares of the linearized circle.
        ([0.0, 120.0, 240.0], 1.0 / math.sqrt(3.0)),
        ([0.0, 90.0, 180.0, 270.0], 0.5),
        ([0.0, 60.0, 120.0, 180.0, 240.0, 300.0], 1.0 / math.sqrt(6.0)),
        ([0.0, 90.0, 180.0], math.sqrt(0.5)),
    ],
)
def test_what_the_headings_cost(headings: list[float], amplification: float) -> None:
    fit = fit_legs(legs_of(built_legs(52.0, 0.0, 0.0, headings)))
    assert fit.amplification == pytest.approx(amplification, rel=1e-6)


@given(
    true=st.floats(15.0, 60.0),
    share=st.floats(0.0, 0.8),
    wind_from=st.floats(0.0, 360.0),
    first=st.floats(0.0, 360.0),
    drift=st.tuples(st.floats(-10.0, 10.0), st.floats(-10.0, 10.0)),
)
def test_wind_added_to_all_legs_leaves_the_airspeed(
    true: float, share: float, wind_from: float, first: float, drift: tuple[float, float]
) -> None:
    legs = legs_of(built_legs(true, share * true, wind_from, [first, first + 100.0, first + 230.0]), unit=1.0)
    fit = fit_legs(legs)
    blown = []
    for leg in legs:
        north = leg.ground_speed * math.cos(leg.track) + drift[0]
        east = leg.ground_speed * math.sin(leg.track) + drift[1]
        blown.append(Leg(ground_speed=math.hypot(north, east), track=math.atan2(east, north)))
    again = fit_legs(blown)
    assert again.true_airspeed.value == pytest.approx(true, rel=1e-6)
    assert again.wind_north - fit.wind_north == pytest.approx(drift[0], abs=1e-5)


def test_order_of_legs_does_not_matter() -> None:
    pairs = [(57.5, 11.7), (63.7, 61.5), (60.5, 111.4), (40.4, 236.7)]
    answers = {round(fit_legs(legs_of(list(p))).true_airspeed.value, 9) for p in permutations(pairs)}
    assert len(answers) == 1


def test_band_holds_the_truth_as_often_as_it_says() -> None:
    # Exact: normal errors of known size on the vector components; 95 % bands of three and of five legs.
    rng = np.random.default_rng(7)
    for headings in ([0.0, 120.0, 240.0], [0.0, 72.0, 144.0, 216.0, 288.0]):
        hits = 0
        for _ in range(1000):
            legs = []
            for speed, track in built_legs(25.0, 5.0, 200.0, headings):
                north = speed * math.cos(math.radians(track)) + rng.normal(0.0, 0.25)
                east = speed * math.sin(math.radians(track)) + rng.normal(0.0, 0.25)
                legs.append(Leg(ground_speed=math.hypot(north, east), track=math.atan2(east, north)))
            band = fit_legs(legs, leg_uncertainty=0.25).true_airspeed
            hits += band.low <= 25.0 <= band.high
        assert 930 <= hits <= 995


@pytest.mark.parametrize(
    ("pairs", "message"),
    [
        ([(57.2, 11.4), (60.4, 111.2)], "2 legs"),
        ([(57.2, 10.0), (57.0, 30.0), (57.4, 60.0)], "cover"),
        ([(57.2, 10.0), (50.0, 10.0), (40.0, 10.0)], "straight line"),
    ],
)
def test_legs_that_cannot_tell_are_refused(pairs: list[tuple[float, float]], message: str) -> None:
    with pytest.raises(InputError, match=message):
        fit_legs(legs_of(pairs))


def test_vertical_speed_belongs_to_the_airspeed() -> None:
    # Exact: 39 kt down a path of asin(600 ft/min / 39 kt) = 8.738 deg; leaving it out reads 1.2 % slow.
    true, sink = 39.0 * KT, 600.0 * 0.3048 / 60.0
    level = math.sqrt(true**2 - sink**2)
    assert 1.0 - level / true == pytest.approx(0.0116, abs=2e-4)
    found = true_airspeed_from_ground(
        ground_speed=np.array([level + 4.0]),
        track=np.array([0.0]),
        vertical_speed=np.array([-sink]),
        wind_north=4.0,
        wind_east=0.0,
    )
    assert found == pytest.approx([true], rel=1e-12)
