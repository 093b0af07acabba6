"""A step test as a person reads it: its pressure with its doubt, the ratio or what it lacks; none where none was."""

from typing import Any

import pytest

from access.records import history
from access.records.history.stepped import stepped
from tests.records.bedside import NOW, Bedside, ago, running

# The worked example of ``pressure.step-test`` in the handbook, at 15G.
STEPS = ((50.0, 42.0), (100.0, 50.0), (150.0, 66.0), (200.0, 83.0))

pytestmark = pytest.mark.django_db


def minutes(**first: Any) -> list[dict[str, Any]]:
    """One reading a speed, a minute apart; ``first`` stands with the first."""
    found = [running(venous, pump=pump) | {"minute": 4.0 + place} for place, (pump, venous) in enumerate(STEPS)]
    found[0] |= first
    return found


def asked(north: Bedside, **first: Any) -> list[dict[str, Any]]:
    access = north.access(north.patient())
    north.treatment(access, at=ago(5), pressures=minutes(**first))
    north.treatment(access, at=ago(3), pressures=[running(120)])
    return stepped(history.profile(access, as_of=NOW))


@pytest.fixture
def north() -> Bedside:
    return Bedside()


def test_the_pressure_comes_with_its_doubt_and_its_readings(north: Bedside) -> None:
    (item,) = asked(north)
    assert item["sentence"] == "Pressure at the venous site 35 mmHg, standard error 2, as the chamber shows it."
    assert item["table"]["rows"] == [["50", "42"], ["100", "50"], ["150", "66"], ["200", "83"]]
    assert item["worked"]["formula"] and item["worked"]["doubt"]


def test_with_height_and_blood_pressure_it_gives_the_static_ratio(north: Bedside) -> None:
    (item,) = asked(north, venous_height_cm=30.0, systolic_mmhg=133.0, diastolic_mmhg=73.0)  # Mean 93.
    assert item["lines"][0] == "Static ratio 0.62 (90 % interval 0.57 to 0.67), hydrostatic height."


def test_without_them_it_says_what_the_ratio_needs(north: Bedside) -> None:
    (item,) = asked(north)
    assert item["lines"][0].startswith("No ratio: it needs the height of the chamber")


def test_a_blood_pressure_that_gives_no_ratio_is_answered_in_words(north: Bedside) -> None:
    (item,) = asked(north, venous_height_cm=30.0, systolic_mmhg=80.0, diastolic_mmhg=50.0)
    assert item["lines"][0].startswith("No ratio: Mean arterial pressure 60 mmHg")


def test_readings_that_fall_with_the_speed_give_no_pressure_and_say_so(north: Bedside) -> None:
    access = north.access(north.patient())
    falling = [running(venous, pump=pump) | {"minute": 4.0} for pump, venous in ((50, 90), (100, 80), (200, 60))]
    north.treatment(access, at=ago(5), pressures=falling)
    (item,) = stepped(history.profile(access, as_of=NOW))
    assert item["sentence"].startswith("No pressure follows from it")


def test_usual_treatments_are_no_step_test(north: Bedside) -> None:
    access = north.access(north.patient())
    north.treatment(access, at=ago(3), pressures=[running(120), running(180, pump=350)])
    assert stepped(history.profile(access, as_of=NOW)) == []
