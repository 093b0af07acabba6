"""Flows as a series: spread by method, one an occasion, days of events left out, resets, when a repeat is due."""

import math
from dataclasses import replace
from datetime import timedelta

import pytest

from access.measures.flow_interval import measured
from access.measures.flow_series import DAY_TO_DAY, EXPECTED_GAIN, flow_series, spread
from access.measures.readings import AccessProfile, FlowReading
from tests.measures.histories import a_flow, a_treatment, an_access, an_event, at


def weighed(day: float, ml_min: float, *, cv: float = 0.142) -> FlowReading:
    flow = measured(ml_min, method="ultrasound dilution", cv=cv)
    return replace(a_flow(day, ml_min), low_ml_min=flow.low_ml_min, high_ml_min=flow.high_ml_min)


def access(*rows: FlowReading, **more: object) -> AccessProfile:
    return replace(an_access(), flows=rows, **more)  # type: ignore[arg-type]


@pytest.mark.parametrize("cv", [0.08, 0.142, 0.3])
def test_the_spread_of_a_flow_is_the_variation_that_its_interval_was_made_of(cv: float) -> None:
    assert spread(weighed(1, 800, cv=cv)) == pytest.approx(cv)


def test_a_urea_test_knows_nothing_of_the_day_so_that_is_added() -> None:
    urea = replace(weighed(1, 700, cv=0.13), method="urea, lines reversed")
    assert spread(urea) == pytest.approx(math.hypot(0.13, DAY_TO_DAY))
    assert DAY_TO_DAY == pytest.approx(0.119, abs=0.0005)  # 1-clinical: the day-to-day that .142 and .077 imply.


def test_an_interval_without_an_upper_end_gives_its_spread_by_the_lower() -> None:
    open_ended = replace(weighed(1, 2400, cv=0.2), high_ml_min=None)
    assert spread(open_ended) == pytest.approx(0.2)


def test_a_flow_without_a_known_doubt_is_left_out_and_named() -> None:
    found = flow_series(access(weighed(1, 900), a_flow(30, 800)), as_of=at(40))
    assert [one.id for one in found.readings] == ["flow 1"]
    assert [one.id for one in found.left_out] == ["flow 30"]


def test_out_of_order_or_later_than_asked_changes_nothing() -> None:
    rows = (weighed(1, 900), weighed(30, 800), weighed(60, 700))
    found, shuffled = (flow_series(access(*one), as_of=at(40)) for one in (rows, rows[::-1]))
    assert [one.id for one in found.readings] == ["flow 1", "flow 30"]
    assert found.readings == shuffled.readings
    assert found.series.years.tolist() == shuffled.series.years.tolist()
    assert found.series.values.tolist() == pytest.approx([math.log(900), math.log(800)])


def test_measured_twice_at_one_visit_the_last_counts() -> None:
    first, last = weighed(30, 400), weighed(30.02, 880)
    assert flow_series(access(weighed(1, 900), first, last), as_of=at(31)).readings[-1] == last


def test_blood_water_is_never_joined() -> None:
    assert not flow_series(access(replace(weighed(1, 900), comparable=False)), as_of=at(2)).readings


@pytest.mark.parametrize(("what", "jump"), [("angioplasty", EXPECTED_GAIN), ("ligation", 0.0)])
def test_a_changed_vessel_starts_anew_at_the_next_measurement(what: str, jump: float) -> None:
    changed = access(weighed(1, 600), weighed(30, 500), weighed(60, 900), events=(an_event(40, what),))
    found = flow_series(changed, as_of=at(61)).series
    assert found.resets.tolist() == [False, False, True]
    assert found.jumps.tolist() == [0.0, 0.0, jump]


def test_an_event_between_two_measurements_of_one_day_leaves_that_day_out() -> None:
    day = access(weighed(1, 600), weighed(30.0, 500), weighed(30.6, 900), events=(an_event(30, "angioplasty"),))
    assert [one.id for one in flow_series(day, as_of=at(31)).readings] == ["flow 1"]


def test_an_event_before_the_first_measurement_or_without_effect_on_the_vessel_resets_nothing() -> None:
    early = access(weighed(10, 900), weighed(40, 900), events=(an_event(1, "angioplasty"), an_event(20, "infection")))
    assert not flow_series(early, as_of=at(41)).series.resets.any()


def test_a_repeat_is_due_at_the_later_of_seven_days_and_the_second_treatment() -> None:
    def due(*days: float) -> float:
        one = access(weighed(10, 300), treatments=tuple(a_treatment(day) for day in days))
        return float(flow_series(one, as_of=at(10)).due_years[0]) * 365.25

    assert due() == pytest.approx(7)
    assert due(9.9, 12, 14) == pytest.approx(7)
    assert due(9.9, 12, 24) == pytest.approx(14)
    assert due(9.9, 12) == math.inf


def test_adjusted_to_the_own_usual_blood_pressure_a_day_of_low_pressure_reads_higher() -> None:
    def at_pressure(day: float, ml_min: float, mmhg: float) -> FlowReading:
        return replace(weighed(day, ml_min), mean_arterial_mmhg=mmhg)

    rows = (at_pressure(1, 900, 100), at_pressure(30, 900, 100), at_pressure(60, 819, 90), weighed(90, 800))
    found = flow_series(access(*rows), as_of=at(91), adjusted=True)
    assert math.exp(float(found.series.values[-1])) == pytest.approx(800)  # Without a pressure it stands as measured.
    # Pressure down by 10 %, flow by 9 %: by the exponent of the model nothing happened.
    assert math.exp(float(found.series.values[-2])) == pytest.approx(900, rel=0.01)


def test_years_count_from_the_moment_of_asking() -> None:
    found = flow_series(access(weighed(1, 900)), as_of=at(1) + timedelta(days=365.25))
    assert found.series.years[0] == pytest.approx(-1.0)
