"""What must hold between the fields of a Treatment, and between it and what is known of the patient.

What cannot be is refused, what is unlikely is asked about; nothing here is a finding about the access.
"""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from itertools import combinations
from typing import Any, get_args
from zoneinfo import ZoneInfo

from access.measures import Refused, plausibility
from access.measures.emergency_table import Row
from access.measures.examination import depends_on_before, emergencies
from access.measures.pressure import mean_arterial_mmhg, static_ratio
from access.measures.units import as_shown, shown
from access.measures.words import NEVER_FILLED_TOGETHER, NeedleRole, normal
from access.records.entry.fields import Notes
from access.records.problems import Document

DECIMALS = plausibility.BOUNDS["along_cm"].decimals
# Own choice: a bedside time this far from its clinic day is asked about, for the day may be mistyped.
DAYS_AROUND = timedelta(days=2)


@dataclass(frozen=True, kw_only=True)
class Vessel:
    """What is known of one access of the patient."""

    kind: str
    side: str
    configuration: str
    needled_from_cm: float
    needled_to_cm: float

    @property
    def limb(self) -> str:
        """The limb the access lies in, in the words used for the cuff."""
        return f"{self.side} {'leg' if self.configuration.startswith('thigh') else 'arm'}"


def never_seen(access: str, at: datetime) -> Mapping[str, str]:
    """What was found before at an access that nobody has examined: nothing."""
    return {}


@dataclass(frozen=True, kw_only=True)
class Known:
    """What a document is held against: the patient's accesses, the clinic's stations and zone, the clock, the post."""

    vessels: dict[str, Vessel]
    stations: frozenset[str]
    zone: ZoneInfo
    now: datetime
    examines_alone: bool = True
    # What was found at an access at the occasion before a moment; looked up only where an emergency depends on it.
    seen_before: Callable[[str, datetime], Mapping[str, str]] = never_seen

    @property
    def today(self) -> str:
        """The day it is in the clinic's zone."""
        return self.now.astimezone(self.zone).date().isoformat()


def consistent(document: Document, *, known: Known, notes: Notes) -> None:
    """Note whatever does not fit in a document that is already in its normal form."""
    _frame(document, known=known, notes=notes)
    for at, examination in _each(document, "examinations"):
        examined(examination, before=f"{at}.", known=known, notes=notes)
    for at, needle in _each(document, "needles"):
        _needle(needle, at=at, known=known, notes=notes)
    _spots(document["needles"], notes)
    _emergencies(document, known=known, notes=notes)
    limbs = {known.vessels[one["access"]].limb for one in document["needles"] if one["access"] in known.vessels}
    readings = {one["id"] for one in document["pressures"]}
    means = _means(document["pressures"])
    for at, reading in _each(document, "pressures"):
        _reading(reading, at=at, known=known, notes=notes, limbs=limbs)
        _ratio(reading, at=at, mean_arterial_mmhg=means.get(reading["measured_at"]), notes=notes)
        if reading["repeats"] and reading["repeats"] not in readings - {reading["id"]}:
            notes.refuse(f"{at}.repeats", "The reading that this one repeats is not in this treatment.")
    needles = {one["id"] for one in document["needles"]}
    for needle_id in document["after"]["bleeding"].keys() - needles:
        notes.refuse(f"after.bleeding.{needle_id}", "There is no such needle in this treatment.")


def _each(document: Document, part: str) -> Iterator[tuple[str, dict[str, Any]]]:
    return ((f"{part}.{place}", one) for place, one in enumerate(document[part]))


def _when(text: str) -> datetime:
    return datetime.fromisoformat(text)


def not_future(at: str, text: str | None, *, now: datetime, notes: Notes) -> None:
    """Note a time that lies in the future."""
    if not text:
        return
    try:
        plausibility.future(_when(text), now=now, field=at)
    except Refused as refused:
        notes.refuse(at, str(refused))


def _in_order(at: str, first: str | None, last: str | None, *, text: str, notes: Notes) -> None:
    if first and last and _when(last) < _when(first):
        notes.refuse(at, text)


def _frame(document: Document, *, known: Known, notes: Notes) -> None:
    frame = document["frame"]
    for name in ("started_at", "ended_at"):
        not_future(f"frame.{name}", frame[name], now=known.now, notes=notes)
        _near_its_day(f"frame.{name}", frame[name], document=document, known=known, notes=notes)
    _in_order(
        "frame.ended_at", frame["started_at"], frame["ended_at"], text="The end lies before the start.", notes=notes
    )
    if frame["station"] and frame["station"] not in known.stations:
        notes.refuse("frame.station", "This station is not one of the clinic's.")
    if frame["state"] != "planned" and document["clinic_day"] > known.today:
        notes.refuse("clinic_day", "This day lies in the future, so nothing can have been done on it yet.")
    if frame["route"] == "not dialysed" and not frame["not_dialysed_why"]:
        notes.ask("frame.not_dialysed_why", "Why was there no dialysis?")


def _near_its_day(at: str, text: str | None, *, document: Document, known: Known, notes: Notes) -> None:
    if not text:
        return
    day = datetime.fromisoformat(document["clinic_day"]).replace(tzinfo=known.zone)
    if abs(_when(text) - day) > DAYS_AROUND:
        notes.ask(at, f"This time is far from the treatment's day, {document['clinic_day']}. Is it right?")


def examined(examination: dict[str, Any], *, before: str, known: Known, notes: Notes) -> None:
    """Note what does not fit in one examination, in a treatment or alone."""
    _whose(f"{before}access", examination["access"], known=known, notes=notes)
    not_future(f"{before}measured_at", examination["measured_at"], now=known.now, notes=notes)
    found = examination["findings"]
    for place, field in enumerate(examination["filled_together"]):
        if field in NEVER_FILLED_TOGETHER:
            text = "Thrill and bruit are each felt and heard by themselves; they cannot be filled in together."
            notes.refuse(f"{before}filled_together.{place}", text)
        elif found.get(field) != normal(field):
            notes.refuse(f"{before}filled_together.{place}", "Only a normal reading can be filled in together.")
    if examination["second_findings"] and not examination["second_examiner"]:
        notes.refuse(f"{before}second_examiner", "Who is the second examiner?")
    elif not known.examines_alone and not examination["second_examiner"]:
        notes.ask(f"{before}second_examiner", "In this clinic a second person examines as well. Who was it?")


def _emergencies(document: Document, *, known: Known, notes: Notes) -> None:
    """Ask what an emergency at an access leaves open; recording goes on all the same."""
    needled = {one["access"] for one in document["needles"]}
    for at, examination in _each(document, "examinations"):
        untold(examination, before=f"{at}.", needled=examination["access"] in needled, known=known, notes=notes)
    told = {one["access"] for one in document["examinations"] if one["told"]}
    for at, needle in _each(document, "needles"):
        if needle["outcome"] == "came out" and needle["access"] not in told:
            notes.ask(f"{at}.outcome", "A needle that came out is an emergency. Say at the examination who was told.")


def untold(examination: dict[str, Any], *, before: str, needled: bool, known: Known, notes: Notes) -> None:
    """Ask who was told of an emergency, who looked too, and why, and on whose word, it was needled all the same."""
    met = _met(examination, known=known)
    if any(row.needs_who_was_told for row in met) and not examination["told"]:
        notes.ask(f"{before}told", "This is an emergency sign. Who was told?")
    at, asked = f"{before}second_examiner", {name for name, _ in notes.asks}
    if any(row.second_examiner for row in met) and not examination["second_examiner"] and at not in asked:
        notes.ask(at, "Such a sign is looked at by a second examiner. Who was it?")
    if not needled:
        return
    if any(row.needs_reason_to_needle for row in met) and not examination["needling_reason"]:
        notes.ask(f"{before}needling_reason", "This access was needled in spite of an emergency sign. Why?")
    if any(row.needs_physician_to_needle for row in met) and not examination["needling_physician"]:
        notes.ask(f"{before}needling_physician", "Which physician decided that it was needled?")


def _met(examination: dict[str, Any], *, known: Known) -> list[Row]:
    """The rows of the emergency table that an examination meets beside what was found before it."""
    first, second = examination["findings"], examination["second_findings"]
    # What either examiner found counts, and what one did not look at is filled up by the other.
    views = ({**second, **first}, {**first, **second})
    access, at, seen = examination["access"], examination["measured_at"], None
    if at and access in known.vessels and any(depends_on_before(view) for view in views):
        seen = known.seen_before(access, _when(at))
    return list({row.id: row for view in views for row in emergencies(view, before=seen)}.values())


def _whose(at: str, access: str | None, *, known: Known, notes: Notes) -> None:
    if access and access not in known.vessels:
        notes.refuse(at, "This access is not one of the patient's.")


def _needle(needle: dict[str, Any], *, at: str, known: Known, notes: Notes) -> None:
    _whose(f"{at}.access", needle["access"], known=known, notes=notes)
    for name in ("in_at", "out_at"):
        not_future(f"{at}.{name}", needle[name], now=known.now, notes=notes)
    _in_order(
        f"{at}.out_at", needle["in_at"], needle["out_at"], text="The needle came out before it went in.", notes=notes
    )
    if needle["needled_by"] == "trainee with supervisor" and not needle["supervisor_name"]:
        notes.ask(f"{at}.supervisor_name", "Who supervised?")
    vessel = known.vessels.get(needle["access"])
    if vessel is None:
        return
    if needle["along_cm"] is not None:
        on_vessel(f"{at}.along_cm", needle["along_cm"], vessel=vessel, notes=notes)
    if vessel.kind == "graft" and needle["technique"] == "buttonhole" and not needle["spacing_reason"]:
        notes.ask(f"{at}.spacing_reason", "A buttonhole is for fistulas only, and this is a graft. Why was it used?")


def on_vessel(at: str, along_cm: float, *, vessel: Vessel, notes: Notes) -> None:
    """Note a place that lies beyond the needled length, or before it."""
    place = as_shown(along_cm, decimals=DECIMALS)
    if place > as_shown(vessel.needled_to_cm, decimals=DECIMALS):
        end = shown(vessel.needled_to_cm, decimals=DECIMALS)
        notes.refuse(at, f"This lies beyond the access, whose needled length ends at {end} cm.")
    elif place < as_shown(vessel.needled_from_cm, decimals=DECIMALS):
        start = shown(vessel.needled_from_cm, decimals=DECIMALS)
        notes.ask(at, f"This lies before the needled length, which starts at {start} cm. Is it right?")


def _spots(needles: list[dict[str, Any]], notes: Notes) -> None:
    """Two needles cannot be in one spot at once; trying one spot again is only asked about."""
    placed = [(place, one) for place, one in enumerate(needles) if one["along_cm"] is not None]
    for (_, first), (place, second) in combinations(placed, 2):
        if _spot(first) != _spot(second):
            continue
        at = f"needles.{place}.along_cm"
        if _together(first, second):
            notes.refuse(at, "Another needle is already in this spot.")
        else:
            notes.ask(at, "This spot was already tried in this treatment. Is it right?")


def _spot(needle: dict[str, Any]) -> tuple[str, float, float]:
    across = as_shown(needle["across_cm"] or 0.0, decimals=DECIMALS)
    return needle["access"], as_shown(needle["along_cm"], decimals=DECIMALS), across


def _together(first: dict[str, Any], second: dict[str, Any]) -> bool:
    """Whether two needles were in at the same time, as far as their times or outcomes tell."""
    for earlier, later in ((first, second), (second, first)):
        if earlier["out_at"] and later["in_at"]:
            if _when(earlier["out_at"]) <= _when(later["in_at"]):
                return False
        elif earlier["outcome"] != "in use to the end":
            return False
    return True


def _reading(reading: dict[str, Any], *, at: str, known: Known, notes: Notes, limbs: set[str]) -> None:
    not_future(f"{at}.measured_at", reading["measured_at"], now=known.now, notes=notes)
    blood_pressure(reading, at=at, notes=notes)
    if reading["cuff_limb"] in limbs:
        notes.ask(f"{at}.cuff_limb", "The cuff is on the limb of the access. Is it right?")


def _means(readings: list[dict[str, Any]]) -> dict[str, float]:
    """The mean arterial pressure at each minute that has a blood pressure which can be."""
    found = {}
    for one in readings:
        systolic, diastolic = one["systolic_mmhg"], one["diastolic_mmhg"]
        if systolic is not None and diastolic is not None and systolic > diastolic > 0:
            found[one["measured_at"]] = mean_arterial_mmhg(systolic, diastolic=diastolic)
    return found


def _ratio(reading: dict[str, Any], *, at: str, mean_arterial_mmhg: float | None, notes: Notes) -> None:
    """Say why a static pressure gives no ratio; the pressure itself is kept."""
    for role in get_args(NeedleRole):
        name, height = f"{role}_static_mmhg", reading[f"{role}_height_cm"]
        if reading[name] is None:
            continue
        if height is None or not reading["height_formula"] or mean_arterial_mmhg is None:
            needs = "the height of the chamber, its formula and a blood pressure of the same minute"
            notes.ask(f"{at}.{name}", f"No ratio can be worked out: it needs {needs}. Is one of them missing?")
            continue
        formula = reading["height_formula"]
        try:
            static_ratio(reading[name], height_cm=height, mean_arterial_mmhg=mean_arterial_mmhg, formula=formula)
        except Refused as refused:
            notes.ask(f"{at}.{name}", f"No ratio can be worked out. {refused}")


def blood_pressure(values: dict[str, Any], *, at: str, notes: Notes) -> None:
    """Note a blood pressure that is upside down; each part by itself has been looked at already."""
    systolic, diastolic = values["systolic_mmhg"], values["diastolic_mmhg"]
    if systolic is None or diastolic is None:
        return
    try:
        plausibility.blood_pressure(systolic, diastolic=diastolic)
    except Refused as refused:
        notes.refuse(f"{at}.systolic_mmhg".lstrip("."), str(refused))


def bedside(times: list[str], *, otherwise: datetime) -> datetime:
    """When an entry was last at the bedside: its latest time, else what it is to be taken for."""
    return max((_when(text) for text in times), default=otherwise).astimezone(UTC)
