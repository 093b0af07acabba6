"""A record made in error stays with all its versions and takes no further entries."""

from typing import Any

import pytest
from uuid_utils.compat import uuid7

from access.records import entry
from access.records.entry import Saved
from access.records.models import Examination, LabValue, RecordVersion, Treatment
from access.records.problems import Invalid, Missing, NeedsReason
from tests.cast import Cast, a_save, a_treatment_document, at, save


def marked(cast: Cast, subject: str, record: Any, **changes: Any) -> Saved:
    """Ada marks a record."""
    asked = {"reason": "wrong patient", "save_id": uuid7(), "acting": cast.acting(cast.ada), **changes}
    return entry.mark_in_error(subject, record, **asked)


def test_a_treatment_made_in_error_stays_as_it_was_and_is_marked(cast: Cast) -> None:
    saved = save(cast, a_treatment_document(cast.graft))
    mark = marked(cast, "treatment", saved.record.pk)
    treatment = Treatment.objects.get()
    assert (treatment.state, treatment.made_in_error, treatment.version) == ("made in error", True, 2)
    assert Examination.objects.get().made_in_error
    first, second = treatment.versions.order_by("number")
    assert (second.document, second.reason) == (first.document, "wrong patient")
    assert mark.access_ids == (cast.graft.pk,)


def test_it_takes_no_further_entry(cast: Cast) -> None:
    saved = save(cast, a_treatment_document(cast.graft))
    marked(cast, "treatment", saved.record.pk)
    with pytest.raises(Invalid):
        save(cast, saved.document, treatment=saved.record.pk, base=2, reason="back")


def test_it_makes_place_for_the_right_one_of_the_day(cast: Cast) -> None:
    marked(cast, "treatment", save(cast, a_treatment_document(cast.graft)).record.pk)
    assert save(cast, a_treatment_document(cast.graft)).possibly_same is None


def test_marking_again_changes_nothing(cast: Cast) -> None:
    treatment = save(cast, a_treatment_document(cast.graft)).record.pk
    marked(cast, "treatment", treatment)
    assert marked(cast, "treatment", treatment).repeated
    assert Treatment.objects.get().version == 2


def a_lab_value(cast: Cast) -> Saved:
    """A hematocrit of Gwen."""
    document = {
        "patient": str(cast.gwen.pk),
        "measured_at": at("07:00"),
        "what": "hematocrit",
        "value": 33,
        "unit": "%",
    }
    return entry.save_lab(uuid7(), body=a_save(document), acting=cast.acting(cast.ada))


def test_a_small_record_is_marked_the_same_way(cast: Cast) -> None:
    saved = a_lab_value(cast)
    marked(cast, "lab", saved.record.pk)
    assert LabValue.objects.get().made_in_error
    assert RecordVersion.objects.get(record=saved.record.pk, number=2).reason == "wrong patient"
    with pytest.raises(Invalid):
        body = a_save({**saved.document, "value": 34}, base=2, reason="x")
        entry.save_lab(saved.record.pk, body=body, acting=cast.acting(cast.ada))


def test_it_needs_a_reason_and_one_of_the_clinic(cast: Cast) -> None:
    treatment = save(cast, a_treatment_document(cast.graft)).record.pk
    with pytest.raises(NeedsReason):
        marked(cast, "treatment", treatment, reason=" ")
    for changes in ({"acting": cast.acting(cast.cleo)}, {"record": uuid7()}):
        with pytest.raises(Missing):
            marked(cast, "treatment", **{"record": treatment, **changes})


def test_a_save_id_that_was_used_before_is_not_taken(cast: Cast) -> None:
    saved = save(cast, a_treatment_document(cast.graft))
    with pytest.raises(Missing):
        marked(cast, "treatment", saved.record.pk, save_id=saved.record.versions.get().save_id)
