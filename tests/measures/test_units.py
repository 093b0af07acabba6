"""Numbers as they are shown, and urea in one unit."""

from decimal import ROUND_HALF_UP, Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from access.measures import Refused
from access.measures.readings import Sample
from access.measures.units import as_shown, is_above, is_below, one_unit, shown, urea_mg_dl, urea_mmol_l


def test_a_difference_of_two_tenths_is_not_above_two_tenths() -> None:
    assert 1.60 - 1.40 > 0.2  # What the machine alone would say.
    assert not is_above(1.60 - 1.40, 0.2, decimals=2)
    assert is_above(1.50 - 1.28, 0.2, decimals=2)
    assert not is_below(0.2, 1.60 - 1.40, decimals=2)


def test_a_half_is_rounded_away_from_zero_as_a_person_does_it() -> None:
    assert as_shown(2.675, decimals=2) == 2.68
    assert as_shown(0.5, decimals=0) == 1.0
    assert as_shown(-2.5, decimals=0) == -3.0
    assert 1.15 - 0.9 < 0.25  # Binary noise, which must not turn a half into less than one.
    assert as_shown(1.15 - 0.9, decimals=1) == 0.3


def test_a_number_is_shown_without_trailing_zeros_and_zero_without_a_sign() -> None:
    assert shown(20.0, decimals=1) == "20"
    assert shown(6.667, decimals=1) == "6.7"
    assert shown(100.0, decimals=0) == "100"
    assert shown(-0.04, decimals=1) == "0"


@pytest.mark.parametrize("value", [float("nan"), float("inf"), -float("inf")])
def test_what_is_not_a_number_is_refused(value: float) -> None:
    with pytest.raises(Refused, match="not a number"):
        as_shown(value, decimals=1)


def test_urea_nitrogen_becomes_urea_by_the_molar_mass_of_nitrogen() -> None:
    # Two nitrogen atoms of 14.007 g/mol a molecule: 10 dL/L over 28.014 mg/mmol (IUPAC atomic weight).
    assert urea_mmol_l(1.0, unit="mg/dL") == pytest.approx(10 / (2 * 14.007), abs=0.0005)
    assert urea_mmol_l(60.0, unit="mg/dL") == pytest.approx(21.42)
    assert urea_mmol_l(21.42, unit="mmol/L") == 21.42


def test_samples_of_two_units_are_refused_with_both_named() -> None:
    samples = [Sample(value=60, unit="mg/dL"), Sample(value=20, unit="mmol/L")]
    with pytest.raises(Refused, match="mg/dL and mmol/L") as refused:
        one_unit(samples)
    assert refused.value.field == "unit"
    assert one_unit(samples[:1]) == "mg/dL"
    with pytest.raises(Refused, match="no sample"):
        one_unit([])


@given(st.floats(-1e7, 1e7), st.floats(-3, 3), st.integers(0, 3))
def test_what_is_far_apart_compares_as_what_is_shown(limit: float, more: float, decimals: int) -> None:
    value = limit + more
    shown_value, shown_limit = as_shown(value, decimals=decimals), as_shown(limit, decimals=decimals)
    assert is_above(value, limit, decimals=decimals) == (shown_value > shown_limit)
    assert is_below(value, limit, decimals=decimals) == (shown_value < shown_limit)


@pytest.mark.parametrize("value", [float("nan"), float("inf"), -float("inf")])
def test_what_is_not_a_number_is_not_compared(value: float) -> None:
    with pytest.raises(Refused, match="not a number"):
        is_above(value, 1.0, decimals=1)


@given(st.integers(-10_000_000, 10_000_000), st.integers(0, 3), st.integers(0, 3))
def test_rounding_agrees_with_decimal_arithmetic(digits: int, places: int, decimals: int) -> None:
    typed = Decimal(digits).scaleb(-places)
    expected = typed.quantize(Decimal(1).scaleb(-decimals), rounding=ROUND_HALF_UP)
    assert as_shown(float(typed), decimals=decimals) == float(expected)


@given(st.floats(-1e6, 1e6), st.integers(0, 3))
def test_rounding_twice_changes_nothing_more(value: float, decimals: int) -> None:
    once = as_shown(value, decimals=decimals)
    assert as_shown(once, decimals=decimals) == once
    assert abs(once - value) <= 0.5 * 10**-decimals * (1 + 1e-9)
    assert float(shown(value, decimals=decimals)) == once


@given(st.floats(0.1, 400))
def test_urea_there_and_back_is_the_same(value: float) -> None:
    assert urea_mg_dl(urea_mmol_l(value, unit="mg/dL"), unit="mmol/L") == pytest.approx(value)
    assert urea_mg_dl(value, unit="mg/dL") == value
