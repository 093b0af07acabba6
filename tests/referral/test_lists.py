"""Who finds which referral, in pages, and what came back."""

from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from uuid_utils.compat import uuid7

from access.records.problems import Invalid, Missing
from access.referral import lists, states
from access.referral.models import Referral
from access.referral.states import Draft
from tests.records.bedside import NOW, Bedside, ago

pytestmark = pytest.mark.django_db


@pytest.fixture
def north() -> Bedside:
    return Bedside()


def drafted(place: Bedside, name: str, *, days: float = 0) -> Referral:
    access = place.access(place.patient(name))
    body = Draft(urgency="urgent", question="Imaging?")
    return states.draft(access, referral_id=uuid7(), body=body, acting=place.acting(at=NOW - timedelta(days=days)))


def decided(place: Bedside, name: str, *, days: float = 0) -> Referral:
    acting = place.acting(at=NOW - timedelta(days=days))
    sent = states.send(drafted(place, name, days=days), acting=acting)
    return states.decide(sent, decision="Angioplasty.", acting=acting)


def names(rows: list[dict[str, Any]]) -> list[str]:
    return [row["patient"]["name"] for row in rows]


def test_a_page_holds_the_clinics_own_newest_first_and_by_state(north: Bedside) -> None:
    drafted(Bedside("South"), "Of South")
    drafted(north, "Old", days=9)
    drafted(north, "New", days=1)
    decided(north, "Decided", days=5)
    assert names(lists.referrals(north.clinic, at=NOW)["rows"]) == ["New", "Decided", "Old"]
    assert names(lists.referrals(north.clinic, at=NOW, state="draft")["rows"]) == ["New", "Old"]
    with pytest.raises(Invalid, match="not one of"):
        lists.referrals(north.clinic, at=NOW, state="lost")


def test_pages_hold_each_referral_once(north: Bedside, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(lists, "PAGE", 2)
    for number in range(5):
        drafted(north, f"Patient {number}", days=3 if number < 3 else 1)  # Some of one moment.
    found: list[str] = []
    cursor = None
    while True:
        page = lists.referrals(north.clinic, at=NOW, cursor=cursor)
        found += [row["id"] for row in page["rows"]]
        if page["next"] is None:
            break
        cursor = page["next"]
    assert (len(found), len(set(found))) == (5, 5)
    with pytest.raises(Invalid, match="place in the list"):
        lists.referrals(north.clinic, at=NOW, cursor=uuid7())


def test_another_clinic_finds_a_referral_no_more_than_one_that_is_not_there(north: Bedside) -> None:
    south, real = Bedside("South"), drafted(north, "Of North")
    said = set()
    for key in (real.pk, uuid7()):
        with pytest.raises(Missing) as refused:
            lists.get_referral(key, user=south.nurse, clinic=south.clinic, at=NOW)
        said.add(str(refused.value))
    assert len(said) == 1
    assert lists.get_referral(real.pk, user=north.nurse, clinic=north.clinic, at=NOW) == real


def test_after_a_move_the_old_clinic_finds_its_own_referrals_of_that_time_only(north: Bedside) -> None:
    south, old = Bedside("South"), decided(north, "Moved", days=20)
    old.patient.care_periods.update(until=ago(10))
    old.patient.care_periods.create(clinic=south.clinic, since=ago(10))
    other = south.access(old.patient)
    body = Draft(urgency="urgent", question="Imaging?")
    later = states.draft(other, referral_id=uuid7(), body=body, acting=south.acting())
    who: dict[str, Any] = {"user": north.nurse, "clinic": north.clinic, "at": NOW}
    assert lists.get_referral(old.pk, **who) == old
    with pytest.raises(Missing):
        lists.get_referral(later.pk, **who)
    there = lists.referrals(south.clinic, at=NOW)["rows"]
    assert {row["id"] for row in there} == {str(old.pk), str(later.pk)}


def test_what_came_back_is_listed_for_four_weeks(north: Bedside) -> None:
    decided(north, "Fresh", days=3)
    decided(north, "Long ago", days=40)
    drafted(north, "Not yet")
    rows = lists.returned(north.clinic, as_of=NOW)
    assert [(row["patient"]["name"], row["state"], row["decision"]) for row in rows] == [
        ("Fresh", "decided", "Angioplasty.")
    ]


def test_the_open_referral_of_each_access_is_found_together(north: Bedside) -> None:
    open_one, closed = drafted(north, "Open"), drafted(north, "Closed")
    states.withdraw(closed, why="No more.", acting=north.acting())
    found = lists.open_referrals([open_one.access_id, closed.access_id])
    assert found == {open_one.access_id: {"id": str(open_one.pk), "state": "draft"}}


def test_a_draft_shows_the_record_as_it_stands_and_a_sent_one_as_it_was(north: Bedside) -> None:
    draft = drafted(north, "Edda Ilves")
    north.flow(draft.access, at=ago(1), ml_min=700)
    seen = lists.summary_of(draft, as_of=NOW)
    assert (seen["sent"], seen["newest"][0]["value"]) == (False, "700 mL/min")
    sent = states.send(draft, acting=north.acting())
    north.flow(draft.access, at=ago(0), ml_min=1500)
    assert lists.summary_of(sent, as_of=NOW)["newest"][0]["value"] == "700 mL/min"


def test_the_number_of_queries_does_not_grow_with_the_list(
    north: Bedside, django_assert_num_queries: Callable[[int], Any]
) -> None:
    drafted(north, "First")
    with CaptureQueriesContext(connection) as first:
        lists.referrals(north.clinic, at=NOW)
    for number in range(5):
        decided(north, f"Patient {number}")
    with django_assert_num_queries(len(first)):
        assert len(lists.referrals(north.clinic, at=NOW)["rows"]) == 6
