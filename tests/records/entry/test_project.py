"""The rows of a treatment say what its document says: after any history, and read back from the store."""

from typing import Any
from uuid import UUID

from django.db import models
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from uuid_utils.compat import uuid7

from access.records.entry.document import normal
from access.records.entry.fields import Notes, as_text
from access.records.models import Examination, Needle, Reading, Treatment
from access.records.problems import Conflict
from tests.cast import Cast, a_needle, a_reading, a_treatment_document, an_examination, at, save


def told(row: models.Model, fields: dict[str, Any]) -> dict[str, Any]:
    """What the columns of a row say, in the form of a document, for the fields that the document has."""
    found = {}
    for name in fields:
        value = getattr(row, f"{name}_id" if name in ("access", "station") else name)
        if hasattr(value, "utcoffset"):
            value = as_text(value)
        found[name] = str(value) if isinstance(value, UUID) else value
    return found


def as_rows_say(treatment: Treatment, document: dict[str, Any]) -> dict[str, Any]:
    """The document put together again from the rows alone, in the order of the given one."""
    parts = {"examinations": Examination, "needles": Needle, "pressures": Reading}
    found: dict[str, Any] = {"frame": told(treatment, document["frame"])}
    for part, model in parts.items():
        rows = {str(row.pk): row for row in model._default_manager.filter(treatment=treatment)}
        assert rows.keys() == {one["id"] for one in document[part]}
        found[part] = [told(rows[one["id"]], one) for one in document[part]]
    bled = Needle.objects.filter(treatment=treatment, bleeding_minutes__isnull=False)
    found["after"] = {"bleeding": {str(one.pk): one.bleeding_minutes for one in bled}, "left_how": treatment.left_how}
    return found


def must_agree(treatment: UUID, document: dict[str, Any]) -> None:
    """Assert that rows and document say the same."""
    row = Treatment.objects.get(pk=treatment)
    said = as_rows_say(row, document)
    assert said["frame"] == document["frame"]
    assert all(said[part] == document[part] for part in ("examinations", "needles", "pressures"))
    assert said["after"] == {name: document["after"][name] for name in ("bleeding", "left_how")}
    assert row.clinic_day.isoformat() == document["clinic_day"]


def test_a_whole_treatment_stands_in_its_rows(cast: Cast) -> None:
    document = a_treatment_document(cast.graft)
    document["frame"] |= {"station": str(cast.one.pk), "pump_prescribed_ml_min": 300, "ended_at": at("08:30")}
    document["needles"][0] |= {"pain": 3, "out_at": at("08:31"), "skin": "sound"}
    document["after"] = {"bleeding": {one["id"]: 8.5 for one in document["needles"]}, "left_how": "dressed"}
    saved = save(cast, document)
    must_agree(saved.record.pk, saved.document)
    assert Treatment.objects.get().measured_at.isoformat() == "2026-03-04T06:15:00+00:00"


def test_a_treatment_without_a_start_is_placed_by_its_first_bedside_time(cast: Cast) -> None:
    document = a_treatment_document(cast.graft, frame={"state": "running"})
    treatment = save(cast, document).record
    assert as_text(treatment.measured_at) == at("06:05")


a_step = st.tuples(
    st.sampled_from(["examinations", "needles", "pressures", "after", "frame"]),
    st.sampled_from(["put", "change", "take"]),
    st.integers(0, 3),
    st.integers(0, 2),  # How many versions old the start is.
)


@settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.lists(a_step, min_size=1, max_size=6))
def test_rows_and_document_agree_after_any_history(cast: Cast, steps: list[tuple[str, str, int, int]]) -> None:
    treatment = uuid7()
    notes = Notes()
    start = a_treatment_document(cast.graft, examinations=[], needles=[], pressures=[])
    history = [normal(start, notes)]
    history.append(save(cast, start, treatment=treatment).document)
    for part, what, place, age in steps:
        base = max(1, len(history) - 1 - age)
        document = stepped(cast, history[base], part=part, what=what, place=place, number=len(history))
        try:
            saved = save(cast, document, treatment=treatment, base=base)
        except Conflict:
            continue
        history.append(saved.document)
        assert saved.version == len(history) - 1
        must_agree(treatment, saved.document)


def stepped(cast: Cast, document: dict[str, Any], *, part: str, what: str, place: int, number: int) -> dict[str, Any]:
    """A document after one step of its history."""
    if part == "frame":
        return {**document, "frame": {**document["frame"], "heparin": f"{number} IU"}}
    if part == "after":
        return {**document, "after": {**document["after"], "left_how": f"way {number}"}}
    entries = [dict(one) for one in document[part]]
    if what == "put" or not entries:
        made = {
            "examinations": lambda: an_examination(cast.graft),
            "needles": lambda: a_needle(cast.graft, along_cm=4.0 + number),
            "pressures": lambda: a_reading(minute=number),
        }
        entries.append(made[part]())
    elif what == "change":
        changed = entries[place % len(entries)]
        changed["minute" if part == "pressures" else "note" if part == "examinations" else "pain"] = (
            f"seen again {number}" if part == "examinations" else number
        )
    else:
        entries.pop(place % len(entries))
    kept = {one["id"] for one in entries} if part == "needles" else None
    after = document["after"]
    if kept is not None:
        after = {**after, "bleeding": {name: one for name, one in after["bleeding"].items() if name in kept}}
    return {**document, part: entries, "after": after}
