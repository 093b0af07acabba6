"""Exact rates and ratios, held against printed values, SciPy and statsmodels, and against what an interval promises."""

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats
from statsmodels.stats.rates import confint_poisson

from access.measures import Refused
from access.measures.rates import ASSUMES, Rate, RateRatio, rate, ratio
from access.measures.units import DAYS_A_YEAR
from tests.measures.cases import cases

COUNTS = st.integers(0, 200)
TIMES = st.floats(500, 1e6)


def in_years(events: int, years: float, confidence: float = 0.95) -> Rate:
    """A rate of events in so many years."""
    return rate(events, days=years * DAYS_A_YEAR, confidence=confidence)


@pytest.mark.parametrize("case", cases("rates", formula="rates.poisson"))
def test_a_rate_and_its_interval_are_as_printed(case: dict[str, Any]) -> None:
    said = case["given"]
    found = in_years(said["events"], said["time"], said["confidence"])
    assert [found.per_year, found.low_per_year, found.high_per_year] == pytest.approx(
        case["expected"], abs=case["tolerance"]
    )


@pytest.mark.parametrize("case", cases("rates", formula="rates.ratio"))
def test_a_ratio_its_interval_and_p_are_as_printed(case: dict[str, Any]) -> None:
    first, second = (in_years(*case["given"][name]) for name in ("first", "second"))
    found = ratio(first, to=second, confidence=case["given"]["confidence"])
    known = [found.value, found.low, found.high][: len(case["expected"])]
    assert known == pytest.approx(case["expected"], abs=case["tolerance"])
    if "p" in case:
        assert found.p == pytest.approx(case["p"], abs=case["p_tolerance"])
    if "rates" in case:
        assert [first.per_year, second.per_year] == pytest.approx(case["rates"], abs=case["rates_tolerance"])


@pytest.mark.parametrize("confidence", [0.8, 0.95, 0.99])
@pytest.mark.parametrize("events", [0, 1, 2, 7, 25, 400])
def test_an_interval_is_that_of_scipy_and_statsmodels(events: int, confidence: float) -> None:
    found = in_years(events, 500, confidence)
    outside = (1 - confidence) / 2
    low = stats.chi2.ppf(outside, 2 * events) / 1000 if events else 0.0
    assert found.low_per_year == pytest.approx(low, rel=1e-12)
    assert found.high_per_year == pytest.approx(stats.chi2.isf(outside, 2 * events + 2) / 1000, rel=1e-12)
    theirs = np.nan_to_num(confint_poisson(events, 500, method="exact-c", alpha=1 - confidence))
    assert [found.low_per_year, found.high_per_year] == pytest.approx(list(theirs), rel=1e-12)


@pytest.mark.parametrize("mean", [0.3, 1, 2.7, 6, 10, 40])
def test_an_interval_holds_the_true_rate_at_least_as_often_as_it_says(mean: float) -> None:
    counts = np.arange(200)
    rates = [in_years(int(count), 1000) for count in counts]
    holds = np.array([one.low_per_year * 1000 <= mean <= one.high_per_year * 1000 for one in rates])
    covered = stats.poisson.pmf(counts, mean)[holds].sum()
    assert 0.95 <= covered < 1


@given(COUNTS, COUNTS, TIMES, TIMES)
def test_a_ratio_is_the_binomial_one_of_scipy(first: int, second: int, days: float, other_days: float) -> None:
    if not first + second:
        return
    found = ratio(rate(first, days=days), to=rate(second, days=other_days))
    share = days / (days + other_days)
    test = stats.binomtest(first, first + second, share)
    low, high = test.proportion_ci(0.95, method="exact")
    scale = other_days / days
    assert found.low == pytest.approx(scale * low / (1 - low), rel=1e-6)
    if found.high is None:
        assert (found.value, second, high) == (None, 0, 1)
    else:
        assert found.high == pytest.approx(scale * high / (1 - high), rel=1e-6)
    tails = [stats.binomtest(first, first + second, share, alternative=side).pvalue for side in ("less", "greater")]
    assert found.p == pytest.approx(min(1, 2 * min(tails)), rel=1e-9, abs=1e-300)


@given(COUNTS, COUNTS, TIMES, TIMES)
def test_p_and_interval_never_deny_each_other(first: int, second: int, days: float, other_days: float) -> None:
    if not first + second:
        return
    found = ratio(rate(first, days=days), to=rate(second, days=other_days))
    if abs(found.p - 0.05) > 1e-6:
        assert (found.p < 0.05) == (found.low > 1 or (found.high is not None and found.high < 1))


@given(st.integers(1, 200), st.integers(1, 200), TIMES, TIMES)
def test_a_ratio_the_other_way_round_is_its_inverse(first: int, second: int, days: float, other_days: float) -> None:
    one, other = rate(first, days=days), rate(second, days=other_days)
    there, back = ratio(one, to=other), ratio(other, to=one)
    assert _ends(there) == pytest.approx([1 / value for value in reversed(_ends(back))], rel=1e-9)
    assert there.p == pytest.approx(back.p, rel=1e-9, abs=1e-300)


@given(COUNTS, TIMES)
def test_a_rate_per_thousand_days_is_the_same_rate(events: int, days: float) -> None:
    found = rate(events, days=days)
    assert found.per_1000_days == pytest.approx(1000 * events / days)
    assert found.low_per_1000_days * days / 1000 == pytest.approx(found.low_per_year * found.years)
    assert found.low_per_1000_days <= found.per_1000_days <= found.high_per_1000_days


def test_a_quarter_a_year_is_what_the_guideline_means_per_thousand_days() -> None:
    # Own arithmetic: 0.25 thromboses in a fistula-year of 365.25 days (kdoqi-2006) are 0.684 in 1000 days.
    assert in_years(25, 100).per_1000_days == pytest.approx(0.684, abs=0.0005)


def test_the_denominator_and_the_assumption_stand_beside_the_rate() -> None:
    assert rate(6, days=8000).text == (
        "6 events in 8,000 days (21.9 years): 0.27 a year (95 % interval 0.10 to 0.60), 0.75 per 1000 days. "
        "Assumes independent events: an access that clots again and again makes the interval too narrow."
    )
    assert rate(1, days=8000).text.startswith("1 event in 8,000 days")


def test_both_denominators_stand_beside_a_ratio() -> None:
    text = ratio(rate(14, days=40_000), to=rate(6, days=40_000)).text
    assert text.startswith(
        "14 events in 40,000 days against 6 events in 40,000 days: ratio 2.33 (95 % interval 0.84 to"
    )
    assert "p 0.115" in text
    assert text.endswith(ASSUMES)
    assert "p below 0.001" in ratio(rate(90, days=40_000), to=rate(6, days=40_000)).text


def test_no_event_is_a_rate_with_an_upper_end() -> None:
    found = in_years(0, 100)
    assert (found.per_year, found.low_per_year) == (0, 0)
    assert found.high_per_year == pytest.approx(-np.log(0.025) / 100)  # No event in so long: e to the minus that.


def test_a_ratio_to_a_rate_without_events_has_no_upper_end() -> None:
    found = ratio(rate(5, days=1000), to=rate(0, days=1000))
    assert (found.value, found.high) == (None, None)
    assert found.low > 0
    assert "no ratio, for nothing happened in the second" in found.text
    assert "without upper end" in found.text
    turned = ratio(rate(0, days=1000), to=rate(5, days=1000))
    assert (turned.value, turned.low) == (0, 0)
    assert turned.high == pytest.approx(1 / found.low)


NONE = rate(0, days=1000)


@pytest.mark.parametrize(
    ("attempt", "words", "field"),
    [
        (lambda: rate(-1, days=100), "whole number from 0 on", "events"),
        (lambda: rate(2.5, days=100), "whole number from 0 on", "events"),  # type: ignore[arg-type]
        (lambda: rate(float("nan"), days=100), "whole number from 0 on", "events"),  # type: ignore[arg-type]
        (lambda: rate(3, days=0), "needs time under observation", "days"),
        (lambda: rate(0, days=0), "needs time under observation", "days"),
        (lambda: rate(3, days=-10), "needs time under observation", "days"),
        (lambda: rate(3, days=float("nan")), "needs time under observation", "days"),
        (lambda: rate(3, days=float("inf")), "needs time under observation", "days"),
        (lambda: rate(30, days=21.9), "look whether the time was given in years", "days"),
        (lambda: rate(3, days=100, confidence=95), "between 0 and 1", "confidence"),
        (lambda: rate(3, days=100, confidence=0), "between 0 and 1", "confidence"),
        (lambda: ratio(NONE, to=NONE), "no event in either", "events"),
        (lambda: ratio(rate(3, days=100), to=NONE, confidence=1), "between 0 and 1", "confidence"),
    ],
)
def test_what_is_no_rate_is_refused_at_its_field(attempt: Callable[[], object], words: str, field: str) -> None:
    with pytest.raises(Refused, match=words) as refused:
        attempt()
    assert refused.value.field == field


def _ends(found: RateRatio) -> list[float]:
    assert found.value is not None and found.high is not None
    return [found.low, found.value, found.high]
