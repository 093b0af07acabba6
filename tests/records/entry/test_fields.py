"""Whatever arrives as a document, it is stored or refused in words: no other error, nothing half-saved."""

from collections.abc import Iterator
from copy import deepcopy
from typing import Any

import pytest
from django.db import transaction
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from uuid_utils.compat import uuid7

from access.records import entry
from access.records.entry import fields
from access.records.entry.fields import Notes
from access.records.models import RecordVersion, TreatmentVersion
from access.records.problems import Problem
from tests.cast import Cast, a_save, a_treatment_document
from tests.records.entry.test_record import SUBJECTS, documents

ODD = ["", "2026-03-04T06:10:00Z", "2026-02-30", "9999-12-31T23:59:59-12:00", "\ud800", "a\x00b", "15"]
junk = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=8)
    | st.sampled_from(ODD),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=6), inner, max_size=3),
    max_leaves=5,
)  # fmt: skip


def places(document: Any, path: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    """Every place in a document at which something stands."""
    inside = document.items() if isinstance(document, dict) else enumerate(document)
    for name, value in inside:
        yield (*path, name)
        if isinstance(value, dict | list):
            yield from places(value, (*path, name))


def spoilt(document: dict[str, Any], *, path: tuple[Any, ...], value: Any) -> dict[str, Any]:
    """The document with something else at one place."""
    changed: Any = deepcopy(document)
    inside = changed
    for name in path[:-1]:
        inside = inside[name]
    inside[path[-1]] = value
    found: dict[str, Any] = changed
    return found


fuzzed = settings(max_examples=600, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])


@fuzzed
@given(st.data())
def test_a_spoilt_treatment_is_stored_or_refused_in_words(cast: Cast, data: st.DataObject) -> None:
    document = a_treatment_document(cast.graft)
    path = data.draw(st.sampled_from(sorted(places(document), key=repr)))
    body = a_save(spoilt(document, path=path, value=data.draw(junk)))
    before = TreatmentVersion.objects.count()
    try:
        with transaction.atomic():
            entry.save_treatment(uuid7(), body=body, acting=cast.acting(cast.ada))
            transaction.get_connection().check_constraints()
    except Problem:
        assert TreatmentVersion.objects.count() == before


@pytest.mark.parametrize("subject", SUBJECTS)
@settings(fuzzed, max_examples=25)
@given(st.data())
def test_a_spoilt_record_is_stored_or_refused_in_words(cast: Cast, subject: str, data: st.DataObject) -> None:
    document = documents(cast)[subject]
    path = data.draw(st.sampled_from(sorted(places(document), key=repr)))
    body = a_save(spoilt(document, path=path, value=data.draw(junk)))
    before = RecordVersion.objects.count()
    try:
        with transaction.atomic():
            entry.record.save(subject, uuid7(), body=body, acting=cast.acting(cast.ben))
            transaction.get_connection().check_constraints()
    except Problem:
        assert RecordVersion.objects.count() == before


@given(junk)
def test_every_reader_gives_its_normal_form_and_reads_it_again_unchanged(value: Any) -> None:
    readers = [
        fields.text(20), fields.word(("a", "b"), blank=True), fields.number("venous_mmhg"), fields.moment(),
        fields.number(None, whole=True), fields.day(), fields.key(), fields.yes_no(), fields.words(("a", "b")),
        fields.weekdays(), fields.table({"a": fields.text(5)}), fields.rows({"id": fields.key()}, most=3),
    ]  # fmt: skip
    for read in readers:
        first, again = Notes(), Notes()
        normal = read(value, "here", first)
        assert read(normal, "here", again) == normal
        if not first.wrong:
            assert not again.wrong


@pytest.mark.parametrize(
    ("sent", "kept"),
    [
        ("2026-03-04T07:10:00+01:00", "2026-03-04T06:10:00Z"),
        ("2026-03-04T06:10:00.250Z", "2026-03-04T06:10:00.250000Z"),
        ("2026-10-25T02:30:00+01:00", "2026-10-25T01:30:00Z"),  # The hour that comes twice keeps its offset.
    ],
)
def test_times_are_kept_in_utc(sent: str, kept: str) -> None:
    notes = Notes()
    assert fields.moment()(sent, "here", notes) == kept
    assert not notes.wrong
