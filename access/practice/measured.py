"""What was measured beside the invented treatments: flows, recirculation tests, doses, hematocrits, as documents.

Each is drawn from the model as a nurse would draw it, with the published noise of its method; nothing is judged here.
"""

from collections.abc import Iterator
from dataclasses import dataclass, is_dataclass, replace
from datetime import datetime, timedelta
from typing import Any, TypeVar

import numpy as np

from access.measures import dose
from access.measures.circuit import flow_by_reversed_lines_ml_min, solve
from access.measures.draws import draw_urea
from access.practice import chance
from access.practice.chance import Days
from access.practice.course import Course
from access.practice.needling import clock

Piece = TypeVar("Piece")
# Days from one to the next: monthly, the hematocrit every eight weeks.
FLOW_DAYS, DOSE_DAYS, TEST_DAYS, HEMATOCRIT_DAYS = 28, 28, 28, 56
# Between-session variation of ultrasound dilution is .142 (ndt-2005); the blood pressure of the day is in the model
# already, so the rest is less.
FLOW_CV, DUPLEX_CV = 0.132, 0.15
UREA_CV = 0.02  # Within one run of the assay (from memory).
EXTRACTION = 0.68  # Part of the urea that one passage through the dialyzer takes out; invented.
FLOW_TEST_PUMP_ML_MIN = 300.0
SHARE_NOT_DONE = 0.02


@dataclass(frozen=True, kw_only=True)
class Result:
    """A small record: what it is, at which treatment it was taken, and its document without ids of others."""

    subject: str
    id: str
    index: int
    at: datetime
    document: dict[str, Any]
    needs_access: bool = True


def measured(course: Course, *, since: int = 0) -> Iterator[Result]:
    """All small measurements of a course at its treatments from an index on."""
    for found in (_flows(course), _recirculations(course), _doses(course), _hematocrits(course)):
        yield from (one for one in found if one.index >= since)


def _at_first(course: Course, *, every_days: int, routes: tuple[str, ...], gap: str) -> Days:
    """The first treatment in each period, each person at another time of it; now and then it was not done."""
    shift = int(chance.between(0, every_days, course.seed, course.person.name, "period"))
    first: dict[int, int] = {}
    for index, day in enumerate(course.days):
        if course.routes[index] in routes and course.truth.created <= day:
            first.setdefault((int(day) + shift) // every_days, index)
    done = course.shares(gap)
    return np.array([one for one in first.values() if done[one] > SHARE_NOT_DONE], dtype=np.int64)


def _taken(piece: Piece, at: Days) -> Piece:
    """A dataclass of arrays at some treatments only."""
    names = piece.__dataclass_fields__  # type: ignore[attr-defined]
    values = {name: getattr(piece, name) for name in names}
    return type(piece)(**{name: _taken(one, at) if is_dataclass(one) else one[at] for name, one in values.items()})


def _result(
    course: Course, index: int, *, subject: str, minutes: int, document: dict[str, Any], needs_access: bool = True
) -> Result:
    at = course.starts[index] + timedelta(minutes=minutes)
    name = chance.record_id(at, course.seed, course.person.name, int(course.days[index]), subject, minutes)
    document = {"measured_at": clock(at)} | document
    return Result(subject=subject, id=str(name), index=index, at=at, document=document, needs_access=needs_access)


def _flows(course: Course) -> Iterator[Result]:
    """Monthly flows by ultrasound dilution with the lines reversed; duplex while the access is not needled by two."""
    at = _at_first(course, every_days=FLOW_DAYS, routes=("two needles",), gap="flow not done")
    if len(at):
        conditions = replace(_taken(course.conditions, at), pump_ml_min=np.full(len(at), FLOW_TEST_PUMP_ML_MIN))
        true = flow_by_reversed_lines_ml_min(_taken(course.access, at), conditions=conditions)
        read = true * np.exp(FLOW_CV * course.numbers("flow")[at])
        for index, ml_min in zip(at, read, strict=True):
            yield _dilution(course, int(index), ml_min=float(ml_min))
    by_catheter = ("catheter", "needle and catheter lumen")
    seen = _at_first(course, every_days=FLOW_DAYS, routes=by_catheter, gap="duplex not done")
    if course.truth.status != "clotted":
        for index in seen:
            yield _duplex(course, int(index))


def _dilution(course: Course, index: int, *, ml_min: float) -> Result:
    pump, nurse_time = FLOW_TEST_PUMP_ML_MIN, course.starts[index] + timedelta(minutes=72)
    fraction = round(pump / (pump + ml_min), 3)
    mean = course.mean_arterial_mmhg[index]
    document = {
        "method": "ultrasound dilution",
        "inputs": {"pump_ml_min": pump, "recirculation_fraction": fraction},
        "lines": "reversed",
        "lines_put_back_at": clock(nurse_time),
        "arterial_direction": "against the flow",
        "systolic_mmhg": float(round(mean + 36)),
        "diastolic_mmhg": float(round(mean - 18)),
    }
    return _result(course, index, subject="flow", minutes=60, document=document)


def _duplex(course: Course, index: int) -> Result:
    """Velocity by which the diameter gives the flow of the model, read with the noise of duplex."""
    flow = course.running.flow_ml_min[index] * np.exp(DUPLEX_CV * course.numbers("duplex")[index])
    diameter = course.truth.diameter_cm
    velocity = flow / (60 * np.pi * (diameter / 2) ** 2)
    inputs = {"diameter_cm": diameter, "velocity_cm_s": float(round(velocity, 1))}
    return _result(course, index, subject="flow", minutes=-30, document={"method": "duplex", "inputs": inputs})


def _recirculations(course: Course) -> Iterator[Result]:
    """Three-sample tests of fistulas, and those that a story tells of."""
    if course.truth.kind != "fistula":
        return
    regular = _at_first(course, every_days=TEST_DAYS, routes=("two needles",), gap="test not done")
    told = dict(course.truth.tests)
    extra = {index: told[int(one)] for index, one in enumerate(course.ordinals) if int(one) in told}
    at = np.array(sorted({*regular.tolist(), *extra}), dtype=np.int64)
    if not len(at):
        return
    reversed_ = np.array([extra.get(int(index)) == "reversed" for index in at])
    conditions = replace(_taken(course.conditions, at), lines_reversed=reversed_)
    before = _urea_before(course, at)
    drawn = draw_urea(
        _taken(course.access, at), conditions=conditions, systemic=0.85 * before, extraction_fraction=EXTRACTION
    )
    for place, index in enumerate(at):
        is_waiting = int(course.ordinals[index]) == course.truth.waits_for_samples_at
        samples = {
            name: None if is_waiting else _assayed(course, int(index), float(getattr(drawn, name)[place]), what=name)
            for name in ("systemic", "arterial", "venous")
        }
        yield _test(course, int(index), samples=samples, lines="reversed" if reversed_[place] else "right")


def _test(course: Course, index: int, *, samples: dict[str, float | None], lines: str) -> Result:
    start = course.starts[index]
    document = {
        **samples,
        "unit": "mg/dL",
        "systemic_site": "arterial line after slow flow",
        "pump_ml_min": course.truth.pump_ml_min,
        "slow_flow_ml_min": 120.0,
        "slow_flow_seconds": 10.0,
        "minutes_into_treatment": 30.0,
        "arterial_venous_drawn_at": clock(start + timedelta(minutes=30)),
        "systemic_drawn_at": clock(start + timedelta(minutes=31)),
        "ultrafiltration_off": True,
        "lines": lines,
    }
    return _result(course, index, subject="recirculation", minutes=31, document=document)


def _urea_before(course: Course, at: Days) -> chance.Values:
    """Urea before the treatment, mg/dL."""
    usual = chance.between(52, 78, course.seed, course.person.name, "urea")
    return usual * np.exp(0.1 * course.numbers("urea")[at])


def _assayed(course: Course, index: int, value: float, *, what: str) -> float:
    """A urea value as the laboratory gives it: with its error, to 1 mg/dL."""
    noise = chance.normals(np.array([int(course.days[index]) + 600]), course.seed, course.person.name, "assay", what)
    return float(round(value * (1 + UREA_CV * float(noise[0]))))


def _doses(course: Course) -> Iterator[Result]:
    """The monthly dose; recirculation takes from it what is cleared twice."""
    routes = ("two needles", "needle and catheter lumen", "catheter")
    at = _at_first(course, every_days=DOSE_DAYS, routes=routes, gap="dose not done")
    if not len(at):
        return
    part = solve(_taken(course.access, at), conditions=_taken(course.conditions, at)).recirculation_fraction
    by_needles = np.array([course.routes[int(one)] == "two needles" for one in at])
    part = np.where(by_needles, part, 0.0)
    usual = chance.between(1.38, 1.62, course.seed, course.person.name, "dose")
    reached = usual * (1 - part) / (1 - part * (1 - EXTRACTION))
    weight = float(round(chance.between(54, 92, course.seed, course.person.name, "weight"), 1))
    removed = np.clip(2.4 + 0.5 * course.numbers("water")[at], 0.5, 4.5)
    for place, (index, urea) in enumerate(zip(at, _urea_before(course, at), strict=True)):
        water = float(round(removed[place], 1))
        share = _share_left(float(reached[place]), hours=course.hours, water_l=water, weight_kg=weight)
        document = {
            "urea_before": _assayed(course, int(index), float(urea), what="before"),
            "urea_after": _assayed(course, int(index), float(urea) * share, what="after"),
            "unit": "mg/dL",
            "hours": course.hours,
            "ultrafiltration_l": water,
            "weight_kg": weight,
            "pump_ml_min": course.truth.pump_ml_min,
            "dialysate_flow_ml_min": 500.0,
            "dialyzer": "1.8 m2",
        }
        minutes = int(60 * course.hours)
        yield _result(course, int(index), subject="dose", minutes=minutes, document=document, needs_access=False)


def _share_left(kt_v: float, *, hours: float, water_l: float, weight_kg: float) -> float:
    """The part of the urea that is left after a treatment of this Kt/V, by halving: Kt/V falls with it."""
    low, high = 0.008 * hours + 1e-6, 0.999
    for _ in range(40):
        middle = (low + high) / 2
        if dose.kt_v(1.0, after=middle, hours=hours, ultrafiltration_l=water_l, weight_kg=weight_kg) > kt_v:
            low = middle
        else:
            high = middle
    return low


def _hematocrits(course: Course) -> Iterator[Result]:
    """Hematocrits of the laboratory, in percent."""
    routes = ("two needles", "needle and catheter lumen", "catheter")
    for index in _at_first(course, every_days=HEMATOCRIT_DAYS, routes=routes, gap="hematocrit not done"):
        value = round(100 * float(course.hematocrit_fraction[index]), 1)
        document = {"what": "hematocrit", "value": value, "unit": "%"}
        yield _result(course, int(index), subject="lab", minutes=2, document=document, needs_access=False)
