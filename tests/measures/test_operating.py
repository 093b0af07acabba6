"""The operating table: its mark, its cuts between the rows, what it refuses."""

from dataclasses import replace

import pytest

from access.measures import Refused, operating
from access.measures.alarm import Alarm
from access.measures.departure import Departure
from access.measures.pressure_series import Quantity
from access.measures.trend import Trend


def test_the_shipped_table_belongs_to_the_parameters_of_the_program() -> None:
    assert len(operating.rows()) == 18


def test_the_rows_of_the_pressure_ratios_belong_to_their_own_parameters(monkeypatch: pytest.MonkeyPatch) -> None:
    assert list(operating.ratio_rows()) == list(operating.FALSE_A_YEAR_BY_RATIO)
    other = {"ratio_parameters": operating.fingerprint(Departure(by=0.1)), "ratio": []}
    operating.ratio_rows.cache_clear()
    monkeypatch.setattr(operating, "_document", lambda: other)
    with pytest.raises(Refused, match="make it anew"):
        operating.ratio_rows()
    operating.ratio_rows.cache_clear()


def test_flow_outlet_and_inflow_leave_something_of_the_fifteen_in_a_hundred_years() -> None:
    # One outlet ratio speaks at a time; what is left is for the other rules.
    ratios = operating.ratio_rows()
    assert all(row.false_a_year <= operating.FALSE_A_YEAR_BY_RATIO[name] for name, row in ratios.items())
    outlet = max(ratios["static ratio"].false_a_year, ratios["derived static ratio"].false_a_year)
    flow = max(row.false_a_year for row in operating.rows() if row.beside == "flow and pressure")
    assert flow + outlet + ratios["inflow ratio"].false_a_year <= 0.135


def test_a_ratio_is_early_at_its_own_place_and_blind_elsewhere() -> None:
    # The study found -154 (static) and -170 days at .10 false flags a year; in simulation, no patient data.
    outlet: tuple[Quantity, ...] = ("static ratio", "derived static ratio")
    for name in outlet:
        row = operating.ratio_rows()[name]
        assert row.outflow_delay_days < -120 and row.outflow_by_event > 0.95
        assert max(row.inflow_by_60_days, row.middle_by_60_days) < 0.1
    assert operating.ratio_cut("static ratio").value == operating.ratio_rows()["static ratio"].cut


def test_any_other_parameter_gives_another_mark() -> None:
    mark = operating.fingerprint(Trend(), Alarm())
    assert operating.fingerprint(Trend(slope_drift=0.25), Alarm()) != mark
    assert operating.fingerprint(Trend(), replace(Alarm(), repeat_days=8)) != mark


def test_a_table_of_other_parameters_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    operating.rows.cache_clear()
    monkeypatch.setattr(operating, "_document", lambda: {"parameters": "another", "row": []})
    with pytest.raises(Refused, match="make it anew"):
        operating.rows()
    operating.rows.cache_clear()


@pytest.mark.parametrize("beside", list(operating.FALSE_A_YEAR))
def test_no_cut_brings_more_false_flags_than_its_share_when_measured_monthly(beside: operating.Beside) -> None:
    monthly = [row for row in operating.rows() if row.beside == beside and row.interval_months == 1]
    assert len(monthly) == 3
    assert all(row.false_a_year <= operating.FALSE_A_YEAR[beside] for row in monthly)


def test_how_often_is_measured_hardly_changes_the_false_flags_but_the_delay() -> None:
    for row in operating.rows():
        assert row.false_a_year <= 1.2 * operating.FALSE_A_YEAR[row.beside]
    by_interval = [row.delay_days for row in operating.rows() if (row.beside, row.spread) == ("flow alone", 0.123)]
    assert by_interval == sorted(by_interval)
    assert by_interval[0] < by_interval[-1]


def test_between_two_spreads_the_cut_lies_between_and_beyond_them_it_is_the_nearest() -> None:
    first, last = operating.cut("flow alone", spread=0.05), operating.cut("flow alone", spread=0.5)
    inside = operating.cut("flow alone", spread=0.142)
    assert first.value < inside.value < last.value
    assert operating.cut("flow alone", spread=0.01) == first


def test_beside_a_pressure_the_flow_must_be_surer() -> None:
    assert operating.cut("flow and pressure", spread=0.142).value > operating.cut("flow alone", spread=0.142).value


@pytest.mark.parametrize("spread", [0.0, -0.1, float("nan"), float("inf")])
def test_a_spread_that_cannot_be_is_refused(spread: float) -> None:
    with pytest.raises(Refused):
        operating.cut("flow alone", spread=spread)
