"""The table twin: the same values as the chart, newest first, missing said in words."""

from datetime import UTC, date, datetime

from access.drawing.series import ChartPoint, EventMark, Level, rounded
from access.drawing.tables import table_of

POINTS = [
    ChartPoint(at=datetime(2026, 1, 5, tzinfo=UTC), value=812.4, low=700.6, high=930.0),
    ChartPoint(at=datetime(2026, 2, 2, tzinfo=UTC), value=None),
    ChartPoint(at=datetime(2026, 3, 2, tzinfo=UTC), value=640.0, mark="blood water"),
]


def test_rows_are_newest_first_with_the_events_between_them() -> None:
    table = table_of(POINTS, unit="mL/min", events=[EventMark(on=date(2026, 2, 20), word="angioplasty")])
    assert table.headings == ("day", "value (mL/min)", "interval", "remark")
    assert table.rows == (
        ("2 Mar 2026", "640", "", "blood water"),
        ("20 Feb 2026", "", "", "angioplasty"),
        ("2 Feb 2026", "not measured", "", ""),
        ("5 Jan 2026", "812", "701 to 930", ""),
    )


def test_the_level_stands_beside_the_values_it_was_estimated_at() -> None:
    level = [Level(at=POINTS[0].at, value=801.6, low=730, high=880.2)]
    table = table_of(POINTS, unit="mL/min", level=level, events=[EventMark(on=date(2026, 2, 20), word="angioplasty")])
    assert table.headings == ("day", "value (mL/min)", "interval", "level (90 % interval)", "remark")
    assert table.rows == (
        ("2 Mar 2026", "640", "", "", "blood water"),
        ("20 Feb 2026", "", "", "", "angioplasty"),
        ("2 Feb 2026", "not measured", "", "", ""),
        ("5 Jan 2026", "812", "701 to 930", "802 (730 to 880)", ""),
    )


def test_the_needle_is_a_word_in_the_table() -> None:
    ratio = ChartPoint(at=datetime(2026, 1, 5, tzinfo=UTC), value=0.604, mark="V")
    assert table_of([ratio], unit="", decimals=2).rows == (("5 Jan 2026", "0.60", "", "venous"),)


def test_a_number_has_a_true_minus_and_no_negative_zero() -> None:
    assert [rounded(value, 0) for value in (-193.2, -0.2, 0.0, 7.0)] == ["−193", "0", "0", "7"]
