"""Pressure ratios as series: a row a week, resets, baselines that look at nothing later, and what each place does."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from access.measures.needle_alone import BenchTable
from access.measures.pressure_series import RATIO_TREND, PressureSeries, derived_series, inflow_series, static_series
from access.measures.readings import AccessProfile, BenchPoint
from access.measures.trend import fit
from tests.measures.histories import (
    CONFIRMED,
    a_flow,
    a_puncture,
    a_ratio,
    a_treatment,
    an_access,
    an_event,
    at,
    dynamics,
    ratios,
)
from tests.measures.pressures import a_reading, days_of, lived, solved

NOW = at(400)
STEADY = lived([0.0] * 20)


def derived(profile: AccessProfile, *, bench: BenchTable | None = None, day: float = 400) -> PressureSeries:
    return derived_series(profile, protocol=CONFIRMED, as_of=at(day), bench=bench)


def inflow(profile: AccessProfile) -> PressureSeries:
    return inflow_series(profile, protocol=CONFIRMED, as_of=NOW)


def static(profile: AccessProfile) -> PressureSeries:
    return static_series(profile, protocol=CONFIRMED, as_of=NOW)


def newest_level(found: PressureSeries) -> float:
    return float(fit(found.series, parameters=RATIO_TREND).newest.level[0])


def test_a_week_is_one_row_the_median_of_its_treatments() -> None:
    readings = [a_reading(day, venous=venous) for day, venous in zip(days_of(1), (170, 180, 300), strict=True)]
    (row,) = derived(dynamics(*readings)).rows
    (middle,) = derived(dynamics(readings[1])).rows
    assert row.ratio == middle.ratio
    assert row.at == readings[-1].at
    # .085 is the study's error of the median of a week, in simulation.
    assert row.variance == pytest.approx(0.085**2)
    assert middle.variance > row.variance


def test_the_series_counts_years_before_the_day_of_asking() -> None:
    found = derived(STEADY)
    assert found.series.years[0] == pytest.approx((found.rows[0].at - NOW).days / 365.25, abs=0.01)
    assert list(found.series.values) == [row.ratio for row in found.rows]
    assert not found.series.resets.any()
    assert found.how == "by the hydraulic model"


def test_the_most_treatments_at_one_needle_and_speed_make_the_week() -> None:
    readings = [a_reading(0, gauge=16), a_reading(2), a_reading(4, pump=309), a_reading(5, pump=350)]
    (row,) = derived(dynamics(*readings)).rows
    assert [one.id for one in row.treatments] == ["reading 2 30", "reading 4 30"]


def test_another_needle_is_taken_care_of_by_the_reference_and_said() -> None:
    before, after = lived([30.0] * 10), lived([30.0] * 10, gauge=16, pump=250, since=70)
    found = derived(replace(before, dynamics=before.dynamics + after.dynamics))
    assert found.rows[-1].ratio == pytest.approx(found.rows[0].ratio, abs=0.02)
    assert found.notes[-1].startswith("the baseline began at 15G and 300 mL/min, now 16G and 250")


def test_a_change_of_the_vessel_resets_the_series_and_its_own_day_is_left_out() -> None:
    event_day = days_of(20)[30]
    found = derived(replace(STEADY, events=(an_event(event_day, "angioplasty"), an_event(20, "infection"))))
    assert [one.at.date() for row in found.rows for one in row.treatments].count(at(event_day).date()) == 0
    (reset,) = np.flatnonzero(found.series.resets)
    assert found.rows[reset].era == 1
    assert found.rows[reset - 1].era == 0
    assert not found.series.jumps.any()  # After angioplasty a ratio falls only where the outlet was narrow.
    assert found.baselines[reset] is None
    assert found.baseline is not None
    assert found.baseline.since == at(event_day).date()


def test_after_a_change_without_a_treatment_since_there_is_no_baseline() -> None:
    found = derived(replace(STEADY, events=(an_event(300, "stent"),)))
    assert found.baselines[-1] is not None
    assert found.baseline is None


def test_a_baseline_never_holds_what_is_held_against_it_and_stands_still_at_thirty_nine() -> None:
    found = derived(STEADY)
    counts = [one.count if one else 0 for one in found.baselines]
    assert counts == [0, 0, 0, 9, 12, 15, 18, 21, 24, 27, 30, 33, 36, *[39] * 7]
    assert len({id(one) for one in found.baselines[13:]}) == 1


@settings(max_examples=15)
@given(st.integers(1, 140), st.lists(st.sampled_from([0.0, 40.0, 70.0]), min_size=20, max_size=20))
def test_what_was_known_earlier_is_the_beginning_of_what_is_known_later(day: int, percents: list[float]) -> None:
    access = replace(lived(percents), events=(an_event(44, "angioplasty"),))
    before, now = derived(access, day=day), derived(access, day=400)
    whole = max(len(before.rows) - 1, 0)  # The week of the day itself may not be over.
    assert before.rows[:whole] == now.rows[:whole]
    assert before.baselines == now.baselines[: len(before.rows)]


def test_a_baseline_begun_beyond_a_limit_is_marked() -> None:
    assert derived(replace(STEADY, flows=(a_flow(3, 400),))).baseline.usual is False  # type: ignore[union-attr]
    assert derived(replace(STEADY, flows=(a_flow(3, 1000),))).baseline.usual is True  # type: ignore[union-attr]


def a_bench(*, to: float = 400, more: float = 0.0) -> BenchTable:
    drops = [(speed, 0.06 * speed + 0.0009 * speed**2 + more) for speed in np.arange(100, to + 1, 100.0)]
    return BenchTable(points=tuple(BenchPoint(gauge=15, pump_ml_min=q, pressure_mmhg=p) for q, p in drops))


def test_a_bench_table_is_taken_for_all_or_for_none() -> None:
    found = derived(STEADY, bench=a_bench())
    assert found.how == "by the clinic's bench table"
    few = derived(STEADY, bench=a_bench(to=200))
    assert few.how == "by the hydraulic model"
    assert few.notes[0] == "the bench table knows 0 of 60 treatments: the model is taken for all"
    assert few.rows == derived(STEADY).rows


def test_an_error_of_the_whole_table_cancels_against_the_baseline() -> None:
    right, wrong = (derived(STEADY, bench=a_bench(more=more)) for more in (0.0, 9.3))
    assert right.baseline is not None and wrong.baseline is not None
    assert wrong.rows[-1].ratio == pytest.approx(right.rows[-1].ratio - 0.1)
    changes = [one.rows[-1].ratio - one.baseline.level for one in (right, wrong) if one.baseline]
    assert changes[0] == pytest.approx(changes[1])


def test_treatments_that_give_no_ratio_are_counted_and_say_why() -> None:
    found = derived(dynamics(a_reading(0), a_reading(2, pump=180), a_reading(4, gauge=None)))
    assert found.notes == ("2 treatments give no ratio; the last one: The gauge of the venous needle is not recorded.",)


def test_treatments_by_another_route_are_left_out() -> None:
    by_one = (a_treatment(0), a_treatment(2, "one needle"))
    found = derived(replace(dynamics(a_reading(0), a_reading(2)), treatments=by_one))
    assert [one.id for row in found.rows for one in row.treatments] == ["reading 0 30"]


def test_the_inflow_ratio_takes_the_gauge_of_the_arterial_needle() -> None:
    true = solved(pump=300, gauge=16)
    reading = a_reading(0, pre_pump=float(true.pre_pump_arterial_mmhg), gauge=15)
    puncture = replace(a_puncture(0, role="arterial"), gauge=16)
    (row,) = inflow(replace(dynamics(reading), punctures=(puncture,))).rows
    assert row.ratio == pytest.approx(float(true.arterial_site_mmhg) / 93, abs=0.05)


def test_an_access_without_pressures_has_an_empty_series() -> None:
    for found in (derived(an_access()), inflow(an_access()), static(an_access())):
        assert (len(found.series), found.rows, found.baseline) == (0, (), None)


def test_static_ratios_are_joined_by_one_formula_and_one_an_occasion() -> None:
    access = ratios((0, 0.30), (14, 0.31), (14.1, 0.33), (28, 0.34))
    other = replace(a_ratio(7, 0.5), formula="empirical-2002")
    found = static(replace(access, ratios=(*access.ratios, other)))
    assert list(found.series.values) == [0.30, 0.33, 0.34]
    assert found.how == "venous needle, hydrostatic height"
    assert found.notes == ("ratios by the empirical-2002 height are kept apart and not joined",)


def test_a_static_baseline_needs_four_readings() -> None:
    access = ratios(*((14.0 * number, 0.3) for number in range(6)))
    found = static(access)
    assert [one.count if one else 0 for one in found.baselines] == [0, 0, 0, 0, 4, 5]
    assert found.baseline is not None
    assert found.baseline.level == pytest.approx(0.3)


@pytest.mark.parametrize(
    ("place", "rises", "falls"), [("outflow_percent", True, False), ("inflow_percent", False, True)]
)
def test_each_series_sees_its_own_place_in_the_model(place: str, rises: bool, falls: bool) -> None:
    # Circuit model, 12 mmHg of noise a treatment, fixed seed; no patient data.
    narrowing = [0.0] * 14 + [float(percent) for percent in np.linspace(0, 60, 20)] + [60.0] * 6
    access = lived(narrowing, place=place, noise_mmhg=12)
    venous, arterial = derived(access), inflow(access)
    assert venous.baseline is not None and arterial.baseline is not None
    assert (newest_level(venous) - venous.baseline.level > 0.15) is rises
    assert (newest_level(arterial) - arterial.baseline.level < -0.15) is falls


def test_a_steady_access_stays_near_its_baseline_in_the_model() -> None:
    # Twelve accesses, 12 mmHg of noise a treatment, fixed seeds; no patient data.
    for seed in range(12):
        found = derived(lived([20.0] * 40, noise_mmhg=12, seed=seed))
        assert found.baseline is not None
        assert abs(newest_level(found) - found.baseline.level) < 0.15
