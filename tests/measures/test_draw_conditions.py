"""How a draw is judged: valid or not, what is remarked, what to check first, what is refused."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from access.measures import Refused
from access.measures.draw_conditions import share_read_reversed
from access.measures.readings import Draw, Sample
from access.measures.recirculation import fraction_for_flow, judge_draw, recirculation

AT = datetime(2026, 3, 4, 8, 30, tzinfo=UTC)


def _mg(value: float) -> Sample:
    return Sample(value=value, unit="mg/dL")


GOOD = Draw(
    systemic=_mg(60),
    arterial=_mg(51),
    venous=_mg(15),
    systemic_site="arterial line after slow flow",
    pump_ml_min=300,
    slow_flow_ml_min=120,
    slow_flow_seconds=10,
    minutes_into_treatment=30,
    arterial_venous_drawn_at=AT,
    systemic_drawn_at=AT + timedelta(minutes=1),
    ultrafiltration_off=True,
    lines="right",
)


def test_a_good_draw_reads_20_percent_with_its_interval_and_what_to_check_first() -> None:
    judged = judge_draw(GOOD, limit_percent=10)
    assert judged.valid
    assert not judged.waiting
    assert judged.remarks == ()
    assert judged.result is not None
    assert judged.result.text == "20 % (90 % interval 15 to 25 %)"
    assert judged.usable is judged.result
    subjects = ("lines or needles reversed", "Was the draw right", "needles lie", "then imaging")
    assert len(judged.checks) == len(subjects)
    assert all(subject in check for subject, check in zip(subjects, judged.checks, strict=True))


def test_needle_placement_is_checked_from_20_percent_on_only() -> None:
    judged = judge_draw(replace(GOOD, arterial=_mg(52)), limit_percent=10)  # 17.8 %
    assert [check for check in judged.checks if "needles lie" in check] == []
    assert len(judged.checks) == 3


def test_nothing_is_to_be_checked_at_the_limit_or_when_none_was_found() -> None:
    at_limit = replace(GOOD, systemic=_mg(62), arterial=_mg(58), venous=_mg(22))
    assert judge_draw(at_limit, limit_percent=10).checks == ()
    assert judge_draw(at_limit).checks != ()
    assert judge_draw(replace(GOOD, arterial=_mg(61))).checks == ()


def test_a_sample_from_a_vein_of_the_other_arm_makes_the_method_not_valid() -> None:
    # The case of sherman-1994: 29 % by arithmetic, and the access was sound.
    vein = replace(GOOD, systemic=_mg(58), arterial=_mg(48), venous=_mg(23), systemic_site="peripheral vein")
    judged = judge_draw(vein, limit_percent=10)
    assert not judged.valid
    assert judged.reason.startswith("method not valid: the systemic sample came from a vein")
    assert judged.usable is None
    assert judged.result is not None
    assert judged.result.percent == pytest.approx(29, abs=0.5)
    assert judged.checks == (
        "Repeat the draw with S from the arterial line after slow flow; act on nothing before that.",
    )


def test_a_sample_from_elsewhere_is_not_valid_either() -> None:
    judged = judge_draw(replace(GOOD, systemic_site="other"))
    assert not judged.valid
    assert "did not come from the arterial line" in judged.reason


def test_samples_not_back_from_the_laboratory_wait_and_lose_nothing() -> None:
    judged = judge_draw(replace(GOOD, arterial=None, ultrafiltration_off=None))
    assert judged.waiting
    assert judged.valid
    assert judged.result is None
    assert judged.usable is None
    assert "missing: arterial" in judged.reason
    assert any("Ultrafiltration" in remark for remark in judged.remarks)
    vein = judge_draw(replace(GOOD, systemic=None, arterial=None, venous=None, systemic_site="peripheral vein"))
    assert vein.waiting
    assert not vein.valid
    assert vein.reason.startswith("method not valid")


def test_a_valid_draw_without_a_verdict_is_not_usable() -> None:
    judged = judge_draw(replace(GOOD, venous=_mg(45)))
    assert judged.valid
    assert judged.result is not None
    assert judged.usable is None


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"venous": Sample(value=5, unit="mmol/L")}, "unit"),
        ({"pump_ml_min": None}, "pump_ml_min"),
        ({"pump_ml_min": 0}, "pump_ml_min"),
        ({"pump_ml_min": 4000}, "pump_ml_min"),
        ({"systemic_site": None}, "systemic_site"),
        ({"arterial_venous_drawn_at": None}, "arterial_venous_drawn_at"),
        ({"systemic_drawn_at": None}, "systemic_drawn_at"),
        ({"systemic_drawn_at": AT.replace(tzinfo=None)}, "systemic_drawn_at"),
        ({"slow_flow_ml_min": 1200}, "slow_flow_ml_min"),
        ({"slow_flow_seconds": 0}, "slow_flow_seconds"),
        ({"systemic": _mg(15)}, "systemic"),
        ({"systemic": _mg(600)}, "systemic"),
        ({"arterial": _mg(14)}, "arterial"),
        ({"venous": _mg(0)}, "venous"),
    ],
)
def test_a_draw_that_cannot_be_judged_is_refused_at_its_field(change: dict[str, Any], field: str) -> None:
    with pytest.raises(Refused) as refused:
        judge_draw(replace(GOOD, **change))
    assert refused.value.field == field


@pytest.mark.parametrize(
    ("change", "remark"),
    [
        ({"ultrafiltration_off": None}, "not stated as off"),
        ({"ultrafiltration_off": False}, "Ultrafiltration was on"),
        ({"lines": "not known"}, "is not known"),
        ({"slow_flow_seconds": None}, "slow flow were not stated"),
        ({"slow_flow_ml_min": 100, "slow_flow_seconds": 15}, "100 mL/min for 15 s; this test asks for 120"),
        ({"slow_flow_ml_min": 50}, "moved only 8 mL"),
        ({"minutes_into_treatment": 120}, "Drawn 120 min"),
        ({"minutes_into_treatment": 5}, "Drawn 5 min"),
        ({"systemic_drawn_at": AT - timedelta(minutes=2)}, "timed before A and V"),
        ({"systemic_drawn_at": AT + timedelta(minutes=10)}, "more than 3 min after"),
        ({"venous": _mg(2)}, "unusual"),
        ({"arterial": _mg(70)}, "more than 5 % above"),
    ],
)
def test_what_makes_a_draw_doubtful_is_remarked_and_refuses_nothing(change: dict[str, Any], remark: str) -> None:
    judged = judge_draw(replace(GOOD, **change))
    assert judged.valid
    assert any(remark in text for text in judged.remarks)


def test_reversed_lines_say_how_little_of_the_recirculation_was_read() -> None:
    judged = judge_draw(replace(GOOD, lines="reversed"))
    (remark,) = judged.remarks
    assert "only about 60-70 % of the true recirculation" in remark
    assert "20 % here stands for about 33 %" in remark


def test_reversed_lines_without_recirculation_stand_for_nothing() -> None:
    (remark,) = judge_draw(replace(GOOD, lines="reversed", arterial=_mg(60))).remarks
    assert remark.endswith("the true recirculation.")


def test_a_true_flow_of_1000_reads_14_percent_with_lines_reversed() -> None:
    share = share_read_reversed(300)
    assert share == pytest.approx(0.60)
    assert share_read_reversed(400) == pytest.approx(0.70)
    true = fraction_for_flow(1000, pump_ml_min=300, lines="reversed")
    assert 100 * share * true == pytest.approx(14, abs=0.5)


def test_a_slow_flow_that_is_not_slower_is_refused() -> None:
    with pytest.raises(Refused, match="below the usual one"):
        share_read_reversed(120)


@given(st.floats(150, 3000), st.floats(200, 500), st.floats(0.1, 0.6))
def test_the_share_read_reversed_follows_from_mixing_twice(flow: float, pump: float, venous: float) -> None:
    # Blood of urea 1 meets the returned stream at the usual speed for A and at 120 mL/min for S.
    arterial = (flow + pump * venous) / (flow + pump)
    systemic = (flow + 120 * venous) / (flow + 120)
    read = recirculation(systemic, arterial=arterial, venous=venous).percent / 100
    true = fraction_for_flow(flow, pump_ml_min=pump, lines="reversed")
    assert read == pytest.approx(true * share_read_reversed(pump), rel=1e-9)
