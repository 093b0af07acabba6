"""Flags follow findings: one an access and rule, closed by measurements in words or by a person, never silently."""

from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from access.audit.models import AuditEntry
from access.records.models import VascularAccess
from access.records.problems import Invalid
from access.review import flags, judging
from access.review.models import Flag
from tests.records.bedside import NOW, Bedside, ago, static

pytestmark = pytest.mark.django_db


@pytest.fixture
def north() -> Bedside:
    return Bedside()


@pytest.fixture
def graft(north: Bedside) -> VascularAccess:
    return north.access(north.patient())


def judged(north: Bedside, access: VascularAccess, *, days_ago: float = 0) -> dict[str, Flag]:
    """The flags that stand after judging at a moment, by rule."""
    at = NOW - timedelta(days=days_ago)
    return {flag.rule: flag for flag in judging.judge(access, as_of=at, acting=north.acting(at=at))}


def test_a_low_flow_opens_a_flag_that_keeps_rule_protocol_version_and_what_it_saw(
    north: Bedside, graft: VascularAccess
) -> None:
    flow = north.flow(graft, at=ago(2), ml_min=420)
    flag = judged(north, graft)["flow.limit"]
    assert (flag.state, flag.basis, flag.protocol, flag.protocol_version) == (
        "open",
        "measurement",
        "kdoqi-2019-supplement",
        "1",
    )
    assert [one["id"] for one in flag.finding["evidence"]] == [str(flow.pk)]
    assert "420 mL/min" in flag.finding["evidence"][0]["text"]
    assert flag.finding["limit_confirmed"] is False


def test_judging_again_without_anything_new_changes_nothing_and_tells_nothing(
    north: Bedside, graft: VascularAccess
) -> None:
    north.flow(graft, at=ago(2), ml_min=420)
    first = judged(north, graft, days_ago=1)["flow.limit"]
    told = AuditEntry.objects.count()
    again = judged(north, graft)["flow.limit"]
    assert (again.pk, again.finding, Flag.objects.count()) == (first.pk, first.finding, 1)
    assert AuditEntry.objects.count() == told


def test_a_second_low_flow_updates_the_flag_instead_of_opening_another(north: Bedside, graft: VascularAccess) -> None:
    north.flow(graft, at=ago(32), ml_min=480)
    first = judged(north, graft, days_ago=31)["flow.limit"]
    north.flow(graft, at=ago(2), ml_min=420)
    second = judged(north, graft)["flow.limit"]
    assert (second.pk, second.finding["times_seen"], second.first_seen_at) == (first.pk, 2, ago(32))


def test_a_measurement_flag_closes_by_measurements_and_says_which(north: Bedside, graft: VascularAccess) -> None:
    north.flow(graft, at=ago(32), ml_min=420)
    flag = judged(north, graft, days_ago=31)["flow.limit"]
    north.flow(graft, at=ago(2), ml_min=910)
    assert "flow.limit" not in judged(north, graft)
    flag.refresh_from_db()
    assert (flag.state, flag.closed_by, flag.closed_at) == ("closed", None, NOW)
    assert flag.closed_why == "Closed by measurements: flow 910 mL/min on 16 Mar 2026; the rule is no longer met."


def test_a_measurement_flag_ends_with_the_vessel_it_was_measured_in(north: Bedside, graft: VascularAccess) -> None:
    north.flow(graft, at=ago(32), ml_min=420)
    flag = judged(north, graft, days_ago=31)["flow.limit"]
    north.event(graft, on=ago(5).date(), what="angioplasty")
    judged(north, graft)
    flag.refresh_from_db()
    assert flag.closed_why == "Angioplasty on 13 Mar 2026 changed the vessel: its series starts anew."


def test_a_flag_whose_reading_was_made_in_error_closes_and_says_so(north: Bedside, graft: VascularAccess) -> None:
    flow = north.flow(graft, at=ago(2), ml_min=420)
    flag = judged(north, graft, days_ago=1)["flow.limit"]
    type(flow).objects.filter(pk=flow.pk).update(made_in_error=True)
    judged(north, graft)
    flag.refresh_from_db()
    assert "made in error" in flag.closed_why and flag.closed_by is None


def test_a_sign_is_never_closed_by_a_later_normal_examination(north: Bedside, graft: VascularAccess) -> None:
    for days in (5, 3):
        north.treatment(graft, at=ago(days), findings={"pulse": "pulsatile"})
    sign = judged(north, graft, days_ago=2)["sign.pulse-pulsatile"]
    north.treatment(graft, at=ago(1), findings={"pulse": "soft"})
    north.flow(graft, at=ago(1), ml_min=1200)
    assert judged(north, graft)["sign.pulse-pulsatile"].pk == sign.pk
    sign.refresh_from_db()
    assert sign.state == "open"


def test_an_emergency_stays_until_a_person_closes_it(north: Bedside, graft: VascularAccess) -> None:
    north.examination(graft, at=ago(2), findings={"thrill": "missing", "bruit": "missing"})
    before = [rule for rule in judged(north, graft, days_ago=1) if rule.startswith("emergency.")]
    north.examination(graft, at=ago(0), findings={})
    after = judged(north, graft)
    assert before and set(before) <= set(after)
    flag = flags.close(after[before[0]], why="Thrombectomy arranged, Dr Example told.", acting=north.acting())
    assert (flag.closed_by_id, flag.state) == (north.nurse.pk, "closed")


def test_what_a_person_closed_comes_back_only_with_something_newer(north: Bedside, graft: VascularAccess) -> None:
    for days in (9, 7):
        north.treatment(graft, at=ago(days), findings={"pulse": "pulsatile"})
    sign = judged(north, graft, days_ago=6)["sign.pulse-pulsatile"]
    flags.close(sign, why="Seen by Dr Example: long known.", acting=north.acting(at=ago(5)))
    assert "sign.pulse-pulsatile" not in judged(north, graft, days_ago=4)
    north.treatment(graft, at=ago(2), findings={"pulse": "pulsatile"})
    anew = judged(north, graft)["sign.pulse-pulsatile"]
    assert (anew.pk != sign.pk, anew.last_seen_at) == (True, ago(2) - timedelta(minutes=5))


@pytest.mark.parametrize(
    ("field", "known", "worse", "rule"),
    [
        ("bulge", "known, unchanged", "new", "emergency.bulge"),
        ("hand", "known symptoms, unchanged", "worse", "emergency.hand-known"),
    ],
)
def test_a_line_that_a_person_closed_comes_back_only_with_something_new_or_worse(
    north: Bedside, graft: VascularAccess, field: str, known: str, worse: str, rule: str
) -> None:
    north.treatment(graft, at=ago(9), findings={field: known})
    flags.close(judged(north, graft, days_ago=8)[rule], why="Seen by Dr Example.", acting=north.acting(at=ago(8)))
    for days in (7, 5):
        north.treatment(graft, at=ago(days), findings={field: known})
        assert judged(north, graft, days_ago=days - 1) == {}
    north.treatment(graft, at=ago(2), findings={field: worse})
    assert list(judged(north, graft)) == [rule if field == "bulge" else "emergency.hand"]


def test_an_older_sign_that_became_known_only_after_the_closing_comes_back(
    north: Bedside, graft: VascularAccess
) -> None:
    for days in (9, 5):
        north.treatment(graft, at=ago(days), findings={"pulse": "pulsatile"})
    flags.close(judged(north, graft, days_ago=4)["sign.pulse-pulsatile"], why="Long known.", acting=north.acting())
    north.treatment(graft, at=ago(7), findings={"pulse": "pulsatile"})
    assert "sign.pulse-pulsatile" in judged(north, graft)


def test_closing_needs_a_reason_and_happens_once(north: Bedside, graft: VascularAccess) -> None:
    north.flow(graft, at=ago(2), ml_min=420)
    flag = judged(north, graft)["flow.limit"]
    with pytest.raises(Invalid, match="why this is closed"):
        flags.close(flag, why="  ", acting=north.acting())
    flags.close(flag, why="Measured with the lines the wrong way.", acting=north.acting())
    with pytest.raises(Invalid, match="already closed"):
        flags.close(flag, why="Again.", acting=north.acting())


def test_a_kept_flag_stands_through_an_event_and_closes_with_a_newer_measurement(
    north: Bedside, graft: VascularAccess
) -> None:
    north.flow(graft, at=ago(32), ml_min=420)
    flag = flags.keep(judged(north, graft, days_ago=31)["flow.limit"], acting=north.acting())
    north.event(graft, on=ago(20).date(), what="angioplasty")
    assert judged(north, graft, days_ago=10)["flow.limit"].state == "kept"
    north.flow(graft, at=ago(2), ml_min=900)
    assert "flow.limit" not in judged(north, graft)
    flag.refresh_from_db()
    assert (flag.state, flag.closed_by) == ("closed", None)


def test_comparators_are_kept_as_evidence_beside_the_flag(north: Bedside, graft: VascularAccess) -> None:
    north.flow(graft, at=ago(62), ml_min=900)
    north.flow(graft, at=ago(2), ml_min=420)
    beside = judged(north, graft)["flow.limit"].finding["comparators"]
    assert [(one["rule"], "KDOQI 2000" in one["sentence"]) for one in beside] == [("flow.kdoqi-2000", True)]


def test_every_raising_and_closing_is_told_with_ids_only(north: Bedside, graft: VascularAccess) -> None:
    north.flow(graft, at=ago(32), ml_min=420)
    flag = judged(north, graft, days_ago=31)["flow.limit"]
    north.flow(graft, at=ago(2), ml_min=910)
    judged(north, graft)
    told = [entry for entry in AuditEntry.objects.order_by("at", "id") if str(flag.pk) in entry.subjects]
    assert [(one.action, one.patients) for one in told] == [
        ("flag:raise", [str(graft.patient_id)]),
        ("flag:close", [str(graft.patient_id)]),
    ]


def test_the_number_of_queries_of_a_batch_does_not_grow_with_its_accesses(
    north: Bedside, django_assert_num_queries: Callable[[int], Any]
) -> None:
    accesses = [north.access(north.patient(f"Patient {number}")) for number in range(5)]
    for access in accesses:
        north.flow(access, at=ago(2), ml_min=400)
        north.treatment(access, at=ago(1), findings={"pulse": "pulsatile"}, pressures=[static(70, 60)])
    with CaptureQueriesContext(connection) as first:
        judging.judge_accesses([accesses[0].pk], acting=north.acting())
    with django_assert_num_queries(len(first)):
        found = judging.judge_accesses([one.pk for one in accesses[1:]], acting=north.acting())
    assert all(len(standing) >= 2 for standing in found.values())


def test_a_whole_clinic_is_judged_in_batches_and_leaves_out_who_is_no_longer_in_care(north: Bedside) -> None:
    here, gone = (north.access(north.patient(name)) for name in ("Here", "Gone"))
    for access in (here, gone):
        north.flow(access, at=ago(40), ml_min=400)
    gone.patient.care_periods.update(until=ago(20))
    assert judging.judge_many(north.clinic, as_of=NOW, acting=north.acting()) == 1
    assert [flag.access_id for flag in Flag.objects.all()] == [here.pk]
