"""How often the 90 % interval of the level holds the true one, drawn from the model: simulation, no patient data.

How it fares where the truth is not the model is for the evaluation of the practice clinic.
"""

import math

import numpy as np
import pytest
from numpy.random import Generator
from scipy.stats import norm

from access.measures.hydraulics import Values
from access.measures.series import Batch, series, side_by_side, table
from access.measures.smoother import State, Trend
from access.measures.trend import fit

Z_90 = float(norm.ppf(0.95))
MONTH, SD, ROWS, ACCESSES = 1 / 12, 0.12, 24, 3000


def held(found: State, *, truth: Values) -> Values:
    """Whether the interval of each row holds the true level."""
    return np.asarray(np.abs(truth - found.level) <= Z_90 * np.sqrt(found.level_variance))


def drawn_levels(draw: Generator, *, rows: int, used: Trend) -> Values:
    """True levels, (T, N), as the model has them: a slope that wanders, and a level that follows it."""
    level = used.prior_level + used.prior_level_sd * draw.normal(size=ACCESSES)
    slope = used.prior_slope_sd * draw.normal(size=ACCESSES)
    spread = used.slope_drift * np.array([[MONTH**3 / 3, MONTH**2 / 2], [MONTH**2 / 2, MONTH]])
    noise, levels = np.linalg.cholesky(spread), [level]
    for _ in range(rows - 1):
        moved = noise @ draw.normal(size=(2, ACCESSES))
        level, slope = level + MONTH * slope + moved[0], slope + moved[1]
        levels.append(level)
    return np.array(levels)


def measured(draw: Generator, *, truth: Values, used: Trend, missing: float = 0.2) -> Batch:
    """What is measured of them: noise, now and then a wild one, now and then none, but always a first."""
    wild = draw.random(truth.shape) < used.outlier_share
    seen = truth + SD * draw.normal(size=truth.shape) + wild * used.outlier_sd * draw.normal(size=truth.shape)
    gone = draw.random(truth.shape) < missing
    gone[0] = False
    return table(np.arange(len(truth)) * MONTH, measured=np.where(gone, np.nan, seen), variances=SD**2)


@pytest.mark.parametrize("share", [0.0, 0.04])
def test_the_interval_holds_nine_in_ten_where_the_model_is_the_truth(share: float) -> None:
    draw, used = np.random.default_rng(21), Trend(outlier_share=share)
    truth = drawn_levels(draw, rows=ROWS, used=used)
    found = fit(measured(draw, truth=truth, used=used), parameters=used)
    # By row: 3,000 accesses give a standard error of half a point; the mixture is exact for one step only.
    for states in (found.filtered, found.smoothed):
        shares = held(states, truth=truth).mean(axis=1)
        assert shares.mean() == pytest.approx(0.90, abs=0.01)
        assert np.abs(shares - 0.90).max() < 0.025


def test_the_errors_are_as_large_as_they_are_said_to_be() -> None:
    draw, used = np.random.default_rng(22), Trend(outlier_share=0.0)
    truth = drawn_levels(draw, rows=ROWS, used=used)
    found = fit(measured(draw, truth=truth, used=used), parameters=used).filtered
    standardized = (found.level - truth) / np.sqrt(found.level_variance)
    assert standardized.mean() == pytest.approx(0, abs=0.02)
    assert standardized.std() == pytest.approx(1, abs=0.02)


def test_a_narrower_interval_would_not_hold_nine_in_ten() -> None:
    draw, used = np.random.default_rng(21), Trend(outlier_share=0.0)
    truth = drawn_levels(draw, rows=ROWS, used=used)
    batch = measured(draw, truth=truth, used=used)
    found = fit(batch, parameters=Trend(outlier_share=0.0, slope_drift=used.slope_drift / 50)).filtered
    assert held(found, truth=truth).mean() < 0.85


@pytest.mark.parametrize("gain", [0.0, 0.3, 0.6])
@pytest.mark.parametrize("sd", [0.1, 0.142, 0.17])
def test_after_an_intervention_the_interval_holds_again_from_the_second_visit(gain: float, sd: float) -> None:
    # A year of falling flow, then a gain of any size about the expected one: jumps of log flow N(gain, 0.25).
    draw, accesses = np.random.default_rng(23), 800
    before, after = 12, 6
    start = math.log(900) + 0.2 * draw.normal(size=accesses)
    falling = start - np.arange(before)[:, None] * 0.4 * MONTH
    treated = falling[-1] + gain + 0.25 * draw.normal(size=accesses)
    truth = np.vstack([falling, np.broadcast_to(treated, (after, accesses)) - np.arange(after)[:, None] * 0.1 * MONTH])
    seen, changed = truth + sd * draw.normal(size=truth.shape), np.arange(before + after) == before
    years = np.arange(before + after) * MONTH
    many = [
        series(years, measured=column, variances=sd**2, resets=changed, jumps=np.where(changed, 0.3, 0.0))
        for column in seen.T
    ]
    shares = held(fit(side_by_side(many)).filtered, truth=truth).mean(axis=1)
    assert (shares[before + 1 :] >= 0.85).all()


def test_without_the_change_being_told_the_interval_fails() -> None:
    # What the record of interventions is worth; an untold gain of a half is not held at the next visit.
    draw = np.random.default_rng(24)
    truth = np.vstack([np.full((12, 800), math.log(500)), np.full((2, 800), math.log(750))])
    seen = truth + 0.1 * draw.normal(size=truth.shape)
    found = fit(table(np.arange(14) * MONTH, measured=seen, variances=0.01)).filtered
    assert held(found, truth=truth)[12].mean() < 0.5
