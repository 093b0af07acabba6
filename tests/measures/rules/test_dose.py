"""Dose: the fall against the median of three, on one prescription, first repeated, then an indicator that holds."""

from dataclasses import replace
from typing import Any

import pytest

from access.measures.protocol import load
from tests.measures.cases import cases
from tests.measures.histories import a_treatment, an_event, doses, found, only

RULE = "dose.fall"


@pytest.mark.parametrize("case", cases("rules", formula=RULE, kind="arithmetic"))
def test_the_fall_is_compared_as_it_is_shown(case: dict[str, Any]) -> None:
    values = [*case["given"]["before"], case["given"]["kt_v"]]
    profile = doses(*((30.0 * count, value) for count, value in enumerate(values)))
    assert bool(found(profile, rule=RULE, day=95)) is case["expected"]


def test_the_first_fall_is_repeated_and_does_not_refer() -> None:
    one = only(doses((100, 1.5), (130, 1.5), (160, 1.5), (190, 1.25)), rule=RULE)
    assert (one.times_seen, one.times_needed, one.time_in_words) == (1, 2, "at the next treatment")
    assert "refer" not in one.ask.lower()
    assert one.missing == ()


def test_the_second_in_succession_is_an_indicator_that_holds() -> None:
    one = only(doses((70, 1.5), (100, 1.5), (130, 1.5), (160, 1.25), (190, 1.27)), rule=RULE)
    assert one.times_seen == 2
    assert one.time_in_words == "refer this week, imaging within about 14 days"
    assert "from 1.50" in one.sentence


def test_another_prescription_starts_anew() -> None:
    before = doses((100, 1.5), (130, 1.5), (160, 1.5)).doses
    after = doses((190, 1.2), prescription="3.5 h, 300, 500, A").doses
    assert found(replace(doses(), doses=(*before, *after)), rule=RULE) == ()


def test_an_intervention_starts_anew() -> None:
    fallen = replace(doses((100, 1.5), (130, 1.5), (160, 1.5), (190, 1.2)), events=(an_event(170, "angioplasty"),))
    assert found(fallen, rule=RULE) == ()


def test_with_fewer_than_three_values_before_it_says_what_was_missing() -> None:
    one = only(doses((160, 1.5), (190, 1.28)), rule=RULE)
    assert one.missing == ("earlier values on this prescription: 1 of 3",)
    assert found(doses((190, 1.0)), rule=RULE) == ()


def test_it_is_judged_by_every_protocol_since_it_is_published() -> None:
    one = only(doses((160, 1.5), (190, 1.28)), rule=RULE, protocol=load("kdoqi-2019"))
    assert one.limit_confirmed and one.source == "kdoqi-2019"


def test_values_are_rounded_before_they_are_subtracted() -> None:
    shown_as_150_and_130 = doses((100, 1.504), (130, 1.504), (160, 1.504), (190, 1.296))
    assert found(shown_as_150_and_130, rule=RULE) == ()
    shown_as_150_and_129 = doses((100, 1.495), (130, 1.495), (160, 1.495), (190, 1.294))
    assert "from 1.50" in only(shown_as_150_and_129, rule=RULE).sentence


def test_two_doses_of_one_treatment_are_one() -> None:
    assert only(doses((100, 1.5), (130, 1.5), (160, 1.5), (190, 1.2), (190.1, 1.2)), rule=RULE).times_seen == 1


def test_a_dose_by_another_route_says_nothing_of_the_access() -> None:
    fallen = doses((100, 1.5), (130, 1.5), (160, 1.5), (180, 1.1), (190, 1.1))
    assert only(fallen, rule=RULE).times_seen == 2
    by_catheter = (a_treatment(180, "catheter"), a_treatment(190, "one needle"))
    assert found(replace(fallen, treatments=by_catheter), rule=RULE) == ()
