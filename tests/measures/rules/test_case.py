"""The case: what is trimmed away before any rule looks."""

from dataclasses import replace

import pytest

from access.measures.protocol import load
from access.measures.readings import AccessProfile
from access.measures.rules.case import Case, one_a_treatment, open_case, tail
from access.measures.succession import Observation
from tests.measures.histories import (
    NOW,
    a_dynamic,
    a_flow,
    a_ratio,
    a_treatment,
    an_access,
    an_event,
    an_examination,
    at,
    dynamics,
    flows,
)


def opened(profile: AccessProfile, *, day: float = NOW) -> Case:
    return open_case(profile, protocol=load("kdoqi-2019-supplement"), as_of=at(day))


def test_readings_are_put_in_order_and_those_of_one_moment_by_id() -> None:
    mixed = [a_flow(20, 700), replace(a_flow(10, 800), id="b"), replace(a_flow(10, 900), id="a")]
    case = opened(replace(an_access(), flows=tuple(mixed)))
    assert [one.id for one in case.profile.flows] == ["a", "b", "flow 20"]


def test_later_readings_and_events_do_not_exist_yet() -> None:
    case = opened(replace(flows((10, 700), (30, 800)), events=(an_event(25, "angioplasty"),)), day=20)
    assert [one.id for one in case.profile.flows] == ["flow 10"]
    assert case.changed_on is None


@pytest.mark.parametrize("what", ["angioplasty", "thrombectomy", "stent", "revision", "ligation"])
def test_measurements_up_to_the_day_of_a_change_of_the_vessel_are_left_out(what: str) -> None:
    case = opened(replace(flows((10, 700), (20, 800), (30, 900)), events=(an_event(20, what),)))
    assert [one.id for one in case.profile.flows] == ["flow 30"]


@pytest.mark.parametrize("what", ["infection", "catheter in", "clotted", "first needled"])
def test_other_events_leave_the_trend_as_it_is(what: str) -> None:
    assert len(opened(replace(flows((10, 700), (30, 900)), events=(an_event(20, what),))).profile.flows) == 2


def test_the_examination_of_that_day_counts_as_one_after_it_and_the_one_before_is_kept_apart() -> None:
    seen = (an_examination(19, pulse="soft"), an_examination(20, pulse="soft"))
    case = opened(replace(an_access(), examinations=seen, events=(an_event(20, "stent"),)))
    assert [one.at for one in case.occasions_since_change] == [at(20)]
    assert [one.at for one in case.occasions] == [at(19), at(20)]


def test_pressures_and_ratios_of_another_route_are_left_out_and_others_kept() -> None:
    treatments = (a_treatment(10, "one needle"), a_treatment(12))
    readings = (a_dynamic(10, venous=130), a_dynamic(12, venous=130))
    ratios = (a_ratio(10.1, 0.5), a_ratio(11, 0.5), a_ratio(12.1, 0.5))
    case = opened(replace(dynamics(*readings), treatments=treatments, ratios=ratios))
    assert [one.treatment for one in case.profile.dynamics] == ["treatment 12"]
    assert [one.id for one in case.profile.ratios] == ["venous ratio 11", "venous ratio 12.1"]


def test_a_second_treatment_soon_after_takes_its_own_readings() -> None:
    treatments = (a_treatment(10, "one needle"), a_treatment(10.3))
    case = opened(replace(an_access(), treatments=treatments, ratios=(a_ratio(10.1, 0.5), a_ratio(10.4, 0.5))))
    assert [one.id for one in case.profile.ratios] == ["venous ratio 10.4"]


def test_the_tail_ends_with_the_first_that_is_not_odd() -> None:
    asked: list[float] = []

    def observe(one: object) -> Observation:
        value = one.ml_min  # type: ignore[attr-defined]
        asked.append(value)
        return Observation(id="", at=at(0), odd=value < 600, text="")

    series = flows((1, 500), (2, 700), (3, 550), (4, 540)).flows
    assert [one.odd for one in tail(series, observe=observe)] == [False, True, True]
    assert asked == [540, 550, 700]


def test_of_one_treatment_the_last_reading_counts() -> None:
    twice = (a_dynamic(10, venous=130, minute=3), a_dynamic(10, venous=110, minute=5))
    assert [one.venous_mmhg for one in one_a_treatment(twice, treatment=lambda one: one.treatment)] == [110]
