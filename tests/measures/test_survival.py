"""Curves with delayed entry and the log-rank test, held against printed tables, SciPy, lifelines and statsmodels."""

import warnings
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from lifelines import KaplanMeierFitter
from lifelines.datasets import load_leukemia, load_multicenter_aids_cohort_study, load_waltons
from lifelines.statistics import multivariate_logrank_test
from lifelines.utils import median_survival_times
from scipy import stats
from statsmodels.duration.survfunc import SurvfuncRight, survdiff

from access.measures import Refused
from access.measures.survival import Curve, Observed, at_risk, kaplan_meier, log_rank, observed
from tests.measures.cases import cases

# The bar: equal to the libraries up to the rounding of doubles.
EQUAL = 1e-12


# Came under observation when nothing ended any more.
LATE = observed([90_000], event=[0], entry=[80_000])


def drawn(seed: int, *, n: int = 60, delayed: bool = True, ties: bool = True) -> Observed:
    """Invented lifetimes, of which about a third is censored and, when delayed, most enter late."""
    rng = np.random.default_rng(seed)
    exit = rng.exponential(300, n) + 1
    entry = exit * rng.random(n) * (rng.random(n) < 0.7) if delayed else np.zeros(n)
    # Whole multiples of ten make ties of exits with each other and with entries.
    exit, entry = (np.ceil(exit / 10) * 10, np.floor(entry / 10) * 10) if ties else (exit, entry)
    return observed(exit, event=rng.random(n) < 0.65, entry=entry)


def greenwood_error(curve: Curve) -> np.ndarray:
    """The standard error of the share where it is above 0, worked out backwards from the upper band."""
    share, high = curve.share[curve.share > 0], curve.high[curve.share > 0]
    z = stats.norm.ppf((1 + curve.confidence) / 2)
    return np.asarray(share * -np.log(share) * np.log(np.log(share) / np.log(high)) / z)


@pytest.mark.parametrize("case", cases("patency", formula="patency.kaplan-meier"))
def test_a_curve_is_as_printed(case: dict[str, Any]) -> None:
    curve = kaplan_meier(observed(**case["given"]))
    assert curve.days.tolist() == case["days"]
    assert curve.at_risk.tolist() == case["at_risk"]
    assert curve.share == pytest.approx(case["expected"], abs=case["tolerance"])
    assert curve.median.days == case["median"]


@pytest.mark.parametrize("case", cases("patency", formula="patency.kaplan-meier", kind="published"))
def test_the_band_has_the_error_that_is_printed(case: dict[str, Any]) -> None:
    curve = kaplan_meier(observed(**case["given"]))
    assert greenwood_error(curve) == pytest.approx(case["error"], abs=case["error_tolerance"])


def test_the_printed_remissions_are_those_shipped_with_lifelines() -> None:
    shipped = load_leukemia()
    treated, placebo = (
        case["given"] for case in cases("patency", formula="patency.kaplan-meier", kind="published")[:2]
    )
    for group, typed in ((0, treated), (1, placebo)):
        rows = shipped[shipped["Rx"] == group]
        assert sorted(zip(rows["t"], rows["status"], strict=True)) == sorted(zip(*typed.values(), strict=True))


@pytest.mark.parametrize("seed", range(20))
@pytest.mark.parametrize("ties", [True, False])
def test_without_delay_a_curve_and_its_band_equal_those_of_scipy(seed: int, ties: bool) -> None:
    one = drawn(seed, delayed=False, ties=ties)
    curve = kaplan_meier(one, confidence=0.9)
    theirs = stats.ecdf(stats.CensoredData(uncensored=one.exit[one.event], right=one.exit[~one.event])).sf
    with warnings.catch_warnings():
        warnings.filterwarnings("ignore", "The confidence interval is undefined", RuntimeWarning)
        band = theirs.confidence_interval(0.9, method="log-log")
    assert np.max(np.abs(theirs.evaluate(curve.days) - curve.share)) < EQUAL
    for mine, other in ((curve.low, band.low), (curve.high, band.high)):
        np.testing.assert_allclose(mine, other.evaluate(curve.days), rtol=0, atol=EQUAL)


@pytest.mark.parametrize("seed", range(20))
@pytest.mark.parametrize("ties", [True, False])
def test_with_delay_a_curve_equals_those_of_lifelines_and_statsmodels(seed: int, ties: bool) -> None:
    one = drawn(seed, ties=ties)
    curve = kaplan_meier(one)
    theirs = KaplanMeierFitter().fit(one.exit, one.event, entry=one.entry)
    assert np.max(np.abs(theirs.predict(curve.days).to_numpy() - curve.share)) < EQUAL
    rows = theirs.confidence_interval_.loc[curve.days].to_numpy()[curve.share > 0]
    assert np.max(np.abs(rows - np.column_stack([curve.low, curve.high])[curve.share > 0])) < EQUAL
    third = SurvfuncRight(one.exit, one.event.astype(int), entry=one.entry)
    assert np.max(np.abs(third.surv_prob - curve.share)) < EQUAL
    assert third.n_risk.tolist() == curve.at_risk.tolist()


def test_the_delayed_cohort_shipped_with_lifelines_reads_the_same() -> None:
    rows = load_multicenter_aids_cohort_study()
    one = observed(rows["T"], event=rows["D"], entry=rows["W"])
    curve = kaplan_meier(one)
    theirs = KaplanMeierFitter().fit(rows["T"], rows["D"], entry=rows["W"])
    assert np.max(np.abs(theirs.predict(curve.days).to_numpy() - curve.share)) < EQUAL
    assert curve.median.days == theirs.median_survival_time_
    assert kaplan_meier(observed(rows["T"], event=rows["D"])).share[-1] > curve.share[-1] + 0.02


@pytest.mark.parametrize("seed", range(10))
def test_the_median_and_its_interval_are_those_of_lifelines(seed: int) -> None:
    one = drawn(seed, n=200, delayed=False)
    theirs = KaplanMeierFitter().fit(one.exit, one.event)
    median = kaplan_meier(one).median
    assert median.days == theirs.median_survival_time_
    assert [median.low_days, median.high_days] == median_survival_times(theirs.confidence_interval_).iloc[0].tolist()


def test_a_share_of_one_half_is_one_half_for_all_the_rounding_of_its_product() -> None:
    curve = kaplan_meier(observed(np.arange(1, 25), event=True))
    assert curve.share[11] > 0.5  # By one bit, after twelve factors.
    assert curve.median.days == 12


def test_a_median_that_was_not_reached_is_missing() -> None:
    median = kaplan_meier(observed([10, 20, 30, 40], event=[1, 0, 0, 0])).median
    assert (median.days, median.high_days) == (None, None)


@pytest.mark.parametrize("case", cases("patency", formula="patency.log-rank"))
def test_the_log_rank_test_is_as_printed(case: dict[str, Any]) -> None:
    found = log_rank([observed(**group) for group in case["given"]])
    assert found.chi_square == pytest.approx(case["expected"], abs=case["tolerance"])
    if "p" in case:
        assert found.p == pytest.approx(case["p"], abs=case["p_tolerance"])
    if "expected_events" in case:
        assert found.expected == pytest.approx(case["expected_events"], abs=0.05)


@pytest.mark.parametrize("seed", range(20))
def test_two_groups_compare_as_in_scipy(seed: int) -> None:
    pair = drawn(seed, delayed=False), drawn(seed + 100, delayed=False, n=40)
    found = log_rank(pair)
    theirs = stats.logrank(*(stats.CensoredData(uncensored=o.exit[o.event], right=o.exit[~o.event]) for o in pair))
    assert found.chi_square == pytest.approx(theirs.statistic**2, rel=EQUAL, abs=EQUAL)
    assert found.p == pytest.approx(theirs.pvalue, rel=1e-11)


@pytest.mark.parametrize("groups", [2, 3, 5])
def test_several_groups_compare_as_in_lifelines(groups: int) -> None:
    many = [drawn(seed, delayed=False, n=30 + seed) for seed in range(groups)]
    exit, event, label = (np.concatenate(column) for column in zip(*_columns(many), strict=True))
    theirs = multivariate_logrank_test(exit, label, event)
    found = log_rank(many)
    assert found.degrees_of_freedom == groups - 1
    assert found.chi_square == pytest.approx(theirs.test_statistic, rel=EQUAL)
    assert found.p == pytest.approx(theirs.p_value, rel=1e-11)


@pytest.mark.parametrize("groups", [2, 4])
@pytest.mark.parametrize("seed", range(5))
def test_groups_with_delayed_entry_compare_as_in_statsmodels(seed: int, groups: int) -> None:
    many = [drawn(10 * seed + number) for number in range(groups)]
    exit, event, label = (np.concatenate(column) for column in zip(*_columns(many), strict=True))
    statistic, p = survdiff(exit, event.astype(int), label, entry=np.concatenate([one.entry for one in many]))
    found = log_rank(many)
    assert found.chi_square == pytest.approx(statistic, rel=1e-10)
    assert found.p == pytest.approx(p, rel=1e-10)


def test_the_flies_shipped_with_lifelines_compare_as_in_scipy() -> None:
    flies = load_waltons()
    pair = [observed(rows["T"], event=rows["E"]) for _, rows in flies.groupby("group")]
    theirs = stats.logrank(*(stats.CensoredData(uncensored=o.exit[o.event], right=o.exit[~o.event]) for o in pair))
    assert log_rank(pair).chi_square == pytest.approx(theirs.statistic**2, rel=EQUAL)


@given(st.integers(0, 10_000), st.floats(0.05, 0.95))
def test_an_observation_cut_in_two_is_the_same_observation(seed: int, share: float) -> None:
    one = drawn(seed, n=25)
    cut = one.entry + share * (one.exit - one.entry)
    halves = observed(
        np.concatenate([cut, one.exit]),
        event=np.concatenate([np.zeros(25, dtype=bool), one.event]),
        entry=np.concatenate([one.entry, cut]),
    )
    if one.event.any():
        whole, joined = kaplan_meier(one), kaplan_meier(halves)
        assert joined.share.tolist() == whole.share.tolist()
        assert joined.at_risk.tolist() == whole.at_risk.tolist()


@given(st.integers(0, 10_000), st.permutations(range(25)))
def test_neither_order_nor_the_unit_of_time_matters(seed: int, order: list[int]) -> None:
    one = drawn(seed, n=25)
    other = Observed(entry=one.entry[order] * 4, exit=one.exit[order] * 4, event=one.event[order])
    assert kaplan_meier(other).share.tolist() == kaplan_meier(one).share.tolist()
    assert kaplan_meier(other).days.tolist() == (4 * kaplan_meier(one).days).tolist()


def test_delayed_entry_finds_the_true_share_where_ignoring_it_does_not() -> None:
    rng = np.random.default_rng(3)
    life, entry = rng.exponential(1 / np.log(2), 20_000), rng.uniform(0, 2, 20_000) * (rng.random(20_000) < 0.8)
    seen = life > entry
    right = kaplan_meier(observed(life[seen], event=True, entry=entry[seen])).at(1.0)
    wrong = kaplan_meier(observed(life[seen], event=True)).at(1.0)
    assert right == pytest.approx(0.5, abs=0.015)
    assert wrong > 0.6


def test_day_zero_counts_for_those_who_were_there_from_the_beginning() -> None:
    one = observed([0, 0, 30], event=[1, 0, 1], entry=[0, 0, 0])
    assert at_risk(one, at=[0, 1, 30, 31]).tolist() == [3, 1, 1, 0]
    assert kaplan_meier(one).share == pytest.approx([2 / 3, 0])


def test_a_curve_without_an_event_stays_at_one() -> None:
    curve = kaplan_meier(observed([10, 20], event=False))
    assert curve.days.size == 0
    assert (curve.at(0), curve.at(50), curve.median.days) == (1.0, 1.0, None)


def test_a_curve_that_ran_out_of_accesses_early_says_so() -> None:
    early = kaplan_meier(observed([12, 400, 500], event=[1, 1, 0], entry=[0, 100, 200]))
    assert early.at(450) == 0.0
    assert "By day 12 every access then under observation had ended" in early.caution
    assert "2 that came" in early.caution
    assert kaplan_meier(observed([12, 400], event=[1, 1], entry=[0, 0])).caution == ""


def test_equal_groups_do_not_differ() -> None:
    found = log_rank([drawn(1), drawn(1)])
    assert found.chi_square == pytest.approx(0, abs=EQUAL)
    assert found.p == pytest.approx(1)


@pytest.mark.parametrize(
    ("attempt", "words"),
    [
        (lambda: observed([10], event=[1], entry=[10]), "leaves before or as it enters"),
        (lambda: observed([10], event=[1], entry=[20]), "leaves before or as it enters"),
        (lambda: observed([-1], event=[1]), "leaves before or as it enters"),
        (lambda: observed([10], event=[1], entry=[-5]), "before it exists"),
        (lambda: observed([float("nan")], event=[1]), "a day of entry and one of exit"),
        (lambda: observed([10, 20], event=[1, 0, 1]), "lists of one length"),
        (lambda: observed([[10, 20]], event=[[1, 0]]), "lists of one length"),
        (lambda: kaplan_meier(observed([], event=[])), "there is no curve"),
        (lambda: kaplan_meier(observed([10], event=[1]), confidence=95), "between 0 and 1"),
        (lambda: log_rank([observed([10], event=[1])]), "at least two groups"),
        (lambda: log_rank([observed([10], event=[0]), observed([12], event=[0])]), "nothing to compare"),
        (lambda: log_rank([observed([10], event=[1]), observed([30], event=[1], entry=[20])]), "cannot be told apart"),
        (lambda: log_rank([observed([10], event=[1]), observed([], event=[])]), "cannot be told apart"),
        (lambda: log_rank([drawn(0, delayed=False), drawn(1, delayed=False), LATE]), "cannot be told apart"),
    ],
)
def test_what_gives_no_honest_answer_is_refused_in_words(attempt: Callable[[], object], words: str) -> None:
    with pytest.raises(Refused, match=words):
        attempt()


def _columns(many: list[Observed]) -> list[tuple[np.ndarray, np.ndarray, np.ndarray]]:
    return [(one.exit, one.event, np.full(len(one), label)) for label, one in enumerate(many)]
