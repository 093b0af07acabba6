"""The trail: known tags only, in alphabetical order, ids and never names, in the writer's transaction."""

import json

import pytest
from django.db import transaction

from access.audit import trail
from access.audit.models import AuditEntry
from access.audit.trail import ACTIONS, Acting
from tests.cast import NOW, Cast, a_treatment_document, save

NOBODY = Acting(user=None, clinic=None, at=NOW)


def test_a_tag_that_is_not_in_the_list_cannot_be_written() -> None:
    with pytest.raises(KeyError):
        trail.entry("treatment:peek", acting=NOBODY)


def test_every_tag_is_a_subject_and_an_action() -> None:
    assert all(len(tag.split(":")) == 2 and tag == tag.lower() for tag in ACTIONS)


def test_an_entry_says_who_when_from_where_and_about_whom(cast: Cast) -> None:
    saved = save(cast, a_treatment_document(cast.graft))
    found = AuditEntry.objects.get(action="treatment:create")
    assert (found.actor, found.clinic, found.at) == (cast.ada.pk, cast.north.pk, NOW)
    assert (found.address, found.request) == ("192.0.2.7", "r-1")
    assert (found.subjects, found.patients) == ([str(saved.record.pk)], [str(cast.gwen.pk)])


def test_no_name_gets_into_the_trail(cast: Cast) -> None:
    document = a_treatment_document(cast.graft)
    document["frame"]["notes"] = "Told Gwen about it."
    save(cast, document, reason="Gwen said so")
    for found in AuditEntry.objects.all():
        text = json.dumps([found.action, found.subjects, found.patients, found.detail, found.request])
        assert not any(name in text for name in ("Gwen", "Ada", "Example", "Told"))


@pytest.mark.django_db
def test_what_is_rolled_back_leaves_no_trail() -> None:
    try:
        with transaction.atomic():
            trail.write("clinic:change", acting=NOBODY)
            raise LookupError
    except LookupError:
        pass
    assert not AuditEntry.objects.exists()
