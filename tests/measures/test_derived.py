"""Derived ratios: what the model had is found again, constant errors cancel, averages are as sure as they say."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from access.measures import Refused
from access.measures.circuit import GRAFT, Conditions, Needle, solve
from access.measures.derived import (
    LEAST_SPREAD,
    TREATMENT_SD,
    average,
    median_variance,
    published_cut,
    referred,
)
from access.measures.hydraulics import VENOUS_LOSS, bore_mm, needle_alone_mmhg
from access.measures.treatment_ratios import of_treatments
from access.measures.words import NeedleRole
from tests.measures.pressures import MEAN_ARTERIAL_MMHG, a_reading, days_of, solved


@given(st.sampled_from([15, 16]), st.floats(210, 400), st.floats(0, 80))
def test_what_the_model_read_gives_back_the_static_ratio(gauge: int, pump: float, percent: float) -> None:
    # The running pump itself raises the pressure at the needle by some mmHg; the needle is wholly taken away.
    true = solved(pump=pump, gauge=gauge, percent=percent)
    found = referred(a_reading(0, venous=float(true.venous_mmhg), pump=pump, gauge=gauge))
    assert found.ratio == pytest.approx(float(true.venous_site_mmhg) / MEAN_ARTERIAL_MMHG, abs=0.06)
    assert found.needle.source == "hydraulic model"


@given(st.floats(-30, 30), st.floats(30, 150), st.floats(220, 400))
def test_an_error_that_is_the_same_every_time_cancels_in_a_change(error: float, rise: float, pump: float) -> None:
    before, after = (referred(a_reading(0, venous=180 + more, pump=pump)).ratio for more in (0, rise))
    wrong = [referred(a_reading(0, venous=180 + more + error, pump=pump)).ratio for more in (0, rise)]
    assert wrong[1] - wrong[0] == pytest.approx(after - before)


def test_a_height_term_is_added() -> None:
    plain, raised = (referred(a_reading(0), height_term_mmhg=height) for height in (0.0, 9.3))
    assert raised.ratio - plain.ratio == pytest.approx(0.1)


@given(st.floats(0, 70), st.floats(1, 10))
def test_the_inflow_ratio_falls_as_the_inflow_narrows_and_rises_as_the_outflow_does(
    percent: float, more: float
) -> None:
    def ratio(place: str, narrowed: float) -> float:
        true = solved(pump=300, gauge=15, place=place, percent=narrowed)
        reading = a_reading(0, pre_pump=float(true.pre_pump_arterial_mmhg))
        return referred(reading, role="arterial").ratio

    assert ratio("inflow_percent", percent + more) < ratio("inflow_percent", percent)
    assert ratio("outflow_percent", percent + more) > ratio("outflow_percent", percent)


@pytest.mark.parametrize("role", ["venous", "arterial"])
@pytest.mark.parametrize(("field", "value"), [("pump", 200.0), ("mean_arterial", 75.0), ("mean_arterial", None)])
def test_the_published_conditions_hold_on_both_sides(role: NeedleRole, field: str, value: float | None) -> None:
    # frinak-2002: mean arterial pressure above 75 mmHg, pump above 200 mL/min.
    changed: dict[str, float | None] = {field: value}
    with pytest.raises(Refused, match="200|75"):
        referred(a_reading(0, pre_pump=-120, **changed), role=role)  # type: ignore[arg-type]


def test_an_inflow_ratio_needs_its_pressure() -> None:
    with pytest.raises(Refused, match="pre-pump"):
        referred(a_reading(0), role="arterial")


@pytest.mark.parametrize("count", [1, 2, 3, 4, 5, 6, 7, 8, 9, 13, 39])
def test_the_variance_of_a_median_is_that_of_normal_draws(count: int) -> None:
    # NumPy's median of 60,000 samples, fixed seed; the closed form beyond seven values errs by less than a tenth.
    drawn = np.var(np.median(np.random.default_rng(count).normal(size=(60_000, count)), axis=1))
    assert median_variance(count) == pytest.approx(float(drawn), rel=0.025 if count <= 7 else 0.1)


def test_a_week_of_three_errs_as_the_study_found() -> None:
    assert average([0.4, 0.45, 0.9]).ratio == 0.45
    assert average([0.4, 0.45, 0.9]).standard_error == pytest.approx(0.085)
    assert average([0.4, 0.5, 0.9], how="mean").standard_error == pytest.approx(TREATMENT_SD / 3**0.5)


@pytest.mark.parametrize("how", ["median", "mean"])
def test_a_standard_error_is_the_spread_of_the_averages(how: str) -> None:
    # Simulation with a fixed seed, no patient data: 13 treatments, ratio .40 with a spread of .13.
    draws = np.random.default_rng(5).normal(0.4, 0.13, size=(600, 13))
    found = [average(list(row), how=how) for row in draws]  # type: ignore[arg-type]
    told = float(np.mean([one.standard_error for one in found]))
    assert told == pytest.approx(float(np.std([one.ratio for one in found])), rel=0.12)
    assert {one.spread_from for one in found} == {"its own values"}


@pytest.mark.parametrize(("pump", "gauge", "expected"), [(300, 15, 0.127), (400, 15, 0.197), (300, 16, 0.197)])
def test_one_treatment_errs_as_the_book_of_formulas_says(pump: float, gauge: int, expected: float) -> None:
    # Simulation with a fixed seed, no patient data: the errors of the study, all drawn anew at every treatment: bore
    # 2 %, loss 8 %, height 5 cm, hematocrit .04, blood pressure 4 %, pump 3 %.
    bore, loss, height, hematocrit, cuff, speed = np.random.default_rng(1).normal(size=(6, 3000))
    venous = Needle(bore_mm=bore_mm(gauge) * (1 + 0.02 * bore), loss=VENOUS_LOSS * (1 + 0.08 * loss))
    conditions = Conditions(
        pump_ml_min=pump * (1 + 0.03 * speed),
        venous=venous,
        hematocrit_fraction=0.33 + 0.04 * hematocrit,
        chamber_height_cm=5 * height,
    )
    read = solve(GRAFT, conditions=conditions).venous_mmhg
    ratios = (read - float(needle_alone_mmhg(pump, gauge=gauge))) / (MEAN_ARTERIAL_MMHG * (1 + 0.04 * cuff))
    assert float(ratios.std()) == pytest.approx(expected, rel=0.08)


def test_equal_values_are_not_taken_as_certain() -> None:
    assert average([0.4] * 13).standard_error == pytest.approx(LEAST_SPREAD * median_variance(13) ** 0.5)
    assert average([0.4] * 3).spread_from == "simulation"


def test_nothing_has_no_average() -> None:
    with pytest.raises(Refused, match="no ratio"):
        average([])


@given(st.lists(st.floats(-0.5, 1.5), min_size=1, max_size=45), st.floats(-1, 1), st.sampled_from(["median", "mean"]))
def test_a_shift_of_all_values_shifts_the_average_and_not_its_doubt(
    ratios: list[float], shift: float, how: str
) -> None:
    here, there = (average([one + by for one in ratios], how=how) for by in (0, shift))  # type: ignore[arg-type]
    assert there.ratio - here.ratio == pytest.approx(shift, abs=1e-9)
    assert there.standard_error == pytest.approx(here.standard_error, abs=1e-9)


def a_run(*ratios: float) -> tuple[float, ...]:
    """Venous pressures (mmHg) that give these derived ratios."""
    alone = referred(a_reading(0)).needle.mmhg
    return tuple(ratio * MEAN_ARTERIAL_MMHG + alone for ratio in ratios)


@pytest.mark.parametrize(
    ("ratios", "met"),
    [((0.6, 0.6, 0.6), True), ((0.6, 0.55, 0.6), False), ((0.6, 0.6), False), ((0.3, 0.56, 0.57, 0.56), True)],
)
def test_the_published_cut_is_met_above_it_in_three_treatments(ratios: tuple[float, ...], met: bool) -> None:
    # frinak-2002: above .55 in three treatments in succession.
    days = days_of(2)
    readings = [a_reading(day, venous=venous) for day, venous in zip(days, a_run(*ratios), strict=False)]
    found = published_cut(of_treatments(readings).ratios, gap_days=14)
    assert found.met is met
    assert found.sentence.endswith("not met." if not met else ": met.")


def test_a_gap_breaks_the_succession_of_the_published_cut() -> None:
    readings = [a_reading(day, venous=a_run(0.7)[0]) for day in (0, 2, 60)]
    assert len(published_cut(of_treatments(readings).ratios, gap_days=14).run) == 1
