"""The filter and smoother against ways of working the same out that share nothing with them.

Outside: joint Gaussian conditioning by scipy.linalg, the Kalman smoother of statsmodels, numerical integration of the
exact two-component posterior by scipy.integrate, and the same trend number by number in plain Python.
"""

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from scipy import integrate
from scipy.stats import norm
from statsmodels.tsa.statespace.kalman_smoother import KalmanSmoother

from access.measures.hydraulics import Values
from access.measures.series import Series, asked_at, series
from access.measures.smoother import NAMES, State, Trend, taken_in
from access.measures.trend import fit
from tests.measures.any_series import any_series, monthly
from tests.measures.gaussian import conditioned
from tests.measures.scalar_trend import scalar_fit

GAUSSIAN = Trend(outlier_share=0.0)
NEAR = 1e-10


def state(found: State, row: int) -> list[float]:
    """The five numbers of one row of one access."""
    return [float(getattr(found, name)[row, 0]) for name in NAMES]


def at(mean: Values, covariance: Values, row: int) -> list[float]:
    """The same five numbers out of a joint distribution."""
    level, slope = 2 * row, 2 * row + 1
    spread = covariance[[level, level, slope], [level, slope, slope]]
    return [float(one) for one in (mean[level], mean[slope], *spread)]


def assert_equal_to_conditioning(one: Series, *, used: Trend = GAUSSIAN, near: float = NEAR) -> None:
    found, last = fit(one, parameters=used), len(one) - 1
    whole = conditioned(one, used=used)
    for row in range(len(one)):
        then = conditioned(one, used=used, rows=row + 1)
        assert state(found.filtered, row) == pytest.approx(at(then.mean, then.covariance, row), abs=near)
        assert state(found.smoothed, row) == pytest.approx(at(whole.mean, whole.covariance, row), abs=near)
        assert found.with_last[row, 0] == pytest.approx(whole.covariance[2 * row, 2 * last], abs=near)


@pytest.mark.parametrize("seed", range(12))
def test_it_is_conditioning_on_all_measurements_with_gaps_repeats_and_changes(seed: int) -> None:
    assert_equal_to_conditioning(any_series(np.random.default_rng(seed)))


def test_it_is_conditioning_on_all_measurements_for_other_parameters() -> None:
    other = Trend(slope_drift=0.05, prior_level=0.5, prior_level_sd=1.5, prior_slope_sd=1.0, jump_sd=0.1)
    assert_equal_to_conditioning(any_series(np.random.default_rng(99)), used=replace(other, outlier_share=0.0))


NONE, SECOND, THIRD = [False] * 3, [False, True, False], [False, False, True]


@pytest.mark.parametrize(
    ("years", "measured", "resets"),
    [
        ([0.0], [6.0], [False]),
        ([0.0, 0.0, 0.0], [6.0, 6.2, 6.1], NONE),
        ([0.0, 0.5, 1.0], [np.nan, 6.2, 6.3], NONE),
        ([0.0, 1.0, 2.0], [6.9, 6.2, np.nan], THIRD),
        ([0.0, 0.5, 1.0], [np.nan, 6.2, 6.3], SECOND),  # Changed before the first measurement: nothing to forget.
        ([0.0, 0.5, 0.5], [6.9, 6.2, 6.8], THIRD),  # Changed between two measurements of one day.
        ([0.0, 0.5, 1.0], [6.9, np.nan, 6.0], [False, True, True]),  # Changed twice.
    ],
)
def test_it_is_conditioning_for_the_shortest_and_oddest_of_series(
    years: list[float], measured: list[float], resets: list[bool]
) -> None:
    assert_equal_to_conditioning(series(years, measured=measured, variances=0.02, resets=resets, jumps=0.3))


def test_a_row_asked_for_is_conditioned_too() -> None:
    one, _ = asked_at(any_series(np.random.default_rng(5), rows=8), years=[0.3, 1.0, 2.5])
    assert_equal_to_conditioning(one)


def test_ten_years_without_a_measurement_are_bridged() -> None:
    gap = series([0, 0.1, 10.1, 20.1], measured=[6.9, 6.8, 6.7, 6.6], variances=0.02)
    assert_equal_to_conditioning(gap, near=1e-8)  # Variances reach 170 here: 1e-10 of them.


def test_a_thousand_daily_measurements_are_conditioning_too() -> None:
    # All a thousand rows at once would be slow to condition row by row; the last row and the first are enough.
    draw = np.random.default_rng(6)
    one = series(np.arange(1000) / 365.25, measured=6.9 + draw.normal(0, 0.1, 1000), variances=0.01)
    found, whole = fit(one, parameters=GAUSSIAN), conditioned(one, used=GAUSSIAN)
    assert state(found.smoothed, 0) == pytest.approx(at(whole.mean, whole.covariance, 0), abs=NEAR)
    assert state(found.filtered, 999) == pytest.approx(at(whole.mean, whole.covariance, 999), abs=NEAR)


@pytest.mark.parametrize("seed", range(4))
def test_it_is_the_smoother_of_statsmodels(seed: int) -> None:
    one = any_series(np.random.default_rng(100 + seed), missing=0.0)
    found, outside = fit(one, parameters=GAUSSIAN), statsmodels_of(one, used=GAUSSIAN)
    level, smoothed = found.filtered.level[:, 0], found.smoothed
    np.testing.assert_allclose(level, outside.filtered_state[0], atol=NEAR)
    np.testing.assert_allclose(smoothed.level[:, 0], outside.smoothed_state[0], atol=NEAR)
    np.testing.assert_allclose(smoothed.slope[:, 0], outside.smoothed_state[1], atol=NEAR)
    for name, row, column in (("level_variance", 0, 0), ("covariance", 0, 1), ("slope_variance", 1, 1)):
        mine, theirs = getattr(smoothed, name)[:, 0], outside.smoothed_state_cov[row, column]
        np.testing.assert_allclose(mine, theirs, atol=NEAR)


def statsmodels_of(one: Series, *, used: Trend) -> Any:
    """The same model in the words of statsmodels, whose step at row k leads to row k + 1."""
    model = KalmanSmoother(k_endog=1, k_states=2, k_posdef=2)
    model.bind(one.values[:, None])
    rows, years = len(one), np.append(np.diff(one.years), 0.0)
    reset = np.append(one.resets[1:], False)
    kept, q = 1.0 - reset, used.slope_drift
    one_each, nothing = np.ones(rows), np.zeros(rows)
    model["design"], model["selection"] = np.array([[1.0, 0.0]]), np.eye(2)
    model["obs_cov"] = one.variances[None, None, :]
    model["transition"] = np.array([[one_each, years], [nothing, kept]])
    across = q * kept * years**2 / 2
    level = q * years**3 / 3 + reset * used.jump_sd**2
    model["state_cov"] = np.array([[level, across], [across, q * kept * years + reset * used.prior_slope_sd**2]])
    model["state_intercept"] = np.array([reset * np.append(one.jumps[1:], 0.0), nothing])
    before = np.diag([used.prior_level_sd**2, used.prior_slope_sd**2])
    model.initialize_known(np.array([used.prior_level, 0.0]), before)
    return model.smooth()


def test_the_model_of_statsmodels_would_notice_another_drift() -> None:
    one = any_series(np.random.default_rng(100), missing=0.0)
    outside = statsmodels_of(one, used=replace(GAUSSIAN, slope_drift=0.51))
    assert np.abs(fit(one, parameters=GAUSSIAN).smoothed.level[:, 0] - outside.smoothed_state[0]).max() > 1e-5


def moment(power: int, *, now: list[float], value: float, ways: list[tuple[float, float]]) -> float:
    """Integral of (level - mean)^power x prior of the level x what each way of measuring makes of it (share, sd)."""

    def integrand(level: float) -> float:
        as_measured = sum(share * norm.pdf(value, level, sd) for share, sd in ways)
        return float((level - now[0]) ** power * norm.pdf(level, now[0], math.sqrt(now[2])) * as_measured)

    edges = (now[0] - 3, now[0], now[0] + 3)
    parts = [integrate.quad(integrand, edges[i], edges[i + 1], epsabs=1e-14, epsrel=1e-11, limit=400) for i in (0, 1)]
    return float(sum(part[0] for part in parts))


@pytest.mark.parametrize("value", [6.9, 6.6, 6.3, 6.05, 5.5, 4.5, 7.5])
@pytest.mark.parametrize("variance", [0.005, 0.03])
def test_a_measurement_that_may_be_wild_gives_the_exact_mean_and_variance(value: float, variance: float) -> None:
    used, now = Trend(), [6.9, -0.2, 0.03, 0.01, 0.2]
    before = State(**{name: np.array([one]) for name, one in zip(NAMES, now, strict=True)})
    found, wild = taken_in(before, value=np.array([value]), weight=np.array([1 / variance]), doubtful=True, used=used)
    far = (used.outlier_share, math.sqrt(variance + used.outlier_sd**2))
    ways = [(1 - used.outlier_share, math.sqrt(variance)), far]
    whole, first, second = (moment(power, now=now, value=value, ways=ways) for power in (0, 1, 2))
    mean, steep = first / whole, now[3] / now[2]
    left = second / whole - mean**2
    # The slope is known through the level: its mean given the level is a straight line, its variance the same for all.
    slope_variance = now[4] - now[3] ** 2 / now[2] + steep**2 * left
    expected = [now[0] + mean, now[1] + steep * mean, left, steep * left, slope_variance]
    assert [float(getattr(found, name)[0]) for name in NAMES] == pytest.approx(expected, abs=1e-9)
    assert float(wild[0]) == pytest.approx(moment(0, now=now, value=value, ways=[far]) / whole, abs=1e-9)


def test_it_is_the_trend_in_plain_python_with_wild_measurements_too() -> None:
    draw = np.random.default_rng(8)
    measured = 6.9 + draw.normal(0, 0.1, 24)
    measured[[3, 9, 10]], measured[[5, 17]] = [6.0, 6.1, 6.1], np.nan
    one, plain = monthly(measured), scalar_fit((np.arange(24) / 12).tolist(), measured=measured.tolist(), variance=0.01)
    found = fit(one)
    for row in range(24):
        assert state(found.filtered, row) == pytest.approx(plain.filtered[row], abs=NEAR)
        assert state(found.smoothed, row) == pytest.approx(plain.smoothed[row], abs=NEAR)
    assert found.outlier[:, 0].tolist() == pytest.approx(plain.outlier, abs=NEAR)
    assert found.with_last[:, 0].tolist() == pytest.approx(plain.with_last, abs=NEAR)
    assert max(plain.outlier) > 0.9  # So that there was something to agree on.


def test_a_measurement_taken_as_certain_is_never_wild() -> None:
    sure = fit(monthly([6.9, 6.9, 4.0], sd=0.1), parameters=GAUSSIAN)
    certain = fit(series([0, 1 / 12, 2 / 12], measured=[6.9, 6.9, 4.0], variances=0.01, certain=[False, False, True]))
    assert certain.outlier[2, 0] == 0
    assert certain.filtered.level[2, 0] == pytest.approx(float(sure.filtered.level[2, 0]), abs=0.05)
    assert fit(monthly([6.9, 6.9, 4.0])).outlier[2, 0] > 0.99


@pytest.mark.parametrize("value", [-700.0, 0.0, 6.9, 30.0, 700.0])
@pytest.mark.parametrize("certain", [False, True])
def test_no_measurement_is_too_far_off_to_be_answered(value: float, certain: bool) -> None:
    found = fit(series([0, 1, 2], measured=[6.9, 6.9, value], variances=1e-9, certain=[False, False, certain]))
    assert all(np.isfinite(state(found.filtered, row)).all() for row in range(3))
    assert found.filtered.level_variance[2, 0] > 0


@pytest.mark.parametrize("drift", [1e-12, 0.5, 50.0])
def test_no_variance_is_ever_below_zero(drift: float) -> None:
    draw, used = np.random.default_rng(9), Trend(slope_drift=drift)
    for one in [*(any_series(draw, rows=60) for _ in range(10)), series([0] * 9, measured=[6.9] * 9, variances=1e-12)]:
        found = fit(one, parameters=used)
        for states in (found.filtered, found.smoothed):
            assert (states.level_variance > 0).all()
            assert (states.slope_variance > 0).all()
            assert (states.covariance**2 <= states.level_variance * states.slope_variance * (1 + 1e-9)).all()
