"""The bench table: saved once, corrected with a reason, the clinic's own, never cut short."""

from typing import Any
from uuid import UUID

import pytest
from django.forms.models import model_to_dict
from uuid_utils.compat import uuid7

from access.audit.models import AuditEntry
from access.measures.plausibility import BOUNDS
from access.records import entry
from access.records.entry import Saved, bench
from access.records.history.bench import bench_reading, bench_tables
from access.records.models import BenchTable, RecordVersion
from access.records.problems import Conflict, Invalid, Missing, NeedsReason
from tests.cast import Cast, a_save

READING: dict[str, Any] = {
    "needle_and_line": "15G, long line",
    "gauge": 15,
    "pump_ml_min": 300.0,
    "pressure_mmhg": 105.0,
    "measured_on": "2026-02-20",
}


def stored(cast: Cast, *, record: UUID | None = None, who: str = "dov", **changes: Any) -> Saved:
    """Dov stores a reading of the bench table, or corrects it."""
    about = {name: changes.pop(name) for name in ("base", "reason", "save_id") if name in changes}
    body = a_save({**READING, **changes}, **about)
    return entry.save_bench(record or uuid7(), body=body, acting=cast.acting(getattr(cast, who)))


def test_a_reading_is_stored_with_its_version_and_its_trail(cast: Cast) -> None:
    saved = stored(cast)
    row = model_to_dict(BenchTable.objects.get(pk=saved.record.pk))
    assert (row["gauge"], row["pressure_mmhg"], row["by"]) == (15, 105, cast.dov.pk)
    assert RecordVersion.objects.get(record=saved.record.pk).document == READING
    told = AuditEntry.objects.get(action="bench:change")
    assert (told.subjects, told.patients, told.detail) == ([str(saved.record.pk)], [], {"version": 1})


def test_a_repeated_save_is_answered_again_and_stores_nothing(cast: Cast) -> None:
    record, save_id = uuid7(), uuid7()
    stored(cast, record=record, save_id=save_id)
    stored(cast, record=record, base=1, reason="misread", pressure_mmhg=108.0)
    again = stored(cast, record=record, save_id=save_id)
    assert again.repeated and (again.version, again.document["pressure_mmhg"]) == (1, 105)
    assert BenchTable.objects.get().pressure_mmhg == 108


def test_a_correction_says_why_and_starts_from_what_stands(cast: Cast) -> None:
    record = stored(cast).record.pk
    with pytest.raises(NeedsReason):
        stored(cast, record=record, base=1, pressure_mmhg=108.0)
    assert stored(cast, record=record, base=1, pressure_mmhg=108.0, reason="misread").version == 2
    with pytest.raises(Conflict) as caught:
        stored(cast, record=record, base=1, pressure_mmhg=111.0, reason="misread")
    assert (caught.value.parts, caught.value.version) == (("pressure_mmhg",), 2)


def test_another_clinic_finds_no_reading_and_writes_to_none(cast: Cast) -> None:
    record = stored(cast).record.pk
    for changes in ({"base": 1, "reason": "mine"}, {}):
        with pytest.raises(Missing):
            stored(cast, record=record, who="cleo", **changes)
    with pytest.raises(Missing):
        bench_reading(record, clinic=cast.south)
    assert bench_tables(cast.south) == []
    assert bench_reading(record, clinic=cast.north)["document"] == READING


def test_a_save_id_of_another_record_is_not_taken(cast: Cast) -> None:
    save_id, record = uuid7(), stored(cast).record.pk
    stored(cast, save_id=save_id)
    for changes in ({}, {"record": record, "base": 1}):
        with pytest.raises(Missing):
            stored(cast, save_id=save_id, **changes)


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("gauge", 12),
        ("pump_ml_min", 4000.0),
        ("pressure_mmhg", BOUNDS["bench_mmhg"].refuse_above + 1),
        ("pressure_mmhg", BOUNDS["bench_mmhg"].refuse_below - 1),
        ("measured_on", "2026-03-05"),
        ("needle_and_line", " "),
        ("chamber", "left"),
    ],
)
def test_a_reading_that_cannot_be_is_refused_at_its_field(cast: Cast, field: str, value: Any) -> None:
    with pytest.raises(Invalid) as caught:
        stored(cast, **{field: value})
    assert field in dict(caught.value.fields)
    assert not BenchTable.objects.exists()


def test_an_arterial_needle_reads_below_zero_and_an_unusual_pressure_is_asked_about(cast: Cast) -> None:
    assert stored(cast, pressure_mmhg=-220.0).asks == ()
    assert [name for name, _ in stored(cast, pressure_mmhg=450.0).asks] == ["pressure_mmhg"]
    assert [row["pressure_mmhg"] for row in bench_tables(cast.north)] == [-220, 450]


def test_a_full_table_takes_corrections_only(cast: Cast, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(bench, "MOST", 1)
    record = stored(cast).record.pk
    with pytest.raises(Invalid):
        stored(cast)
    assert stored(cast, record=record, base=1, pressure_mmhg=108.0, reason="misread").version == 2
    assert stored(cast, who="cleo").created
