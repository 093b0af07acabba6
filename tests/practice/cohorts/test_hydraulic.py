"""Cohort B: what it says is true is what the hydraulic model says, and its readings err as much as assumed."""

from dataclasses import replace

import numpy as np
import pytest

from access.measures.circuit import FISTULA, GRAFT, Access, Conditions, flow_by_reversed_lines_ml_min, solve
from access.measures.hydraulics import needle_alone_mmhg
from access.practice.cohorts import hydraulic
from access.practice.cohorts.merit import failing
from access.practice.cohorts.plain import treatments_of
from tests.practice.cohorts.made import SMALL_B, b_cohort

EXACT = replace(
    SMALL_B,
    accesses=70,
    flow_cv=0,
    outlier_share=0,
    missed_share=0,
    mean_arterial_sd=0,
    mean_arterial_between_sd=0,
    cuff_sd=0,
    hematocrit_sd=0,
    hematocrit_between_sd=0,
    pump_sd=0,
    height_sd_cm=0,
    bore_sd=0,
    loss_sd=0,
    venous_drift_mmhg=0,
    pre_pump_drift_mmhg=0,
    static_drift_mmhg=0,
    size_sd=1e-6,
    least_over_limit=1.0,
    percent_before=(1.0, 30.0),
)


def alone(kind: str, *, place: str, percent: float) -> Access:
    return replace(GRAFT if kind == "graft" else FISTULA, **{f"{place}_percent": percent})


def test_a_seed_gives_the_same_cohort_and_another_seed_another() -> None:
    first, again, other = (hydraulic.cohort(replace(SMALL_B, accesses=8, years=0.5), seed=seed) for seed in (1, 1, 2))
    assert np.array_equal(first.log_flow, again.log_flow, equal_nan=True)
    assert np.array_equal(treatments_of(first).venous_mmhg, treatments_of(again).venous_mmhg)
    assert not np.array_equal(treatments_of(first).venous_mmhg, treatments_of(other).venous_mmhg)


def test_without_errors_every_reading_is_what_the_model_says_of_that_access_alone() -> None:
    cohort = hydraulic.cohort(EXACT, seed=6)
    held = treatments_of(cohort)
    for access in (0, 13, 33, 69):  # The last one was solved in another block.
        kind, place = str(cohort.kinds[access]), str(cohort.places[access])
        for row in (0, 20, 40):
            vessel = alone(kind, place=place, percent=float(cohort.true_percent[row, access]))
            height = float(held.chamber_height_cm[access])
            usual = Conditions(pump_ml_min=float(held.pump_ml_min[access]), chamber_height_cm=height)
            said, treatment = solve(vessel, conditions=usual), 13 * row
            assert cohort.true_flow_ml_min[row, access] == pytest.approx(float(said.flow_ml_min), rel=1e-4)
            assert held.venous_mmhg[treatment, access] == pytest.approx(float(said.venous_mmhg), abs=0.01)
            pre_pump = float(said.pre_pump_arterial_mmhg)
            assert held.pre_pump_arterial_mmhg[treatment, access] == pytest.approx(pre_pump, abs=0.01)
            if treatment % 6 == 0:
                ratio = float(said.venous_site_mmhg) / 93.0
                assert held.venous_ratio[treatment // 6, access] == pytest.approx(ratio, abs=1e-4)


def test_a_flow_test_reads_what_the_indicator_gives_with_the_lines_reversed() -> None:
    cohort = hydraulic.cohort(EXACT, seed=6)
    for access in range(0, 70, 9):
        vessel = alone(
            str(cohort.kinds[access]), place=str(cohort.places[access]), percent=float(cohort.true_percent[30, access])
        )
        running = Conditions(pump_ml_min=300.0, lines_reversed=True)
        forward = float(solve(vessel, conditions=running).flow_on_pump_ml_min) > 30
        said = float(flow_by_reversed_lines_ml_min(vessel, conditions=running)) if forward else 30.0
        assert np.exp(cohort.log_flow[30, access]) == pytest.approx(said, rel=1e-4)
        assert cohort.flow_on_test_ml_min[30, access] == pytest.approx(said, rel=1e-4)


def test_narrowings_grow_at_the_rates_assumed_and_only_after_they_began() -> None:
    cohort = b_cohort()
    growing = np.isfinite(cohort.began_years)
    step = np.diff(cohort.true_percent, axis=0) / np.diff(cohort.years, axis=0)
    steady_growth = (cohort.years[:-1] >= cohort.began_years) & (cohort.true_percent[1:] < SMALL_B.most_percent)
    assert np.all((step[steady_growth] >= 14.99) & (step[steady_growth] <= 55.01))
    assert np.all(step[:, growing][cohort.years[1:, growing] <= cohort.began_years[growing]] == 0)
    assert step[:, ~growing].max() <= 3.01


def test_limits_follow_the_kind_and_stable_accesses_stay_above_them() -> None:
    cohort = b_cohort()
    assert set(zip(cohort.kinds.tolist(), cohort.limit_ml_min.tolist(), strict=True)) == {
        ("graft", 600.0),
        ("fistula", 500.0),
    }
    assert cohort.stable.sum() >= 0.35 * len(cohort)
    assert np.all(cohort.true_flow_ml_min[:, cohort.stable] >= cohort.limit_ml_min[cohort.stable])
    assert not np.any(cohort.stable & np.isfinite(cohort.event_years))
    assert all(np.sum(failing(cohort) & (cohort.places == place)) >= 20 for place in hydraulic.PLACES)


def test_a_ratio_derived_from_one_treatment_varies_as_in_the_study() -> None:
    # The study: .131 from treatment to treatment while nothing changes, .038 for the median of thirteen.
    cohort = b_cohort()
    held = treatments_of(cohort)
    derived = (held.venous_mmhg - needle_alone_mmhg(held.pump_ml_min, gauge=15)) / held.mean_arterial_mmhg
    baseline = derived[:39, cohort.stable]
    assert np.sqrt(np.mean(np.var(baseline, axis=0, ddof=1))) == pytest.approx(0.131, abs=0.006)
    medians = np.median(baseline.reshape(3, 13, -1), axis=1)
    assert np.sqrt(np.mean(np.var(medians, axis=0, ddof=1))) == pytest.approx(0.042, abs=0.007)


def test_pressure_sees_an_outflow_narrowing_and_is_blind_to_the_inflow() -> None:
    cohort = b_cohort()
    held, failed = treatments_of(cohort), failing(cohort)
    last = np.array([int(np.searchsorted(held.years[held.static_at], when)) for when in cohort.event_years[failed]])
    before = held.venous_ratio[:6, failed].mean(axis=0)
    at_event = np.array(
        [held.venous_ratio[row - 3 : row + 3, n].mean() for row, n in zip(last, np.flatnonzero(failed), strict=True)]
    )
    change, places = at_event - before, cohort.places[failed]
    assert np.median(change[places == "outflow"]) > 0.10
    assert np.median(change[places == "inflow"]) < -0.02


def test_some_accesses_of_a_cohort_are_the_same_accesses() -> None:
    cohort = b_cohort()
    some = cohort.of([5, 80])
    assert np.array_equal(some.log_flow, cohort.log_flow[:, [5, 80]], equal_nan=True)
    assert np.array_equal(treatments_of(some).venous_ratio, treatments_of(cohort).venous_ratio[:, [5, 80]])
    assert np.array_equal(treatments_of(some).years, treatments_of(cohort).years)


def test_a_height_known_wrongly_moves_every_static_ratio_of_that_access_alike() -> None:
    small = replace(EXACT, accesses=16)
    right, wrong = (hydraulic.cohort(replace(small, height_sd_cm=sd), seed=2) for sd in (0.0, 5.0))
    error_cm = treatments_of(wrong).chamber_height_cm - treatments_of(right).chamber_height_cm
    assert 2 < error_cm.std() < 9
    for site in ("arterial_ratio", "venous_ratio"):  # What is called true does not know of it.
        true = [getattr(treatments_of(one), f"true_{site}") for one in (wrong, right)]
        assert np.array_equal(*true)
        assert true[1] == pytest.approx(getattr(treatments_of(right), site), abs=1e-9)
    moved = treatments_of(wrong).venous_ratio - treatments_of(right).venous_ratio
    assert np.allclose(moved, 0.76 * error_cm / 93.0, atol=1e-9)


def test_another_lot_of_needles_moves_every_pressure_read_with_it() -> None:
    lots = replace(EXACT, accesses=16, bore_sd=0.02, slow_share=1.0, slow_percent_a_year=(0.0, 0.0), lots=2)
    held = treatments_of(hydraulic.cohort(lots, seed=2))
    first, second = held.venous_mmhg[0], held.venous_mmhg[-1]
    assert np.allclose(held.venous_mmhg[:300], first, atol=1e-6)
    assert np.all(np.abs(second - first) > 1e-3)
