"""The usual flow: the median of six, fixed then, anew after a change, and what the alarm makes of it."""

import math

import numpy as np
import pytest

from access.measures.alarm import watch
from access.measures.series import series, side_by_side, table
from access.measures.usual_flow import FIRST, usual_flow

ROWS = 14


def usual(values: np.ndarray, **more: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Of one access, everything measured unless told."""
    column = np.asarray(values, dtype=float)[:, None]
    yes, no = np.ones(column.shape, dtype=bool), np.zeros(column.shape, dtype=bool)
    measured = more.get("measured", yes[:, 0])[:, None]
    resets = more.get("resets", no[:, 0])[:, None]
    found = usual_flow(column, weights=np.full(column.shape, 50.0), measured=measured, resets=resets)
    return found.level[:, 0], found.variance[:, 0]


def test_it_is_the_median_of_the_first_six_and_never_moves() -> None:
    values = np.concatenate([[7.0, 6.9, 7.1, 6.2, 7.0, 6.8], np.linspace(6, 3, ROWS - 6)])
    level, variance = usual(values)
    assert np.isnan(level[: FIRST - 1]).all()
    assert level[FIRST - 1 :] == pytest.approx(np.median(values[:6]))
    assert variance[FIRST - 1 :] == pytest.approx(math.pi / 2 / 50 / 6)


def test_a_missed_one_is_passed_over() -> None:
    measured = np.array([True, False] * (ROWS // 2))
    values = np.arange(ROWS, dtype=float)
    level, _ = usual(values, measured=measured)
    assert np.flatnonzero(np.isfinite(level))[0] == 10
    assert level[-1] == np.median(values[measured][:6])


def test_a_change_of_the_vessel_starts_it_anew() -> None:
    resets = np.zeros(ROWS, dtype=bool)
    resets[7] = True
    level, _ = usual(np.arange(ROWS, dtype=float), resets=resets)
    assert level[6] == 2.5
    assert np.isnan(level[7:12]).all()
    assert level[12:] == pytest.approx(9.5)


def test_many_side_by_side_are_as_each_alone() -> None:
    draw = np.random.default_rng(4)
    values, measured = draw.normal(7, 0.2, (ROWS, 9)), draw.random((ROWS, 9)) < 0.8
    resets = draw.random((ROWS, 9)) < 0.08
    together = usual_flow(values, weights=np.full(values.shape, 50.0), measured=measured, resets=resets).level
    for column in range(9):
        alone, _ = usual(values[:, column], measured=measured[:, column], resets=resets[:, column])
        assert np.array_equal(together[:, column], alone, equal_nan=True)


def test_a_slow_loss_far_above_the_limit_is_told_by_what_is_usual() -> None:
    flow = np.concatenate([np.full(6, 2000.0), 2000 * 0.98 ** np.arange(1, 31)])
    one = series(np.arange(36) / 12, measured=np.log(flow), variances=0.142**2)
    seen = watch(side_by_side([one]), limit_ml_min=600)
    assert seen.lost[-1, 0] > 0.9
    assert seen.lost[-1, 0] > 3 * max(seen.below[-1, 0], seen.falling[-1, 0])
    assert math.exp(seen.usual[-1, 0]) == pytest.approx(2000)
    assert seen.score[-1, 0] == seen.lost[-1, 0]


def test_before_six_measurements_nothing_is_lost() -> None:
    seen = watch(table(np.arange(5) / 12, measured=np.full((5, 1), math.log(900)), variances=0.02), limit_ml_min=600)
    assert np.nan_to_num(seen.lost).max() == 0
