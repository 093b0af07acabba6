"""Two treatments of one patient on one day: joined when they are the same, kept apart when they are not."""

from copy import deepcopy

import pytest

from access.records import entry
from access.records.entry import Saved
from access.records.models import Needle, Treatment
from access.records.problems import Conflict, Invalid, Missing
from tests.cast import Cast, a_needle, a_reading, a_treatment_document, save


def two(cast: Cast) -> tuple[Saved, Saved]:
    """A treatment with examination and needles, and a second one of the day with readings and after-care."""
    first = save(cast, a_treatment_document(cast.graft, pressures=[]))
    frame = {"state": "ended", "heparin": "3000 IU", "started_at": "2026-03-04T06:17:00Z", "shift": "morning"}
    second = a_treatment_document(cast.graft, frame=frame, examinations=[], needles=[], pressures=[a_reading()])
    second["after"] = {"left_how": "dressed"}
    return first, save(cast, second)


@pytest.mark.parametrize("named", [0, 1])
def test_the_same_treatment_entered_twice_becomes_one_and_nothing_is_lost(cast: Cast, named: int) -> None:
    pair = two(cast)
    saved = entry.pair_treatments(pair[named].record.pk, answer="same", acting=cast.acting(cast.ada))
    assert saved.record.pk == pair[0].record.pk
    assert [len(saved.document[part]) for part in ("examinations", "needles", "pressures")] == [1, 2, 1]
    frame = saved.document["frame"]
    assert (frame["state"], frame["heparin"], saved.document["after"]["left_how"]) == ("ended", "3000 IU", "dressed")
    (differs,) = saved.result["left_behind"]
    assert (differs["field"], differs["kept"][11:16], differs["other"][11:16]) == ("frame.started_at", "06:15", "06:17")
    gone = Treatment.objects.get(pk=pair[1].record.pk)
    assert (gone.state, gone.pairing, gone.versions.count()) == ("made in error", "same", 2)
    assert gone.versions.get(number=1).document == pair[1].document


def test_two_treatments_stay_two(cast: Cast) -> None:
    first, second = two(cast)
    saved = entry.pair_treatments(second.record.pk, answer="two treatments", acting=cast.acting(cast.ada))
    assert saved.record.pk == second.record.pk
    row = Treatment.objects.get(pk=second.record.pk)
    assert (row.pairing, row.state, row.possibly_same_as_id) == ("two treatments", "ended", first.record.pk)


def test_one_puncture_entered_twice_must_be_corrected_first(cast: Cast) -> None:
    first, second = two(cast)
    twice = deepcopy(second.document)
    twice["needles"] = [a_needle(cast.graft)]
    save(cast, twice, treatment=second.record.pk, base=1, reason="forgotten")
    with pytest.raises(Conflict) as caught:
        entry.pair_treatments(second.record.pk, answer="same", acting=cast.acting(cast.ada))
    assert caught.value.parts == ("needles",)
    assert Treatment.objects.filter(made_in_error=False).count() == 2
    assert Needle.objects.filter(treatment=second.record.pk).count() == 1
    assert first.record.pk != second.record.pk


def test_a_pair_is_settled_once_and_only_by_its_own_clinic(cast: Cast) -> None:
    first, second = two(cast)
    with pytest.raises(Missing):
        entry.pair_treatments(second.record.pk, answer="same", acting=cast.acting(cast.cleo))
    with pytest.raises(Invalid):
        entry.pair_treatments(second.record.pk, answer="perhaps", acting=cast.acting(cast.ada))
    entry.pair_treatments(second.record.pk, answer="same", acting=cast.acting(cast.ada))
    with pytest.raises(Invalid):
        entry.pair_treatments(first.record.pk, answer="same", acting=cast.acting(cast.ada))
