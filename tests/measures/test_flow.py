"""Access flow by every method: printed and worked-out values, refusals, identities, coverage."""

from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from access.measures import Refused, flow
from access.measures.recirculation import fraction_for_flow, recirculation
from tests.measures.cases import cases

AT = datetime(2026, 3, 4, 9, 0, tzinfo=UTC)
FORMULAS: dict[str, Callable[..., flow.Flow | float]] = {
    "flow.reversed-lines": flow.reversed_lines,
    "flow.infusion": flow.infusion,
    "flow.dialysance": flow.dialysance,
    "flow.duplex": flow.duplex,
    "flow.whole-blood": flow.whole_blood,
}
FLOWS = st.floats(150, 3000)
PUMPS = st.floats(200, 500)
IN_ORDER: dict[str, Any] = {
    "systemic_lines": "right",
    "systemic_drawn_at": AT,
    "reversed_at": AT + timedelta(minutes=2),
    "arterial_venous_drawn_at": AT + timedelta(minutes=7),
}


@pytest.mark.parametrize("case", [case for formula in FORMULAS for case in cases("flow", formula=formula)])
def test_a_flow_is_as_printed_or_worked_out_by_hand(case: dict[str, Any]) -> None:
    first, *rest = case["given"].values()
    result = FORMULAS[case["formula"]](first, **dict(zip(list(case["given"])[1:], rest, strict=True)))
    value = result.ml_min if isinstance(result, flow.Flow) else result
    assert value == pytest.approx(case["expected"], abs=case["tolerance"])


@pytest.mark.parametrize("case", cases("flow", formula="flow.least-significant-change"))
def test_the_change_that_two_readings_must_show_is_as_worked_out(case: dict[str, Any]) -> None:
    cv, one_sided = case["given"]["cv"], case["given"]["one_sided"]
    if "fall" in case:
        assert flow.least_significant_fall(cv, one_sided=one_sided) == pytest.approx(case["fall"], abs=0.005)
    else:
        change = flow.least_significant_change(cv, one_sided=one_sided)
        assert change == pytest.approx(case["expected"], abs=case["tolerance"])


def test_a_flow_by_ultrasound_dilution_is_shown_with_its_interval() -> None:
    result = flow.measured(700, method="ultrasound dilution")
    assert result.doubt_known
    assert result.text == "700 mL/min (90 % interval 554 to 884)"
    assert flow.measured(700, method="ultrasound dilution", cv=0.05).text == "700 mL/min (90 % interval 645 to 760)"


@pytest.mark.parametrize("method", ["infusion", "dialysance", "urea, lines reversed"])
def test_where_no_variation_is_known_the_doubt_is_not_known(method: Any) -> None:
    result = flow.measured(700, method=method)
    assert result.low_ml_min is None
    assert result.high_ml_min is None
    assert not result.doubt_known
    assert result.text == "700 mL/min (doubt not known)"


def test_blood_water_is_not_comparable_until_a_hematocrit_makes_it_blood() -> None:
    blood_water = flow.dialysance(200, reversed_ml_min=160)
    assert not blood_water.comparable
    assert flow.whole_blood(blood_water.ml_min, hematocrit_fraction=0.33) == pytest.approx(929.5, abs=0.1)
    assert flow.duplex(0.6, velocity_cm_s=50).comparable


def test_a_flow_above_3000_is_asked_about() -> None:
    assert flow.measured(3000, method="duplex").question == ""
    assert "unusual" in flow.measured(3500, method="duplex").question


def test_a_flow_of_zero_is_an_event() -> None:
    with pytest.raises(Refused, match="is an event") as refused:
        flow.measured(0, method="ultrasound dilution")
    assert refused.value.field == "ml_min"


@pytest.mark.parametrize("ml_min", [-200, 10_001, float("nan"), float("inf")])
def test_a_flow_that_cannot_be_is_refused(ml_min: float) -> None:
    with pytest.raises(Refused) as refused:
        flow.measured(ml_min, method="thermodilution")
    assert refused.value.field == "ml_min"


@pytest.mark.parametrize("fraction", [0.0, 1.0, -0.1, 1.5, 30.0, float("nan")])
def test_a_recirculation_that_is_no_fraction_is_refused(fraction: float) -> None:
    with pytest.raises(Refused, match="between 0 and 1") as refused:
        flow.reversed_lines(300, recirculation_fraction=fraction)
    assert refused.value.field == "recirculation_fraction"


@pytest.mark.parametrize("pump", [0.0, -300.0, 4000.0])
def test_a_pump_that_cannot_be_is_refused(pump: float) -> None:
    with pytest.raises(Refused) as refused:
        flow.reversed_lines(pump, recirculation_fraction=0.3)
    assert refused.value.field == "pump_ml_min"


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"recirculation_fraction": 1.2}, "recirculation_fraction"),
        ({"cardiopulmonary_fraction": 1.0}, "cardiopulmonary_fraction"),
        ({"cardiopulmonary_fraction": -0.1}, "cardiopulmonary_fraction"),
        ({"ultrafiltration_ml_min": -1.0}, "ultrafiltration_ml_min"),
        ({"ultrafiltration_ml_min": 300.0}, "ultrafiltration_ml_min"),
    ],
)
def test_an_infusion_that_cannot_be_is_refused_at_its_field(change: dict[str, float], field: str) -> None:
    usual = {"ultrafiltration_ml_min": 10.0, "recirculation_fraction": 0.3, "cardiopulmonary_fraction": 0.2}
    assert flow.infusion(300, **usual).ml_min > 800
    with pytest.raises(Refused) as refused:
        flow.infusion(300, **{**usual, **change})
    assert refused.value.field == field


def test_exchanged_dialysances_and_impossible_vessels_are_refused() -> None:
    for normal, turned in ((160, 200), (200, 200), (200, 0)):
        with pytest.raises(Refused, match="exchanged"):
            flow.dialysance(normal, reversed_ml_min=turned)
    with pytest.raises(Refused, match="6 mm is 0.6 cm"):
        flow.duplex(6.5, velocity_cm_s=50)
    with pytest.raises(Refused, match="33 % is 0.33"):
        flow.whole_blood(800, hematocrit_fraction=33)
    for cv in (0.0, 14.2, float("nan")):
        with pytest.raises(Refused, match="14 % is 0.14"):
            flow.measured(800, method="duplex", cv=cv)


def test_a_flow_from_urea_takes_its_interval_from_the_recirculation() -> None:
    samples = recirculation(60, arterial=46.5, venous=15)  # 30 %
    result = flow.reversed_urea(300, recirculation=samples, **IN_ORDER)
    assert result.ml_min == pytest.approx(700)
    assert samples.low_percent is not None
    assert samples.high_percent is not None
    assert result.low_ml_min == pytest.approx(300 * (100 / samples.high_percent - 1))
    assert result.high_ml_min == pytest.approx(300 * (100 / samples.low_percent - 1))
    assert result.text == "700 mL/min (90 % interval 570 to 887)"


def test_a_small_recirculation_leaves_the_flow_without_an_upper_end() -> None:
    result = flow.reversed_urea(300, recirculation=recirculation(60, arterial=55.5, venous=15), **IN_ORDER)
    assert result.low_ml_min is not None
    assert result.high_ml_min is not None
    open_above = flow.reversed_urea(300, recirculation=recirculation(60, arterial=57.5, venous=25), **IN_ORDER)
    assert open_above.high_ml_min is None
    assert open_above.doubt_known
    assert "no upper end" in open_above.text


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"systemic_lines": "reversed"}, "systemic_lines"),
        ({"systemic_lines": "not known"}, "systemic_lines"),
        ({"systemic_drawn_at": AT + timedelta(minutes=3)}, "systemic_drawn_at"),
        ({"systemic_drawn_at": AT.replace(tzinfo=None)}, "systemic_drawn_at"),
        ({"arterial_venous_drawn_at": AT + timedelta(minutes=6)}, "arterial_venous_drawn_at"),
    ],
)
def test_a_flow_from_urea_in_another_order_is_refused(change: dict[str, Any], field: str) -> None:
    samples = recirculation(60, arterial=46.5, venous=15)
    with pytest.raises(Refused) as refused:
        flow.reversed_urea(300, recirculation=samples, **{**IN_ORDER, **change})
    assert refused.value.field == field


def test_without_recirculation_urea_gives_no_flow() -> None:
    with pytest.raises(Refused, match="gives no flow"):
        flow.reversed_urea(300, recirculation=recirculation(60, arterial=60, venous=15), **IN_ORDER)


def test_the_refused_order_would_read_a_true_700_as_1367() -> None:
    # Both A and S meet the returned stream when S too is drawn with the lines reversed.
    venous, true, pump = 0.3, 700, 300
    arterial = (true + pump * venous) / (true + pump)
    systemic = (true + 120 * venous) / (true + 120)
    wrong = recirculation(systemic, arterial=arterial, venous=venous).percent / 100
    assert flow.reversed_lines(pump, recirculation_fraction=wrong).ml_min == pytest.approx(1367, abs=0.5)


@given(FLOWS, PUMPS)
def test_recirculation_to_flow_and_back_is_the_same(ml_min: float, pump: float) -> None:
    fraction = fraction_for_flow(ml_min, pump_ml_min=pump, lines="reversed")
    assert flow.reversed_lines(pump, recirculation_fraction=fraction).ml_min == pytest.approx(ml_min)
    infused = flow.infusion(pump, ultrafiltration_ml_min=0, recirculation_fraction=fraction, cardiopulmonary_fraction=0)
    assert infused.ml_min == pytest.approx(ml_min)


@given(FLOWS, st.floats(150, 350))
def test_dialysances_add_as_conductances_in_series(ml_min: float, normal: float) -> None:
    turned = 1 / (1 / normal + 1 / ml_min)
    assert flow.dialysance(normal, reversed_ml_min=turned).ml_min == pytest.approx(ml_min, rel=1e-6)


@given(st.floats(0.3, 1.0), st.floats(20, 60), st.floats(1.1, 1.6))
def test_flow_grows_with_the_square_of_the_diameter_and_with_velocity(
    diameter: float, velocity: float, factor: float
) -> None:
    once = flow.duplex(diameter, velocity_cm_s=velocity).ml_min
    assert flow.duplex(diameter * factor, velocity_cm_s=velocity).ml_min == pytest.approx(once * factor**2)
    assert flow.duplex(diameter, velocity_cm_s=velocity * factor).ml_min == pytest.approx(once * factor)


@given(FLOWS, st.sampled_from(["ultrasound dilution", "duplex", "thermodilution"]))
def test_an_interval_is_as_wide_above_as_below_on_the_log_scale(ml_min: float, method: Any) -> None:
    result = flow.measured(ml_min, method=method)
    assert result.low_ml_min is not None
    assert result.high_ml_min is not None
    assert result.low_ml_min < ml_min < result.high_ml_min
    assert result.low_ml_min * result.high_ml_min == pytest.approx(ml_min**2)


def test_the_interval_covers_the_usual_flow_on_nine_of_ten_days() -> None:
    days = 800 * np.exp(np.random.default_rng(3).normal(0, 0.142, 20_000))
    covered = [
        result.low_ml_min <= 800 <= result.high_ml_min
        for result in (flow.measured(float(day), method="ultrasound dilution") for day in days)
        if result.low_ml_min is not None and result.high_ml_min is not None
    ]
    assert len(covered) == 20_000
    assert np.mean(covered) == pytest.approx(0.90, abs=0.007)


def test_a_stable_pair_passes_the_least_significant_fall_in_one_of_twenty() -> None:
    pairs = np.random.default_rng(5).normal(0, 0.142, (400_000, 2))
    falls = 1 - np.exp(pairs[:, 1] - pairs[:, 0])
    assert np.mean(falls > flow.least_significant_fall(0.142, one_sided=True)) == pytest.approx(0.05, abs=0.002)
    # A rule of 25 % between two points alarms falsely on about 8 % of stable pairs (own arithmetic).
    assert np.mean(falls > 0.25) == pytest.approx(0.076, abs=0.002)
