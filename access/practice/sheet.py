"""What a nurse would have written at each invented treatment: the document, with rounding, noise and gaps.

The truth comes from the model (``course``); here it is read off chambers and cuffs, felt and heard, and written down.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import cache
from typing import Any

import numpy as np

from access.measures.words import FINDINGS, NEVER_FILLED_TOGETHER, normal
from access.practice import chance
from access.practice.accesses import value_at
from access.practice.chance import Values
from access.practice.course import STANDARD_ML_MIN, Course
from access.practice.needling import Moment, Odds, clock, needles, odds_of
from access.practice.people import Member

# Spreads in mmHg. In one treatment the venous pressure wanders by 30 to 40 mmHg (secondary), here as about four times
# the spread of the last reading; the others are invented.
BETWEEN, WITHIN, DRIFT, STATIC, CUFF = 6.0, 3.0, 9.0, 2.5, 3.0
# Shares of readings that nobody wrote down.
NO_STANDARD, NO_LAST, NO_PRESSURE, NO_BLEEDING = 0.05, 0.04, 0.03, 0.07
STATIC_EVERY_DAYS = 14
WHY_NOT = ("Did not come, called.", "In hospital.", "Did not come, not reached.", "Travelling, treated elsewhere.")
PHYSICIAN = "Ben Okafor"  # Who is told, of fixtures/demo/people.toml.
MILD = (("augmentation", "weak"), ("bruit", "weak"), ("needling", "newly difficult"), ("skin", "bruise"))


@dataclass(frozen=True, kw_only=True)
class Written:
    """A treatment document and who wrote it in which clinic."""

    id: str
    username: str
    clinic: str
    received_at: datetime
    document: dict[str, Any]


@dataclass(frozen=True, kw_only=True)
class Noise:
    """What chance adds to the readings of every treatment of a course."""

    between: Values
    early: Values
    late: Values
    drift: Values
    cuff: Values
    pulse: Values
    static_arterial: Values
    static_venous: Values
    gap: Values
    mild: Values
    bleeding: Values
    usual_bleeding: float


def noise_of(course: Course) -> Noise:
    """The noise of a course, drawn once."""
    others = ("gap", "mild", "usual_bleeding")
    normal_ones = {name: course.numbers(name) for name in Noise.__dataclass_fields__ if name not in others}
    return Noise(
        **normal_ones,
        gap=course.shares("gap"),
        mild=course.shares("mild"),
        usual_bleeding=chance.between(6, 9, course.seed, course.person.name, "bleeding"),
    )


def nurse_on(course: Course, index: int, *, staff: tuple[Member, ...]) -> Member:
    """The nurse of a shift: the same for everybody in it."""
    place, day = course.places[index], int(course.days[index])
    return _on_shift(place, day=day, shift=course.person.shift, seed=course.seed, staff=staff)


@cache
def _on_shift(place: str, *, day: int, shift: str, seed: int, staff: tuple[Member, ...]) -> Member:
    nurses = [one for one in staff if one.clinic == place and one.role == "nurse"]
    return nurses[int(chance.between(0, len(nurses), seed, place, day, shift))]


def written(
    course: Course, *, staff: tuple[Member, ...], ids: dict[str, str], wanted: Iterable[int] | None = None
) -> Iterator[Written]:
    """The documents of a course.

    Parameters
    ----------
    course : Course
    staff : tuple of Member
    ids : dict
        The ids of ``patient`` and ``access``, and of the stations by clinic.
    wanted : iterable of int, optional
        The indices of the treatments that are wanted; by default all.
    """
    odds, noise = odds_of(course), noise_of(course)
    statics = _static_at(course)
    for index in range(len(course.days)) if wanted is None else wanted:
        nurse = nurse_on(course, index, staff=staff)
        start = course.starts[index]
        end = start + timedelta(hours=course.hours)
        moment = Moment(course=course, index=index, nurse=nurse.name, start=start, end=end)
        document = _document(moment, odds=odds, noise=noise, ids=ids, with_static=index in statics)
        received_at = end + timedelta(minutes=20)
        yield Written(
            id=moment.key("treatment"),
            username=nurse.username,
            clinic=course.places[index],
            received_at=received_at,
            document=document,
        )


def _document(moment: Moment, *, odds: Odds, noise: Noise, ids: dict[str, str], with_static: bool) -> dict[str, Any]:
    course, index = moment.course, moment.index
    document: dict[str, Any] = {
        "patient": ids["patient"],
        "clinic_day": course.clinic_days[index].isoformat(),
        "frame": _frame(moment, station=ids[course.places[index]]),
    }
    if course.routes[index] == "not dialysed":
        return document
    if course.truth.created <= course.days[index]:
        document["examinations"] = [one | {"access": ids["access"]} for one in _examinations(moment, noise=noise)]
    document["needles"] = [one | {"access": ids["access"]} for one in needles(moment, odds=odds)]
    document["pressures"] = list(_pressures(moment, noise=noise, with_static=with_static))
    document["after"] = {
        "bleeding": _bleeding(moment, noise=noise, listed=document["needles"]),
        "used": "gauze, two fingers" if document["needles"] else "",
        "left_how": "well",
    }
    return document


def _frame(moment: Moment, *, station: str) -> dict[str, Any]:
    course, index = moment.course, moment.index
    frame = {"state": "ended", "station": station, "shift": course.person.shift, "route": course.routes[index]}
    if course.routes[index] == "not dialysed":
        why = chance.chosen(WHY_NOT, course.seed, course.person.name, int(course.days[index]), "why")
        return frame | {"not_dialysed_why": why}
    reached = value_at(course.truth.pump_reached, ordinal=moment.ordinal, otherwise=course.truth.pump_ml_min)
    notes = ""
    if course.truth.infiltrated_at == moment.ordinal:
        notes = "Venous needle through the wall, swelling of about 4 cm; second try failed; a colleague needled."
    return frame | {
        "started_at": clock(moment.start),
        "ended_at": clock(moment.end),
        "pump_prescribed_ml_min": course.truth.pump_ml_min,
        "pump_reached_ml_min": reached,
        "heparin": "2000 units, then 1000 an hour",
        "notes": notes,
    }


def _examinations(moment: Moment, *, noise: Noise) -> Iterator[dict[str, Any]]:
    course, index = moment.course, moment.index
    findings = {name: normal(name) for name in FINDINGS}
    if course.truth.first_needled is None or course.routes[index] == "catheter":
        del findings["needling"], findings["circuit"]
    told = {one.field: one.word for one in course.truth.seen if one.at(moment.ordinal)}
    if not told and moment.ordinal != -1 and noise.mild[index] < 0.004:
        told = dict([MILD[int(1000 * noise.mild[index])]])
    elif not told and noise.mild[index] > 0.85:
        told = {"skin": "small scab of a puncture"}
    findings |= {name: word for name, word in told.items() if name in findings}
    together = [name for name in findings if name not in NEVER_FILLED_TOGETHER and findings[name] == normal(name)]
    entry = {
        "id": moment.key("examination"),
        "measured_at": clock(moment.start - timedelta(minutes=14)),
        "findings": findings,
        "filled_together": together,
        "examiner": moment.nurse,
    }
    yield entry | _emergency(findings, needled=course.routes[index] != "catheter")
    if course.truth.infiltrated_at == moment.ordinal:
        later = {"swelling": "at the access", "skin": "bruise"}
        at = clock(moment.start + timedelta(minutes=45))
        yield entry | {"id": moment.key("later"), "measured_at": at, "findings": later, "filled_together": []}


def _emergency(findings: dict[str, str], *, needled: bool) -> dict[str, str]:
    """Who was told of what stops the screen, and why it was needled all the same."""
    clotted = findings["thrill"] == findings["bruit"] == "missing"
    grown = findings["bulge"] == "grown since last time"
    if not clotted and not grown and not findings["skin"].startswith("thin"):
        return {}
    told = {"told": f"{PHYSICIAN}, by telephone"}
    if needled:
        told |= {"needling_reason": "Needled well away from the bulge.", "needling_physician": PHYSICIAN}
    return told


def _static_at(course: Course) -> frozenset[int]:
    """The treatments at which the pump was stopped for static pressures: a person's first in each two weeks."""
    if not course.truth.has_static:
        return frozenset()
    windows: dict[int, int] = {}
    shift = int(chance.between(0, STATIC_EVERY_DAYS, course.seed, course.person.name, "static"))
    for index, day in enumerate(course.days):
        if course.routes[index] == "two needles":
            windows.setdefault((int(day) + shift) // STATIC_EVERY_DAYS, index)
    return frozenset(windows.values())


def _pressures(moment: Moment, *, noise: Noise, with_static: bool) -> Iterator[dict[str, Any]]:
    course, index = moment.course, moment.index
    by_catheter = course.routes[index] != "two needles"
    gap, speed = noise.gap[index], course.truth.pump_ml_min
    reached = value_at(course.truth.pump_reached, ordinal=moment.ordinal, otherwise=speed)
    cuff = _cuff(moment, noise=noise, minutes=0)
    if by_catheter:
        # The catheter is not in the model: its pressures are invented and enter no rule.
        yield _reading(moment, minute=30, pump=speed, venous=130 + 9 * noise.early[index], arterial=-140) | cuff
        return
    between, standard, running = BETWEEN * noise.between[index], course.standard, course.running
    early, late = WITHIN * noise.early[index], WITHIN * noise.late[index]
    if gap > NO_STANDARD:
        venous, arterial = standard.venous_mmhg[index], standard.pre_pump_arterial_mmhg[index]
        yield _reading(
            moment, minute=3, pump=STANDARD_ML_MIN, venous=venous + between + early, arterial=arterial - between + late
        ) | (cuff if gap > NO_STANDARD + NO_PRESSURE else {})
    if with_static:
        yield _static(moment, noise=noise)
    venous, arterial = running.venous_mmhg[index], running.pre_pump_arterial_mmhg[index]
    yield _reading(moment, minute=30, pump=reached, venous=venous + between + late, arterial=arterial - between - early)
    if gap < 1 - NO_LAST:
        drift = DRIFT * noise.drift[index]
        last = _reading(
            moment, minute=180, pump=reached, venous=venous + between + drift, arterial=arterial - between - drift
        )
        yield last | _cuff(moment, noise=noise, minutes=180)


def _reading(moment: Moment, *, minute: int, pump: float, venous: float, arterial: float) -> dict[str, Any]:
    """One line of the flow sheet; machines show pressures in steps of 5 mmHg."""
    return {
        "id": moment.key("pressures", minute),
        "measured_at": clock(moment.start + timedelta(minutes=minute)),
        "minute": float(minute),
        "pump_ml_min": float(pump),
        "venous_mmhg": float(5 * round(venous / 5)),
        "pre_pump_arterial_mmhg": float(5 * round(arterial / 5)),
    }


def _static(moment: Moment, *, noise: Noise) -> dict[str, Any]:
    """The pump stopped for half a minute; static pressures are read to 1 mmHg."""
    course, index = moment.course, moment.index
    solved, height = course.running, float(np.asarray(course.conditions.chamber_height_cm)[index])
    return {
        "id": moment.key("pressures", "static"),
        "measured_at": clock(moment.start + timedelta(minutes=20)),
        "minute": 20.0,
        "pump_ml_min": 0.0,
        "arterial_static_mmhg": _whole(solved.static_arterial_mmhg[index] + STATIC * noise.static_arterial[index]),
        "venous_static_mmhg": _whole(solved.static_venous_mmhg[index] + STATIC * noise.static_venous[index]),
        "arterial_height_cm": height,
        "venous_height_cm": height,
        "height_formula": "hydrostatic",
    } | _cuff(moment, noise=noise, minutes=20)


def _whole(value: float) -> float:
    return float(round(value))


def _cuff(moment: Moment, *, noise: Noise, minutes: int) -> dict[str, Any]:
    """A blood pressure by cuff, on the other arm; it falls a little while water is taken off."""
    course, index = moment.course, moment.index
    mean = course.mean_arterial_mmhg[index] - minutes / 60 + CUFF * noise.cuff[index]
    pulse = 55 + 7 * noise.pulse[index]
    other = "right" if course.truth.side == "left" else "left"
    return {
        "systolic_mmhg": _whole(mean + 2 * pulse / 3),
        "diastolic_mmhg": _whole(mean - pulse / 3),
        "cuff_limb": f"{other} arm",
    }


def _bleeding(moment: Moment, *, noise: Noise, listed: list[dict[str, Any]]) -> dict[str, float]:
    """Minutes to stop bleeding of the needles that stayed in; sometimes nobody looked at the clock."""
    course, index = moment.course, moment.index
    if noise.gap[index] < NO_BLEEDING / 2 or noise.gap[index] > 1 - NO_BLEEDING / 2:
        return {}
    more = value_at(course.truth.bleeding_more, ordinal=moment.ordinal, otherwise=0.0)
    stayed = [one for one in listed if one.get("outcome") in (None, "in use to the end")]
    return {
        one["id"]: float(max(3, round(noise.usual_bleeding + more + 1.2 * noise.bleeding[index] + place)))
        for place, one in enumerate(stayed)
    }
