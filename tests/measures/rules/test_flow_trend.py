"""The trend of flow as a rule: asked about, low again, overdue, likely low, first values, no limit, another vessel."""

from dataclasses import replace

import pytest

from access.measures.protocol import LocalLimit, in_force, load
from access.measures.readings import AccessProfile, FlowReading
from tests.measures.histories import (
    a_flow,
    a_treatment,
    an_access,
    an_event,
    an_examination,
    at,
    confirmed,
    found,
    on,
    only,
)

RULE = "flow.trend"
STEADY = ((0, 1000), (30, 980), (60, 1020), (90, 990), (120, 1010))


def weighed(day: float, ml_min: float) -> FlowReading:
    """A flow by ultrasound dilution with its 90 % interval."""
    return replace(a_flow(day, ml_min), low_ml_min=ml_min * 0.792, high_ml_min=ml_min / 0.792)


def watched(*rows: tuple[float, float]) -> AccessProfile:
    """A graft with weighed flows, treated three times a week."""
    treated = tuple(a_treatment(day) for day in range(0, 210, 2))
    return replace(an_access(), flows=tuple(weighed(*row) for row in rows), treatments=treated)


def test_a_steady_flow_raises_nothing() -> None:
    assert not [one for one in found(watched(*STEADY), day=125) if one.rule == RULE]


def test_a_flow_far_below_its_trend_is_asked_about_at_once_with_the_measured_value_first() -> None:
    one = only(watched(*STEADY, (150, 300)), rule=RULE, day=151)
    assert one.sentence.startswith("Flow 300 mL/min, far below its trend (about 10")
    assert (one.times_seen, one.raises, one.time_in_words) == (1, True, "at the next treatment")
    assert one.ask == "Repeat at the next treatment and examine."
    assert one.evidence[-1].text.endswith("far below its trend")


def test_its_repeat_low_again_is_flagged_without_waiting_for_the_score() -> None:
    one = only(watched(*STEADY, (150, 300), (153, 310)), rule=RULE, day=153)
    assert one.times_seen == 2
    assert "likely below 600 mL/min" in one.sentence
    assert "fell by about" in one.sentence
    assert one.evidence[-1].text.endswith("low again")


def test_a_normal_repeat_lets_it_pass() -> None:
    assert not [one for one in found(watched(*STEADY, (150, 300), (153, 1000)), day=154) if one.rule == RULE]


@pytest.mark.parametrize(("day", "late"), [(156, False), (158, True)])
def test_not_repeated_within_seven_days_it_counts_as_real(day: float, late: bool) -> None:
    one = only(watched(*STEADY, (150, 300)), rule=RULE, day=day)
    assert ("counts as real" in one.sentence) is late


def test_a_normal_flow_a_month_later_takes_it_back() -> None:
    assert not found(watched(*STEADY, (150, 300), (180, 1000)), rule=RULE, day=181)


def test_seven_days_without_two_treatments_are_not_enough() -> None:
    away = watched(*STEADY, (150, 300))
    away = replace(away, treatments=tuple(one for one in away.treatments if one.at <= at(150)))
    assert "counts as real" not in only(away, rule=RULE, day=170).sentence


def test_two_low_measurements_in_succession_meet_it_and_lead_where_the_protocol_lets_them() -> None:
    low = watched(*STEADY, (150, 300), (153, 310))
    assert "refer for imaging" in only(low, rule=RULE, protocol=confirmed("kdoqi-2006"), day=153).ask
    single = only(watched(*STEADY, (150, 300)), rule=RULE, protocol=confirmed("kdoqi-2006"), day=151)
    assert single.ask == "Repeat at the next treatment and examine."


def test_a_first_value_below_the_limit_speaks_at_once() -> None:
    one = only(watched((10, 520)), rule=RULE, day=11)
    assert "below the limit of 600 mL/min at one of the first measurements" in one.sentence
    assert one.times_seen == 1


def test_a_far_too_low_first_value_is_not_hidden_by_what_is_usual() -> None:
    assert only(watched((10, 250)), rule=RULE, day=11).raises
    assert only(watched((10, 250), (13, 260)), rule=RULE, day=14).times_seen == 2


def test_a_slow_fall_says_how_likely_it_is_below_and_since_when_it_fell() -> None:
    slow = watched((0, 1000), (30, 900), (60, 780), (90, 700), (120, 600), (150, 560), (180, 500))
    one = only(slow, rule=RULE, day=181)
    assert one.sentence.startswith("Flow ")
    assert "likely below 600 mL/min" in one.sentence
    assert "since January 2025" in one.sentence
    assert "false flags an access-year" in one.source_says
    assert "in simulation, no patient data" in one.source_says


def test_the_plain_rules_are_evidence_beside_it() -> None:
    low = watched(*STEADY, (150, 300), (153, 310))
    raising = {one.rule: one.raises for one in found(low, day=153) if one.rule.startswith("flow.")}
    assert raising == {RULE: True, "flow.limit": False, "flow.kdoqi-2000": False}


def test_without_a_known_doubt_the_limit_seen_in_succession_speaks() -> None:
    unknown = replace(an_access(), flows=(a_flow(150, 500), a_flow(180, 480)))
    raising = {one.rule for one in found(unknown) if one.rule.startswith("flow.") and one.raises}
    assert raising == {"flow.limit"}


def of_unknown_doubt(day: float, ml_min: float) -> FlowReading:
    return replace(a_flow(day, ml_min), method="infusion")


def by_another_method(*rows: tuple[float, float], before: tuple[tuple[float, float], ...] = STEADY) -> AccessProfile:
    """Weighed flows, then others whose doubt is not known."""
    weighed_ones = watched(*before)
    return replace(weighed_ones, flows=(*weighed_ones.flows, *(of_unknown_doubt(*row) for row in rows)))


def raising(profile: AccessProfile, *, day: float) -> dict[str, int]:
    """The rules of low flow that raise, and how often each was seen."""
    low = (RULE, "flow.limit")
    return {one.rule: one.times_seen for one in found(profile, day=day) if one.raises and one.rule in low}


def test_a_fall_measured_by_a_method_of_unknown_doubt_is_not_lost_behind_weighed_flows() -> None:
    assert raising(by_another_method((150, 300)), day=151) == {"flow.limit": 1}
    assert raising(by_another_method((150, 300), (155, 280)), day=156) == {"flow.limit": 2}
    assert raising(by_another_method((150, 950)), day=151) == {}


def test_a_reading_of_unknown_doubt_never_takes_the_place_of_a_weighed_one_of_the_same_visit() -> None:
    low = watched(*STEADY, (150, 300))
    both = replace(low, flows=(*low.flows, of_unknown_doubt(150.1, 900)))
    one = only(both, rule=RULE, day=151)
    assert one.raises and one.sentence.startswith("Flow 300 mL/min, far below its trend")
    assert one.missing == ("the doubt of the flow of 5 June 2025 (infusion): left out",)


def test_what_was_asked_for_does_not_lapse_by_a_normal_flow_that_cannot_be_weighed() -> None:
    asked = (*STEADY, (150, 300))
    assert raising(by_another_method((153, 950), before=asked), day=154) == {RULE: 1}
    # Passed as often as its own rule needs, the limit speaks for both.
    assert raising(by_another_method((153, 310), before=asked), day=154) == {"flow.limit": 2}
    met = (*asked, (153, 310))
    assert raising(by_another_method((156, 320), before=met), day=157) == {RULE: 2}


def test_a_protocol_without_a_limit_tells_of_a_fall_as_evidence_only() -> None:
    slow = watched((0, 1600), (30, 1300), (60, 1000), (90, 760), (120, 600))
    one = only(slow, rule=RULE, protocol=load("kdoqi-2019"), day=121)
    assert (one.raises, one.urgency) == (False, "routine")
    assert "likely falling" in one.sentence
    assert any("a limit of the protocol" in each for each in one.missing)


def test_an_intervention_starts_the_trend_anew() -> None:
    treated = watched(*STEADY, (150, 300), (153, 310), (170, 1000), (200, 980))
    treated = replace(treated, events=(an_event(160, "angioplasty"),))
    assert not [one for one in found(treated, day=201) if one.rule == RULE]
    again = replace(treated, flows=(*treated.flows[:-2], weighed(170, 500)))
    assert "one of the first measurements" in only(again, rule=RULE, day=171).sentence


def test_a_measurement_of_the_day_of_the_intervention_is_left_out() -> None:
    treated = replace(watched(*STEADY, (160, 300)), events=(an_event(160, "angioplasty"),))
    assert not [one for one in found(treated, day=161) if one.rule == RULE]


def test_an_odd_sign_beside_it_is_examined_today() -> None:
    low = replace(watched(*STEADY, (150, 300)), examinations=(an_examination(150, pulse="pulsatile"),))
    assert only(low, rule=RULE, day=151).time_in_words == "examine today, tell the coordinator"


def test_the_order_of_arrival_changes_nothing() -> None:
    rows = (*STEADY, (150, 300), (153, 310))
    assert only(watched(*rows), rule=RULE, day=153) == only(watched(*rows[::-1]), rule=RULE, day=153)


def test_a_clinic_may_let_the_flow_at_the_usual_blood_pressure_decide_and_the_finding_says_so() -> None:
    # All of the fall is that of the blood pressure: from 100 to 60 mmHg takes flow down by 37 %.
    low = [(row, 100.0) for row in STEADY] + [((150, 640), 60.0), ((153, 630), 60.0)]
    flows = tuple(replace(weighed(*row), mean_arterial_mmhg=mmhg) for row, mmhg in low)
    access = replace(watched(*STEADY), flows=flows)
    switched = in_force(
        confirmed(), {"flow.at-usual-pressure": LocalLimit(value=1, who="Dov", on=on(0), why="a trial of the clinic")}
    )
    assert only(access, rule=RULE, day=154).raises
    assert not [one for one in found(access, day=154, protocol=switched) if one.rule == RULE]
    deep = replace(access, flows=tuple(replace(one, ml_min=one.ml_min / 2) for one in flows[-2:]))
    deep = replace(deep, flows=(*flows[:-2], *deep.flows))
    assert "at the usual blood pressure" in only(deep, rule=RULE, day=154, protocol=switched).sentence
