"""The mixed model against certified variances, the t test it contains, and a statistics library."""

import warnings

import numpy as np
import pytest
import statsmodels.api as sm
from statsmodels.regression.mixed_linear_model import MixedLMParams

from slowflight.errors import InputError
from slowflight.flights.statistics.linear_fit import FloatArray
from slowflight.flights.statistics.mixed_model import MixedFit, fit_mixed
from slowflight.flights.statistics.two_samples import alike_scatter
from tests.flights.statistics import nist


@pytest.mark.parametrize(
    ("groups", "between", "within"),
    [
        (nist.SIRSTV, nist.SIRSTV_BETWEEN, nist.SIRSTV_WITHIN),
        (nist.ATMWTAG, nist.ATMWTAG_BETWEEN, nist.ATMWTAG_WITHIN),
    ],
    ids=["SiRstv", "AtmWtAg"],
)
def test_variances_are_those_of_the_certified_mean_squares(
    groups: tuple[tuple[float, ...], ...], between: float, within: float
) -> None:
    """In groups of one size the restricted likelihood peaks at the analysis-of-variance values."""
    size = len(groups[0])
    values = np.concatenate([np.array(group) for group in groups])
    flight = [str(number) for number, group in enumerate(groups) for _ in group]
    fit = fit_mixed(values=values, design=np.ones((values.size, 1)), flight=flight, between_columns=1)
    # The data of AtmWtAg have seven leading digits in common, which cost as many of sixteen.
    assert fit.within**2 == pytest.approx(within, rel=1e-6)
    assert fit.between**2 == pytest.approx((between - within) / size, rel=1e-5)
    assert fit.contrast([1.0])[1] == pytest.approx(np.sqrt(between / values.size), rel=1e-6)
    assert fit.degrees_of_freedom == len(groups) - 1


def campaign(
    seed: int, *, sizes: tuple[int, ...] = (6, 6, 6, 6, 6, 6), same_rates: bool = False, between: float = 0.4
) -> tuple[FloatArray, FloatArray, list[str]]:
    """Return stall speeds [kt], design (clean, vanes, rate) and flights of an invented campaign."""
    random = np.random.default_rng(seed)
    rows, values, flight = [], [], []
    for number, size in enumerate(sizes):
        fitted = number >= len(sizes) // 2
        shift = between * random.standard_normal()
        rates = np.linspace(0.6, 1.5, size) if same_rates else random.uniform(0.6, 1.5, size)
        for rate in rates:
            rows.append([float(not fitted), float(fitted), rate - 1.0])
            values.append(40.0 - 1.5 * fitted + shift - 0.6 * (rate - 1.0) + 0.5 * random.standard_normal())
            flight.append(f"flight {number}")
    return np.array(values), np.array(rows), flight


def test_equal_flights_give_the_t_test_on_flight_means() -> None:
    seen = 0
    for seed in range(12):
        values, design, flight = campaign(seed, same_rates=True)
        fit = fit_mixed(values=values, design=design, flight=flight, between_columns=2)
        if fit.between == 0.0:
            continue
        seen += 1
        means = values.reshape(6, 6).mean(axis=1)
        plain = alike_scatter(means[:3], means[3:])
        value, error = fit.contrast([1.0, -1.0, 0.0])
        assert value == pytest.approx(plain.value, rel=1e-9)
        assert error == pytest.approx(plain.standard_error, rel=1e-6)
        assert fit.degrees_of_freedom == plain.degrees_of_freedom == 4
    assert seen >= 9


@pytest.mark.parametrize("seed", range(6))
@pytest.mark.parametrize("sizes", [(6, 6, 6, 6, 6, 6), (3, 6, 8, 5, 4, 7), (2, 9, 6, 6, 1, 4, 5, 6)])
def test_a_maintained_statistics_library_agrees(seed: int, sizes: tuple[int, ...]) -> None:
    """The library is statsmodels; near no scatter between flights its search stops short of the best."""
    values, design, flight = campaign(seed, sizes=sizes)
    ours = fit_mixed(values=values, design=design, flight=flight, between_columns=2)
    model = sm.MixedLM(values, design, groups=np.array(flight))
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # it warns of each search that it has to repeat
        theirs = model.fit(reml=True, method=["powell", "bfgs"], xtol=1e-9, ftol=1e-12)

    def likelihood(effects: FloatArray, ratio: float) -> float:
        point = MixedLMParams.from_components(fe_params=effects, cov_re=np.array([[ratio]]))
        return float(model.loglike(point, profile_fe=False))

    found = float(theirs.cov_re[0, 0] / theirs.scale)
    best = likelihood(ours.coefficients, (ours.between / ours.within) ** 2)
    assert best >= likelihood(theirs.fe_params, found) - 1e-7
    if theirs.cov_re[0, 0] > 0.02:
        assert ours.coefficients == pytest.approx(theirs.fe_params, rel=1e-4)
        assert ours.within**2 == pytest.approx(theirs.scale, rel=1e-3)
        assert ours.between**2 == pytest.approx(theirs.cov_re[0, 0], rel=1e-2)
    same = np.array(flight)[:, None] == np.array(flight)[None, :]
    given = sm.GLS(values, design, sigma=ours.within**2 * np.eye(values.size) + ours.between**2 * same).fit()
    assert ours.coefficients == pytest.approx(given.params, rel=1e-9)
    assert ours.covariance == pytest.approx(given.normalized_cov_params, rel=1e-7, abs=1e-12)


def fitted(seed: int, known: float | None = None) -> MixedFit:
    values, design, flight = campaign(seed)
    return fit_mixed(values=values, design=design, flight=flight, between_columns=2, known_between=known)


def test_swapping_configurations_flips_the_sign_and_order_does_not_matter() -> None:
    values, design, flight = campaign(3)
    plain = fit_mixed(values=values, design=design, flight=flight, between_columns=2)
    back = slice(None, None, -1)
    turned = fit_mixed(
        values=values[back], design=design[back][:, [1, 0, 2]], flight=flight[back], between_columns=2
    )
    assert turned.contrast([1.0, -1.0, 0.0])[0] == pytest.approx(
        -plain.contrast([1.0, -1.0, 0.0])[0], rel=1e-9
    )
    assert turned.between == pytest.approx(plain.between, rel=1e-5)


SCATTERED = 1  # a seed whose flights scatter visibly


def test_a_known_scatter_at_the_found_one_changes_nothing() -> None:
    plain = fitted(SCATTERED)
    assert plain.between > 0.0
    same = fitted(SCATTERED, known=plain.between)
    assert same.within == pytest.approx(plain.within, rel=1e-4)
    assert same.covariance == pytest.approx(plain.covariance, rel=1e-3, abs=1e-9)


def test_one_flight_a_side_needs_a_known_scatter() -> None:
    values, design, flight = campaign(1, sizes=(6, 6))
    with pytest.raises(InputError, match="2 flights for 2 sets"):
        fit_mixed(values=values, design=design, flight=flight, between_columns=2)
    fit = fit_mixed(values=values, design=design, flight=flight, between_columns=2, known_between=0.5)
    assert fit.contrast([1.0, -1.0, 0.0])[1] > 0.5 * np.sqrt(2.0)


def test_a_flight_of_two_configurations_is_refused() -> None:
    with pytest.raises(InputError, match="two configurations"):
        fit_mixed(
            values=[1.0, 2.0, 3.0, 4.0],
            design=[[1.0, 0.0], [0.0, 1.0], [1.0, 0.0], [0.0, 1.0]],
            flight=["a", "a", "b", "c"],
            between_columns=2,
        )
