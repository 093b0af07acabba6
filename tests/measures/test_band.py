"""The usual band of a pressure: when there is one, what it covers, that it stands still."""

from datetime import UTC, date, datetime, timedelta

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from access.measures.band import Band, alike, usual_band
from access.measures.readings import DynamicReading

SINCE = date(2025, 3, 3)
EIGHT = [160.0, 150.0, 170.0, 155.0, 165.0, 158.0, 162.0, 149.0]


def band_of(values: list[float], *, already_in_use: bool = False, beyond_limit: bool = False) -> Band:
    found = usual_band(values, since=SINCE, already_in_use=already_in_use, beyond_limit=beyond_limit)
    assert found is not None
    return found


def test_fewer_than_eight_treatments_give_no_band_yet() -> None:
    assert usual_band(EIGHT[:7], since=SINCE, already_in_use=False) is None
    assert band_of(EIGHT).count == 8


def test_a_band_from_few_treatments_says_so() -> None:
    assert band_of(EIGHT).note == "usual since March 2025; from 8 treatments only"
    assert band_of(EIGHT * 2).note == "usual since March 2025"


def test_a_baseline_begun_on_an_access_in_use_says_that_health_is_not_known() -> None:
    assert band_of(EIGHT * 2, already_in_use=True).note == "usual since March 2025; not known to be healthy"


def test_a_baseline_already_beyond_the_limit_is_not_called_usual_and_asks_nothing() -> None:
    found = band_of(EIGHT * 2, beyond_limit=True)
    assert found.low is None
    assert found.high is None
    assert found.place(400) is None
    assert found.note.startswith("not called usual")


def test_what_comes_after_the_first_thirty_nine_never_moves_the_band() -> None:
    first = (EIGHT * 5)[:39]
    assert band_of(first) == band_of([*first, *[300.0] * 60])


def test_two_wild_values_hardly_move_the_band() -> None:
    quiet, wild = band_of(EIGHT * 3), band_of([*EIGHT, *EIGHT, *EIGHT[:6], 400.0, 20.0])
    assert quiet.low is not None and quiet.high is not None and wild.low is not None and wild.high is not None
    assert wild.high - wild.low < 1.5 * (quiet.high - quiet.low)


def test_equal_readings_still_leave_room() -> None:
    found = band_of([160.0] * 20)
    assert (found.place(160), found.place(165), found.place(185)) == ("within", "within", "above")


def test_a_lower_pre_pump_pressure_is_the_more_negative_one() -> None:
    found = band_of([-value for value in EIGHT * 2])
    assert (found.place(-260), found.place(-155), found.place(-40)) == ("below", "within", "above")


@pytest.mark.parametrize("count", [8, 9, 12, 20, 39])
def test_the_next_value_lies_within_in_99_of_100_treatments(count: int) -> None:
    # Simulation with a fixed seed, no patient data: normal values, the band's own aim.
    draws = np.random.default_rng(7).normal(160, 17, size=(1500, count + 1))
    within = sum(band_of(list(row[:-1])).place(float(row[-1])) == "within" for row in draws)
    assert 0.975 <= within / len(draws) <= 0.997


@given(st.lists(st.floats(-300, 400), min_size=8, max_size=50), st.floats(-50, 50))
def test_a_shift_of_all_values_shifts_the_band(values: list[float], shift: float) -> None:
    here, there = band_of(values), band_of([value + shift for value in values])
    assert here.low is not None and there.low is not None
    assert there.low - here.low == pytest.approx(shift, abs=1e-6)
    assert there.median - here.median == pytest.approx(shift, abs=1e-6)


def reading(number: int, *, treatment: str, gauge: int | None = 15, pump_ml_min: float = 300) -> DynamicReading:
    return DynamicReading(
        id=str(number),
        treatment=treatment,
        at=datetime(2025, 3, 3, 8, tzinfo=UTC) + timedelta(hours=number),
        minute=30,
        pump_ml_min=pump_ml_min,
        venous_mmhg=150,
        pre_pump_arterial_mmhg=-120,
        gauge=gauge,
    )


def test_alike_are_the_first_reading_of_each_treatment_at_that_gauge_and_speed() -> None:
    readings = [
        reading(3, treatment="a"),
        reading(1, treatment="a", pump_ml_min=310),
        reading(0, treatment="a", pump_ml_min=400),
        reading(50, treatment="b", gauge=16),
        reading(60, treatment="b", gauge=None),
        reading(70, treatment="c", pump_ml_min=290),
    ]
    assert [each.id for each in alike(readings, gauge=15, pump_ml_min=300, since=SINCE)] == ["1", "70"]
    assert [each.id for each in alike(readings, gauge=15, pump_ml_min=300, since=date(2025, 3, 4))] == ["70"]
