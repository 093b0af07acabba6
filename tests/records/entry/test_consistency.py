"""What a treatment may not say, and what is only asked about: each at its field, in words, all at once."""

from copy import deepcopy
from typing import Any

import pytest
from uuid_utils.compat import uuid7

from access.records import entry
from access.records.models import Treatment
from access.records.problems import Invalid
from tests.cast import NORMAL, Cast, a_needle, a_reading, a_save, a_treatment_document, an_examination, at, save


def changed(cast: Cast, path: str, value: Any) -> dict[str, Any]:
    """A treatment document of Gwen with one field changed."""
    document = a_treatment_document(cast.graft)
    inside: Any = document
    *above, last = path.split(".")
    for name in above:
        inside = inside[int(name) if name.isdigit() else name]
    inside[int(last) if last.isdigit() else last] = value
    return document


def refused(cast: Cast, document: Any) -> dict[str, str]:
    """The fields that a save of this document is refused for; nothing may have been stored."""
    with pytest.raises(Invalid) as caught:
        save(cast, document)
    assert not Treatment.objects.exists()
    assert all(text.endswith((".", "?")) for _, text in caught.value.fields)
    return dict(caught.value.fields)


IMPOSSIBLE = {
    "pressures.0.venous_mmhg": 4000,
    "pressures.0.pump_ml_min": 4000,
    "pressures.0.pre_pump_arterial_mmhg": 150,
    "pressures.0.arterial_height_cm": -3,
    "pressures.0.venous_mmhg ": True,
    "pressures.0.venous_mmhg  ": float("nan"),
    "pressures.0.venous_mmhg   ": 10**400,
    "pressures.0.systolic_mmhg": 60,  # Below the diastolic of 75.
    "pressures.0.measured_at": at("09:06"),  # Six minutes ahead of the server.
    "pressures.0.cuff_limb": "left leg or so",
    "pressures.0.repeats": "01a2b3c4-0000-7000-8000-000000000000",
    "needles.0.along_cm": 31.0,
    "needles.0.gauge": 15.5,
    "needles.0.role": "",
    "needles.0.out_at": at("06:00"),
    "needles.1.along_cm": 8.5,
    "examinations.0.findings": {"thrill": "nice"},
    "examinations.0.findings ": {"smell": "none"},
    "examinations.0.filled_together": ["bruit"],
    "examinations.0.second_findings": {"thrill": "weak"},
    "examinations.0.examiner": "",
    "frame.ended_at": at("06:00"),
    "frame.started_at": "2026-03-04 07:00",
    "frame.started_at ": "0001-01-01T00:00:00+14:00",
    "frame.station": "01a2b3c4-0000-7000-8000-000000000000",
    "frame.route": "by boat",
    "frame.notes": "x" * 2001,
    "frame.notes ": "half a pair \ud800",
    "frame.notes  ": "nul \x00",
    "after.bleeding": {"01a2b3c4-0000-7000-8000-000000000000": 5},
    "clinic_day": "2026-03-06",
    "clinic_day ": "soon",
    "patient": "Gwen",
}
WHERE = {"examinations.0.second_findings": "examinations.0.second_examiner"}


@pytest.mark.parametrize(("path", "value"), IMPOSSIBLE.items())
def test_what_cannot_be_is_refused_at_its_field(cast: Cast, path: str, value: Any) -> None:
    field = WHERE.get(path.strip(), path.strip())
    found = refused(cast, changed(cast, path.strip(), value))
    assert [name for name in found if name.startswith(field)], found


UNLIKELY = {
    "pressures.0.venous_mmhg": 400,
    "pressures.0.cuff_limb": "left arm",
    "needles.0.along_cm": 2.0,
    "needles.0.needled_by": "trainee with supervisor",
    "needles.0.technique": "buttonhole",
    "frame.route": "not dialysed",
    "frame.started_at": "2026-03-01T06:00:00Z",
    "examinations.0.findings": {"thrill": "missing", "bruit": "missing", "pulse": "soft", "swelling": "none"},
}
ASKED = {
    "needles.0.needled_by": "needles.0.supervisor_name",
    "needles.0.technique": "needles.0.spacing_reason",
    "frame.route": "frame.not_dialysed_why",
    "examinations.0.findings": "examinations.0.told",
}


@pytest.mark.parametrize(("path", "value"), UNLIKELY.items())
def test_what_is_merely_unlikely_is_asked_about_and_stored(cast: Cast, path: str, value: Any) -> None:
    saved = save(cast, changed(cast, path, value))
    assert ASKED.get(path, path) in dict(saved.asks)
    assert Treatment.objects.count() == 1


def test_a_usual_treatment_raises_no_question(cast: Cast) -> None:
    assert save(cast, a_treatment_document(cast.graft)).asks == ()


def test_every_problem_is_named_at_once(cast: Cast) -> None:
    document = changed(cast, "pressures.0.venous_mmhg", 4000)
    document["needles"][0]["along_cm"] = 99
    document["frame"]["colour"] = "blue"
    document["frame"]["state"] = "gone"
    fields = refused(cast, document)
    assert fields.keys() >= {"pressures.0.venous_mmhg", "needles.0.along_cm", "frame.colour", "frame.state"}


@pytest.mark.parametrize("junk", [None, [], "text", 7, {}, {"patient": None}, {"patient": [], "clinic_day": {}}])
def test_junk_is_refused_in_words(cast: Cast, junk: Any) -> None:
    assert "patient" in refused(cast, junk)


@pytest.mark.parametrize("part", ["frame", "examinations", "needles", "pressures", "after"])
@pytest.mark.parametrize("junk", ["text", 7, True, [7], [None], {"id": {}}, [[]], [{"id": [1]}]])
def test_junk_in_a_part_is_refused_there(cast: Cast, part: str, junk: Any) -> None:
    assert any(name.startswith(part) for name in refused(cast, changed(cast, part, junk)))


def test_an_access_of_another_patient_is_refused(cast: Cast) -> None:
    document = a_treatment_document(cast.graft)
    document["needles"][0]["access"] = str(cast.fistula.pk)
    assert "needles.0.access" in refused(cast, document)


def test_a_spot_may_be_tried_again_once_the_first_needle_is_out(cast: Cast) -> None:
    document = a_treatment_document(cast.graft)
    document["needles"][0] |= {"outcome": "infiltrated", "out_at": at("06:13")}
    document["needles"].append(a_needle(cast.graft, in_at=at("06:14")))
    assert [name for name, _ in save(cast, document).asks] == ["needles.2.along_cm"]


def test_an_id_stands_only_once_in_a_list(cast: Cast) -> None:
    reading = a_reading()
    document = a_treatment_document(cast.graft, pressures=[reading, deepcopy(reading)])
    assert "pressures.1.id" in refused(cast, document)


def test_a_post_that_may_not_examine_alone_is_asked_for_a_second_person(cast: Cast) -> None:
    body = a_save(a_treatment_document(cast.graft))
    saved = entry.save_treatment(cast.gwen.pk, body=body, acting=cast.acting(cast.dov))
    assert "examinations.0.second_examiner" in dict(saved.asks)
    two = an_examination(cast.graft, second_examiner="Ada", second_findings={"thrill": "continuous"})
    body = a_save(a_treatment_document(cast.graft, examinations=[two]))
    assert entry.save_treatment(cast.finn.pk, body=body, acting=cast.acting(cast.dov)).asks == ()


def test_needling_in_spite_of_an_emergency_asks_why_and_on_whose_word(cast: Cast) -> None:
    stat = an_examination(cast.graft, findings={"thrill": "missing", "bruit": "missing"}, filled_together=[])
    asks = dict(save(cast, a_treatment_document(cast.graft, examinations=[stat])).asks)
    assert asks.keys() == {f"examinations.0.{name}" for name in ("told", "needling_reason", "needling_physician")}


def test_an_emergency_that_only_the_second_examiner_found_asks_who_was_told(cast: Cast) -> None:
    gone = {"thrill": "missing", "bruit": "missing"}
    by_second = an_examination(cast.graft, second_examiner="Dov", second_findings=gone)
    asks = dict(save(cast, a_treatment_document(cast.graft, examinations=[by_second])).asks)
    assert asks.keys() == {f"examinations.0.{name}" for name in ("told", "needling_reason", "needling_physician")}
    in_part = an_examination(
        cast.graft, findings={"thrill": "missing"}, filled_together=[], second_examiner="Dov",
        second_findings={"bruit": "missing"},
    )  # fmt: skip
    document = a_treatment_document(cast.graft, examinations=[in_part])
    document["patient"] = str(cast.gwen.pk)
    assert "examinations.0.needling_physician" in dict(save(cast, document).asks)


def test_a_needle_that_came_out_asks_who_was_told(cast: Cast) -> None:
    document = a_treatment_document(cast.graft)
    document["needles"][1]["outcome"] = "came out"
    assert "needles.1.outcome" in dict(save(cast, document).asks)
    document = a_treatment_document(cast.graft, examinations=[an_examination(cast.graft, told="Dr Moor, at once")])
    document["needles"][1]["outcome"] = "came out"
    assert "needles.1.outcome" not in dict(save(cast, document).asks)


RATIO: dict[str, Any] = {"venous_static_mmhg": 30.0, "venous_height_cm": 20.0, "height_formula": "hydrostatic"}


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"systolic_mmhg": 80.0, "diastolic_mmhg": 50.0}, "Mean arterial pressure 60 mmHg"),
        ({"systolic_mmhg": 250.0, "diastolic_mmhg": 119.0}, "Mean arterial pressure 163 mmHg"),
        ({"systolic_mmhg": None}, "needs the height"),
        ({"venous_height_cm": None}, "needs the height"),
        ({"height_formula": ""}, "needs the height"),
    ],
)
def test_a_static_pressure_without_a_ratio_says_why_and_is_kept(cast: Cast, changes: dict[str, Any], said: str) -> None:
    reading = a_reading(**RATIO | changes)
    saved = save(cast, a_treatment_document(cast.graft, pressures=[reading]))
    assert said in dict(saved.asks)["pressures.0.venous_static_mmhg"]


def test_the_cuff_of_the_same_minute_serves_a_static_pressure(cast: Cast) -> None:
    bare = a_reading(**RATIO, systolic_mmhg=None, diastolic_mmhg=None)
    assert save(cast, a_treatment_document(cast.graft, pressures=[bare, a_reading()])).asks == ()


THIN = {"bulge": "new", "skin": "thin, shiny or pale over a bulge"}


def thin_skinned(cast: Cast, **changes: Any) -> dict[str, Any]:
    """A treatment of today at whose examination a new bulge with thin skin was found."""
    found = an_examination(cast.graft, findings=NORMAL | THIN, told="Dr Moor", needling_reason="other sites", **changes)
    return a_treatment_document(cast.graft, examinations=[found])


def treated_before(cast: Cast, *, bulge: str) -> None:
    """The treatment two days ago, and what was found of a bulge then."""
    seen = an_examination(cast.graft, measured_at=at("06:05", days=-2), findings=NORMAL | {"bulge": bulge})
    needles = [a_needle(cast.graft, in_at=at("06:12", days=-2))]
    frame = {"state": "ended", "started_at": at("06:15", days=-2), "shift": "morning", "route": "two needles"}
    document = a_treatment_document(cast.graft, examinations=[seen], needles=needles, pressures=[], frame=frame)
    save(cast, document | {"clinic_day": "2026-03-02"})


def test_a_thin_skinned_bulge_that_was_not_there_before_asks_for_the_physician(cast: Cast) -> None:
    treated_before(cast, bulge="none")
    asks = dict(save(cast, thin_skinned(cast)).asks)
    assert asks.keys() == {"examinations.0.needling_physician", "examinations.0.second_examiner"}


@pytest.mark.parametrize("bulge", ["known, unchanged", "new"])
def test_a_thin_skinned_bulge_that_was_there_before_does_not(cast: Cast, bulge: str) -> None:
    treated_before(cast, bulge=bulge)
    assert dict(save(cast, thin_skinned(cast)).asks).keys() == {"examinations.0.second_examiner"}


def test_what_was_found_before_is_not_that_of_the_same_treatment(cast: Cast) -> None:
    document = thin_skinned(cast)
    document["examinations"].insert(0, an_examination(cast.graft, clock="05:50", findings=NORMAL | {"bulge": "none"}))
    treatment = uuid7()
    assert "examinations.1.needling_physician" not in dict(save(cast, document, treatment=treatment).asks)
    again = save(cast, document, treatment=treatment, base=1)
    assert "examinations.1.needling_physician" not in dict(again.asks)


def test_a_row_that_wants_a_second_examiner_asks_who_it_was_once(cast: Cast) -> None:
    silent = an_examination(cast.graft, findings={"thrill": "missing", "bruit": "weak"}, filled_together=[])
    asks = save(cast, a_treatment_document(cast.graft, examinations=[silent])).asks
    assert [name for name, _ in asks] == ["examinations.0.second_examiner"]
    body = a_save(a_treatment_document(cast.graft, examinations=[silent | {"id": str(uuid7())}]))
    by_coordinator = entry.save_treatment(uuid7(), body=body, acting=cast.acting(cast.dov)).asks
    assert [name for name, _ in by_coordinator].count("examinations.0.second_examiner") == 1
    two = silent | {"id": str(uuid7()), "second_examiner": "Ben"}
    assert save(cast, a_treatment_document(cast.graft, examinations=[two])).asks == ()
