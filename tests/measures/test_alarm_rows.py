"""The alarm row by row: the same filter as the trend, the same for one or many, and rows that are only on request."""

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy.stats import norm

from access.measures.alarm import Alarm, Watched, watch
from access.measures.series import asked_at, series, side_by_side, table
from access.measures.smoother import NAMES
from access.measures.trend import Trend, fit, probability_below, probability_of_fall
from tests.measures.any_series import any_series

LIMIT, TOLD = 600.0, ("asked", "first", "low_again", "overdue")
NEVER = Alarm(doubted_above=1.0)  # Nothing is ever doubted.


def told(found: Watched) -> dict[str, np.ndarray]:
    """All that the alarm says, by name."""
    numbers = {name: getattr(found, name) for name in ("score", "below", "falling", "outlier")}
    return (
        numbers | {name: getattr(found.state, name) for name in NAMES} | {name: getattr(found, name) for name in TOLD}
    )


def test_with_nothing_doubted_it_is_the_filter_of_the_trend() -> None:
    draw = np.random.default_rng(41)
    batch = side_by_side([any_series(draw) for _ in range(30)])
    found, trend = watch(batch, limit_ml_min=1.0, alarm=NEVER), fit(batch)
    for name in NAMES:
        np.testing.assert_array_equal(getattr(found.state, name), getattr(trend.filtered, name))
    np.testing.assert_array_equal(found.outlier, trend.outlier)
    assert trend.outlier.max() > 0.9
    assert not any(getattr(found, name).any() for name in TOLD)


def test_the_score_is_the_greatest_of_the_probabilities_of_the_trend_and_of_what_is_lost() -> None:
    draw = np.random.default_rng(42)
    batch = side_by_side([any_series(draw, wild=0.0) for _ in range(30)])
    always = replace(NEVER, least=0, least_since_change=0)  # A trend that always speaks asks about no first value.
    found, trend = watch(batch, limit_ml_min=LIMIT, alarm=always), fit(batch)
    speaks = ~np.isnan(found.score)
    assert speaks.sum() > 300
    for one, other in ((found.below, probability_below(trend, LIMIT)), (found.falling, probability_of_fall(trend))):
        np.testing.assert_allclose(one[speaks], other[speaks], atol=1e-14)
    greatest = np.max([found.below, found.falling, found.lost], axis=0)
    np.testing.assert_array_equal(found.score[speaks], greatest[speaks])
    np.testing.assert_array_equal(found.flagged(0.3)[speaks], found.score[speaks] >= 0.3)


@pytest.mark.parametrize("requested", [False, True])
def test_a_batch_is_its_accesses_one_by_one(requested: bool) -> None:
    draw = np.random.default_rng(43)
    many = [any_series(draw, rows=int(rows)) for rows in draw.integers(1, 30, 60)]
    batch = side_by_side(many)
    limits, on_request = draw.choice([400.0, 600.0, np.nan], 60), (np.arange(batch.shape[0]) % 3 == 1) & requested
    together = told(watch(batch, limit_ml_min=limits, on_request=on_request))
    assert all(together[name].sum() > 5 for name in TOLD)
    for column, one in enumerate(many):
        top = batch.shape[0] - len(one)
        alone = told(watch(side_by_side([one]), limit_ml_min=limits[column], on_request=on_request[top:]))
        for name, numbers in alone.items():
            np.testing.assert_allclose(together[name][top:, column], numbers[:, 0], atol=1e-12, err_msg=name)


def test_what_was_said_of_a_row_does_not_depend_on_what_came_later() -> None:
    one = any_series(np.random.default_rng(44), rows=40)
    whole = told(watch(side_by_side([one]), limit_ml_min=LIMIT))
    for rows in (1, 7, 20, 33):
        past = replace(one, **{name: getattr(one, name)[:rows] for name in one.__dataclass_fields__})
        for name, numbers in told(watch(side_by_side([past]), limit_ml_min=LIMIT)).items():
            np.testing.assert_array_equal(whole[name][:rows], numbers)


def test_a_row_on_request_is_measured_only_where_one_was_asked_for() -> None:
    years, requested = [*np.arange(7) / 12, 6 / 12 + 0.005], np.arange(8) == 7
    flows = np.log([[1000.0, 1000.0]] * 6 + [[350.0, 990.0], [360.0, 20.0]])
    found = watch(table(years, measured=flows, variances=0.02), limit_ml_min=LIMIT, on_request=requested)
    assert found.asked[6].tolist() == [True, False]
    assert found.low_again[7].tolist() == [True, False]
    assert found.outlier[7, 1] == 0
    unasked = fit(table(years, measured=np.where(flows == flows[7, 1], np.nan, flows), variances=0.02))
    assert found.state.level[7, 1] == pytest.approx(unasked.newest.level[1], abs=1e-14)
    assert np.isnan(found.score[7, 1])


def test_nobody_measures_on_request_where_nothing_was_asked() -> None:
    years, requested = np.arange(12) / 12, np.arange(12) % 2 == 1
    measured = math.log(1000) + 0.05 * np.random.default_rng(45).normal(size=(12, 5))
    found = watch(table(years, measured=measured, variances=0.02), limit_ml_min=LIMIT, on_request=requested)
    assert not found.asked.any()
    assert np.isnan(found.score[requested]).all()
    without = fit(table(years, measured=np.where(requested[:, None], np.nan, measured), variances=0.02))
    np.testing.assert_allclose(found.state.level, without.filtered.level, atol=1e-13)


def test_a_certain_measurement_is_never_asked_about_but_flags() -> None:
    measured, certain = np.log([1000.0] * 6 + [350.0]), np.arange(7) == 6
    found = watch(
        side_by_side([series(np.arange(7) / 12, measured=measured, variances=0.02, certain=certain)]),
        limit_ml_min=LIMIT,
    )
    assert not found.asked.any()
    assert found.flagged(0.25)[6, 0]


def test_low_again_is_also_a_fall_by_more_than_two_measurements_differ_by_chance() -> None:
    # Above the limit; 1.645 sqrt(2) sqrt(R) below the level before, as worked out here from the normal distribution.
    sd, before = 0.1, math.log(2000)
    least = math.exp(before - norm.ppf(0.95) * math.sqrt(2) * sd)
    for repeat, again in ((least - 25, True), (least + 25, False)):
        years = [*np.arange(30) / 12, 29 / 12 + 0.006]
        measured = np.log([2000.0] * 29 + [900.0, repeat])
        found = watch(side_by_side([series(years, measured=measured, variances=sd**2)]), limit_ml_min=LIMIT)
        assert found.asked[29, 0]
        assert found.low_again[30, 0] == again


def test_rows_asked_for_change_nothing_that_was_said_of_the_others() -> None:
    one = any_series(np.random.default_rng(46), wild=0.0, missing=0.0)
    joined, places = asked_at(one, years=[0.2, 0.9, 1.7, 3.0])
    alone, with_rows = (told(watch(side_by_side([each]), limit_ml_min=LIMIT, alarm=NEVER)) for each in (one, joined))
    others = ~np.isin(np.arange(len(joined)), places)
    for name, numbers in alone.items():
        np.testing.assert_allclose(with_rows[name][others], numbers, atol=1e-12, err_msg=name)


def test_nothing_measured_and_no_access_are_answered() -> None:
    assert watch(side_by_side([]), limit_ml_min=LIMIT).score.shape == (0, 0)
    nothing = side_by_side([series([0.0, 1.0], measured=[np.nan] * 2, variances=0.02)])
    found = watch(nothing, limit_ml_min=LIMIT)
    assert np.isnan(found.score).all()
    assert not found.flagged(0.0).any()
    assert found.state.level_variance[1, 0] == pytest.approx(Trend().prior_level_sd ** 2)
