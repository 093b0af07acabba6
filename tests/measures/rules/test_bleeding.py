"""Bleeding: three treatments in succession longer than usual, per site, with heparin said."""

from dataclasses import replace
from typing import Any

import pytest

from tests.measures.cases import cases
from tests.measures.histories import a_puncture, an_access, an_event, bleedings, found, only

RULE = "bleeding.longer"


@pytest.mark.parametrize("case", cases("rules", formula=RULE, kind="arithmetic"))
def test_three_in_succession_longer_than_usual(case: dict[str, Any]) -> None:
    minutes = [*[case["given"]["usual_min"]] * 8, *case["given"]["minutes"]]
    findings = found(bleedings(minutes), rule=RULE)
    assert any(one.times_seen >= one.times_needed for one in findings) is case["expected"]
    assert any(one.raises for one in findings) is case["expected"]


def test_met_it_is_a_sign_that_holds() -> None:
    one = only(bleedings([8] * 8 + [14, 15, 16]), rule=RULE)
    assert (one.basis, one.urgency) == ("sign", "urgent")
    assert one.time_in_words == "refer this week, imaging within about 14 days"
    assert one.sentence == (
        "Bleeding longer than the usual 8 min at the venous site: seen 3 times in succession, 3 needed."
    )
    assert one.source == "kdoqi-2019"


def test_once_and_twice_are_counted_and_do_not_raise() -> None:
    one = only(bleedings([8] * 8 + [14, 15]), rule=RULE)
    assert (one.times_seen, one.times_needed, one.raises) == (2, 3, False)


def test_a_time_that_was_not_taken_neither_counts_nor_breaks() -> None:
    assert only(bleedings([8] * 8 + [14, None, 15, 16]), rule=RULE).times_seen == 3


def test_a_gap_of_more_than_21_days_breaks() -> None:
    late = bleedings([14, 15], first_day=140).punctures
    early = bleedings([8] * 8 + [14]).punctures
    assert only(replace(an_access(), punctures=(*early, *late)), rule=RULE).times_seen == 2


def test_fewer_than_six_before_are_no_usual_and_twenty_minutes_is_long_for_anybody() -> None:
    one = only(bleedings([8] * 5 + [21, 22, 23]), rule=RULE)
    assert one.times_seen == 3 and one.missing == ("this patient's usual time: too few treatments timed",)
    assert not any(one.raises for one in found(bleedings([8] * 5 + [14, 15, 16]), rule=RULE))


def test_each_site_has_a_usual_of_its_own() -> None:
    arterial = [a_puncture(100 + 2 * count, role="arterial", minutes=15) for count in range(11)]
    venous = bleedings([8] * 8 + [14, 15, 16]).punctures
    assert "venous site" in only(replace(an_access(), punctures=(*arterial, *venous)), rule=RULE).sentence
    assert found(replace(an_access(), punctures=tuple(arterial)), rule=RULE) == ()


def test_a_change_of_heparin_is_said() -> None:
    before = [a_puncture(100 + 2 * count, minutes=8, heparin="2000 IU") for count in range(8)]
    more = [a_puncture(120 + 2 * count, minutes=15, heparin="5000 IU") for count in range(3)]
    one = only(replace(an_access(), punctures=(*before, *more)), rule=RULE)
    assert one.sentence.endswith("Heparin changed: 2000 IU before, 5000 IU now.")
    same = [replace(each, heparin="2000 IU") for each in more]
    assert "Heparin" not in only(replace(an_access(), punctures=(*before, *same)), rule=RULE).sentence


def test_what_was_usual_before_an_intervention_is_forgotten() -> None:
    longer = replace(bleedings([8] * 8 + [14, 15, 16]), events=(an_event(115, "angioplasty"),))
    assert found(longer, rule=RULE) == ()
