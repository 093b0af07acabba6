"""An entry is judged in its own transaction: saved, audited and flagged together, or not at all."""

from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from uuid_utils.compat import uuid7

from access.records.models import CarePeriod, Examination, Treatment
from access.records.problems import Conflict, Invalid, Missing
from access.review import flags, judging
from access.review.decisions import decide
from access.review.models import Flag
from tests import cast as people
from tests.cast import NOW, Cast, a_save, a_treatment_document, an_examination

pytestmark = pytest.mark.django_db
EMERGENCY = "emergency."


def saved(cast: Cast, document: dict[str, Any], *, at: Any = NOW, **changes: Any) -> judging.Judged:
    """Ada saves a treatment, and it is judged."""
    body = a_save(document, **changes)
    return judging.save_treatment(uuid7(), body=body, acting=cast.acting(cast.ada, at=at))


def examined(cast: Cast, findings: dict[str, str], **changes: Any) -> dict[str, Any]:
    """A treatment document with one examination that found this."""
    examination = an_examination(cast.graft, findings=people.NORMAL | findings, filled_together=[])
    return a_treatment_document(cast.graft, examinations=[examination], **changes)


def test_a_usual_treatment_is_saved_without_a_flag(cast: Cast) -> None:
    judged = saved(cast, a_treatment_document(cast.graft))
    assert (judged.saved.version, judged.flags) == (1, [])


def test_neither_thrill_nor_bruit_is_answered_with_its_emergency_at_once(cast: Cast) -> None:
    judged = saved(cast, examined(cast, {"thrill": "missing", "bruit": "missing"}))
    first = judged.flags[0]
    assert (first.basis, first.urgency, first.access_id) == ("emergency", "stat", cast.graft.pk)
    assert first.finding["known_since"] is None


def test_the_same_save_again_is_answered_with_the_flags_and_judges_nothing_anew(cast: Cast) -> None:
    document = examined(cast, {"thrill": "missing", "bruit": "missing"})
    key, treatment = uuid7(), uuid7()
    answers = [
        judging.save_treatment(treatment, body=a_save(document, save_id=key), acting=cast.acting(cast.ada))
        for _ in range(2)
    ]
    assert answers[1].saved.repeated
    assert [one.pk for one in answers[0].flags] == [one.pk for one in answers[1].flags]
    assert Flag.objects.count() == len(answers[0].flags)


def test_what_is_refused_leaves_neither_record_nor_flag(cast: Cast) -> None:
    document = examined(cast, {"thrill": "missing", "bruit": "missing"})
    document["needles"][0]["along_cm"] = 99.0
    with pytest.raises(Invalid):
        saved(cast, document)
    assert (Treatment.objects.count(), Flag.objects.count()) == (0, 0)


def test_a_flag_that_cannot_be_stored_takes_the_record_back_with_it(
    cast: Cast, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fails(*args: object, **named: object) -> None:
        raise Conflict(["flags"], yours={}, theirs={}, version=0)

    monkeypatch.setattr(flags, "store", fails)
    with pytest.raises(Conflict):
        saved(cast, examined(cast, {"thrill": "missing", "bruit": "missing"}))
    assert (Treatment.objects.count(), Examination.objects.count()) == (0, 0)


def test_an_entry_that_comes_late_says_since_when_it_is_known(cast: Cast) -> None:
    late = NOW + timedelta(hours=20)
    judged = saved(cast, examined(cast, {"thrill": "missing", "bruit": "missing"}), at=late)
    assert judged.flags[0].finding["known_since"] == "2026-03-05T05:00:00+00:00"
    assert judged.flags[0].last_seen_at < NOW


def test_an_emergency_that_comes_in_after_a_newer_normal_examination_is_still_raised(cast: Cast) -> None:
    alone = {"patient": str(cast.gwen.pk), "access": str(cast.graft.pk), "examiner": "Ada"}

    def examine(at: Any, findings: dict[str, str], *, now: Any) -> judging.Judged:
        document = alone | {"measured_at": at.isoformat(), "findings": people.NORMAL | findings}
        acting = cast.acting(cast.ada, at=now)
        return judging.save_examination(uuid7(), body=a_save(document), acting=acting)

    assert examine(NOW, {}, now=NOW).flags == []
    judged = examine(NOW - timedelta(hours=30), {"thrill": "missing", "bruit": "missing"}, now=NOW)
    first = judged.flags[0]
    assert (first.basis, first.last_seen_at) == ("emergency", NOW - timedelta(hours=30))
    assert first.finding["known_since"] is not None


def test_a_low_flow_is_answered_with_its_flag(cast: Cast) -> None:
    document = {
        "patient": str(cast.gwen.pk),
        "access": str(cast.graft.pk),
        "measured_at": people.at("07:00"),
        "method": "ultrasound dilution",
        "inputs": {"ml_min": 410},
    }
    judged = judging.save_flow(uuid7(), body=a_save(document), acting=cast.acting(cast.ada))
    assert [one.rule for one in judged.flags] == ["flow.trend"]
    assert judged.saved.result["flow_ml_min"] == 410


def test_a_laboratory_value_is_judged_for_each_access_of_its_patient(cast: Cast) -> None:
    saved(cast, examined(cast, {"thrill": "missing", "bruit": "missing"}))
    hematocrit = {"what": "hematocrit", "value": 33.0, "unit": "%"}
    document = {"patient": str(cast.gwen.pk), "measured_at": people.at("07:00"), **hematocrit}
    judged = judging.save_lab(uuid7(), body=a_save(document), acting=cast.acting(cast.ada))
    assert [(one.basis, one.access_id) for one in judged.flags][:1] == [("emergency", cast.graft.pk)]


def test_marking_a_treatment_as_made_in_error_takes_its_measurement_flags_along(cast: Cast) -> None:
    high = {"arterial_static_mmhg": 90.0, "venous_static_mmhg": 80.0, "arterial_height_cm": 30.0}
    reading = people.a_reading(**high, venous_height_cm=30.0, height_formula="hydrostatic")
    judged = saved(cast, a_treatment_document(cast.graft, pressures=[reading]))
    assert "outlet.static-ratio" in {one.rule for one in judged.flags}
    after = judging.mark_in_error(
        "treatment",
        judged.saved.record.pk,
        reason="Entered for the wrong patient.",
        save_id=uuid7(),
        acting=cast.acting(cast.ada),
    )
    assert after.flags == []
    assert "made in error" in Flag.objects.get(rule="outlet.static-ratio").closed_why


def test_a_save_is_judged_in_a_number_of_queries_that_does_not_grow_with_the_record(
    cast: Cast, django_assert_num_queries: Callable[[int], Any]
) -> None:
    def next_one(days: int) -> None:
        document = a_treatment_document(cast.graft)
        document["clinic_day"] = (people.DAY - timedelta(days=days)).isoformat()
        document["frame"]["started_at"] = people.at("06:15", days=-days)
        document["examinations"][0]["measured_at"] = people.at("06:05", days=-days)
        document["pressures"][0]["measured_at"] = people.at("06:20", days=-days)
        for needle in document["needles"]:
            needle["in_at"] = people.at("06:12", days=-days)
        saved(cast, document)

    next_one(60)
    with CaptureQueriesContext(connection) as first:
        next_one(58)
    for days in range(56, 10, -2):
        next_one(days)
    with django_assert_num_queries(len(first)):
        next_one(8)


def test_what_is_sent_after_the_care_has_ended_is_judged_for_the_new_clinic_and_told_no_later_flag(cast: Cast) -> None:
    ended = NOW - timedelta(days=1)
    CarePeriod.objects.filter(patient=cast.gwen).update(until=ended)
    CarePeriod.objects.create(patient=cast.gwen, clinic=cast.south, since=ended)
    alone = {"patient": str(cast.gwen.pk), "access": str(cast.graft.pk), "examiner": "Ada"}
    now = {"measured_at": NOW.isoformat(), "findings": people.NORMAL | {"pulse": "pulsatile"}}
    judging.save_examination(uuid7(), body=a_save(alone | now), acting=cast.acting(cast.cleo, clinic=cast.south))
    before = {"measured_at": (ended - timedelta(hours=2)).isoformat()}
    late = alone | before | {"findings": people.NORMAL | {"thrill": "missing", "bruit": "missing"}}
    told = judging.save_examination(uuid7(), body=a_save(late), acting=cast.acting(cast.ada)).flags
    assert {flag.basis for flag in told} == {"emergency"}
    assert {(flag.rule.split(".")[0], flag.clinic) for flag in Flag.objects.all()} == {
        ("sign", cast.south),
        ("emergency", cast.south),
    }


def test_a_clinic_whose_care_has_ended_closes_no_flag_and_decides_nothing(cast: Cast) -> None:
    flag = saved(cast, examined(cast, {"thrill": "missing", "bruit": "missing"})).flags[0]
    CarePeriod.objects.filter(patient=cast.gwen).update(until=NOW)
    dov = cast.acting(cast.dov, at=NOW + timedelta(minutes=1))
    with pytest.raises(Missing):
        flags.close(flag, why="Seen.", acting=dov)
    with pytest.raises(Missing):
        decide(cast.graft, decision_id=uuid7(), outcome="no change", acting=dov)
