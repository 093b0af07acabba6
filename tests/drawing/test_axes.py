"""Round ticks: values enclose what is shown, times fall on days and firsts of months and have room for their labels."""

from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from access.drawing.axes import time_ticks, value_ticks


@given(low=st.floats(-500, 3000), span=st.floats(0, 3000), at_most=st.integers(2, 8))
def test_ticks_enclose_the_range_evenly(low: float, span: float, at_most: int) -> None:
    ticks = value_ticks(low, low + span, at_most=at_most)
    assert ticks[0] <= low + 1e-6 * max(abs(low), 1) and ticks[-1] >= low + span - 1e-6 * max(abs(low + span), 1)
    steps = [after - before for before, after in zip(ticks, ticks[1:], strict=False)]
    assert steps and max(steps) == pytest.approx(min(steps), rel=1e-4, abs=1e-9)
    assert len(ticks) <= at_most + 2


@pytest.mark.parametrize(
    ("low", "high", "expected"),
    [(0, 1270, [0, 500, 1000, 1500]), (-231, -150, [-250, -200, -150]), (0.0, 0.9, [0.0, 0.5, 1.0])],
)
def test_ticks_are_round(low: float, high: float, expected: list[float]) -> None:
    assert value_ticks(low, high, at_most=4) == pytest.approx(expected)


def test_a_long_time_is_ticked_at_firsts_of_months_and_a_january_names_its_year() -> None:
    since, until = datetime(2024, 9, 10, tzinfo=UTC), datetime(2026, 3, 9, tzinfo=UTC)
    ticks = time_ticks(since, until, room_px=550)
    assert all(at.day == 1 and since < at <= until for at, _ in ticks)
    assert [label for at, label in ticks if at.month == 1] == ["Jan 2025", "Jan 2026"]


def test_a_short_time_is_ticked_by_days() -> None:
    until = datetime(2026, 3, 9, tzinfo=UTC)
    ticks = time_ticks(until - timedelta(days=6), until, room_px=550)
    assert [label for _, label in ticks][-1] == "9 Mar"
    assert {after[0] - before[0] for before, after in zip(ticks, ticks[1:], strict=False)} == {timedelta(days=1)}


@given(days=st.integers(1, 6000), room=st.floats(100, 900))
def test_labels_have_room(days: int, room: float) -> None:
    until = datetime(2026, 3, 9, tzinfo=UTC)
    assert len(time_ticks(until - timedelta(days=days), until, room_px=room)) <= room / 50 + 1
