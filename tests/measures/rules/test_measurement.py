"""How a measurement weighs: first seen, met, unconfirmed, beside a sign, as evidence."""

from dataclasses import replace

import pytest

from access.measures.findings import Finding
from access.measures.protocol import Protocol, load
from access.measures.rules.case import open_case
from access.measures.rules.measurement import EVIDENCE, Weight, finding, no_limit
from access.measures.succession import Observation
from tests.measures.histories import NOW, an_access, an_examination, at, confirmed

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
