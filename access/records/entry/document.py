"""The Treatment as one document: its fields, and its normal form in which two documents can be compared.

What holds between fields, or between a field and the records, stands in ``consistency``.
"""

from copy import deepcopy
from typing import Any, get_args

from access.measures import words
from access.records.entry.fields import Notes, Read, Table, day, key, moment, number, rows, table, text, word, yes_no
from access.records.entry.fields import words as several
from access.records.problems import Document

LISTS = ("examinations", "needles", "pressures")
WHOLES = ("frame", "after")
PARTS = ("frame", *LISTS, "after")
STATES = ("planned", "running", "ended")


def findings() -> Read:
    """What look, listen and feel found: only known fields, each with a word of its own; an empty one is left out."""
    readers = {field: word(vocabulary, blank=True) for field, vocabulary in words.FINDINGS.items()}
    whole = table(readers)

    def read(value: Any, at: str, notes: Notes) -> dict[str, str]:
        return {field: found for field, found in whole(value, at, notes).items() if found}

    return read


def bleeding() -> Read:
    """Minutes to stop bleeding by the id of the needle."""
    minutes, name = number("bleeding_minutes"), key(needed=True)

    def read(value: Any, at: str, notes: Notes) -> dict[str, float]:
        if value is None:
            return {}
        if not isinstance(value, dict):
            notes.refuse(at, "This is not an object with minutes by needle.")
            return {}
        found = {name(one, f"{at}.{one}", notes): minutes(value[one], f"{at}.{one}", notes) for one in value}
        return {needle: lasted for needle, lasted in found.items() if lasted is not None}

    return read


FRAME: Table = {
    "state": word(STATES, otherwise="running"),
    "started_at": moment(),
    "ended_at": moment(),
    "station": key(),
    "shift": text(20),
    "route": word(get_args(words.Route), otherwise="two needles"),
    "not_dialysed_why": text(200),
    "pump_prescribed_ml_min": number("pump_prescribed_ml_min"),
    "pump_reached_ml_min": number("pump_reached_ml_min"),
    "heparin": text(120),
    "antithrombotics": text(200),
    "notes": text(2000),
}
# What an examination says, in a treatment or alone.
SEEN: Table = {
    "access": key(needed=True),
    "measured_at": moment(needed=True),
    "findings": findings(),
    "filled_together": several(tuple(words.FINDINGS)),
    "examiner": text(120, needed=True),
    "second_examiner": text(120),
    "second_findings": findings(),
    "told": text(200),
    "needling_reason": text(400),
    "needling_physician": text(120),
    "note": text(400),
}
EXAMINATION: Table = {"id": key(needed=True), **SEEN}
NEEDLE: Table = {
    "id": key(needed=True),
    "access": key(needed=True),
    "role": word(get_args(words.NeedleRole)),
    "segment": text(40),
    "along_cm": number("along_cm"),
    "across_cm": number("across_cm"),
    "gauge": number("gauge", whole=True),
    "direction": word(get_args(words.Direction), blank=True),
    "technique": word(get_args(words.Technique), blank=True),
    "tip": word(get_args(words.Tip), blank=True),
    "in_at": moment(),
    "out_at": moment(),
    "outcome": word(get_args(words.Outcome), otherwise="in use to the end"),
    "replaced_because": text(200),
    "extent": text(80),
    "action_taken": text(200),
    "pain": number("pain", whole=True),
    "needled_by": word(get_args(words.CannulatedBy), blank=True),
    "needled_by_name": text(120),
    "supervisor_name": text(120),
    "skin": text(40),
    "spacing_reason": text(200),
}
PRESSURE: Table = {
    "id": key(needed=True),
    "measured_at": moment(needed=True),
    "minute": number("minute"),
    "pump_ml_min": number("pump_ml_min"),
    "pre_pump_arterial_mmhg": number("pre_pump_arterial_mmhg"),
    "post_pump_mmhg": number("post_pump_mmhg"),
    "venous_mmhg": number("venous_mmhg"),
    "systolic_mmhg": number("systolic_mmhg"),
    "diastolic_mmhg": number("diastolic_mmhg"),
    "cuff_limb": word(get_args(words.Limb), blank=True),
    "arterial_static_mmhg": number("static_mmhg"),
    "venous_static_mmhg": number("static_mmhg"),
    "arterial_height_cm": number("height_cm"),
    "venous_height_cm": number("height_cm"),
    "height_formula": word(get_args(words.RatioFormula), blank=True),
    "circuit_checked": yes_no(),
    "repeats": key(),
}
AFTER: Table = {"bleeding": bleeding(), "used": text(200), "left_how": text(200), "note": text(400)}
_TREATMENT = table(
    {
        "patient": key(needed=True),
        "clinic_day": day(needed=True),
        "frame": table(FRAME),
        "examinations": rows(EXAMINATION, most=20),
        "needles": rows(NEEDLE, most=40),
        "pressures": rows(PRESSURE, most=300),
        "after": table(AFTER),
    }
)


def normal(document: object, notes: Notes) -> Document:
    """The document in its normal form: every field there, times in UTC, missing texts empty."""
    found: Document = _TREATMENT(document if document is not None else "", "", notes)
    return found


def blank(*, patient: str, clinic_day: str, state: str = "planned") -> Document:
    """The document of a treatment about which nothing is known yet: version 0 of an unplanned one."""
    base = {"patient": patient, "clinic_day": clinic_day, "frame": {"state": state}}
    return deepcopy(normal(base, Notes()))


def times(document: Document) -> list[str]:
    """Every bedside time in a document, in no order."""
    frame = document["frame"]
    found = [frame["started_at"], frame["ended_at"]]
    for needle in document["needles"]:
        found += [needle["in_at"], needle["out_at"]]
    found += [one["measured_at"] for part in ("examinations", "pressures") for one in document[part]]
    return [at for at in found if at]
