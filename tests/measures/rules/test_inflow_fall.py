"""The inflow ratio against its own baseline, and what is left to the absolute limit and the usual band."""

from dataclasses import replace

import pytest

from access.measures.protocol import load
from access.measures.readings import AccessProfile
from tests.measures.histories import (
    a_flow,
    a_puncture,
    an_access,
    an_event,
    an_examination,
    confirmed,
    found,
    on,
    only,
)
from tests.measures.pressures import a_reading, days_of, lived

RULE, PRE_PUMP = "inflow.fall", "inflow.pre-pump"
FALLING = [0.0] * 14 + [60.0] * 6


def weekly(percents: list[float]) -> AccessProfile:
    """A graft that narrows week by week at the inflow."""
    return replace(lived(percents, place="inflow_percent"), first_needled_on=on(0))


def sudden(weeks: int) -> AccessProfile:
    """A steady access whose pre-pump pressure is 50 mmHg lower in the last weeks."""
    steady = weekly([0.0] * (14 + weeks))
    fallen = [
        replace(one, pre_pump_arterial_mmhg=(one.pre_pump_arterial_mmhg or 0.0) - 50) for one in steady.dynamics[42:]
    ]
    return replace(steady, dynamics=(*steady.dynamics[:42], *fallen))


def raising(profile: AccessProfile, *, day: float = 140) -> set[str]:
    return {one.rule for one in found(profile, day=day) if one.raises and one.rule.startswith("inflow.")}


def test_a_steady_pressure_raises_nothing() -> None:
    assert not raising(weekly([0.0] * 20))


def test_a_fall_is_told_with_its_usual_level_and_the_circuit_comes_first() -> None:
    one = only(weekly(FALLING), rule=RULE, day=140)
    assert one.sentence.startswith("Inflow ratio (weekly median) ")
    assert "likely fallen by more than 0.08 from its usual 0.4" in one.sentence
    assert "Rule out the circuit first: kink, clamp, needle against the wall, wet filter, clot." in one.ask
    assert one.raises and one.source == "simulation"
    assert one.evidence[-1].text.startswith("week to ")


def test_one_week_alone_asks_and_two_refer() -> None:
    once = only(sudden(1), rule=RULE, protocol=confirmed("kdoqi-2006"), day=103)
    assert (once.times_seen, once.raises) == (1, True)
    assert once.ask.startswith("Repeat at the next treatment and examine.")
    assert "a wrong value or a sudden fall" in once.sentence
    twice = only(sudden(2), rule=RULE, protocol=confirmed("kdoqi-2006"), day=110)
    assert twice.times_seen == 2 and "refer for imaging" in twice.ask


def test_the_band_is_evidence_where_the_ratio_speaks() -> None:
    assert raising(weekly(FALLING)) == {RULE}
    assert not only(weekly(FALLING), rule=PRE_PUMP, day=140).raises


def test_the_absolute_limit_goes_on_raising_by_itself() -> None:
    low = tuple(a_reading(day, pre_pump=-260.0) for day in days_of(1, since=98))
    steady = weekly([0.0] * 14)
    deep = replace(steady, dynamics=(*steady.dynamics, *low))
    assert PRE_PUMP in raising(deep, day=103)
    assert "below -250 mmHg" in only(deep, rule=PRE_PUMP, day=103).sentence


def test_where_the_ratio_has_no_usual_baseline_the_band_speaks() -> None:
    begun_weak = replace(weekly(FALLING), flows=(a_flow(1, 400),))
    assert not [one for one in found(begun_weak, day=140) if one.rule == RULE]
    no_blood_pressure = replace(
        weekly(FALLING), dynamics=tuple(replace(one, mean_arterial_mmhg=None) for one in weekly(FALLING).dynamics)
    )
    assert raising(no_blood_pressure) == {PRE_PUMP}


def test_an_intervention_starts_anew() -> None:
    treated = replace(weekly(FALLING), events=(an_event(97, "angioplasty"),))
    assert not raising(treated)


def test_the_gauge_is_that_of_the_arterial_needle() -> None:
    steady = weekly([0.0] * 20)
    # All treatments were needled with 16G at the inflow: nothing fell, though it reads lower than 15G would.
    punctures = tuple(
        replace(a_puncture(0, role="arterial"), id=f"p {one.id}", treatment=one.treatment, at=one.at, gauge=16)
        for one in steady.dynamics
    )
    assert not raising(replace(steady, punctures=punctures))


def test_what_was_not_read_lately_does_not_speak_unless_it_had_fallen() -> None:
    assert raising(weekly(FALLING), day=180) == {RULE}
    assert not raising(weekly([0.0] * 20), day=180)


def test_a_sign_of_the_inflow_beside_it_is_examined_today() -> None:
    beside = replace(weekly(FALLING), examinations=(an_examination(137, thrill="weak"),))
    assert only(beside, rule=RULE, day=140).time_in_words == "examine today, tell the coordinator"


def test_nothing_read_says_nothing() -> None:
    assert found(an_access(), rule=RULE) == ()


@pytest.mark.parametrize("key", ["kdoqi-2000", "kdoqi-2006", "kdoqi-2019", "kdoqi-2019-supplement"])
def test_each_protocol_gives_it_the_word_for_the_inflow_and_the_limit_one_of_its_own(key: str) -> None:
    rules = load(key).rules
    assert (rules["inflow"], rules["pre-pump"]) == ((RULE,), (PRE_PUMP,))
    assert rules["outlet"][0] == "outlet.rise"


def test_the_order_of_arrival_changes_nothing() -> None:
    fallen = weekly(FALLING)
    assert found(replace(fallen, dynamics=fallen.dynamics[::-1]), day=140) == found(fallen, day=140)
