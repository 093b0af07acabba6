"""The ratios of a whole record: the same as reading by reading, also at the edge of each condition."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from access.measures import Refused
from access.measures.derived import referred
from access.measures.needle_alone import BenchTable
from access.measures.readings import BenchPoint, DynamicReading
from access.measures.treatment_ratios import of_treatments, why_none
from access.measures.words import NeedleRole
from tests.measures.pressures import a_reading

# Around each condition (200 mL/min, 75 mmHg, 20 mmHg), where a number is rounded before it is compared.
PUMPS = st.sampled_from([180.0, 200.0, 200.49, 200.49999999999994, 200.5, 201.0, 300.0, 437.25])
MEANS = st.sampled_from([None, 60.0, 75.0, 75.4999999999999, 75.5, 76.0, 93.3])
VENOUS = st.sampled_from([None, 20.0, 20.4999999999999, 20.5, 21.0, 180.0])
PRE_PUMP = st.sampled_from([None, -250.0, -120.5, 0.0, 5.0])
GAUGES = st.sampled_from([None, 14, 15, 17, 18])
TABLE = BenchTable(
    points=tuple(
        BenchPoint(gauge=15, pump_ml_min=speed, pressure_mmhg=sign * 0.3 * speed)
        for speed in (200.0, 300.0, 350.0)
        for sign in (1, -1)
    )
)


@st.composite
def records(draw: st.DrawFn) -> list[DynamicReading]:
    """A few treatments with some readings each."""
    return [
        a_reading(
            day,
            minute=minute,
            pump=draw(PUMPS),
            mean_arterial=draw(MEANS),
            venous=draw(VENOUS),
            pre_pump=draw(PRE_PUMP),
            gauge=draw(GAUGES),
        )
        for day in range(draw(st.integers(0, 4)))
        for minute in range(10, 10 + draw(st.integers(1, 4)))
    ]


def one_by_one(
    readings: list[DynamicReading], *, role: NeedleRole, bench: BenchTable | None
) -> dict[str, tuple[str, float]]:
    """The first reading of each treatment that is not refused, with its ratio."""
    found: dict[str, tuple[str, float]] = {}
    for one in readings:
        try:
            ratio = referred(one, role=role, bench=bench).ratio
        except Refused:
            continue
        found.setdefault(one.treatment, (one.id, ratio))
    return found


@given(records(), st.sampled_from(["venous", "arterial"]), st.sampled_from([None, TABLE]))
def test_a_whole_record_gives_what_its_readings_give_one_by_one(
    readings: list[DynamicReading], role: NeedleRole, bench: BenchTable | None
) -> None:
    found = of_treatments(readings[::-1], role=role, bench=bench)
    expected = one_by_one(readings, role=role, bench=bench)
    assert {one.reading.treatment: (one.reading.id, one.ratio) for one in found.ratios} == expected
    assert {one.treatment for one in found.left_out} == {one.treatment for one in readings} - expected.keys()
    assert all(why_none(one, role=role, bench=bench) for one in found.left_out)


def test_of_each_treatment_the_first_reading_under_the_conditions_counts() -> None:
    readings = [
        a_reading(0, pump=200, minute=3),
        a_reading(0, venous=170, minute=30),
        a_reading(0, venous=210, minute=180),
        a_reading(2, gauge=None),
        a_reading(4, venous=None),
    ]
    found = of_treatments(readings[::-1])
    assert [one.reading.id for one in found.ratios] == ["reading 0 30"]
    assert [one.treatment for one in found.left_out] == ["treatment 2", "treatment 4"]


@pytest.mark.parametrize(("changed", "why"), [({"gauge": None}, "gauge"), ({"pump": 200.0}, "200"), ({}, "")])
def test_why_a_reading_gives_none_is_said_in_words(changed: dict[str, float | None], why: str) -> None:
    said = why_none(a_reading(0, **changed))  # type: ignore[arg-type]
    assert (why in said) and bool(said) is bool(why)
