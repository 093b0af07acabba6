"""The trend's doubt by stretch: what is counted, and that a wrong statement is told from a right one."""

from dataclasses import replace

import numpy as np
import pytest

from access.practice.evaluation.doubt import STRETCHES, doubts
from access.practice.evaluation.score import Trial
from tests.practice.evaluation.made import trial


def with_stated(given: Trial, **changes: object) -> Trial:
    """The same trial as if the trend had stated something else."""
    changed = replace(given)
    stated = replace(given.flow.stated, **changes)  # type: ignore[arg-type]
    changed.__dict__["flow"] = replace(given.flow, stated=stated)
    return changed


def test_an_interval_that_is_everywhere_holds_always_and_an_empty_one_never() -> None:
    given = trial("A", accesses=120)
    shape = given.cohort.log_flow.shape
    wide = with_stated(given, low_ml_min=np.zeros(shape), high_ml_min=np.full(shape, np.inf))
    assert {1.0} == {doubts([with_stated(wide, high_ml_min=np.full(shape, 1e9))])[0].stable}
    narrow = doubts([with_stated(given, low_ml_min=np.full(shape, 1e9), high_ml_min=np.full(shape, 2e9))])[0]
    assert narrow.stable == 0 and set(narrow.failing.values()) == {0.0}


def test_the_stretches_end_where_they_say() -> None:
    given = trial("A", accesses=120)
    cohort = given.cohort
    # An interval that holds before the event only.
    true = cohort.flow_on_test_ml_min
    before = cohort.years <= cohort.event_years
    low = np.where(before, true - 1, true + 1)
    found = doubts([with_stated(given, low_ml_min=low, high_ml_min=true + 2)])[0]
    shares = list(found.failing.values())
    assert list(found.failing) == list(STRETCHES)
    assert shares[0] == 1.0
    assert shares == sorted(shares, reverse=True) and shares[-1] < 0.9


def test_a_prophet_has_a_brier_score_of_nothing_and_a_liar_of_one() -> None:
    given = trial("A", accesses=120)
    truth = (given.cohort.flow_on_test_ml_min < given.cohort.limit_ml_min).astype(float)
    assert doubts([with_stated(given, below=truth)])[0].brier == 0
    assert doubts([with_stated(given, below=1 - truth)])[0].brier == pytest.approx(1)


def test_several_seeds_are_told_each_and_together() -> None:
    found = doubts([trial("A", accesses=120, seed=seed) for seed in (1, 2)])
    assert [one.seed for one in found] == ["1", "2", "all"]
    assert min(found[0].brier, found[1].brier) <= found[2].brier <= max(found[0].brier, found[1].brier)
