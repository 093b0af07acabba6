"""The summary: who, which side, what is asked, what was found in order of weight, and what a procedure must know."""

import json
from typing import Any

import pytest

from access.records.models import VascularAccess
from access.referral.summary import summary
from access.review import judging
from tests.records.bedside import NOW, Bedside, ago
from tests.referral.story import failing_graft

pytestmark = pytest.mark.django_db


@pytest.fixture
def north() -> Bedside:
    return Bedside()


def summed(north: Bedside, access: VascularAccess, **more: Any) -> dict[str, Any]:
    judging.judge(access, as_of=NOW, acting=north.acting())
    row: dict[str, Any] = {"urgency": "urgent", "question": "Imaging?", "by": north.nurse, "to": None, "as_of": NOW}
    row |= more
    return summary(VascularAccess.objects.select_related("patient").get(pk=access.pk), clinic=north.clinic, **row)


def test_the_side_is_said_in_words_and_capitals_with_two_identifiers(north: Bedside) -> None:
    found = summed(north, failing_graft(north, treatments=4))
    assert found["access"]["whose"] == "patient's LEFT arm"
    assert found["access"]["title"] == "left forearm loop graft"
    assert (found["patient"]["name"], found["patient"]["birth_date"]) == ("Edda Ilves", "1951-04-12")
    assert found["asked"]["time_in_words"] == "this week"


def test_findings_stand_in_order_of_weight_with_their_days_and_evidence(north: Bedside) -> None:
    found = summed(north, failing_graft(north))["findings"]
    assert [one["urgency"] for one in found] == sorted(
        (one["urgency"] for one in found), key=["stat", "asap", "urgent", "routine"].index
    )
    rules = {one["rule"]: one for one in found}
    assert {"flow.trend", "outlet.static-ratio", "sign.pulse-pulsatile"} <= set(rules)
    assert rules["flow.trend"]["last_seen"].startswith("2026-03-13")
    assert "540 mL/min" in rules["flow.trend"]["evidence"][-1]["text"]


def test_history_begins_with_the_creation_and_holds_what_was_done(north: Bedside) -> None:
    history = summed(north, failing_graft(north, treatments=4))["history"]
    assert [(one["on"], one["what"]) for one in history] == [
        ("2024-05-02", "created"),
        ("2024-06-10", "first needled"),
        ("2025-06-12", "angioplasty"),
    ]
    assert (history[-1]["where_words"], history[-1]["degree_percent"]) == ("venous anastomosis", 70)


def test_allergies_medicines_and_what_was_given_last_are_there(north: Bedside) -> None:
    found = summed(north, failing_graft(north, treatments=4))["medicines"]
    assert found["allergies"] == "contrast medium: rash in 2019"
    assert found["medicines"].startswith("apixaban")
    assert found["given"] == "last treatment, 16 Mar 2026: heparin 3000 IU"


def test_what_is_not_known_is_empty_and_never_zero(north: Bedside) -> None:
    found = summed(north, north.access(north.patient(), created_on=None, first_needled_on=None))
    assert (found["findings"], found["newest"], found["history"], found["examination"]) == ([], [], [], None)
    assert found["access"]["created_on"] is None
    assert found["figures"]["flow"]["points"] == []


def test_an_odd_word_of_a_second_examiner_outweighs_the_first_ones_normal(north: Bedside) -> None:
    access = north.access(north.patient())
    north.examination(access, at=ago(1), findings={}, second_examiner="Ben", second_findings={"pulse": "pulsatile"})
    last = summed(north, access)["examination"]
    assert last["odd"] == {"pulse": "pulsatile"}
    assert "pulse" not in last["normal"] and "thrill" in last["normal"]


def test_the_map_holds_the_sites_of_twelve_weeks_and_the_zones_in_force(north: Bedside) -> None:
    access = failing_graft(north, treatments=4)
    north.treatment(access, at=ago(100), sites=(3, 12))
    north.zone(access, from_cm=20, to_cm=21, until=ago(5).date())
    marks = summed(north, access)["map"]
    assert len(marks["punctures"]) == 8
    assert [(one["from_cm"], one["why"]) for one in marks["zones"]] == [(12.5, "bulge")]
    assert min(one["days"] for one in marks["punctures"]) == 2


def test_the_summary_is_plain_data_that_comes_back_the_same(north: Bedside) -> None:
    found = summed(north, failing_graft(north, treatments=6))
    assert json.loads(json.dumps(found)) == found


def test_a_recirculation_below_zero_reads_none_found_with_what_was_computed(north: Bedside) -> None:
    graft = failing_graft(north)
    result = {"valid": True, "percent": -2.2, "low_percent": -9.0, "high_percent": 4.0}
    north.recirculation(graft, at=ago(1), result=result)
    told = summed(north, graft)
    [row] = [one for one in told["newest"] if one["name"] == "Recirculation"]
    assert row["value"] == "none found" and row["doubt"].startswith("computed -2.2 %")
