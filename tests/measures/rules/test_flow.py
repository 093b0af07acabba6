"""Flow: two in succession, the first value, KDOQI 2000 as written, high flow, what is never compared."""

from dataclasses import replace
from typing import Any

import pytest

from access.measures.protocol import load
from access.measures.readings import AccessProfile
from tests.measures.cases import cases
from tests.measures.histories import a_flow, an_event, an_examination, at, confirmed, flows, found, only

RULE, OLD = "flow.limit", "flow.kdoqi-2000"


def weighed(*rows: tuple[float, float]) -> AccessProfile:
    """A fistula with flows by ultrasound dilution whose 90 % interval is known."""
    bare = flows(*rows, kind="fistula")
    known = (replace(one, low_ml_min=0.792 * one.ml_min, high_ml_min=one.ml_min / 0.792) for one in bare.flows)
    return replace(bare, flows=tuple(known))


def test_a_single_low_flow_asks_to_repeat_and_examine_and_never_refers() -> None:
    for key in ("kdoqi-2006", "kdoqi-2019-supplement"):
        one = only(flows((190, 250)), rule=RULE, protocol=confirmed(key))
        assert (one.times_seen, one.times_needed, one.raises) == (1, 2, True)
        assert (one.urgency, one.time_in_words) == ("urgent", "at the next treatment")
        assert one.ask == "Repeat at the next treatment and examine."


def test_a_second_low_flow_in_succession_meets_the_rule() -> None:
    one = only(flows((100, 900), (150, 560), (180, 540)), rule=RULE)
    assert (one.times_seen, one.times_needed) == (2, 2)
    assert (one.first_seen, one.last_seen) == (at(150), at(180))
    assert one.sentence == "Flow below the limit of 600 mL/min for a graft: seen twice in succession, 2 needed."
    assert [each.id for each in one.evidence] == ["flow 150", "flow 180"]
    assert one.evidence[1].text == "5 July 2025: 540 mL/min (doubt not known), ultrasound dilution"


def test_met_it_refers_by_2006_and_asks_to_repeat_and_examine_by_2019() -> None:
    low = flows((150, 560), (180, 540))
    by_2006 = only(low, rule=RULE, protocol=confirmed("kdoqi-2006"))
    assert "refer for imaging" in by_2006.ask
    assert (by_2006.urgency, by_2006.time_in_words) == ("urgent", "this week")
    by_2019 = only(low, rule=RULE)
    assert by_2019.ask == "Repeat and examine; a measurement alone does not refer."
    assert (by_2019.urgency, by_2019.time_in_words) == ("urgent", "at the next treatment")


def test_a_limit_not_confirmed_says_so_and_asks_for_no_more() -> None:
    for key in ("kdoqi-2006", "kdoqi-2019-supplement"):
        one = only(flows((150, 560), (180, 540)), rule=RULE, protocol=load(key))
        assert not one.limit_confirmed
        assert one.ask == "Limit not yet confirmed by this clinic: repeat at the next treatment and examine, no more."
        assert one.time_in_words == "at the next treatment"


def test_together_with_an_odd_sign_it_is_examined_today() -> None:
    low = replace(flows((190, 560)), examinations=(an_examination(195, pulse="pulsatile"),))
    one = only(low, rule=RULE)
    assert (one.urgency, one.time_in_words) == ("asap", "examine today, tell the coordinator")
    assert "pulsatile pulse" in one.ask


def test_a_normal_flow_between_or_a_gap_of_more_than_sixty_days_starts_the_count_anew() -> None:
    assert only(flows((120, 560), (150, 700), (180, 540)), rule=RULE).times_seen == 1
    assert only(flows((120, 560), (180, 540)), rule=RULE).times_seen == 2
    assert only(flows((119, 560), (180, 540)), rule=RULE).times_seen == 1
    assert found(flows((150, 560), (180, 600)), rule=RULE) == ()


def test_the_limit_is_that_of_the_kind() -> None:
    assert only(flows((190, 550)), rule=RULE)
    assert found(flows((190, 550), kind="fistula"), rule=RULE) == ()
    assert only(flows((190, 499), kind="fistula"), rule=RULE)


def test_flow_is_compared_as_it_is_shown() -> None:
    assert found(flows((190, 599.5)), rule=RULE) == ()
    assert only(flows((190, 599.4)), rule=RULE)


def test_blood_water_without_a_hematocrit_is_never_held_against_a_limit() -> None:
    alone = replace(flows(), flows=(a_flow(190, 300, comparable=False),))
    assert found(alone) == ()
    beside = replace(flows(), flows=(a_flow(180, 500), a_flow(190, 900, comparable=False)))
    assert "flow of blood water" in only(beside, rule=RULE).missing[0]


def test_a_protocol_without_a_limit_answers_in_words() -> None:
    one = only(flows((190, 250)), rule=RULE, protocol=load("kdoqi-2019"))
    assert not one.raises
    assert one.missing == ("a limit for the flow of a graft",)
    assert "KDOQI 2019 sets no routine limit" in one.ask
    assert found(flows(), rule=RULE, protocol=load("kdoqi-2019")) == ()


def _history(case: dict[str, Any]) -> AccessProfile:
    return flows(*zip(case["given"]["days"], case["given"]["ml_min"], strict=True))


@pytest.mark.parametrize("case", cases("rules", formula=OLD, kind="arithmetic"))
def test_the_rule_of_2000_is_met_as_it_is_written(case: dict[str, Any]) -> None:
    newest = case["given"]["days"][-1]
    assert bool(found(_history(case), rule=OLD, day=newest + 1)) is case["expected"]


def test_the_rule_of_2000_is_evidence_where_another_rule_speaks() -> None:
    one = only(flows((0, 1000), (90, 740)), rule=OLD, day=91)
    assert not one.raises and one.urgency == "routine"
    assert one.sentence.startswith("KDOQI 2000 rule: met (fallen by 26 % from 1000 mL/min on 6 January 2025")


def test_the_rule_of_2000_raises_in_its_own_protocol_and_a_single_value_only_asks() -> None:
    fallen = only(flows((0, 1000), (90, 740)), rule=OLD, protocol=load("kdoqi-2000"), day=91)
    assert fallen.raises and fallen.ask == "Repeat at the next treatment and examine."
    twice = only(flows((0, 1000), (90, 740), (100, 730)), rule=OLD, protocol=load("kdoqi-2000"), day=101)
    assert "refer for imaging" in twice.ask
    assert not only(flows((90, 500)), rule=RULE, protocol=load("kdoqi-2000"), day=91).raises


def test_a_pair_across_an_intervention_starts_anew() -> None:
    pair = flows((0, 1000), (90, 740))
    assert found(pair, rule=OLD, day=91)
    assert found(replace(pair, events=(an_event(40, "angioplasty"),)), rule=OLD, day=91) == ()
    assert found(replace(pair, events=(an_event(40, "infection"),)), rule=OLD, day=91)


def test_a_fall_between_two_methods_is_no_fall() -> None:
    other = replace(a_flow(0, 1000), method="duplex")
    pair = replace(flows(), flows=(other, a_flow(90, 740)))
    assert found(pair, rule=OLD, day=91) == ()


def test_high_flow_is_routine_and_must_be_seen_twice() -> None:
    one = only(flows((170, 1700), (190, 1650), kind="fistula"), rule="flow.high")
    assert (one.urgency, one.time_in_words, one.times_seen) == ("routine", "at the next visit", 2)
    assert one.ask.startswith("At the next visit ask for breathlessness")
    assert "cardiac output" in one.missing[0]
    assert found(flows((190, 1500)), rule="flow.high") == ()


@pytest.mark.parametrize(
    ("earlier", "high", "met"),
    [
        ((), (1800, 1750), True),
        ((), (1600, 1580), False),
        ((1430, 1450, 1420, 1440), (1550, 1540), False),  # Near the limit two in a row are soon above it by chance.
        ((1450,), (1600, 1650, 1700, 1620, 1610), True),  # Less far above it takes more of them.
        ((1000, 1050), (2600, 2500), True),  # However sudden the rise.
    ],
)
def test_high_flow_is_met_when_the_mean_of_those_in_succession_is_likely_high(
    earlier: tuple[float, ...], high: tuple[float, ...], met: bool
) -> None:
    days = [(30.0 * number, ml_min) for number, ml_min in enumerate((*earlier, *high))]
    one = only(weighed(*days), rule="flow.high", day=30 * len(days))
    assert (one.times_seen, one.times_seen >= one.times_needed) == (len(high), met)
    # Met or not, it asks for the same.
    assert one.raises and one.ask.startswith("At the next visit ask for breathlessness")
    assert ("by their mean only" in one.sentence) is not met


def test_high_flow_whose_doubt_is_not_known_is_judged_by_the_limit_alone() -> None:
    before = weighed((0, 1300), (30, 1250))
    one = only(replace(before, flows=(*before.flows, a_flow(60, 1550), a_flow(90, 1560))), rule="flow.high", day=91)
    assert (one.times_seen, one.times_needed) == (2, 2)


def test_the_fall_of_the_rule_of_2006_raises_nothing_and_the_limit_says_so() -> None:
    protocol = confirmed("kdoqi-2006")
    fallen = found(flows((0, 1000), (90, 740)), protocol=protocol, day=91)
    assert [(one.rule, one.raises) for one in fallen] == [(OLD, False)]
    assert "raises nothing here" in protocol.limits["flow.below.graft"].says


def test_high_flow_says_the_same_time_beside_a_sign() -> None:
    one = replace(
        flows((170, 1700), (190, 1650), kind="fistula"), examinations=(an_examination(191, pulse="pulsatile"),)
    )
    high = only(one, rule="flow.high")
    assert (high.urgency, high.time_in_words) == ("routine", "at the next visit")
    assert "today" not in high.ask and "next treatment" not in high.ask


def test_a_flow_repeated_within_the_treatment_is_no_second_measurement() -> None:
    twice = flows((190, 550), (190.02, 560))
    one = only(twice, rule="flow.limit", protocol=confirmed("kdoqi-2006"))
    assert (one.times_seen, one.time_in_words) == (1, "at the next treatment")
    assert [each.id for each in one.evidence] == ["flow 190.02"]
