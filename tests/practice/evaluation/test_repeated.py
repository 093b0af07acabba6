"""A plain rule with repeats on request: counted by hand, and against the rule without them."""

import numpy as np
import pytest

from access.measures.units import DAYS_A_YEAR
from access.practice.cohorts import merit, plain
from access.practice.evaluation.repeated import repeated
from tests.practice.cohorts.made import a_cohort, by_hand

MONTHS = [30.0 * month for month in range(4)]


def test_a_low_value_and_its_normal_repeat_flag_nothing() -> None:
    cohort = by_hand(MONTHS, [[1000, 400, 1000, 1000]] * 200)  # The true flow is 1000 throughout.
    found = repeated(plain.below_limit(cohort), cohort=cohort, seed=1).raised(0.0)
    repeats = found.flags[3]  # The repeat of the second measurement.
    # Normal but for gross errors of the repeats: 2 of 100, at .35 to .65 times 1000.
    assert repeats.mean() < 0.05
    assert not found.flags[[0, 1, 4, 5, 6, 7]].any()


def test_a_low_value_in_an_access_that_is_low_flags_at_the_next_treatment() -> None:
    cohort = by_hand(MONTHS, [[400, 400, 400, 400]] * 200, limit_ml_min=1400)  # True 1000: far below this limit.
    found = repeated(plain.below_limit(cohort), cohort=cohort, seed=1).raised(0.0)
    made = found.flags[1]
    assert 0.8 < made.mean() < 0.97  # Nine of ten repeats are made.
    # Where none was made, the next measurement stands for it.
    assert found.flags[2][~made].all() and not found.flags[2][made].any()
    assert found.years[1, 0] * DAYS_A_YEAR == pytest.approx(7 / 3)


def test_a_value_that_was_missed_is_not_repeated() -> None:
    cohort = by_hand(MONTHS, [[400, np.nan, 400, 400]] * 50, limit_ml_min=1400)
    score = repeated(plain.below_limit(cohort), cohort=cohort, seed=1).score
    assert np.isnan(score[3]).all() and np.isnan(score[2]).all()


def test_repeats_make_the_guidelines_rule_flag_falsely_much_less_often() -> None:
    cohort = a_cohort()
    rule = plain.two_point(cohort)
    once = merit.false_flags(merit.raised(rule, years=cohort.years), cohort=cohort).per_year
    again = merit.false_flags(repeated(rule, cohort=cohort, seed=1).raised(0.0), cohort=cohort).per_year
    assert again < once / 2
