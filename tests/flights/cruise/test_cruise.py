"""Level flight, climb and ground roll: worked vectors, computed independently, and exact curves."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from slowflight import units
from slowflight.errors import InputError, RangeError
from slowflight.flights.cruise.climb import ClimbRun, compare_climb, reference_climb, true_rate
from slowflight.flights.cruise.field_roll import (
    DESCRIPTIVE,
    Cones,
    Roll,
    compare_field_rolls,
    roll_from_cones,
    still_air,
)
from slowflight.flights.cruise.speed_power import (
    LevelPoint,
    SpeedPower,
    compare_cruise,
    fit_speed_power,
    flight_speeds,
    reference_power,
    reference_speed,
)
from slowflight.flights.statistics.two_samples import welch

KNOT = units.speed("1 kt", where="test")


def point(speed: float, power: float, **changes: object) -> LevelPoint:
    values: dict[str, object] = {
        "flight": "one",
        "configuration": "clean",
        "mass": 600.0,
        "density_ratio": 1.0,
    }
    return LevelPoint(equivalent_speed=speed, power=power, **{**values, **changes})  # type: ignore[arg-type]


def test_one_run_is_brought_to_reference() -> None:
    """85 kt, 62 units of power, sigma 0.86167, 1,200 lb of 1,320 lb: 89.149 kt and 66.397."""
    run = point(85.0, 62.0, mass=1200.0, density_ratio=0.86167)
    assert reference_speed(run, reference_mass=1320.0) == pytest.approx(89.149, abs=1e-3)
    assert reference_power(run, reference_mass=1320.0) == pytest.approx(66.397, abs=1e-3)


SPEEDS, POWERS = (60.0, 68.0, 76.0, 84.0, 92.0), (20.579, 22.121, 24.837, 28.728, 33.831)


def test_the_curve_of_two_parts_is_found_again() -> None:
    curve = fit_speed_power([point(v, p) for v, p in zip(SPEEDS, POWERS, strict=True)], reference_mass=600.0)
    assert (curve.parasite, curve.induced) == pytest.approx((3.2e-5, 820.0), rel=1e-4)
    exact = SpeedPower(parasite=3.2e-5, induced=820.0)
    assert [exact.power(v) for v in SPEEDS] == pytest.approx(POWERS, abs=6e-4)


def test_one_knot_of_ninety_two_is_three_per_cent_of_drag() -> None:
    """At constant power far from the induced side ``dV/V = -1/3 dD/D``: 1 kt of 92 is 3.3 %."""
    fast = SpeedPower(parasite=3.2e-5, induced=1e-9)
    more = SpeedPower(parasite=3.2e-5 * 1.033, induced=1e-9)
    power = fast.power(92.0)
    assert fast.speed(power) - more.speed(power) == pytest.approx(1.0, abs=0.01)


@given(st.floats(1e-5, 1e-3), st.floats(100.0, 5000.0), st.floats(1.05, 3.0))
def test_speed_and_power_are_each_others_inverse(parasite: float, induced: float, factor: float) -> None:
    curve = SpeedPower(parasite=parasite, induced=induced)
    speed = curve.least_power_speed * factor
    assert curve.speed(curve.power(speed)) == pytest.approx(speed, rel=1e-9)
    step = 1e-5 * speed
    numeric = (curve.power(speed + step) - curve.power(speed - step)) / (2.0 * step)
    assert curve.slope(speed) == pytest.approx(numeric, rel=1e-5, abs=1e-8)


def test_too_little_power_and_senseless_runs_are_refused() -> None:
    curve = SpeedPower(parasite=3.2e-5, induced=820.0)
    with pytest.raises(RangeError, match="keeps the aircraft up"):
        curve.speed(1.0)
    with pytest.raises(InputError, match="2 runs"):
        fit_speed_power([point(60.0, 20.0), point(70.0, 22.0)], reference_mass=600.0)
    with pytest.raises(InputError, match="no drag of two parts"):
        fit_speed_power([point(v, 100.0 / v**2) for v in SPEEDS], reference_mass=600.0)
    with pytest.raises(RangeError, match="density_ratio"):
        point(60.0, 20.0, density_ratio=0.0)


def flown(loss: float, *, seed: int = 2) -> list[LevelPoint]:
    """Five flights a side at differing mass and height; with vanes drag for that loss [m/s]."""
    random = np.random.default_rng(seed)
    clean = SpeedPower(parasite=0.35, induced=300_000.0)
    cruise = 47.0
    power = clean.power(cruise)
    slower = cruise - loss
    vanes = SpeedPower(parasite=(power - clean.induced / slower) / slower**3, induced=clean.induced)
    points = []
    for name, curve in (("clean", clean), ("vanes", vanes)):
        for number in range(5):
            day = 1.0 + 0.004 * random.standard_normal()
            mass, sigma = random.uniform(540.0, 600.0), random.uniform(0.85, 0.95)
            for speed in (35.0, 40.0, 44.0, 48.0):
                own = speed * math.sqrt(mass / 600.0)
                needed = day * curve.power(speed) / (math.sqrt(sigma) * (600.0 / mass) ** 1.5)
                points.append(
                    point(
                        own,
                        needed,
                        flight=f"{name} {number}",
                        configuration=name,
                        mass=mass,
                        density_ratio=sigma,
                    )
                )
    return points


def test_a_loss_is_found_flight_by_flight() -> None:
    power = SpeedPower(parasite=0.35, induced=300_000.0).power(47.0)
    for loss in (0.0, 0.5):
        answer = compare_cruise(flown(loss), cruise_power=power, reference_mass=600.0)
        assert answer.flights == (5, 5)
        assert answer.difference.value == pytest.approx(-loss, abs=3.0 * answer.difference.standard_error)
        assert answer.difference.standard_error < 0.1
    small = compare_cruise(flown(0.05), cruise_power=power, reference_mass=600.0, margin=KNOT)
    assert small.equivalence.equivalent
    assert small.equivalence.not_worse
    assert small.probability_of_loss(KNOT) < 0.05
    large = compare_cruise(flown(1.0), cruise_power=power, reference_mass=600.0, margin=KNOT)
    assert not large.equivalence.not_worse
    assert large.probability_of_loss(KNOT) > 0.9


def test_flights_with_no_scatter_in_speed_read_the_curve() -> None:
    curve = SpeedPower(parasite=0.35, induced=300_000.0)
    points = [point(v, curve.power(v), flight=f"f{n}") for n, v in enumerate((35.0, 40.0, 45.0, 50.0))]
    speeds = flight_speeds(points, cruise_power=curve.power(46.0), reference_mass=600.0)
    assert list(speeds.values()) == pytest.approx([46.0] * 4, rel=1e-9)


def test_a_flight_that_needed_more_power_is_a_slower_flight() -> None:
    """Runs that need 2 % more power are slower, 2 % less are faster, by that power over dP/dV."""
    curve = SpeedPower(parasite=0.35, induced=300_000.0)
    points = [
        point(v, day * curve.power(v), flight=name)
        for name, day in (("draggy", 1.02), ("slick", 0.98))
        for v in (35.0, 40.0, 45.0, 50.0)
    ]
    power = curve.power(46.0)
    speeds = flight_speeds(points, cruise_power=power, reference_mass=600.0)
    assert speeds["draggy"] - 46.0 == pytest.approx(-0.02 * power / curve.slope(46.0), rel=0.03)
    assert speeds["slick"] - 46.0 == pytest.approx(0.02 * power / curve.slope(46.0), rel=0.03)


def test_one_flight_a_side_is_not_compared() -> None:
    points = [one for one in flown(0.5) if one.flight.endswith(" 1")]
    power = SpeedPower(parasite=0.35, induced=300_000.0).power(47.0)
    with pytest.raises(InputError, match="1 and 1 flights"):
        compare_cruise(points, cruise_power=power, reference_mass=600.0)
    with pytest.raises(InputError, match="which was flown"):
        compare_cruise(flown(0.5), cruise_power=1.3 * power, reference_mass=600.0)


def test_the_difference_is_the_t_test_on_flights() -> None:
    power = SpeedPower(parasite=0.35, induced=300_000.0).power(47.0)
    points = flown(0.3)
    sides = [
        list(
            flight_speeds(
                [one for one in points if one.configuration == name], cruise_power=power, reference_mass=600.0
            ).values()
        )
        for name in ("vanes", "clean")
    ]
    answer = compare_cruise(points, cruise_power=power, reference_mass=600.0)
    assert answer.difference == welch(*sides)


def test_tapeline_climb() -> None:
    """700 ft/min at 25 degrees C and 5,000 ft (standard there: 278.244 K) is 750.1 ft/min in true height."""
    assert true_rate(
        pressure_height_rate=700.0, temperature=298.15, standard_temperature=278.244
    ) == pytest.approx(750.1, abs=0.05)
    with pytest.raises(RangeError, match="kelvin"):
        true_rate(pressure_height_rate=700.0, temperature=-5.0, standard_temperature=278.0)


def test_climb_is_level_flight_power_turned_into_height() -> None:
    """Excess power ``m g rate``, reduced as power is, gives the same rate at reference mass and sea level."""
    mass, reference, sigma, rate = 560.0, 600.0, 0.88, 3.5
    run = point(30.0, mass * 9.80665 * rate, mass=mass, density_ratio=sigma)
    excess = reference_power(run, reference_mass=reference)
    climb = reference_climb(true_rate=rate, density_ratio=sigma, mass=mass, reference_mass=reference)
    assert climb == pytest.approx(excess / (reference * 9.80665), rel=1e-12)


def test_ground_roll_in_still_air() -> None:
    """400 m at 35 kt over the ground into 6 kt: 536 m (worked vector)."""
    assert still_air(400.0, ground_speed=35.0, headwind=6.0) == pytest.approx(536.0, abs=0.5)
    assert still_air(400.0, ground_speed=35.0, headwind=0.0) == 400.0


def rolls(distance: float, count: int = 6, **changes: float) -> list[Roll]:
    values = {"ground_speed": 18.0, "headwind": 0.0, "mass": 600.0, **changes}
    return [Roll(distance=distance + number, **values) for number in range(count)]


def test_rolls_are_described_and_never_tested() -> None:
    found = compare_field_rolls(rolls(150.0), rolls(120.0), reference_mass=600.0, landing=False)
    assert DESCRIPTIVE in found.words
    assert found.words.startswith("take-off roll, middle value 122 m (120 to 125), before 152 m (150 to 155)")
    assert found.remarks == ()
    heavy = compare_field_rolls(
        rolls(150.0, 3, mass=500.0), rolls(120.0, headwind=4.0), reference_mass=600.0, landing=True
    )
    assert heavy.before[0] == pytest.approx(150.0 * 1.2)
    assert len(heavy.remarks) == 2


def test_rolls_that_make_no_sense() -> None:
    with pytest.raises(RangeError, match="rolls on both sides"):
        compare_field_rolls([], rolls(100.0), reference_mass=600.0, landing=True)
    with pytest.raises(RangeError, match="less tailwind"):
        Roll(distance=100.0, ground_speed=18.0, headwind=-20.0, mass=600.0)
    with pytest.raises(RangeError, match="numbers above 0"):
        Roll(distance=0.0, ground_speed=18.0, headwind=0.0, mass=600.0)


def climbs(
    *,
    gain: float = 0.0,
    speeds: tuple[float, ...] = (22.0, 26.0, 30.0),
    shift: dict[str, float] | None = None,
) -> list[ClimbRun]:
    """Three flights a side, each speed out and back, on one parabola with its top at 26 m/s."""
    return [
        ClimbRun(
            flight=f"{side} {number}",
            configuration=side,
            speed=speed + 0.1 * number,
            rate=3.0
            - 0.01 * (speed + 0.1 * number - 26.0) ** 2
            + (gain if side == "vanes" else 0.0)
            + (shift or {}).get(f"{side} {number}", 0.0),
            density_ratio=0.9,
            heading=heading,
        )
        for side in ("clean", "vanes")
        for number in range(3)
        for speed in (22.0, 26.0, 30.0)
        for heading in ("out", "back")
    ]


def test_climb_is_compared_by_flights_along_one_curve() -> None:
    """Levels of an exact parabola come back exactly; the band is that of the flights' shifts alone."""
    shift = {"clean 0": 0.05, "clean 1": -0.02, "clean 2": 0.04, "vanes 0": -0.03, "vanes 2": 0.06}
    found = compare_climb(climbs(gain=-0.1, shift=shift))
    assert found.difference is not None
    top = [3.0 - 0.01 * (found.speed - 26.0) ** 2] * 3
    wanted = welch(
        [t - 0.1 + shift.get(f"vanes {n}", 0.0) for n, t in enumerate(top)],
        [t + shift[f"clean {n}"] for n, t in enumerate(top)],
    )
    assert found.difference.value == pytest.approx(wanted.value, abs=1e-9)
    assert found.difference.standard_error == pytest.approx(wanted.standard_error, abs=1e-9)
    assert found.remarks == ()


def test_levels_of_flights_are_those_of_a_statistics_library() -> None:
    """The same analysis of covariance by statsmodels' ordinary least squares, on noisy climbs."""
    api = pytest.importorskip("statsmodels.api")
    random = np.random.default_rng(5)
    runs = [replace(one, rate=one.rate + 0.1 * random.standard_normal()) for one in climbs(gain=0.2)]
    found = compare_climb(runs)
    names = sorted({one.flight for one in runs})
    design = [
        [float(one.flight == name) for name in names]
        + [one.speed - found.speed, (one.speed - found.speed) ** 2]
        for one in runs
    ]
    levels = api.OLS([one.rate for one in runs], np.array(design)).fit().params[: len(names)]
    assert [*found.before, *found.after] == pytest.approx(list(levels), rel=1e-10)


def test_climbs_that_show_nothing_say_so() -> None:
    alone = [one for one in climbs() if one.flight.endswith("0")]
    found = compare_climb(alone)
    assert found.difference is None
    assert "no band" in found.remarks[0]
    three = climbs(shift={"clean 0": 0.05, "vanes 1": -0.02})
    thin = [replace(one, density_ratio=0.8) if one.configuration == "vanes" else one for one in three]
    assert "density" in " ".join(compare_climb(thin).remarks)
    assert "out and back" in " ".join(compare_climb([replace(one, heading="") for one in three]).remarks)
    one_way = [replace(one, heading="out") for one in three]
    assert "out and back" in " ".join(compare_climb(one_way).remarks)
    with pytest.raises(InputError, match="no run vanes"):
        compare_climb([one for one in climbs() if one.configuration == "clean"])


def test_one_run_a_flight_is_compared_as_flown() -> None:
    """At one speed nothing is left to fit: Welch's test on the rates themselves."""
    shift = {"clean 0": 0.05, "clean 2": -0.04, "vanes 1": 0.03}
    once = [one for one in climbs(shift=shift) if one.speed < 22.5 and one.heading == "out"]
    same = [replace(one, speed=22.0) for one in once]
    found = compare_climb(same)
    rates = {one.flight: one.rate for one in same}
    assert found.difference == welch(
        [rates[f"vanes {n}"] for n in range(3)], [rates[f"clean {n}"] for n in range(3)]
    )
    three = [one for one in climbs(shift=shift) if one.heading == "out"][::3]
    spread = [replace(one, speed=22.0 + 4.0 * number) for number, one in enumerate(three)]
    assert any("too few runs" in remark for remark in compare_climb(spread).remarks)


CONES = tuple((10.0 * n, math.sqrt(2.0 * 10.0 * n / 1.5)) for n in range(11))


def test_cones_in_a_video_give_distance_and_speed() -> None:
    """From rest at 1.5 m/s^2: after 10 s 75 m and 15 m/s. Landing is the same film backward."""
    distance, speed = roll_from_cones(Cones(passed=CONES, event=10.0), landing=False)
    assert distance == pytest.approx(75.0, abs=0.1)
    assert speed == pytest.approx(15.0, abs=0.3)
    backward = tuple((100.0 - along, 20.0 - when) for along, when in reversed(CONES))
    distance, speed = roll_from_cones(Cones(passed=backward, event=10.0), landing=True)
    assert distance == pytest.approx(75.0, abs=0.1)
    assert speed == pytest.approx(15.0, abs=0.3)


def test_a_track_behind_the_cones_is_longer_than_they_say() -> None:
    """Similar triangles: 60 m from the camera, cones at 40 m, so a cone hides half as much again."""
    seen = Cones(passed=CONES, event=10.0, abeam=50.0, to_cones=40.0, to_track=60.0)
    distance, speed = roll_from_cones(seen, landing=False)
    assert distance == pytest.approx(1.5 * 75.0, abs=0.15)
    assert speed == pytest.approx(1.5 * 15.0, abs=0.45)


@pytest.mark.parametrize(
    ("seen", "said"),
    [
        (Cones(passed=CONES[:3], event=2.0), "3 cones"),
        (Cones(passed=CONES, event=30.0), "lift-off at 30 s"),
        (Cones(passed=tuple(reversed(CONES)), event=5.0), "one after the other"),
    ],
)
def test_cones_that_tell_nothing(seen: Cones, said: str) -> None:
    with pytest.raises(InputError, match=said):
        roll_from_cones(seen, landing=False)
