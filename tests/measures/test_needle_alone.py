"""What needle and tubing alone read: the bench table between its points, the model, and what each refuses."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from access.measures import Refused
from access.measures.circuit import arterial_needle
from access.measures.hydraulics import needle, needle_alone_mmhg
from access.measures.needle_alone import BenchTable, needle_alone, with_arterial_gauge
from access.measures.readings import BenchPoint
from access.measures.words import NeedleRole
from tests.measures.histories import a_puncture, an_access
from tests.measures.pressures import a_reading

SPEEDS = (100, 200, 300, 400)


def a_table(*, linear: float = 0.1, quadratic: float = 0.001, gauge: int = 15, line: str = "A") -> BenchTable:
    """A bench that reads a Q + b Q^2 on the venous side and as much below zero on the arterial one."""
    drops = [(speed, linear * speed + quadratic * speed**2) for speed in SPEEDS]
    points = [
        BenchPoint(gauge=gauge, pump_ml_min=speed, pressure_mmhg=sign * drop, needle_and_line=line)
        for sign in (1, -1)
        for speed, drop in drops
    ]
    return BenchTable(points=tuple(points))


@given(st.floats(100, 400), st.floats(0.01, 0.3), st.floats(0, 0.003), st.sampled_from(["arterial", "venous"]))
def test_between_its_points_a_table_is_exact_for_the_law_of_a_needle(
    pump: float, linear: float, quadratic: float, role: NeedleRole
) -> None:
    table = a_table(linear=linear, quadratic=quadratic)
    sign = -1 if role == "arterial" else 1
    assert table.mmhg(pump, gauge=15, role=role) == pytest.approx(sign * (linear * pump + quadratic * pump**2))


@given(st.floats(100, 400), st.floats(100, 400))
def test_a_faster_pump_never_reads_less_on_the_bench(one: float, other: float) -> None:
    low, high = sorted((one, other))
    assert a_table().mmhg(low, gauge=15) <= a_table().mmhg(high, gauge=15) + 1e-9


def test_two_readings_of_one_speed_are_averaged() -> None:
    points = [BenchPoint(gauge=16, pump_ml_min=at, pressure_mmhg=p) for at, p in ((200, 70), (200, 80), (300, 150))]
    assert BenchTable(points=tuple(points)).mmhg(200, gauge=16) == pytest.approx(75)


@pytest.mark.parametrize(
    ("pump", "gauge", "words"),
    [(99, 15, "from 100 to 400 mL/min, not at 99"), (401, 15, "not at 401"), (300, 16, "no 16G on the venous side")],
)
def test_outside_its_points_a_table_refuses(pump: float, gauge: int, words: str) -> None:
    with pytest.raises(Refused, match=words):
        a_table().mmhg(pump, gauge=gauge)


def test_a_speed_that_is_shown_as_the_last_one_of_the_table_is_answered() -> None:
    assert a_table().mmhg(400.4, gauge=15) == pytest.approx(a_table().mmhg(400, gauge=15), rel=0.002)


def test_of_two_lines_at_one_gauge_the_table_asks_which() -> None:
    both = BenchTable(points=a_table().points + a_table(linear=0.2, line="B").points)
    with pytest.raises(Refused, match="A and B: say which"):
        both.mmhg(300, gauge=15)
    assert replace(both, needle_and_line="B").mmhg(200, gauge=15) == pytest.approx(80)


def test_a_table_that_contradicts_itself_is_refused() -> None:
    points = [BenchPoint(gauge=15, pump_ml_min=at, pressure_mmhg=p) for at, p in ((200, 90), (300, 60))]
    with pytest.raises(Refused, match="does not rise with the pump speed"):
        BenchTable(points=tuple(points)).mmhg(250, gauge=15)


def test_without_a_table_the_model_speaks_and_says_so() -> None:
    found = needle_alone(replace(a_reading(0, pump=350), hematocrit_fraction=0.4))
    assert found.mmhg == pytest.approx(float(needle_alone_mmhg(350, gauge=15, hematocrit_fraction=0.4)))
    assert found.source == "hydraulic model"
    assert (
        found.words == f"15G at 350 mL/min reads {found.mmhg:.0f} mmHg alone, by the hydraulic model, hematocrit 0.40"
    )
    assert "hematocrit 0.33 assumed" in needle_alone(a_reading(0)).words


def test_the_arterial_needle_reads_below_zero_with_its_own_loss() -> None:
    own = arterial_needle(15)
    drop = float(needle(own.bore_mm, loss=own.loss).mmhg(300))
    assert needle_alone(a_reading(0), role="arterial").mmhg == pytest.approx(-drop)


def test_with_a_table_the_model_fills_no_gap() -> None:
    found = needle_alone(a_reading(0), bench=a_table())
    assert found.source == "bench table"
    assert found.mmhg == pytest.approx(120)
    assert "by the clinic's bench table" in found.words
    with pytest.raises(Refused):
        needle_alone(a_reading(0, pump=450), bench=a_table())


@pytest.mark.parametrize("bench", [None, a_table()])
def test_without_a_gauge_nothing_is_known(bench: BenchTable | None) -> None:
    with pytest.raises(Refused, match="gauge of the venous needle"):
        needle_alone(a_reading(0, gauge=None), bench=bench)


def test_the_arterial_gauge_takes_the_place_of_the_venous_one() -> None:
    punctures = (replace(a_puncture(0, role="arterial"), gauge=14), a_puncture(2, role="venous"))
    readings = (a_reading(0), a_reading(2), a_reading(4))
    access = replace(an_access(), dynamics=readings, punctures=punctures)
    # Of day 2 no arterial puncture is recorded, of day 4 none at all.
    assert [one.gauge for one in with_arterial_gauge(access)] == [14, None, 15]
