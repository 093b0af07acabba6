"""First use and gauges: printed conditions, what is missing, the steps of a new fistula."""

from dataclasses import asdict
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from access.measures import Refused
from access.measures.readiness import (
    DEFAULT_READINESS,
    Readiness,
    gauge_for_new_fistula,
    gauge_for_pump_speed,
    readiness,
)
from tests.measures.cases import cases

READY: dict[str, Any] = {"flow_ml_min": 700, "diameter_cm": 0.65, "depth_cm": 0.5, "borders_felt": True}


def fistula(**changed: Any) -> Readiness:
    return readiness("fistula", **{**READY, **changed})


@pytest.mark.parametrize("case", cases("needles", formula="needles.readiness"))
def test_the_conditions_are_the_printed_ones(case: dict[str, Any]) -> None:
    assert asdict(DEFAULT_READINESS)[case["given"]["rule"]] == pytest.approx(case["expected"], abs=case["tolerance"])


def test_a_fistula_that_meets_all_four_is_ready() -> None:
    found = fistula()
    assert found.ready is True
    assert len(found.met) == 4
    assert fistula(diameter_cm=0.6, depth_cm=0.6).ready is True


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({"flow_ml_min": 600}, "flow above 600 mL/min"),
        ({"diameter_cm": 0.59}, "diameter at least 0.6 cm"),
        ({"depth_cm": 0.61}, "no deeper than 0.6 cm"),
        ({"borders_felt": False}, "borders felt"),
    ],
)
def test_one_condition_not_met_is_enough_and_is_named(changed: dict[str, Any], words: str) -> None:
    found = fistula(**changed)
    assert found.ready is False
    assert found.not_met == (words,)


def test_what_is_missing_is_named_and_never_counts_as_met() -> None:
    found = fistula(depth_cm=None)
    assert found.ready is None
    assert found.missing == ("no deeper than 0.6 cm",)
    assert fistula(depth_cm=None, flow_ml_min=300).ready is False


def test_at_six_weeks_a_fistula_not_ready_is_imaged() -> None:
    assert any("image" in words for words in fistula(flow_ml_min=300, weeks_since_creation=6).remarks)
    assert fistula(flow_ml_min=300, weeks_since_creation=5).remarks == ()
    assert fistula(weeks_since_creation=9).remarks == ()


def test_the_smaller_pair_of_one_study_is_only_a_remark() -> None:
    found = fistula(flow_ml_min=500, diameter_cm=0.4)
    assert found.ready is False
    assert "95 % usable" in found.remarks[0]
    assert fistula(flow_ml_min=499, diameter_cm=0.4).remarks == ()


def test_a_graft_waits_two_weeks_and_for_the_swelling_to_go() -> None:
    assert readiness("graft", weeks_since_creation=2, swelling=False).ready is True
    assert readiness("graft", weeks_since_creation=1.9, swelling=False).not_met == ("at least 2 weeks old",)
    assert readiness("graft", weeks_since_creation=4, swelling=True).not_met == ("no swelling",)
    assert readiness("graft", weeks_since_creation=4).missing == ("no swelling",)


@pytest.mark.parametrize(
    ("pump", "gauges"),
    [
        (150, [17]),
        (225, [17]),
        (250, [17, 16]),
        (300, [16]),
        (350, [16, 15]),
        (400, [15]),
        (450, [15, 14]),
        (500, [14]),
    ],
)
def test_the_gauge_follows_the_pump_speed(pump: float, gauges: list[int]) -> None:
    # Source gauge-by-speed: secondary, common practice, advice.
    assert [row.gauge for row in gauge_for_pump_speed(pump)] == gauges


@given(st.floats(0.5, 800))
def test_every_pump_speed_has_a_gauge_and_a_faster_one_never_a_thinner(pump: float) -> None:
    here, faster = gauge_for_pump_speed(pump), gauge_for_pump_speed(pump + 50)
    assert here and faster
    assert min(row.gauge for row in faster) <= min(row.gauge for row in here)


def test_a_new_fistula_begins_thin_and_goes_on_step_by_step() -> None:
    # Source new-fistula-gauge: secondary; the time of the second step is the project's own choice.
    steps = [gauge_for_new_fistula(weeks) for weeks in (0, 0.9, 1, 2, 8)]
    assert [step.gauge for step in steps] == [17, 17, 16, 15, 15]
    assert (steps[0].from_ml_min, steps[0].to_ml_min) == (200, 250)
    assert steps[2].sentence == "If the step before went well: 16G, 250 to 350 mL/min."


def test_speeds_and_weeks_that_cannot_be_are_refused() -> None:
    with pytest.raises(Refused, match="asks for no needle"):
        gauge_for_pump_speed(0)
    with pytest.raises(Refused, match="negative"):
        gauge_for_new_fistula(-1)
