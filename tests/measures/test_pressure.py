"""Static ratio, standardized and derived pressure: printed values, own arithmetic, refusals, identities."""

from datetime import UTC, datetime
from typing import Any, get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import constants

from access.measures import Refused
from access.measures.pressure import (
    derived_static_ratio,
    height_term_mmhg,
    mean_arterial_mmhg,
    standardized_dynamic,
    static_ratio,
)
from access.measures.readings import DynamicReading
from access.measures.words import RatioFormula
from tests.measures.cases import cases

FORMULAS: tuple[RatioFormula, ...] = get_args(RatioFormula)


def read(
    *,
    venous_mmhg: float | None = 130,
    pump_ml_min: float = 200,
    minute: float = 3,
    gauge: int | None = 15,
    mean_arterial_mmhg: float | None = 93,
) -> DynamicReading:
    """A reading with the pump running; standardized unless said otherwise."""
    return DynamicReading(
        id="reading",
        treatment="treatment",
        at=datetime(2025, 3, 3, 8, 3, tzinfo=UTC),
        minute=minute,
        pump_ml_min=pump_ml_min,
        venous_mmhg=venous_mmhg,
        pre_pump_arterial_mmhg=-120,
        gauge=gauge,
        mean_arterial_mmhg=mean_arterial_mmhg,
    )


@pytest.mark.parametrize("case", cases("pressure", formula="pressure.mean-arterial"))
def test_the_mean_arterial_pressure_is_a_third_of_the_way_up(case: dict[str, Any]) -> None:
    found = mean_arterial_mmhg(case["given"]["systolic"], diastolic=case["given"]["diastolic"])
    assert found == pytest.approx(case["expected"], abs=case["tolerance"])


@pytest.mark.parametrize(("systolic", "diastolic"), [(80, 120), (90, 90), (120, 0), (float("nan"), 80)])
def test_an_impossible_blood_pressure_is_refused(systolic: float, diastolic: float) -> None:
    with pytest.raises(Refused, match=r"Blood pressure"):
        mean_arterial_mmhg(systolic, diastolic=diastolic)


@given(st.floats(41, 120), st.floats(1, 120))
def test_the_mean_lies_between_diastolic_and_the_middle(diastolic: float, pulse: float) -> None:
    found = mean_arterial_mmhg(diastolic + pulse, diastolic=diastolic)
    assert diastolic < found < diastolic + pulse / 2


@pytest.mark.parametrize("case", cases("pressure", formula="pressure.static-ratio", kind="arithmetic"))
def test_the_three_formulas_give_their_ratios(case: dict[str, Any]) -> None:
    measured = dict(case["given"])
    found = static_ratio(measured.pop("pressure_mmhg"), **measured)
    assert found.ratio == pytest.approx(case["expected"], abs=case["tolerance"])
    assert found.formula == measured["formula"]


@pytest.mark.parametrize("case", cases("pressure", formula="pressure.static-ratio", kind="published"))
def test_the_height_terms_are_the_printed_ones(case: dict[str, Any]) -> None:
    found = height_term_mmhg(case["given"]["height_cm"], formula=case["given"]["formula"])
    assert found == pytest.approx(case["expected"], abs=case["tolerance"])


def test_the_hydrostatic_term_is_the_weight_of_a_column_of_blood() -> None:
    # SciPy's constants and a density of blood of 1.05 to 1.06 g/mL (handbook range, from memory).
    for density in (1050, 1060):
        column = density * constants.g * 0.01 / constants.mmHg
        assert height_term_mmhg(1, formula="hydrostatic") == pytest.approx(column, rel=0.03)


def test_a_formula_can_turn_the_decision() -> None:
    ratios = [static_ratio(30, height_cm=30, mean_arterial_mmhg=100, formula=each).ratio for each in FORMULAS]
    assert max(ratios) >= 0.5 > min(ratios)


@given(st.floats(-20, 120), st.floats(0, 60), st.floats(75, 160), st.sampled_from(FORMULAS))
def test_a_higher_chamber_never_lowers_the_ratio(
    pressure: float, height: float, mean_arterial: float, formula: RatioFormula
) -> None:
    low = static_ratio(pressure, height_cm=height, mean_arterial_mmhg=mean_arterial, formula=formula)
    high = static_ratio(pressure, height_cm=height + 10, mean_arterial_mmhg=mean_arterial, formula=formula)
    assert high.ratio > low.ratio


@pytest.mark.parametrize("mean_arterial", [74, 161, 0, -1, float("nan")])
def test_a_ratio_is_refused_outside_the_blood_pressures_it_holds_for(mean_arterial: float) -> None:
    with pytest.raises(Refused, match=r"[Mm]ean arterial pressure"):
        static_ratio(35, height_cm=30, mean_arterial_mmhg=mean_arterial, formula="hydrostatic")


@pytest.mark.parametrize("mean_arterial", [74.6, 75, 160, 160.4])
def test_the_blood_pressure_is_compared_as_it_is_shown(mean_arterial: float) -> None:
    assert static_ratio(35, height_cm=30, mean_arterial_mmhg=mean_arterial, formula="hydrostatic").ratio > 0


def test_a_negative_height_and_an_unknown_formula_are_refused() -> None:
    with pytest.raises(Refused, match="Height -1 cm"):
        static_ratio(35, height_cm=-1, mean_arterial_mmhg=93, formula="hydrostatic")
    with pytest.raises(Refused, match="guessed"):
        height_term_mmhg(30, formula="guessed")  # type: ignore[arg-type]


@pytest.mark.parametrize("case", cases("pressure", formula="pressure.standardized-dynamic"))
def test_a_reading_under_the_printed_conditions_counts(case: dict[str, Any]) -> None:
    assert standardized_dynamic(read(**case["given"])).counts == bool(case["expected"])


@pytest.mark.parametrize(
    ("reading", "word"),
    [
        (read(pump_ml_min=300), "300 mL/min"),
        (read(minute=20), "minute 20"),
        (read(minute=1), "minute 1"),
        (read(venous_mmhg=None), "no venous pressure"),
        (read(gauge=None), "gauge"),
    ],
)
def test_any_other_reading_is_kept_but_not_counted_and_says_why(reading: DynamicReading, word: str) -> None:
    found = standardized_dynamic(reading)
    assert not found.counts
    assert word in found.reason
    assert found.reason.startswith("Kept, not counted")


def test_a_derived_ratio_takes_the_needle_away_and_says_where_that_came_from() -> None:
    found = derived_static_ratio(
        read(pump_ml_min=400, venous_mmhg=180, mean_arterial_mmhg=100),
        needle_alone_mmhg=130,
        needle_alone_from="bench table",
    )
    assert found.ratio == pytest.approx(0.5)
    assert found.needle_alone_from == "bench table"


@pytest.mark.parametrize("case", cases("pressure", formula="pressure.derived-ratio"))
def test_a_derived_ratio_is_refused_at_the_printed_limits(case: dict[str, Any]) -> None:
    field = case["given"]["field"]
    well_above = {"venous_mmhg": 150.0, "pump_ml_min": 300.0, "mean_arterial_mmhg": 90.0}
    just_above = read(**{**well_above, field: case["expected"] + 1})
    assert derived_static_ratio(just_above, needle_alone_mmhg=0, needle_alone_from="hydraulic model").ratio > 0
    with pytest.raises(Refused) as refused:
        at_limit = read(**{**well_above, field: case["expected"]})
        derived_static_ratio(at_limit, needle_alone_mmhg=0, needle_alone_from="hydraulic model")
    assert refused.value.field == field


def test_what_is_missing_is_never_a_zero() -> None:
    for reading in (read(pump_ml_min=300, venous_mmhg=None), read(pump_ml_min=300, mean_arterial_mmhg=None)):
        with pytest.raises(Refused):
            derived_static_ratio(reading, needle_alone_mmhg=10, needle_alone_from="bench table")
