"""What flags are worth: counted by hand on cohorts small enough to see."""

import math
from dataclasses import replace

import numpy as np
import pytest

from access.measures import Refused
from access.measures.units import DAYS_A_YEAR
from access.practice.cohorts.merit import (
    cut_for,
    delay,
    delays_days,
    either,
    failing,
    false_flags,
    false_flags_by_band,
    gain,
    onsets,
    raised,
    sudden_falls,
)
from tests.practice.cohorts.made import a_cohort, by_hand, failed

MONTHS = [30.0 * month for month in range(13)]
FLAT = [[1000.0] * 13]


def test_a_flag_that_goes_on_is_met_anew_only_after_120_days() -> None:
    cohort = by_hand(MONTHS, FLAT)
    found = raised(np.ones((13, 1)), years=cohort.years)
    # Day 120 lies exactly 120 days after day 0, which is not yet more than that.
    assert np.flatnonzero(onsets(found)[:, 0]).tolist() == [0, 5, 10]
    assert np.flatnonzero(onsets(found, refractory_days=0)[:, 0]).tolist() == list(range(13))


def test_a_score_that_is_missing_flags_nothing_and_one_on_the_cut_neither() -> None:
    cohort = by_hand([0, 30, 60], [[1000.0] * 3])
    assert raised([[np.nan], [0.5], [0.51]], years=cohort.years, cut=0.5).flags[:, 0].tolist() == [False, False, True]


def test_false_flags_are_those_of_stable_accesses_over_their_years() -> None:
    cohort = by_hand([0, 365.25, 730.5], [[1000.0] * 3] * 3)
    cohort = replace(cohort, stable=np.array([True, True, False]))
    rate = false_flags(raised([[0, 1, 1], [0, 1, 1], [0, 0, 1]], years=cohort.years), cohort=cohort)
    assert (rate.flags, rate.access_years, rate.per_year) == pytest.approx((2, 4.0, 0.5))
    assert math.isnan(
        false_flags(raised(np.zeros((3, 3)), years=cohort.years), cohort=cohort, among=[False] * 3).per_year
    )


def test_false_flags_fall_into_the_band_of_the_true_flow() -> None:
    cohort = by_hand([0, 365.25], [[1000.0] * 2] * 4)
    cohort = replace(cohort, true_flow_ml_min=np.array([[799.0, 800.0, 1000.0, 3000.0]] * 2))
    rates = false_flags_by_band(raised([[1, 0, 1, 1], [0, 0, 0, 1]], years=cohort.years), cohort=cohort)
    assert [rate.per_year for rate in rates.values()] == pytest.approx([1.0, 0.0, 1.5])


def test_a_delay_counts_from_the_event_to_the_first_flag_since_it_began() -> None:
    cohort = failed(by_hand(MONTHS, FLAT * 3), began_day=90, event_days=[180, 180, 180])
    flags = np.zeros((13, 3))
    flags[[1, 5, 8], 0] = 1  # The flag of day 30 came before it began: a false one, not an early one.
    flags[7, 1] = 1
    assert delays_days(raised(flags, years=cohort.years), cohort=cohort) == pytest.approx([-30, 30, np.inf])


def test_a_delay_is_told_of_accesses_watched_for_60_days_after_the_event() -> None:
    cohort = failed(by_hand(MONTHS, FLAT * 4), began_day=90, event_days=[300, 301, 60, np.nan])
    # The second was not watched for long enough, the third failed before it began to, the fourth never did.
    assert failing(cohort).tolist() == [True, False, False, False]


def test_shares_and_median_of_delays_are_those_counted_by_hand() -> None:
    cohort = failed(by_hand(MONTHS, FLAT * 5), began_day=0, event_days=[180] * 5)
    flags = np.zeros((13, 5))
    for column, row in enumerate([4, 6, 8, 9]):
        flags[row, column] = 1
    found = delay(raised(flags, years=cohort.years), cohort=cohort, seed=1)
    assert (found.accesses, found.median_days) == pytest.approx((5, 60))
    assert (found.by_event, found.by_60_days) == pytest.approx((0.4, 0.6))
    assert found.low_days <= found.median_days <= found.high_days == math.inf


def test_no_access_that_failed_gives_no_delay() -> None:
    cohort = by_hand(MONTHS, FLAT)
    found = delay(raised(np.ones((13, 1)), years=cohort.years), cohort=cohort, seed=1)
    assert found.accesses == 0 and math.isnan(found.median_days)


def test_the_bootstrap_interval_of_a_median_covers_it_as_often_as_it_says() -> None:
    draw, held = np.random.default_rng(8), 0
    for trial in range(60):
        cohort = failed(by_hand([0, 800], [[1000.0] * 2] * 41), began_day=0, event_days=[300] * 41)
        at = (300 + draw.normal(0, 40, 41)) / DAYS_A_YEAR
        found = delay(raised(np.ones((1, 41)), years=at[None]), cohort=cohort, seed=trial)
        held += found.low_days <= 0 <= found.high_days
    assert 0.75 <= held / 60 <= 1.0


def test_a_rule_gains_over_another_what_its_flags_come_earlier() -> None:
    cohort = failed(by_hand(MONTHS, FLAT * 40), began_day=0, event_days=[240] * 40)
    late, early = np.zeros((13, 40)), np.zeros((13, 40))
    late[8], early[6] = 1, 1
    first, second = (raised(flags, years=cohort.years) for flags in (early, late))
    found = gain(first, over=second, cohort=cohort, seed=1)
    assert (found.days, found.low_days, found.high_days) == pytest.approx((60, 60, 60))
    never = raised(np.zeros((13, 40)), years=cohort.years)
    assert math.isnan(gain(never, over=never, cohort=cohort, seed=1).days)
    assert gain(first, over=never, cohort=cohort, seed=1).days == math.inf


def test_sudden_falls_are_flagged_within_90_days_or_not() -> None:
    cohort = replace(
        failed(by_hand(MONTHS, FLAT * 3), began_day=100, event_days=[100] * 3), sudden=np.ones(3, dtype=bool)
    )
    flags = np.zeros((13, 3))
    flags[4, 0] = flags[7, 1] = 1
    found = sudden_falls(raised(flags, years=cohort.years), cohort=cohort)
    assert (found.accesses, found.median_days, found.within_90_days) == pytest.approx((3, 110, 1 / 3))


def test_the_cut_found_gives_the_rate_asked_for_and_the_next_lower_score_more() -> None:
    cohort = a_cohort()
    score = np.random.default_rng(5).random(cohort.log_flow.shape)
    for per_year in (0.05, 0.10, 0.66):
        cut = cut_for(score, years=cohort.years, cohort=cohort, per_year=per_year)
        assert false_flags(raised(score, years=cohort.years, cut=cut), cohort=cohort).per_year <= per_year
        lower = float(np.max(score[:, cohort.stable][score[:, cohort.stable] < cut]))
        assert false_flags(raised(score, years=cohort.years, cut=lower), cohort=cohort).per_year > per_year


def test_a_cut_needs_stable_accesses_with_a_score() -> None:
    cohort = a_cohort()
    with pytest.raises(Refused, match="No stable access"):
        cut_for(np.full(cohort.log_flow.shape, np.nan), years=cohort.years, cohort=cohort, per_year=0.1)


def test_two_rules_together_flag_where_either_does_in_order_of_time() -> None:
    first = raised([[0.0], [1.0]], years=[0.0, 2.0])
    second = raised([[1.0], [0.0], [1.0]], years=[1.0, 2.0, 3.0])
    both = either(first, second)
    assert both.years[:, 0].tolist() == [0, 1, 2, 2, 3]
    assert both.flags[:, 0].tolist() == [False, True, True, False, True]
