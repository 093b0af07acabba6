"""Any history of an access, for the properties that must hold whatever is in it."""

from dataclasses import replace
from typing import Any

from hypothesis import strategies as st

from access.measures.readings import AccessProfile, EventReading, ExaminationReading, TreatmentReading, ZoneReading
from access.measures.words import FINDINGS, Kind, Route
from tests.measures.histories import (
    a_dynamic,
    a_flow,
    a_puncture,
    a_ratio,
    a_recirculation,
    an_access,
    an_event,
    an_examination,
    at,
    doses,
    on,
)

DAYS = st.integers(0, 200)
FIELDS = st.fixed_dictionaries({}, optional={field: st.sampled_from(readings) for field, readings in FINDINGS.items()})
ROUTES: tuple[Route, ...] = ("two needles", "two needles", "one needle", "needle and catheter lumen", "catheter")
PRESCRIPTIONS = ("4 h, 300, 500, A", "4 h, 300, 500, A", "3.5 h, 300, 500, A")


def _numbered(readings: list[Any], *, name: str) -> tuple[Any, ...]:
    """The same readings with ids that differ, so that readings of one moment stay apart."""
    return tuple(replace(one, id=f"{name} {count:03}") for count, one in enumerate(readings))


@st.composite
def _examinations(draw: st.DrawFn, *, least: int, most: int) -> tuple[ExaminationReading, ...]:
    days = draw(st.lists(DAYS, min_size=least, max_size=most))
    found = []
    for day in days:
        one = an_examination(day, draw(st.sampled_from(["Ada", "Dov"])))
        second = draw(st.booleans())
        found.append(
            replace(
                one,
                treatment=draw(st.none() | st.just(one.treatment)),
                findings=draw(FIELDS),
                second_examiner="Ben" if second else "",
                second_findings=draw(FIELDS) if second else {},
            )
        )
    return _numbered(found, name="examination")


@st.composite
def _dynamics(draw: st.DrawFn, *, least: int, most: int) -> tuple[Any, ...]:
    rows = draw(
        st.lists(
            st.tuples(
                DAYS,
                st.none() | st.floats(20, 300),
                st.none() | st.floats(-400, 20),
                st.sampled_from([200, 300]),
                st.sampled_from([3, 60]),
                st.sampled_from([None, 15, 15, 16]),
                st.sampled_from([None, 125, 150]),
            ),
            min_size=least,
            max_size=most,
        )
    )
    made = [
        a_dynamic(day, venous=venous, pre_pump=low, pump=pump, minute=minute, gauge=gauge, limit=limit)
        for day, venous, low, pump, minute, gauge, limit in rows
    ]
    return _numbered(made, name="dynamic")


@st.composite
def histories(draw: st.DrawFn, *, least: int = 0, most: int = 8) -> AccessProfile:
    """An access with anything in it, many readings at one moment among them."""

    def several(value: st.SearchStrategy[Any]) -> list[tuple[int, Any]]:
        return draw(st.lists(st.tuples(DAYS, value), min_size=least, max_size=most))

    kind: Kind = draw(st.sampled_from(["graft", "fistula"]))
    treatments = [
        TreatmentReading(
            id=f"treatment {day}", at=at(day), route=route, pump_prescribed_ml_min=400, pump_reached_ml_min=reached
        )
        for day, (route, reached) in dict(
            several(st.tuples(st.sampled_from(ROUTES), st.none() | st.floats(200, 420)))
        ).items()
    ]
    punctures = several(st.tuples(st.sampled_from(["arterial", "venous"]), st.none() | st.floats(2, 40)))
    ratios = several(st.tuples(st.sampled_from(["arterial", "venous"]), st.floats(0.05, 1.1)))
    dosed = several(st.tuples(st.floats(0.8, 2.0), st.sampled_from(PRESCRIPTIONS)))
    events = several(st.sampled_from(["angioplasty", "thrombectomy", "infection", "clotted"])) if least == 0 else []
    return replace(
        an_access(kind),
        treatments=tuple(treatments),
        examinations=draw(_examinations(least=least, most=most)),
        dynamics=draw(_dynamics(least=least, most=most)),
        flows=_numbered([a_flow(day, value) for day, value in several(st.floats(100, 2500))], name="flow"),
        ratios=_numbered([a_ratio(day, value, role=role) for day, (role, value) in ratios], name="ratio"),
        recirculations=_numbered([a_recirculation(day, value) for day, value in several(st.floats(-5, 50))], name="r"),
        doses=_numbered(
            [replace(doses((day, value)).doses[0], prescription=text) for day, (value, text) in dosed], name="dose"
        ),
        punctures=_numbered(
            [a_puncture(day, role=role, minutes=value) for day, (role, value) in punctures], name="puncture"
        ),
        events=tuple(_event(count, day, what) for count, (day, what) in enumerate(events)),
        zones=(ZoneReading(from_cm=3, to_cm=4, why="scab", action="keep off", since=on(draw(DAYS))),)
        if draw(st.booleans())
        else (),
    )


def _event(count: int, day: int, what: str) -> EventReading:
    return replace(an_event(day, what), id=f"event {count}")


@st.composite
def one_of_each(draw: st.DrawFn) -> AccessProfile:
    """At most one measurement of each quantity, of any value, and no examination."""
    some = draw(histories(most=1))
    return replace(some, examinations=(), zones=(), dynamics=some.dynamics[:1])


@st.composite
def normal_numbers(draw: st.DrawFn, profile: AccessProfile) -> AccessProfile:
    """The same access with more measurements, all of them normal."""
    day = draw(DAYS)
    extra: dict[str, tuple[Any, ...]] = {
        "flows": (replace(a_flow(day, 1100), id="normal flow"),),
        "ratios": (replace(a_ratio(day, 0.25), id="normal ratio"),),
        "dynamics": (replace(a_dynamic(day, venous=90, pre_pump=-100), id="normal pressure"),),
        "recirculations": (replace(a_recirculation(day, 0.0), id="normal recirculation"),),
        "doses": (replace(doses((day, 1.5)).doses[0], id="normal dose"),),
        "treatments": (
            TreatmentReading(
                id="normal treatment",
                at=at(day),
                route="two needles",
                pump_prescribed_ml_min=400,
                pump_reached_ml_min=400,
            ),
        ),
    }
    chosen = draw(st.sets(st.sampled_from(sorted(extra)), min_size=1))
    series: dict[str, Any] = {name: (*getattr(profile, name), *extra[name]) for name in chosen}
    return replace(profile, **series)
