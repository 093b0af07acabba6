"""Recirculation: the limit, the order of the causes, how sure, by which method and for which kind."""

from dataclasses import replace
from typing import Any

import pytest

from access.measures.protocol import load
from access.measures.readings import AccessProfile, RecirculationReading
from access.measures.recirculation import recirculation
from access.measures.words import Kind
from tests.measures.cases import cases
from tests.measures.histories import a_recirculation, a_treatment, an_access, found, only

RULE = "recirculation.above-limit"


def with_tests(*tests: RecirculationReading, kind: Kind = "fistula") -> AccessProfile:
    return replace(an_access(kind), recirculations=tests)


@pytest.mark.parametrize("case", cases("rules", formula=RULE, kind="arithmetic"))
def test_the_limit_holds_for_the_percentage_as_shown(case: dict[str, Any]) -> None:
    systemic, arterial, venous = case["given"]["samples"]
    percent = recirculation(systemic, arterial=arterial, venous=venous).percent
    assert bool(found(with_tests(a_recirculation(190, percent)), rule=RULE)) is case["expected"]


def test_one_value_above_is_repeated_with_the_causes_in_order() -> None:
    one = only(with_tests(a_recirculation(190, 12)), rule=RULE)
    assert (one.times_seen, one.urgency, one.time_in_words) == (1, "urgent", "at the next treatment")
    asked = [one.ask.index(words) for words in ("Repeat", "reversed?", "Was the draw right", "Access flow, then")]
    assert asked == sorted(asked)
    assert "very likely real" not in one.sentence
    assert "needles lie" not in one.ask


def test_from_twenty_percent_on_the_needles_are_looked_at_before_imaging() -> None:
    one = only(with_tests(a_recirculation(190, 20)), rule=RULE)
    assert one.ask.index("Where do the needles lie") < one.ask.index("then imaging")


def test_it_is_never_a_referral_by_itself_however_often_seen() -> None:
    one = only(with_tests(a_recirculation(160, 35), a_recirculation(190, 35)), rule=RULE)
    assert one.times_seen == 2 and one.time_in_words == "at the next treatment"
    assert "refer" not in one.ask.lower()


def test_above_thirty_or_two_above_five_are_very_likely_real() -> None:
    assert "very likely real" in only(with_tests(a_recirculation(190, 31)), rule=RULE).sentence
    assert "very likely real" in only(with_tests(a_recirculation(160, 6), a_recirculation(190, 12)), rule=RULE).sentence


def test_two_values_of_six_percent_raise_nothing() -> None:
    assert found(with_tests(a_recirculation(160, 6), a_recirculation(190, 6)), rule=RULE) == ()


def test_reversed_lines_found_are_the_first_answer() -> None:
    one = only(with_tests(replace(a_recirculation(190, 14), lines="reversed")), rule=RULE)
    assert "The lines were reversed: put them the right way and repeat the test." in one.ask


def test_a_dilution_method_has_a_limit_of_its_own() -> None:
    assert only(with_tests(a_recirculation(190, 6, urea=False)), rule=RULE)
    assert found(with_tests(a_recirculation(190, 6)), rule=RULE) == ()


def test_2006_keeps_it_for_fistulas_and_says_so_of_a_graft() -> None:
    graft = only(with_tests(a_recirculation(190, 20), kind="graft"), rule=RULE, protocol=load("kdoqi-2006"))
    assert not graft.raises and graft.missing == ("a limit for the recirculation of a graft",)
    assert only(with_tests(a_recirculation(190, 20)), rule=RULE, protocol=load("kdoqi-2006")).raises


def test_a_test_with_one_needle_is_not_judged() -> None:
    one_needle = replace(with_tests(a_recirculation(190.1, 20)), treatments=(a_treatment(190, "one needle"),))
    assert found(one_needle, rule=RULE) == ()


def test_an_interval_or_probability_that_is_missing_is_said() -> None:
    unsure = replace(a_recirculation(190, 20), low_percent=None, high_percent=None, probability_above_limit=None)
    assert only(with_tests(unsure), rule=RULE).missing == ("how likely the limit is passed",)


def test_a_test_repeated_within_the_treatment_is_no_second_one() -> None:
    tests = (a_recirculation(190, 12), a_recirculation(190.02, 12))
    one = only(replace(an_access("fistula"), recirculations=tests), rule="recirculation.above-limit")
    assert one.times_seen == 1
    assert "very likely real" not in one.sentence
