"""What a number may be: refused, asked about, or taken."""

import json
from datetime import UTC, date, datetime, timedelta, timezone

import pytest
from hypothesis import given
from hypothesis import strategies as st

from access.measures import Refused
from access.measures.plausibility import BOUNDS, CLOCK_TOLERANCE, as_table, blood_pressure, check, future, urea
from access.measures.units import as_shown

NOW = datetime(2026, 3, 4, 12, 0, tzinfo=UTC)


def test_a_pressure_of_4000_is_refused_and_one_of_400_asked_about() -> None:
    with pytest.raises(Refused, match="A venous pressure of 4000 mmHg cannot be.*type it again") as refused:
        check("venous_mmhg", 4000)
    assert refused.value.field == "venous_mmhg"
    assert check("venous_mmhg", 400) == (
        "A venous pressure of 400 mmHg is unusual (usually 0 to 300 mmHg). Is it right?"
    )
    assert check("venous_mmhg", 180) == ""


def test_a_pump_speed_of_4000_is_refused() -> None:
    for name in ("pump_ml_min", "pump_prescribed_ml_min", "pump_reached_ml_min"):
        with pytest.raises(Refused, match="4000 mL/min cannot be"):
            check(name, 4000)
    assert check("pump_ml_min", 0) == ""  # A static reading.


@pytest.mark.parametrize(
    ("mmhg", "answer"), [(-180, "taken"), (20, "taken"), (21, "asked"), (100, "asked"), (101, "refused")]
)
def test_a_pre_pump_pressure_is_normally_negative(mmhg: float, answer: str) -> None:
    assert _answer("pre_pump_arterial_mmhg", mmhg) == answer


def test_a_pre_pump_pressure_below_minus_250_is_asked_about() -> None:
    assert _answer("pre_pump_arterial_mmhg", -250) == "taken"
    assert _answer("pre_pump_arterial_mmhg", -251) == "asked"


def test_a_pressure_for_a_ratio_lies_between_75_and_160_as_shown() -> None:
    name = "mean_arterial_for_ratio_mmhg"
    assert [_answer(name, mmhg) for mmhg in (74, 74.6, 75, 160, 161)] == [
        "refused",
        "taken",  # Shown as 75.
        "taken",
        "taken",
        "refused",
    ]


@pytest.mark.parametrize(
    ("name", "value", "hint"),
    [
        ("hematocrit_fraction", 33, "33 % is 0.33"),
        ("diameter_cm", 6.5, "6 mm is 0.6 cm"),
        ("flow_ml_min", 0.2, "1.2 L/min is 1200"),
        ("height_cm", -3, "hangs above"),
    ],
)
def test_a_number_in_the_wrong_unit_is_refused_with_the_right_one(name: str, value: float, hint: str) -> None:
    with pytest.raises(Refused, match=hint):
        check(name, value)


def test_gauges_and_pain_are_refused_outside_their_scale() -> None:
    assert [_answer("gauge", gauge) for gauge in (13, 14, 17, 18)] == ["refused", "taken", "taken", "refused"]
    assert [_answer("pain", pain) for pain in (-1, 0, 10, 11)] == ["refused", "taken", "taken", "refused"]


def test_flows_above_3000_are_asked_about_and_above_10000_refused() -> None:
    assert [_answer("flow_ml_min", flow) for flow in (0, 3000, 3001, 10000, 10001)] == [
        "refused",
        "taken",
        "asked",
        "asked",
        "refused",
    ]


def test_the_same_urea_is_judged_the_same_in_both_units() -> None:
    assert urea(60, unit="mg/dL", field="systemic") == ""
    assert "unusual" in urea(60, unit="mmol/L", field="systemic")
    with pytest.raises(Refused) as refused:
        urea(500, unit="mg/dL", field="systemic")
    assert refused.value.field == "systemic"


def test_a_blood_pressure_upside_down_is_refused() -> None:
    assert blood_pressure(130, diastolic=70) == ""
    with pytest.raises(Refused, match="70 over 130 mmHg is upside down"):
        blood_pressure(70, diastolic=130)
    with pytest.raises(Refused, match="upside down"):
        blood_pressure(90, diastolic=90)
    assert "systolic" in blood_pressure(230, diastolic=80)


def test_what_is_not_a_number_or_has_no_bounds_is_refused() -> None:
    with pytest.raises(Refused, match="venous pressure is not a number") as refused:
        check("venous_mmhg", float("nan"))
    assert refused.value.field == "venous_mmhg"
    with pytest.raises(Refused, match="no bounds"):
        check("shoe_size", 42)


def test_the_future_is_refused_by_time_and_by_day() -> None:
    future(NOW, now=NOW)
    future(NOW + CLOCK_TOLERANCE, now=NOW)
    with pytest.raises(Refused, match="2026-03-04 12:06 lies in the future"):
        future(NOW + timedelta(minutes=6), now=NOW, field="started_at")
    future(date(2026, 3, 4), now=NOW)
    with pytest.raises(Refused, match="2026-03-05") as refused:
        future(date(2026, 3, 5), now=NOW, field="on")
    assert refused.value.field == "on"


def test_a_time_of_another_zone_is_compared_as_the_same_instant() -> None:
    east = timezone(timedelta(hours=9))
    future(NOW.astimezone(east), now=NOW)
    with pytest.raises(Refused, match="without its zone"):
        future(NOW.replace(tzinfo=None), now=NOW)


def test_the_table_is_plain_data() -> None:
    table = json.loads(json.dumps(as_table()))
    assert table["venous_mmhg"]["refuse_above"] == BOUNDS["venous_mmhg"].refuse_above
    assert table.keys() == BOUNDS.keys()


@pytest.mark.parametrize("name", sorted(BOUNDS))
def test_bounds_are_in_order_and_say_their_unit(name: str) -> None:
    bounds = BOUNDS[name]
    assert bounds.refuse_below <= bounds.ask_below < bounds.ask_above <= bounds.refuse_above
    assert bounds.unit or name in {"hematocrit_fraction", "assay_cv", "cardiopulmonary_fraction", "kt_v"}
    ends = (bounds.refuse_below, bounds.ask_below, bounds.ask_above, bounds.refuse_above)
    assert all(as_shown(end, decimals=bounds.decimals) == end for end in ends)


@given(st.sampled_from(sorted(BOUNDS)), st.floats(-20_000, 20_000))
def test_every_number_is_refused_asked_about_or_taken_by_where_it_lies(name: str, value: float) -> None:
    bounds, number = BOUNDS[name], as_shown(value, decimals=BOUNDS[name].decimals)
    if not bounds.refuse_below <= number <= bounds.refuse_above:
        expected = "refused"
    else:
        expected = "taken" if bounds.ask_below <= number <= bounds.ask_above else "asked"
    assert _answer(name, value) == expected


def _answer(name: str, value: float) -> str:
    try:
        return "asked" if check(name, value) else "taken"
    except Refused as refused:
        assert "cannot be" in str(refused)
        return "refused"
