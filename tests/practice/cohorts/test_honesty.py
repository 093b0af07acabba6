"""Whether stated doubt is honest: counted by hand, and on statements that are honest by construction."""

from dataclasses import replace

import numpy as np
import pytest

from access.measures import Refused
from access.practice.cohorts.honesty import brier, coverage, reliability
from tests.practice.cohorts.made import a_cohort, by_hand


def test_the_brier_score_is_the_mean_squared_error_counted_by_hand() -> None:
    # Own arithmetic: (.2^2 + .3^2 + 1^2) / 3.
    assert brier([0.2, 0.7, 0.0, np.nan], happened=[0, 1, 1, 1]) == pytest.approx((0.04 + 0.09 + 1.0) / 3)
    assert brier([0.5, 0.5], happened=[0, 1]) == 0.25


def test_honest_probabilities_come_as_often_as_they_say() -> None:
    draw = np.random.default_rng(1)
    said = draw.random(40_000)
    for one in reliability(said, happened=draw.random(40_000) < said):
        assert one.observed == pytest.approx(one.predicted, abs=0.03)
        assert one.low <= one.predicted <= one.high


def test_every_statement_falls_into_one_bin_and_certainty_into_the_last() -> None:
    bins = reliability([0.0, 0.05, 0.95, 1.0], happened=[0, 0, 1, 1])
    assert [(one.low, one.count) for one in bins] == [(0.0, 1), (0.05, 1), (0.95, 2)]


def test_nothing_stated_and_what_is_no_probability_are_refused() -> None:
    with pytest.raises(Refused, match="No probability"):
        brier([np.nan], happened=[1])
    with pytest.raises(Refused, match="between 0 and 1"):
        brier([1.2], happened=[1])


def test_an_interval_covers_where_it_holds_the_flow_of_a_test_without_error() -> None:
    cohort = by_hand([0, 30, 60, 90], [[1000.0] * 4, [1000.0] * 4])
    cohort = replace(cohort, flow_on_test_ml_min=np.array([[500.0, 1000.0]] * 4))
    low, high = np.full((4, 2), 900.0), np.full((4, 2), 1100.0)
    low[3, 1] = 1001.0
    # Rows from the third measurement on: the first access is never held, the second once of twice.
    found = coverage(low, high_ml_min=high, cohort=cohort)
    assert found.stable == pytest.approx(0.25)
    assert np.isnan(found.failing)


def test_the_known_noise_of_measuring_covers_as_often_as_it_says() -> None:
    cohort = a_cohort()
    wide = np.exp(1.645 * cohort.flow_sd)
    measured = np.exp(cohort.log_flow)
    found = coverage(measured / wide, high_ml_min=measured * wide, cohort=cohort)
    # Two of a hundred are gross errors, which no such interval holds: .98 of .90.
    assert found.stable == pytest.approx(0.882, abs=0.01)
    assert found.failing == pytest.approx(0.882, abs=0.012)
