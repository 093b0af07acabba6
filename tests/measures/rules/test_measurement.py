"""How a measurement weighs: first seen, met, unconfirmed, beside a sign, as evidence."""

from dataclasses import replace

import pytest

from access.measures.findings import Finding
from access.measures.protocol import Protocol, load
from access.measures.rules.case import open_case
from access.measures.rules.measurement import EVIDENCE, Weight, finding, no_limit
from access.measures.succession import Observation
from tests.measures.histories import (
    NOW,
    a_dynamic,
    an_access,
    an_examination,
    at,
    bleedings,
    confirmed,
    dynamics,
    flows,
    only,
)

RUN = tuple(Observation(id=str(day), at=at(day), odd=True, text=f"day {day}") for day in (180, 190))
REFERS = ("kdoqi-2000", "kdoqi-2006")


def weighed(weight: Weight, *, seen: int = 2, protocol: Protocol | None = None, sign: bool = False) -> Finding:
    """A run of so many, of two needed, against a limit of flow."""
    examinations = (an_examination(195, pulse="pulsatile"),) if sign else ()
    case = open_case(
        replace(an_access(), examinations=examinations), protocol=protocol or confirmed("kdoqi-2006"), as_of=at(NOW)
    )
    limit = case.protocol.limits["flow.below.graft"]
    return finding(
        case, rule="x", limits=[limit], run=RUN[-seen:], needed=2, sentence="Low", weight=weight, ask="Look."
    )


@pytest.mark.parametrize("key", ["kdoqi-2000", "kdoqi-2006", "kdoqi-2019-supplement"])
def test_met_and_confirmed_it_refers_only_where_the_protocol_lets_a_measurement_refer(key: str) -> None:
    one = weighed(Weight(may_refer=True), protocol=confirmed(key))
    assert (one.time_in_words == "this week") is (key in REFERS)
    assert weighed(Weight(), protocol=confirmed(key)).time_in_words == "at the next treatment"


def test_first_seen_or_not_confirmed_it_never_does() -> None:
    assert weighed(Weight(may_refer=True), seen=1).time_in_words == "at the next treatment"
    assert weighed(Weight(may_refer=True), protocol=load("kdoqi-2006")).time_in_words == "at the next treatment"


def test_an_indicator_that_holds_refers_in_every_protocol() -> None:
    one = weighed(Weight(indicator=True), protocol=confirmed("kdoqi-2019-supplement"))
    assert one.time_in_words == "refer this week, imaging within about 14 days"
    assert weighed(Weight(indicator=True), seen=1).time_in_words == "at the next treatment"


def test_beside_a_sign_the_higher_urgency_is_shown_and_both_are_asked() -> None:
    one = weighed(Weight(may_refer=True), sign=True)
    assert one.urgency == "asap"
    assert one.ask.startswith("Odd when last looked for: pulsatile pulse. Examine today, tell the coordinator. Put")


def test_where_another_rule_speaks_it_is_evidence_even_beside_a_sign() -> None:
    one = weighed(Weight(speaks=False), sign=True)
    assert (one.raises, one.urgency, one.ask) == (False, "routine", f"{EVIDENCE} Look.")


def test_a_quantity_of_each_treatment_raises_once_met() -> None:
    assert not weighed(Weight(first_asks=False), seen=1).raises
    assert weighed(Weight(first_asks=False)).raises


def test_the_finding_says_when_how_often_and_by_which_source() -> None:
    one = weighed(Weight())
    assert (one.first_seen, one.last_seen, one.times_seen, one.times_needed) == (at(180), at(190), 2, 2)
    assert one.source == "kdoqi-2006" and one.source_says.endswith("(from memory)")
    assert [each.text for each in one.evidence] == ["day 180", "day 190"]


def test_no_limit_is_said_only_where_something_was_measured() -> None:
    case = open_case(an_access(), protocol=load("kdoqi-2019"), as_of=at(NOW))
    assert no_limit(case, rule="x", what="flow of a graft", at=[]) is None
    one = no_limit(case, rule="x", what="flow of a graft", at=[at(10), at(20)])
    assert one is not None and not one.raises
    assert one.sentence == "KDOQI 2019 holds no limit for the flow of a graft: measured, not judged."


LOW = flows((199, 540))


def test_bleeding_that_holds_beside_a_low_flow_raises_it_as_a_sign_does() -> None:
    longer = bleedings([8] * 8 + [14, 15, 16], first_day=178).punctures
    one = only(replace(LOW, punctures=longer), rule="flow.limit")
    assert (one.urgency, one.time_in_words) == ("asap", "examine today, tell the coordinator")
    assert one.ask.startswith("Odd when last looked for: bleeding longer than usual. Examine today")
    twice = only(replace(LOW, punctures=longer[:-1]), rule="flow.limit")
    assert (twice.urgency, twice.time_in_words) == ("urgent", "at the next treatment")


def test_bleeding_that_holds_lets_a_quantity_of_each_treatment_speak_early() -> None:
    low = dynamics(a_dynamic(198, pre_pump=-260, pump=400))
    longer = bleedings([8] * 8 + [14, 15, 16], first_day=178).punctures
    assert not only(low, rule="inflow.pre-pump").raises
    assert only(replace(low, punctures=longer), rule="inflow.pre-pump").urgency == "asap"


@pytest.mark.parametrize(("seen_on", "urgency"), [(178, "asap"), (177, "urgent")])
def test_a_sign_seen_once_more_than_21_days_before_a_measurement_no_longer_raises_it(
    seen_on: int, urgency: str
) -> None:
    once = replace(LOW, examinations=(an_examination(seen_on, pulse="pulsatile"),))
    assert only(once, rule="flow.limit").urgency == urgency


def test_a_sign_that_held_raises_a_measurement_until_it_is_looked_for_again() -> None:
    held = (an_examination(150, pulse="pulsatile"), an_examination(152, pulse="pulsatile"))
    assert only(replace(LOW, examinations=held), rule="flow.limit").urgency == "asap"
    looked = (*held, an_examination(198, pulse="soft"))
    assert only(replace(LOW, examinations=looked), rule="flow.limit").urgency == "urgent"


def test_what_stood_beside_a_measurement_does_not_fade_while_nothing_is_done() -> None:
    both = replace(flows((172, 540)), examinations=(an_examination(170, pulse="pulsatile"),))
    assert [only(both, rule="flow.limit", day=day).urgency for day in (173, 230)] == ["asap", "asap"]
