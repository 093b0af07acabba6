"""What must hold in each kind of small record, between its fields and beside what is known of the patient.

Each check takes a document in its normal form and notes what cannot be and what is asked about.
"""

from dataclasses import dataclass
from typing import Any, get_args

from access.accounts.models import Clinic
from access.measures import Refused, plausibility, words
from access.records.entry.consistency import Known, Vessel, blood_pressure, examined, not_future, untold
from access.records.entry.fields import Notes, number
from access.records.entry.results import SAMPLES, still_reversed
from access.records.problems import Document

LAB_UNITS: dict[str, tuple[str, ...]] = {"hematocrit": ("%", "1"), "urea": get_args(words.UreaUnit)}


@dataclass(frozen=True, kw_only=True)
class Beside:
    """What a document is held against: the clinic, what is known of the patient, and the access it is about."""

    clinic: Clinic
    known: Known
    vessel: Vessel | None
    taken: bool = False  # Whether another patient of the clinic has the chart number of this one.
    route: str = ""  # Of the treatment that it hangs on or falls into; empty where there is none.


def nothing(document: Document, beside: Beside, notes: Notes) -> None:
    """Nothing is to be held against anything."""


def _measured(document: Document, beside: Beside, notes: Notes) -> None:
    not_future("measured_at", document["measured_at"], now=beside.known.now, notes=notes)


def flow(document: Document, beside: Beside, notes: Notes) -> None:
    """An access flow: its times, its samples, its blood pressure, the lines put back."""
    _measured(document, beside, notes)
    blood_pressure(document, at="", notes=notes)
    inputs = document["inputs"]
    for name in ("systemic_drawn_at", "reversed_at", "arterial_venous_drawn_at"):
        not_future(f"inputs.{name}", inputs[name], now=beside.known.now, notes=notes)
    not_future("lines_put_back_at", document["lines_put_back_at"], now=beside.known.now, notes=notes)
    if inputs["unit"]:
        _urea(inputs, unit=inputs["unit"], before="inputs.", names=SAMPLES, notes=notes)
    if still_reversed(document):
        notes.ask("lines_put_back_by", "The lines were reversed. Who put them back the right way?")
    elif document["lines_put_back_by"] and not document["lines_put_back_at"]:
        notes.ask("lines_put_back_at", "When were the lines put back the right way?")


def _urea(values: dict[str, Any], *, unit: str, names: tuple[str, ...], notes: Notes, before: str = "") -> None:
    for name in names:
        if values[name] is None:
            continue
        try:
            question = plausibility.urea(values[name], unit=unit, field=name)  # type: ignore[arg-type]
        except Refused as refused:
            notes.refuse(before + name, str(refused))
            continue
        if question:
            notes.ask(before + name, question)


def recirculation(document: Document, beside: Beside, notes: Notes) -> None:
    """Three urea samples and the times of their draws."""
    _measured(document, beside, notes)
    for name in ("arterial_venous_drawn_at", "systemic_drawn_at"):
        not_future(name, document[name], now=beside.known.now, notes=notes)
    _urea(document, unit=document["unit"], names=SAMPLES, notes=notes)


def dose(document: Document, beside: Beside, notes: Notes) -> None:
    """Urea before and after."""
    _measured(document, beside, notes)
    _urea(document, unit=document["unit"], names=("urea_before", "urea_after"), notes=notes)


def lab(document: Document, beside: Beside, notes: Notes) -> None:
    """A laboratory value in one of its own units."""
    _measured(document, beside, notes)
    units = LAB_UNITS.get(document["what"], ())
    if document["unit"] not in units:
        notes.refuse("unit", f"The unit is one of: {', '.join(units)}.")
    elif document["what"] == "urea":
        _urea(document, unit=document["unit"], names=("value",), notes=notes)
    else:
        fraction = document["value"] / 100 if document["unit"] == "%" else document["value"]
        number("hematocrit_fraction")(fraction, "value", notes)


def examination(document: Document, beside: Beside, notes: Notes) -> None:
    """An examination outside a treatment."""
    examined(document, before="", known=beside.known, notes=notes)
    untold(document, before="", needled=False, known=beside.known, notes=notes)


def _days(document: Document, notes: Notes) -> None:
    if document["until"] and document["until"] < document["since"]:
        notes.refuse("until", "The end lies before the start.")


def _not_after_today(name: str, document: Document, beside: Beside, notes: Notes) -> None:
    if document[name] > beside.known.today:
        notes.refuse(name, "This day lies in the future. Look at the date and type it again.")


def event(document: Document, beside: Beside, notes: Notes) -> None:
    """An event has a day that is not to come."""
    _not_after_today("on", document, beside, notes)
    not_future("measured_at", document["measured_at"], now=beside.known.now, notes=notes)


def zone(document: Document, beside: Beside, notes: Notes) -> None:
    """A stretch of the vessel and its days."""
    _days(document, notes)
    _not_after_today("since", document, beside, notes)
    if document["to_cm"] < document["from_cm"]:
        notes.refuse("to_cm", "The end of the zone lies before its start.")
    elif beside.vessel and document["from_cm"] > beside.vessel.needled_to_cm:
        notes.ask("from_cm", "This zone lies beyond the needled length. Is it right?")


def hold(document: Document, beside: Beside, notes: Notes) -> None:
    """The days of a hold."""
    _days(document, notes)
    _not_after_today("since", document, beside, notes)


def person(document: Document, beside: Beside, notes: Notes) -> None:
    """A patient's chart number, birth date and place."""
    if beside.taken:
        notes.refuse("chart_number", "This clinic already has a patient with this chart number.")
    _not_after_today("birth_date", document, beside, notes)
    if document["station"] and document["station"] not in beside.known.stations:
        notes.refuse("station", "This station is not one of the clinic's.")


def vessel(document: Document, beside: Beside, notes: Notes) -> None:
    """An access: its length, its days, and whether its kind and its configuration agree."""
    if document["needled_to_cm"] <= document["needled_from_cm"]:
        notes.refuse("needled_to_cm", "The needled length ends before it starts.")
    created, needled = document["created_on"], document["first_needled_on"]
    if created and needled and needled < created:
        notes.refuse("first_needled_on", "The access was needled before it was created.")
    for name in ("created_on", "first_needled_on"):
        if document[name]:
            _not_after_today(name, document, beside, notes)
    graft = document["configuration"].endswith("graft")
    if document["configuration"] != "other" and graft != (document["kind"] == "graft"):
        notes.refuse("configuration", "Kind and configuration do not agree: one is a graft's, the other a fistula's.")
