"""All rules together: what must hold for any history, whatever is in it."""

import sys
from copy import deepcopy
from dataclasses import fields, replace
from random import Random
from types import FrameType
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from access.measures import Refused, sources
from access.measures.emergency_table import EMERGENCY_TABLE, Row
from access.measures.examination import SIGNS, Sign
from access.measures.protocol import Protocol, ids, load
from access.measures.readings import AccessProfile
from access.measures.rules import RULE_IDS, RULES, evaluate, explain
from access.measures.words import URGENCIES
from tests.measures.any_history import histories, normal_numbers, one_of_each
from tests.measures.histories import NOW, an_access, an_event, at, confirmed, examined, flows, found
from tests.measures.long_history import a_long_history

PROTOCOLS = [load(key) for key in ids()] + [confirmed(key) for key in ids()]
protocols = st.sampled_from(PROTOCOLS)
SERIES = [one.name for one in fields(AccessProfile) if isinstance(getattr(an_access(), one.name), tuple)]
# The table of urgencies: nothing else is ever shown.
TABLE = {
    ("stat", "now"),
    ("stat", "now, before any needle"),
    ("asap", "today"),
    ("asap", "today, before the needles"),
    ("asap", "examine today, tell the coordinator"),
    ("urgent", "refer this week, imaging within about 14 days"),
    ("urgent", "this week"),
    ("urgent", "at the next treatment"),
    ("routine", "at the next visit"),
}


@given(histories(), protocols)
def test_each_finding_is_of_a_known_rule_once_most_urgent_first_and_of_the_table(
    profile: AccessProfile, protocol: Protocol
) -> None:
    findings = evaluate(profile, protocol=protocol, as_of=at(NOW))
    rules = [one.rule for one in findings]
    assert len(rules) == len(set(rules)) and set(rules) <= set(RULE_IDS)
    ranks = [URGENCIES.index(one.urgency) for one in findings]
    assert ranks == sorted(ranks, reverse=True)
    for one in findings:
        assert (one.urgency, one.time_in_words) in TABLE
        assert sources.source(one.source) if one.times_needed else one.missing
        assert one.first_seen <= one.last_seen <= at(NOW)


@given(one_of_each(), protocols)
def test_a_single_measurement_never_refers(profile: AccessProfile, protocol: Protocol) -> None:
    for one in evaluate(profile, protocol=protocol, as_of=at(NOW)):
        if one.basis == "measurement":
            assert one.time_in_words in ("at the next treatment", "at the next visit")
            assert "refer" not in one.ask.lower().replace("does not refer", "")


@given(histories(), protocols, st.data())
def test_a_normal_number_never_removes_a_sign_or_an_emergency(
    profile: AccessProfile, protocol: Protocol, data: st.DataObject
) -> None:
    more = data.draw(normal_numbers(profile))
    # That a treatment came later lets what passes by itself lapse; its numbers must not.
    without = tuple(replace(one, pump_prescribed_ml_min=None, pump_reached_ml_min=None) for one in more.treatments)
    bare = replace(profile, treatments=without)

    def seen(one: AccessProfile) -> set[str]:
        findings = evaluate(one, protocol=protocol, as_of=at(NOW))
        return {each.rule for each in findings if each.rule.startswith(("sign.", "emergency."))}

    assert seen(more) == seen(bare)


@given(histories(), protocols, st.randoms(use_true_random=False))
def test_the_order_within_a_series_never_matters(profile: AccessProfile, protocol: Protocol, random: Random) -> None:
    mixed: dict[str, Any] = {
        name: tuple(random.sample(series, len(series))) for name in SERIES if (series := getattr(profile, name))
    }
    shuffled = replace(profile, **mixed)
    assert evaluate(shuffled, protocol=protocol, as_of=at(NOW)) == evaluate(profile, protocol=protocol, as_of=at(NOW))


@given(histories(), protocols)
def test_asking_changes_nothing_and_gives_the_same_answer_again(profile: AccessProfile, protocol: Protocol) -> None:
    before = deepcopy(profile)
    first = evaluate(profile, protocol=protocol, as_of=at(NOW))
    assert profile == before
    assert evaluate(profile, protocol=protocol, as_of=at(NOW)) == first


@given(histories(), protocols, st.integers(10, 190))
def test_what_comes_later_does_not_exist_yet(profile: AccessProfile, protocol: Protocol, day: int) -> None:
    moment = at(day)
    series: dict[str, Any] = {
        name: tuple(one for one in getattr(profile, name) if one.at <= moment)
        for name in SERIES
        if name not in ("events", "zones")
    }
    known = replace(profile, events=tuple(one for one in profile.events if one.on <= moment.date()), **series)
    assert evaluate(profile, protocol=protocol, as_of=moment) == evaluate(known, protocol=protocol, as_of=moment)


@given(histories(), protocols)
def test_one_rule_speaks_for_one_quantity(profile: AccessProfile, protocol: Protocol) -> None:
    raised = {one.rule for one in evaluate(profile, protocol=protocol, as_of=at(NOW)) if one.raises}
    assert len(raised & {"outlet.rise", "outlet.static-ratio", "outlet.dynamic"}) <= 1
    assert len(raised & {"flow.limit", "flow.kdoqi-2000"}) <= 1


@given(histories(), protocols)
def test_a_limit_that_waits_never_asks_for_more_than_to_repeat_and_examine(
    profile: AccessProfile, protocol: Protocol
) -> None:
    for one in evaluate(profile, protocol=protocol, as_of=at(NOW)):
        if not one.limit_confirmed and one.raises:
            assert "Limit not yet confirmed by this clinic" in one.ask
            assert one.time_in_words in ("at the next treatment", "examine today, tell the coordinator")


def test_nothing_known_is_nothing_found() -> None:
    for protocol in PROTOCOLS:
        assert evaluate(an_access(), protocol=protocol, as_of=at(NOW)) == ()


def test_an_abandoned_access_has_no_findings() -> None:
    abandoned = replace(flows((150, 300), (180, 300)), events=(an_event(190, "abandoned"),))
    assert found(abandoned) == ()
    assert found(abandoned, day=189)


def test_a_moment_without_its_zone_is_refused() -> None:
    with pytest.raises(Refused, match="without its zone"):
        evaluate(examined(), protocol=PROTOCOLS[0], as_of=at(NOW).replace(tzinfo=None))


@pytest.mark.parametrize("rule", RULE_IDS)
def test_the_handbook_explains_each_rule_and_names_where_it_comes_from(rule: str) -> None:
    text = explain(rule)
    assert len(text) > 60
    assert "`" in text, "no source is named"


@pytest.mark.parametrize("sign", SIGNS, ids=lambda sign: sign.id)
def test_the_handbook_names_the_readings_that_show_a_sign(sign: Sign) -> None:
    text = " ".join(explain(sign.rule).split())
    assert all(f"*{reading}*" in text for reading in sign.readings)
    assert sign.source in text


@pytest.mark.parametrize("row", EMERGENCY_TABLE, ids=lambda row: row.id)
def test_the_handbook_names_the_readings_and_the_urgency_of_an_emergency(row: Row) -> None:
    text = " ".join(explain(f"emergency.{row.id}").split())
    assert all(f"*{one}*" in text for when in row.when for readings in when.seen.values() for one in readings)
    assert f"*{row.urgency}: {row.time_in_words}*" in text


def test_an_unknown_rule_is_not_explained() -> None:
    with pytest.raises(Refused, match="There is no rule"):
        explain("flow.moon")


def test_every_rule_says_its_id_in_its_first_line() -> None:
    for rule, function in RULES.items():
        assert (function.__doc__ or "").startswith(f"{rule}: ")


def test_a_healthy_access_of_eighteen_months_has_no_finding() -> None:
    for protocol in PROTOCOLS:
        findings = evaluate(a_long_history(), protocol=protocol, as_of=at(546))
        assert [one.rule for one in findings if one.raises] == []


def test_the_work_grows_no_faster_than_the_history() -> None:
    # Calls are counted, since clocks differ; tests/bench prints the times.
    def calls(profile: AccessProfile) -> int:
        count = 0

        def counting(frame: FrameType, event: str, argument: object) -> None:
            nonlocal count
            count += event == "call"

        before = sys.getprofile()
        sys.setprofile(counting)
        try:
            evaluate(profile, protocol=PROTOCOLS[0], as_of=at(3000))
        finally:
            sys.setprofile(before)
        return count

    short, long = calls(a_long_history(234)), calls(a_long_history(936))
    assert 0 < long <= 4 * short
