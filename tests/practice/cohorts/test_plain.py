"""The plain rules: the guideline's agrees with the program's own rule access by access, the others by hand."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest

from access.measures import Refused, protocol
from access.measures.rules import evaluate
from access.practice.cohorts import statistical
from access.practice.cohorts.cohort import Cohort
from access.practice.cohorts.plain import (
    AS_WRITTEN,
    below_limit,
    in_a_row,
    smoothed_against_baseline,
    treatments_of,
    two_point,
    venous_against_baseline,
    venous_alone,
)
from access.practice.cohorts.profile import moment, profile_of
from tests.practice.cohorts.made import SMALL_A, a_cohort, b_cohort, by_hand

NAN = float("nan")


def met_by_the_rule(cohort: Cohort, access: int) -> Iterator[tuple[int, bool]]:
    """At each measured row, whether the program's own rule is met."""
    for row in np.flatnonzero(np.isfinite(cohort.log_flow[:, access])):
        as_of = moment(float(cohort.years[row, access])) + timedelta(hours=2)
        found = evaluate(profile_of(cohort, access, until=as_of), protocol=protocol.load("kdoqi-2000"), as_of=as_of)
        yield int(row), any(one.rule == "flow.kdoqi-2000" for one in found)


def assert_agrees(cohort: Cohort, accesses: range) -> None:
    score, seen = two_point(cohort), []
    for access in accesses:
        for row, met in met_by_the_rule(cohort, access):
            assert bool(score[row, access] > AS_WRITTEN) == met, (access, row)
            seen.append(met)
    assert 0.05 < np.mean(seen) < 0.95  # Both answers were asked for.


def test_the_guideline_over_a_cohort_is_the_rule_of_each_access() -> None:
    small = replace(SMALL_A, stable=2, progressing=8, sudden=4, years=2.5, outlier_share=0.1)
    assert_agrees(statistical.cohort(small, seed=11), range(14))


def test_the_guideline_agrees_at_other_intervals_where_fewer_lie_within_four_months() -> None:
    small = replace(SMALL_A, stable=2, progressing=6, sudden=4, every_months=2, begins_years=(0.2, 1.0))
    assert_agrees(statistical.cohort(small, seed=12), range(12))


def test_the_guideline_agrees_on_hydraulic_accesses_with_their_pressures() -> None:
    cohort = b_cohort().of(np.flatnonzero(np.isfinite(b_cohort().event_years))[:3])
    # The guideline of 2000 has one limit for both kinds.
    cohort = replace(cohort, limit_ml_min=np.full(3, 600.0))
    rows = slice(0, 14)
    names = ("years", "log_flow", "mean_arterial_mmhg", "true_flow_ml_min", "flow_on_test_ml_min", "true_percent")
    early = replace(cohort, **{name: getattr(cohort, name)[rows] for name in names})
    score = two_point(early)
    for access in range(3):
        for row, met in met_by_the_rule(early, access):
            assert bool(score[row, access] > AS_WRITTEN) == met


@pytest.mark.parametrize(
    ("days", "flows", "met"),
    [  # The checks of the guideline's rule that the program holds itself to: own arithmetic on kdoqi-2000.
        ((0, 90), (1000, 740), True),
        ((0, 90), (1600, 1150), False),
        ((0, 90), (900, 760), False),
        ((0, 122), (1000, 740), True),
        ((0, 123), (1000, 740), False),
        ((0, 30), (640, 599), True),
        ((0, 30), (640, 599.6), False),
        ((0, 30, 60), (1000, NAN, 740), True),
    ],
)
def test_the_guideline_is_met_as_counted_by_hand(days: tuple[float, ...], flows: tuple[float, ...], met: bool) -> None:
    assert bool(two_point(by_hand(days, [flows]))[-1, 0] > AS_WRITTEN) == met


def test_two_in_a_row_passes_over_a_missed_one() -> None:
    score = in_a_row(np.array([[1.0], [np.nan], [2.0], [-1.0], [3.0]]), times=2)
    assert np.array_equal(score[:, 0], [np.nan, np.nan, 1.0, -1.0, -1.0], equal_nan=True)


def test_three_in_a_row_is_the_least_of_the_newest_three() -> None:
    score = in_a_row(np.array([[5.0, 1.0], [4.0, 2.0], [6.0, 3.0], [7.0, np.nan], [1.0, 4.0]]), times=3)
    assert np.array_equal(score[2:, 0], [4.0, 4.0, 1.0])
    assert np.array_equal(score[2:, 1], [1.0, np.nan, 2.0], equal_nan=True)


def test_a_flow_below_its_limit_scores_by_how_far_it_lies_below() -> None:
    score = below_limit(by_hand([0, 30, 60], [[1200.0, 300.0, NAN]], limit_ml_min=600.5))
    assert np.allclose(score[:2, 0], [-np.log(2), np.log(2)]) and np.isnan(score[2, 0])


def test_the_running_mean_follows_a_fall_from_its_own_baseline() -> None:
    flows = [1000.0] * 6 + [NAN] + [800.0] * 3 + [100.0]
    score = smoothed_against_baseline(by_hand([30.0 * row for row in range(11)], [flows]))[:, 0]
    assert np.all(np.isnan(score[:7]))
    # Own arithmetic: a part 1 - .7^n of the fall after n measurements; then a step clipped to .3 x .3.
    fall = np.log(1000 / 800)
    assert np.allclose(score[7:10], [fall * (1 - 0.7**n) for n in (1, 2, 3)])
    assert score[10] == pytest.approx(fall * (1 - 0.7**3) + 0.09)


def test_three_venous_pressures_in_a_row_are_held_against_the_first_39() -> None:
    cohort = b_cohort()
    pressure = treatments_of(cohort).venous_mmhg
    score = venous_against_baseline(cohort)
    assert np.all(np.isnan(score[:39]))
    access, row = 17, 200
    expected = pressure[row - 2 : row + 1, access].min() - np.median(pressure[:39, access])
    assert score[row, access] == pytest.approx(expected)
    assert venous_alone(cohort)[row, access] == pressure[row - 2 : row + 1, access].min()
    standard = treatments_of(cohort).standard_venous_mmhg
    assert venous_alone(cohort, standard=True)[row, access] == standard[row - 2 : row + 1, access].min()


def test_a_cohort_of_flows_alone_has_no_pressure_to_judge() -> None:
    with pytest.raises(Refused, match="no pressure"):
        venous_alone(a_cohort())
