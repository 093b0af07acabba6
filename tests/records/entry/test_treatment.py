"""Saving a treatment: in four parts, again, beside a colleague, and by whom it may not be done."""

from copy import deepcopy
from datetime import timedelta
from typing import Any
from uuid import UUID

import pytest
from uuid_utils.compat import uuid7

from access.audit.models import AuditEntry
from access.records import entry
from access.records.models import Examination, Needle, Reading, Treatment, TreatmentVersion
from access.records.problems import Conflict, Invalid, Missing, NeedsReason
from tests.cast import (
    DAY,
    NOW,
    Cast,
    a_needle,
    a_reading,
    a_save,
    a_treatment_document,
    an_examination,
    at,
    save,
)


def planned(cast: Cast) -> tuple[UUID, dict[str, Any]]:
    """The planned treatment of Gwen, and its document of version 0."""
    treatments = entry.plan_shift(cast.north, clinic_day=DAY, shift="morning", acting=cast.acting(cast.ada))
    treatment = next(one for one in treatments if one.patient_id == cast.gwen.pk)
    return treatment.pk, treatment.versions.get(number=0).document


def test_a_new_treatment_is_stored_whole_and_comes_back_in_its_normal_form(cast: Cast) -> None:
    saved = save(cast, a_treatment_document(cast.graft))
    treatment = Treatment.objects.get()
    assert (saved.version, saved.created, saved.repeated) == (1, True, False)
    assert (treatment.state, treatment.version, treatment.recorded_by) == ("running", 1, cast.ada)
    assert saved.document["frame"]["heparin"] == ""
    assert saved.document["pressures"][0]["post_pump_mmhg"] is None
    assert saved.access_ids == (cast.graft.pk,)
    assert (Examination.objects.count(), Needle.objects.count(), Reading.objects.count()) == (1, 2, 1)
    assert AuditEntry.objects.get(action="treatment:create").patients == [str(cast.gwen.pk)]


def test_four_parts_saved_one_after_the_other_from_one_start_become_one_treatment(cast: Cast) -> None:
    treatment, start = planned(cast)
    whole = a_treatment_document(cast.graft)
    whole["after"] = {"bleeding": {whole["needles"][0]["id"]: 9.0}, "left_how": "dressed"}
    parts = [("examinations",), ("needles",), ("pressures",), ("frame", "after")]
    for number, names in enumerate(parts):
        document = deepcopy(start)
        if "frame" in names:  # Bleeding is said of a needle, so the last tablet has seen the needles.
            document["needles"] = whole["needles"]
        document.update({name: whole[name] for name in names})
        saved = save(cast, document, treatment=treatment, base=0)
        assert saved.version == number + 1
    row = Treatment.objects.get(pk=treatment)
    assert (row.state, row.left_how) == ("running", "dressed")
    assert {one["id"] for one in saved.document["needles"]} == {one["id"] for one in whole["needles"]}
    assert Needle.objects.get(pk=whole["needles"][0]["id"]).bleeding_minutes == 9.0
    assert Reading.objects.filter(treatment=row).count() == Examination.objects.filter(treatment=row).count() == 1


def test_the_same_put_twice_is_stored_once_and_answered_the_same(cast: Cast) -> None:
    body, treatment = a_save(a_treatment_document(cast.graft)), uuid7()
    first = entry.save_treatment(treatment, body=body, acting=cast.acting(cast.ada))
    later = cast.acting(cast.ada, at=NOW + timedelta(hours=1))
    again = entry.save_treatment(treatment, body=body, acting=later)
    assert (first.repeated, again.repeated) == (False, True)
    assert again.answer == first.answer
    assert TreatmentVersion.objects.count() == 1


def test_a_lost_answer_with_a_colleagues_save_in_between_is_no_conflict(cast: Cast) -> None:
    treatment, start = planned(cast)
    mine = {**start, "examinations": [an_examination(cast.graft)]}
    body = a_save(mine, base=0)
    lost = entry.save_treatment(treatment, body=body, acting=cast.acting(cast.ada))
    hers = {**lost.document, "pressures": [a_reading()]}
    save(cast, hers, treatment=treatment, base=1)
    again = entry.save_treatment(treatment, body=body, acting=cast.acting(cast.ada))
    assert (again.repeated, again.version) == (True, 1)
    more = {**again.document, "needles": [a_needle(cast.graft)]}
    third = save(cast, more, treatment=treatment, base=again.version)
    assert [len(third.document[part]) for part in ("examinations", "needles", "pressures")] == [1, 1, 1]


def test_a_later_save_may_take_the_place_of_one_whose_answer_was_lost(cast: Cast) -> None:
    treatment, start = planned(cast)
    save(cast, {**start, "pressures": [a_reading()]}, treatment=treatment, base=0)
    mine = {**start, "frame": {**start["frame"], "heparin": "3000 IU"}}
    lost = a_save(mine, base=0)
    entry.save_treatment(treatment, body=lost, acting=cast.acting(cast.ada))
    mine = {**mine, "frame": {**mine["frame"], "heparin": "2500 IU"}}
    with pytest.raises(Conflict):
        save(cast, mine, treatment=treatment, base=0)
    saved = save(cast, mine, treatment=treatment, base=0, replaces=(lost.save_id,))
    assert saved.document["frame"]["heparin"] == "2500 IU"
    assert len(saved.document["pressures"]) == 1


def test_what_both_changed_is_a_conflict_with_both_documents_and_nothing_is_stored(cast: Cast) -> None:
    treatment, start = planned(cast)
    hers = {**start, "frame": {**start["frame"], "heparin": "none"}, "pressures": [a_reading()]}
    save(cast, hers, treatment=treatment, base=0)
    mine = {**start, "frame": {**start["frame"], "heparin": "3000 IU"}, "needles": [a_needle(cast.graft)]}
    with pytest.raises(Conflict) as caught:
        save(cast, mine, treatment=treatment, base=0)
    assert (caught.value.parts, caught.value.version) == (("frame",), 1)
    assert caught.value.yours["frame"]["heparin"] == "3000 IU"
    assert caught.value.theirs["frame"]["heparin"] == "none"
    assert not Needle.objects.exists()


def test_two_tablets_that_put_a_needle_into_one_spot_must_choose(cast: Cast) -> None:
    treatment, start = planned(cast)
    save(cast, {**start, "needles": [a_needle(cast.graft)]}, treatment=treatment, base=0)
    with pytest.raises(Conflict) as caught:
        save(cast, {**start, "needles": [a_needle(cast.graft)]}, treatment=treatment, base=0)
    assert caught.value.parts == ("needles",)


def test_a_create_of_what_exists_is_a_change_from_its_start(cast: Cast) -> None:
    treatment, start = planned(cast)
    save(cast, {**start, "pressures": [a_reading()]}, treatment=treatment, base=0)
    saved = save(cast, {**start, "needles": [a_needle(cast.graft)]}, treatment=treatment)
    assert (saved.created, saved.version) == (False, 2)
    assert [len(saved.document[part]) for part in ("needles", "pressures")] == [1, 1]


def test_a_correction_after_the_end_needs_a_reason_and_a_late_entry_does_not(cast: Cast) -> None:
    document = a_treatment_document(cast.graft)
    running = save(cast, document)
    treatment = running.record.pk
    ended = {**running.document, "frame": {**running.document["frame"], "state": "ended", "ended_at": at("08:40")}}
    end = save(cast, ended, treatment=treatment, base=1)
    late = {**running.document, "pressures": [*running.document["pressures"], a_reading(minute=60)]}
    save(cast, late, treatment=treatment, base=1)
    corrected = deepcopy(end.document)
    corrected["needles"][0]["gauge"] = 16
    with pytest.raises(NeedsReason):
        save(cast, corrected, treatment=treatment, base=2)
    saved = save(cast, corrected, treatment=treatment, base=2, reason="typed wrongly")
    assert (saved.version, len(saved.document["pressures"])) == (4, 2)
    assert TreatmentVersion.objects.get(number=4).reason == "typed wrongly"


def test_a_second_treatment_on_one_day_is_kept_and_marked_as_possibly_the_same(cast: Cast) -> None:
    treatment, _ = planned(cast)
    second = save(cast, a_treatment_document(cast.graft))
    assert second.possibly_same == treatment
    assert Treatment.objects.get(pk=second.record.pk).possibly_same_as_id == treatment


def test_an_examination_keeps_who_recorded_it_when_a_colleague_goes_on(cast: Cast) -> None:
    first = save(cast, a_treatment_document(cast.graft, pressures=[]))
    more = {**first.document, "pressures": [a_reading()]}
    acting = cast.acting(cast.ben, at=NOW + timedelta(hours=2))
    entry.save_treatment(first.record.pk, body=a_save(more, base=1), acting=acting)
    examination = Examination.objects.get()
    assert (examination.recorded_by, examination.received_at) == (cast.ada, NOW)
    treatment = Treatment.objects.get()
    assert (treatment.recorded_by, treatment.received_at) == (cast.ben, NOW)


@pytest.mark.parametrize("guess", ["another clinic's nurse", "no such treatment", "another patient's treatment"])
def test_absent_and_forbidden_are_the_same(cast: Cast, guess: str) -> None:
    saved = save(cast, a_treatment_document(cast.graft))
    who, treatment, document = cast.ada, saved.record.pk, saved.document
    if guess == "another clinic's nurse":
        who = cast.cleo
    elif guess == "no such treatment":
        treatment = uuid7()
    else:
        document = a_treatment_document(cast.fistula)
    with pytest.raises(Missing):
        entry.save_treatment(treatment, body=a_save(document, base=1), acting=cast.acting(who))


def test_a_known_save_id_answers_nobody_of_another_clinic(cast: Cast) -> None:
    saved = save(cast, a_treatment_document(cast.graft))
    version = TreatmentVersion.objects.get()
    body = a_save(saved.document, base=1, save_id=version.save_id)
    with pytest.raises(Missing):
        entry.save_treatment(saved.record.pk, body=body, acting=cast.acting(cast.cleo))


def test_an_id_that_belongs_to_another_treatment_is_refused_and_nothing_half_saved(cast: Cast) -> None:
    document = a_treatment_document(cast.graft)
    save(cast, document)
    other = a_treatment_document(cast.fistula)
    other["needles"][1]["id"] = document["needles"][0]["id"]
    with pytest.raises(Invalid) as caught:
        save(cast, other)
    assert caught.value.fields[0][0] == "needles"
    assert Treatment.objects.count() == 1
