"""Recirculation as a number with its doubt: printed values, refusals, and Monte Carlo beside the closed forms."""

import math
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from access.measures import Refused
from access.measures.fieller import Z_90, NoisyRatio
from access.measures.recirculation import fraction_for_flow, recirculation, very_likely_real
from tests.measures.cases import cases

SYSTEMIC = st.floats(30, 120)
VENOUS_SHARE = st.floats(0.1, 0.6)
TRUE_FRACTION = st.floats(0, 0.6)


@pytest.mark.parametrize("case", cases("recirculation", formula="recirculation.three-samples"))
def test_recirculation_is_as_printed_or_worked_out_by_hand(case: dict[str, Any]) -> None:
    result = recirculation(case["given"].pop("systemic"), **case["given"])
    assert result.percent == pytest.approx(case["expected"], abs=case["tolerance"])


@pytest.mark.parametrize("case", cases("recirculation", formula="recirculation.interval"))
def test_the_doubt_is_as_worked_out(case: dict[str, Any]) -> None:
    result = recirculation(case["given"].pop("systemic"), **case["given"])
    computed = {
        "sd_percent": result.sd_percent,
        "low_percent": result.low_percent,
        "high_percent": result.high_percent,
        "probability_above_10": result.probability_above(10),
    }
    expected = {name: case[name] for name in computed if name in case}
    assert expected
    assert {name: computed[name] for name in expected} == pytest.approx(expected, abs=case["tolerance"])


def test_a_result_is_shown_with_its_interval_and_a_negative_one_as_none_found() -> None:
    assert recirculation(60, arterial=51, venous=15).text == "20 % (90 % interval 15 to 25 %)"
    assert recirculation(60, arterial=60, venous=15).text == "0 % (90 % interval 0 to 6 %)"
    below = recirculation(60, arterial=61, venous=15)
    assert below.text == "none found, within assay error"
    assert below.percent < 0  # Kept as it is.


def test_an_arterial_sample_far_above_the_systemic_one_is_not_called_assay_error() -> None:
    result = recirculation(60, arterial=70, venous=15)
    assert "higher than assay error explains" in result.text
    assert any("more than 5 % above" in remark for remark in result.remarks)
    assert not recirculation(60, arterial=63, venous=15).remarks  # Exactly 5 %.


def test_ten_percent_is_not_above_ten_percent() -> None:
    result = recirculation(62, arterial=58, venous=22)
    assert not result.percent > 10
    assert result.probability_above(10) == pytest.approx(0.5)


def test_samples_drawn_too_late_give_a_remark_and_then_no_verdict() -> None:
    assert not recirculation(60, arterial=57, venous=39).remarks  # V/S is 0.65.
    assert recirculation(60, arterial=57, venous=39.6, assay_cv=0.01).remarks  # 0.66, with a verdict.
    late = recirculation(60, arterial=57, venous=43.2)  # 0.72
    assert any("drawn too late" in remark for remark in late.remarks)
    assert not late.verdict_possible
    assert any("No verdict" in remark for remark in late.remarks)


def test_no_verdict_begins_above_a_standard_deviation_of_eight_points() -> None:
    below, above = recirculation(60, arterial=57, venous=33, assay_cv=0.0255), recirculation(60, arterial=57, venous=42)
    assert below.sd_percent < 8
    assert below.verdict_possible
    assert above.sd_percent > 8
    assert not above.verdict_possible


def test_samples_too_close_cannot_tell_and_give_no_interval() -> None:
    close = recirculation(60, arterial=59, venous=58.5)
    assert close.low_percent is None
    assert close.high_percent is None
    assert not close.verdict_possible
    assert "samples too close, cannot tell" in close.remarks
    assert close.text == "samples too close, cannot tell"


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"systemic": 15.0}, "systemic"),
        ({"systemic": 10.0}, "systemic"),
        ({"systemic": float("nan")}, "systemic"),
        ({"arterial": 14.0}, "arterial"),
        ({"arterial": 0.0}, "arterial"),
        ({"venous": -1.0}, "venous"),
        ({"assay_cv": 0.0}, "assay_cv"),
        ({"assay_cv": 2.0}, "assay_cv"),
        ({"correlation": 1.0}, "correlation"),
        ({"correlation": -0.1}, "correlation"),
    ],
)
def test_samples_that_cannot_be_are_refused_at_their_field(change: dict[str, float], field: str) -> None:
    usual = {"systemic": 60.0, "arterial": 57.0, "venous": 15.0}
    assert recirculation(usual["systemic"], arterial=usual["arterial"], venous=usual["venous"]).verdict_possible
    changed = {**usual, **change}
    with pytest.raises(Refused) as refused:
        recirculation(changed.pop("systemic"), **changed)
    assert refused.value.field == field


def test_swapped_tubes_are_named() -> None:
    with pytest.raises(Refused, match="swapped"):
        recirculation(15, arterial=57, venous=60)
    with pytest.raises(Refused, match="swapped"):
        recirculation(60, arterial=15, venous=57)


def test_an_arterial_sample_equal_to_the_venous_one_is_full_recirculation() -> None:
    assert recirculation(60, arterial=15, venous=15).percent == pytest.approx(100)


def test_a_limit_outside_a_recirculation_is_refused() -> None:
    with pytest.raises(Refused, match="between 0 and 100"):
        recirculation(60, arterial=57, venous=15).probability_above(101)


@given(SYSTEMIC, VENOUS_SHARE, TRUE_FRACTION, st.floats(0.01, 100))
def test_the_unit_of_the_samples_does_not_matter(systemic: float, share: float, fraction: float, scale: float) -> None:
    venous = systemic * share
    arterial = systemic - fraction * (systemic - venous)
    once = recirculation(systemic, arterial=arterial, venous=venous)
    again = recirculation(systemic * scale, arterial=arterial * scale, venous=venous * scale)
    assert again.percent == pytest.approx(once.percent, abs=1e-6)
    assert again.sd_percent == pytest.approx(once.sd_percent, abs=1e-6)
    assert again.low_percent == pytest.approx(once.low_percent, abs=1e-6)
    assert again.probability_above(10) == pytest.approx(once.probability_above(10), abs=1e-6)


@given(SYSTEMIC, VENOUS_SHARE, TRUE_FRACTION, st.floats(0.005, 0.03), st.floats(0, 0.9))
def test_the_interval_ends_where_the_probability_is_95_and_5_percent(
    systemic: float, share: float, fraction: float, cv: float, correlation: float
) -> None:
    venous = systemic * share
    result = recirculation(
        systemic,
        arterial=systemic - fraction * (systemic - venous),
        venous=venous,
        assay_cv=cv,
        correlation=correlation,
    )
    assert result.low_percent is not None
    assert result.high_percent is not None
    assert result.low_percent <= result.percent <= result.high_percent
    # SciPy's root finder on the probability itself, an independent way to both ends.
    for end, probability in ((result.low_percent, 0.95), (result.high_percent, 0.05)):
        found = brentq(lambda c, p=probability: result.ratio.probability_above(c) - p, -3, 3, xtol=1e-12)
        assert 100 * found == pytest.approx(end, abs=1e-6)


@given(SYSTEMIC, VENOUS_SHARE, TRUE_FRACTION, st.lists(st.floats(0, 100), min_size=2, max_size=2))
def test_a_higher_limit_is_never_passed_more_surely(
    systemic: float, share: float, fraction: float, limits: list[float]
) -> None:
    venous = systemic * share
    result = recirculation(systemic, arterial=systemic - fraction * (systemic - venous), venous=venous)
    low, high = sorted(limits)
    assert result.probability_above(low) >= result.probability_above(high) - 1e-12


@pytest.mark.parametrize(("cv", "correlation"), [(0.015, 0.0), (0.02, 0.0), (0.03, 0.0), (0.02, 0.8)])
@pytest.mark.parametrize(("true", "share"), [(0.0, 0.25), (0.05, 0.25), (0.10, 0.5), (0.15, 0.25)])
def test_the_probability_agrees_with_monte_carlo_draws(
    cv: float, correlation: float, true: float, share: float
) -> None:
    systemic, arterial, venous = _draws((70, true, share), cv=cv, correlation=correlation, seed=7)
    centre = recirculation(
        70, arterial=70 * (1 - true * (1 - share)), venous=70 * share, assay_cv=cv, correlation=correlation
    )
    for limit in (5, 10, 20):
        # R > c exactly when S - A > c (S - V), as long as S > V, which all these draws keep.
        above = np.mean((systemic - arterial) / (systemic - venous) > limit / 100)
        assert centre.probability_above(limit) == pytest.approx(above, abs=0.002)


@pytest.mark.parametrize(("cv", "share"), [(0.02, 0.25), (0.02, 0.70), (0.03, 0.85)])
def test_the_interval_covers_the_truth_in_nine_of_ten_draws(cv: float, share: float) -> None:
    true = 0.10
    draws = _draws((70, true, share), cv=cv, correlation=0.0, seed=11)
    sample = zip(*(values[:20_000] for values in draws), strict=True)
    covered = [
        (ratio.x - true * ratio.y) ** 2 <= Z_90**2 * ratio.variance_at(true)
        if (interval := ratio.interval()) is None
        else interval.low <= true <= interval.high
        for ratio in (_ratio_of(*map(float, three), cv=cv) for three in sample)
    ]
    assert np.mean(covered) == pytest.approx(0.90, abs=0.008)


@given(st.floats(50, 2000), st.floats(150, 500), SYSTEMIC, VENOUS_SHARE)
def test_two_streams_that_mix_read_as_the_mass_balance_says(
    flow: float, pump: float, systemic: float, share: float
) -> None:
    venous = systemic * share
    # With lines right and Qa < Qb the arterial needle draws all of Qa and makes up the rest from the venous one.
    fresh = min(flow, pump)
    arterial = (fresh * systemic + (pump - fresh) * venous) / pump
    measured = recirculation(systemic, arterial=arterial, venous=venous).percent / 100
    assert measured == pytest.approx(fraction_for_flow(flow, pump_ml_min=pump, lines="right"), abs=1e-9)
    # With lines reversed the whole access flow meets the whole returned stream.
    arterial = (flow * systemic + pump * venous) / (flow + pump)
    measured = recirculation(systemic, arterial=arterial, venous=venous).percent / 100
    assert measured == pytest.approx(fraction_for_flow(flow, pump_ml_min=pump, lines="reversed"), abs=1e-9)


def test_a_mass_balance_without_pump_or_lines_is_refused() -> None:
    assert fraction_for_flow(0, pump_ml_min=300, lines="right") == 1
    for flow, pump, lines, field in (
        (-1, 300, "right", "flow_ml_min"),
        (800, 0, "right", "pump_ml_min"),
        (800, 300, "not known", "lines"),
    ):
        with pytest.raises(Refused) as refused:
            fraction_for_flow(flow, pump_ml_min=pump, lines=lines)  # type: ignore[arg-type]
        assert refused.value.field == field


def test_one_value_above_30_or_two_above_5_are_very_likely_real() -> None:
    assert very_likely_real([31])
    assert very_likely_real([6, 6])
    assert not very_likely_real([30])
    assert not very_likely_real([6, 5])
    assert not very_likely_real([])


def test_a_ratio_without_any_error_is_above_a_limit_or_not() -> None:
    sure = NoisyRatio(x=1, y=10, variance_x=0, variance_y=0, covariance=0)
    assert (sure.probability_above(0.05), sure.probability_above(0.2)) == (1.0, 0.0)


def _ratio_of(systemic: float, arterial: float, venous: float, *, cv: float) -> NoisyRatio:
    shared = (cv * systemic) ** 2
    return NoisyRatio(
        x=systemic - arterial,
        y=systemic - venous,
        variance_x=shared + (cv * arterial) ** 2,
        variance_y=shared + (cv * venous) ** 2,
        covariance=shared,
    )


def _draws(
    truth: tuple[float, float, float], *, cv: float, correlation: float, seed: int, count: int = 1_000_000
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    systemic, fraction, share = truth
    venous = systemic * share
    values = np.array([systemic, systemic - fraction * (systemic - venous), venous])
    noise = np.random.default_rng(seed)
    shared = noise.standard_normal(count) * math.sqrt(correlation)
    rows = [value * (1 + cv * (shared + math.sqrt(1 - correlation) * noise.standard_normal(count))) for value in values]
    return rows[0], rows[1], rows[2]
