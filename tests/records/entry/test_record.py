"""The small records: saved once, corrected with a reason, never overwritten unseen, refused in words."""

from typing import Any

import pytest
from uuid_utils.compat import uuid7

from access.audit.models import AuditEntry
from access.records import entry
from access.records.entry import Saved
from access.records.entry.kinds import KINDS
from access.records.models import Event, Examination, RecordVersion, Zone
from access.records.problems import Conflict, Invalid, Missing, NeedsReason
from tests.cast import NOW, Cast, a_save, a_treatment_document, an_examination, at, save


def documents(cast: Cast) -> dict[str, dict[str, Any]]:
    """One document of each kind, all about Gwen."""
    patient, access = str(cast.gwen.pk), str(cast.graft.pk)
    seen = {"patient": patient, "measured_at": at("07:00")}
    draws = {"arterial_venous_drawn_at": at("06:45"), "systemic_drawn_at": at("06:46")}
    return {
        "access": {"patient": patient, "kind": "fistula", "configuration": "radiocephalic", "side": "right",
                   "needled_from_cm": 2, "needled_to_cm": 20},
        "examination": {**an_examination(cast.graft), "id": None, "patient": patient, "where_seen": "phone call"},
        "flow": {**seen, "access": access, "method": "ultrasound dilution", "inputs": {"ml_min": 900}},
        "recirculation": {**seen, **draws, "access": access, "unit": "mg/dL", "pump_ml_min": 300, "lines": "right",
                          "systemic_site": "arterial line after slow flow", "systemic": 60, "arterial": 51,
                          "venous": 15},
        "dose": {**seen, "urea_before": 70, "urea_after": 21, "unit": "mg/dL", "hours": 4, "ultrafiltration_l": 3,
                 "weight_kg": 70},
        "lab": {**seen, "what": "hematocrit", "value": 33, "unit": "%"},
        "event": {"patient": patient, "access": access, "on": "2026-02-20", "what": "angioplasty", "where_cm": 14,
                  "degree_percent": 70},
        "zone": {"access": access, "from_cm": 6, "to_cm": 8, "why": "bulge", "action": "keep off",
                 "since": "2026-03-01"},
        "hold": {"access": access, "since": "2026-03-01", "why": "swelling"},
        "prescription": {"patient": patient, "since": "2026-03-01", "hours": 4, "pump_ml_min": 300,
                         "dialysate_flow_ml_min": 500, "dialyzer": "A 1.8", "needle_gauge": 15},
    }  # fmt: skip


SUBJECTS = sorted(KINDS.keys() - {"patient"})


def stored(cast: Cast, subject: str, *, base: int | None = None, **changes: Any) -> Saved:
    """Ben saves a record of this kind, or corrects the one that there is."""
    about = {name: changes.pop(name) for name in ("reason", "save_id") if name in changes}
    record = changes.pop("record", None) or uuid7()
    document = documents(cast)[subject] | changes
    return entry.record.save(subject, record, body=a_save(document, base=base, **about), acting=cast.acting(cast.ben))


@pytest.mark.parametrize("subject", SUBJECTS)
def test_a_record_is_stored_with_its_version_and_its_trail(cast: Cast, subject: str) -> None:
    saved = stored(cast, subject)
    assert (saved.version, saved.created) == (1, True)
    row = KINDS[subject].model._default_manager.get(pk=saved.record.pk)
    version = RecordVersion.objects.get(record=row.pk)
    assert (version.subject, version.document, version.author) == (subject, saved.document, cast.ben)
    last = AuditEntry.objects.filter(subjects=[str(row.pk)]).get()
    assert last.action in (f"{subject}:create", f"{subject}:change")
    assert last.patients == [str(cast.gwen.pk)]


@pytest.mark.parametrize("subject", SUBJECTS)
def test_the_same_save_twice_is_answered_the_same(cast: Cast, subject: str) -> None:
    save_id, record = uuid7(), uuid7()
    first = stored(cast, subject, save_id=save_id, record=record)
    again = stored(cast, subject, save_id=save_id, record=record)
    assert again.repeated
    assert again.answer == first.answer
    assert RecordVersion.objects.filter(record=record).count() == 1


@pytest.mark.parametrize("subject", SUBJECTS)
def test_another_clinic_finds_nothing(cast: Cast, subject: str) -> None:
    saved = stored(cast, subject)
    for body in (a_save(saved.document, base=1, reason="mine"), a_save(saved.document)):
        with pytest.raises(Missing):
            entry.record.save(subject, saved.record.pk, body=body, acting=cast.acting(cast.cleo))
    with pytest.raises(Missing):
        entry.mark_in_error(subject, saved.record.pk, reason="x", save_id=uuid7(), acting=cast.acting(cast.cleo))


@pytest.mark.parametrize("subject", SUBJECTS)
def test_an_unknown_field_and_junk_are_refused(cast: Cast, subject: str) -> None:
    with pytest.raises(Invalid) as caught:
        stored(cast, subject, colour="blue")
    assert "colour" in dict(caught.value.fields)
    junk: Any
    for junk in (None, [], "text", {"access": 7, "patient": {}}):
        with pytest.raises(Invalid):
            entry.record.save(subject, uuid7(), body=a_save(junk), acting=cast.acting(cast.ben))


def test_a_correction_needs_a_reason_and_makes_a_new_version(cast: Cast) -> None:
    zone = stored(cast, "zone").record.pk
    with pytest.raises(NeedsReason):
        stored(cast, "zone", record=zone, base=1, to_cm=9)
    corrected = stored(cast, "zone", record=zone, base=1, to_cm=9, reason="measured again")
    assert (corrected.version, Zone.objects.get().to_cm) == (2, 9)
    assert [one.document["to_cm"] for one in RecordVersion.objects.filter(record=zone)] == [8, 9]


def test_filling_in_what_was_still_open_is_no_correction(cast: Cast) -> None:
    zone = stored(cast, "zone").record.pk
    assert stored(cast, "zone", record=zone, base=1, until="2026-03-03").version == 2


def test_a_stale_version_is_handed_back_and_nothing_overwritten(cast: Cast) -> None:
    zone = stored(cast, "zone").record.pk
    stored(cast, "zone", record=zone, base=1, to_cm=9, reason="measured again")
    with pytest.raises(Conflict) as caught:
        stored(cast, "zone", record=zone, base=1, to_cm=10, reason="mine")
    assert (caught.value.parts, caught.value.theirs["to_cm"], caught.value.version) == (("to_cm",), 9, 2)
    assert stored(cast, "zone", record=zone, base=1, to_cm=9).version == 3  # It says the same: nobody is in doubt.


REFUSED: list[tuple[str, str, dict[str, Any]]] = [
    ("event", "on", {"on": "2026-03-05"}),
    ("event", "degree_percent", {"degree_percent": 130}),
    ("zone", "to_cm", {"to_cm": 5}),
    ("zone", "since", {"since": "2027-01-01"}),
    ("hold", "until", {"until": "2026-02-01"}),
    ("lab", "unit", {"unit": "mg/dL"}),
    ("lab", "value", {"value": 0.2}),
    ("prescription", "needle_gauge", {"needle_gauge": 12}),
    ("flow", "systolic_mmhg", {"systolic_mmhg": 70, "diastolic_mmhg": 90}),
    ("flow", "measured_at", {"measured_at": at("23:00")}),
    ("flow", "treatment", {"treatment": str(uuid7())}),
    ("examination", "filled_together.0", {"filled_together": ["thrill"]}),
    ("access", "configuration", {"kind": "graft"}),
    ("access", "needled_to_cm", {"needled_to_cm": 1}),
]


@pytest.mark.parametrize(("subject", "field", "changes"), REFUSED)
def test_what_cannot_be_is_refused_at_its_field(cast: Cast, subject: str, field: str, changes: dict[str, Any]) -> None:
    before = RecordVersion.objects.count()
    with pytest.raises(Invalid) as caught:
        stored(cast, subject, **changes)
    assert field in dict(caught.value.fields)
    assert RecordVersion.objects.count() == before


def test_an_access_of_another_patient_is_refused(cast: Cast) -> None:
    with pytest.raises(Invalid):
        stored(cast, "flow", access=str(cast.fistula.pk))


def test_an_examination_of_a_treatment_is_corrected_there(cast: Cast) -> None:
    treatment = save(cast, a_treatment_document(cast.graft))
    (examination,) = treatment.document["examinations"]
    with pytest.raises(Invalid):
        stored(cast, "examination", record=Examination.objects.get().pk, base=0, reason="here", **examination)


def test_an_event_that_follows_from_something_else_is_an_event_like_any_other(cast: Cast) -> None:
    event = entry.add_event(
        cast.graft, on=NOW.date(), what="angioplasty", degree_percent=60, acting=cast.acting(cast.ben)
    )
    assert Event.objects.get() == event
    assert (event.measured_at, event.recorded_by) == (NOW, cast.ben)
    assert RecordVersion.objects.filter(subject="event", record=event.pk).count() == 1
