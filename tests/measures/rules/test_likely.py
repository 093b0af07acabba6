"""How likely the mean of a run lies above its limit, and what a run needs while it is not likely enough."""

import numpy as np
import pytest
from scipy import stats

from access.measures.rules.likely import LIKELY, Needed, likely_above, needed_of

SD = 0.055


@pytest.mark.parametrize("count", [2, 3, 5])
def test_it_agrees_with_draws_around_the_limit(count: int) -> None:
    # Outside check: NumPy draws, no patient data. Where the truth is the limit itself a share p seems at most p likely.
    draws = 0.5 + SD * np.random.default_rng(count).standard_normal((4000, count))
    said = [likely_above(list(row), limit=0.5, spreads=[SD] * count, least=count) for row in draws]
    assert stats.kstest(said, "uniform").pvalue > 0.01


def test_it_is_the_normal_distribution_of_scipy() -> None:
    said = likely_above([0.56, 0.58], limit=0.5, spreads=[SD, 0.08], least=2)
    assert said == pytest.approx(stats.norm.cdf(0.57, loc=0.5, scale=np.hypot(SD, 0.08) / 2), abs=1e-12)


def test_what_was_likely_once_stays_so_while_the_succession_lasts() -> None:
    run = [0.60, 0.62, 0.5, 0.5, 0.5, 0.5, 0.5, 0.5]
    now, before = (likely_above(run, limit=0.5, spreads=[SD] * 8, least=least) for least in (8, 2))
    assert now < before == likely_above(run[:2], limit=0.5, spreads=[SD] * 2, least=2)


def test_a_run_shorter_than_its_rule_needs_is_left_to_the_rule() -> None:
    assert needed_of(1, needed=2, likely=0.6) == Needed(times=2)
    assert needed_of(2, needed=2, likely=None) == Needed(times=2)


def test_a_run_that_is_not_likely_enough_needs_one_more_and_says_why() -> None:
    assert needed_of(3, needed=2, likely=0.78) == Needed(times=4, doubt=", by their mean only 78 % likely")
    assert needed_of(3, needed=2, likely=LIKELY) == Needed(times=2)
    # Compared as it is shown.
    assert needed_of(3, needed=2, likely=0.8951) == Needed(times=2)
