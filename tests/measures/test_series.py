"""Series and batches: put in order, refused with a reason, asked between measurements, laid side by side unharmed."""

from typing import Any

import numpy as np
import pytest

from access.measures import Refused
from access.measures.series import Batch, Series, asked_at, series, side_by_side, table
from tests.measures.any_series import any_series, monthly

COLUMNS = ("years", "values", "variances", "resets", "jumps", "certain")


def row(name: str, value: Any) -> dict[str, Any]:
    """The columns of a series of three rows, one of them replaced."""
    usual: dict[str, Any] = {"years": [0.0, 1.0, 2.0], "values": [6.9, 6.8, 6.7], "variances": [0.02] * 3}
    usual |= {"resets": [False] * 3, "jumps": [0.0] * 3, "certain": [False] * 3, name: value}
    return {key: np.array(column) for key, column in usual.items()}


def test_measurements_are_put_in_order_of_time_and_all_columns_with_them() -> None:
    one = series(
        [2, 0, 1], measured=[7, 5, 6], variances=[0.3, 0.1, 0.2], resets=[True, False, False], jumps=[0.3, 0, 0]
    )
    assert one.years.tolist() == [0, 1, 2]
    assert one.values.tolist() == [5, 6, 7]
    assert one.variances.tolist() == [0.1, 0.2, 0.3]
    assert one.resets.tolist() == [False, False, True]
    assert one.jumps.tolist() == [0, 0, 0.3]


def test_two_of_one_day_stay_as_they_were_given() -> None:
    assert series([1, 1, 0, 1], measured=[3, 4, 2, 5], variances=0.01).values.tolist() == [2, 3, 4, 5]


def test_what_is_given_once_counts_for_all_and_a_hole_has_no_variance() -> None:
    one = series([0, 1], measured=[6.9, np.nan], variances=0.02, certain=True)
    assert one.variances.tolist() == [0.02, np.inf]
    assert one.certain.tolist() == [True, True]
    assert len(one) == 2
    assert len(series([], measured=[], variances=0.02)) == 0


@pytest.mark.parametrize(
    ("name", "value", "told"),
    [
        ("values", [6.9, 6.8], "one length"),
        ("values", [[6.9], [6.8], [6.7]], "one length"),
        ("years", [0.0, 2.0, 1.0], "order of time"),
        ("years", [0.0, np.nan, 1.0], "order of time"),
        ("years", [0.0, 1.0, np.inf], "order of time"),
        ("variances", [0.02, 0.0, 0.02], "variance above zero"),
        ("variances", [0.02, -1.0, 0.02], "variance above zero"),
        ("variances", [0.02, np.nan, 0.02], "variance above zero"),
        ("values", [6.9, np.nan, 6.8], "is a number"),
        ("values", [6.9, -np.inf, 6.8], "is a number"),  # log(0): no flow is an event, not a measurement.
        ("jumps", [0.0, np.nan, 0.0], "is a number"),
    ],
)
def test_a_series_refuses_what_it_cannot_weigh(name: str, value: Any, told: str) -> None:
    assert len(Series(**row("values", [6.9, 6.8, 6.7]))) == 3
    with pytest.raises(Refused, match=told):
        Series(**row(name, value))


@pytest.mark.parametrize(
    "given", [{"measured": [6.9, 6.8]}, {"variances": [0.02] * 2}, {"resets": [True]}, {"jumps": [[0.1]]}]
)
def test_lists_that_do_not_fit_each_other_are_refused_too(given: dict[str, Any]) -> None:
    usual: dict[str, Any] = {"measured": [6.9, 6.8, 6.7], "variances": 0.02}
    with pytest.raises(Refused, match="one length"):
        series([0, 1, 2], **usual | given)


def test_a_row_is_asked_for_behind_the_measurement_of_that_time() -> None:
    one = series([0, 1, 1, 2], measured=[6, 7, 8, 9], variances=0.02, resets=[False, True, False, False], jumps=0.1)
    joined, places = asked_at(one, years=[1.0, 0.5, 3.0, -1.0])
    assert places.tolist() == [5, 2, 7, 0]
    assert joined.years.tolist() == [-1, 0, 0.5, 1, 1, 1, 2, 3]
    assert np.flatnonzero(np.isinf(joined.variances)).tolist() == sorted(places)
    asked = np.isin(np.arange(8), places)
    for name in COLUMNS:
        np.testing.assert_array_equal(getattr(joined, name)[~asked], getattr(one, name))
    assert not joined.resets[asked].any()


def test_series_side_by_side_all_end_in_the_last_row() -> None:
    draw = np.random.default_rng(1)
    many = [any_series(draw, rows=rows) for rows in (3, 0, 7, 5)]
    batch = side_by_side(many)
    assert batch.shape == (7, 4)
    assert batch.lengths.tolist() == [3, 0, 7, 5]
    for column, one in enumerate(many):
        top, measured = 7 - len(one), np.isfinite(one.variances)
        assert not batch.weights[:top, column].any()
        np.testing.assert_array_equal(batch.years[top:, column], one.years)
        np.testing.assert_array_equal(batch.weights[top:, column], 1 / one.variances)
        np.testing.assert_array_equal(batch.values[top:, column][measured], one.values[measured])
        for name in ("resets", "jumps", "certain"):
            np.testing.assert_array_equal(getattr(batch, name)[top:, column], getattr(one, name))


def test_no_series_at_all_is_an_empty_batch() -> None:
    assert side_by_side([]).shape == (0, 0)
    assert side_by_side([series([], measured=[], variances=0.02)]).shape == (0, 1)


def test_blocks_hold_every_access_once_sorted_by_length_and_cut_to_what_they_need() -> None:
    draw = np.random.default_rng(2)
    batch = side_by_side([any_series(draw, rows=int(rows)) for rows in draw.integers(0, 9, 23)])
    blocks = list(batch.blocks(size=5))
    assert [part.shape[1] for _, part in blocks] == [5, 5, 5, 5, 3]
    chosen = np.concatenate([np.arange(23)[which] for which, _ in blocks])
    assert sorted(chosen) == list(range(23))
    assert (np.diff(batch.lengths[chosen]) >= 0).all()
    for which, part in blocks:
        assert part.shape[0] == part.lengths.max()
        np.testing.assert_array_equal(part.values, batch.values[batch.shape[0] - part.shape[0] :, which])


def test_accesses_of_one_length_stand_in_blocks_without_being_copied() -> None:
    batch = table([0, 1], measured=np.full((2, 12), 6.9), variances=0.02)
    blocks = list(batch.blocks(size=5))
    assert [which for which, _ in blocks] == [slice(0, 5), slice(5, 10), slice(10, 15)]
    assert all(np.shares_memory(part.values, batch.values) for _, part in blocks)


def test_a_table_is_what_its_series_are_side_by_side() -> None:
    measured = np.array([[6.9, np.nan], [6.8, 6.7], [np.nan, 6.6]])
    one = table([0, 1 / 12, 2 / 12], measured=measured, variances=0.01)
    other = side_by_side([monthly(column) for column in measured.T])
    for name in ("years", "values", "weights", "lengths"):
        np.testing.assert_allclose(getattr(one, name), getattr(other, name), rtol=1e-15)
    for name in ("resets", "jumps", "certain"):
        np.testing.assert_array_equal(np.broadcast_to(getattr(one, name), one.shape), getattr(other, name))


def test_a_table_of_one_measurement_is_taken_whole() -> None:
    batch: Batch = table([0.0], measured=[[6.9]], variances=0.02)
    ((which, part),) = batch.blocks()
    assert part.shape == (1, 1)
    assert batch.values[:, which].tolist() == [[6.9]]
