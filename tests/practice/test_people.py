"""Who is in the invented clinics: sixty and a few patients on their shifts, and a cast for each role."""

from collections import Counter
from datetime import date
from pathlib import Path

from access.accounts.models import ROLES
from access.practice.people import SUNDAY, people, places, staff
from access.practice.stories import STORIES


def test_the_demo_has_sixty_patients_and_the_second_clinic_a_few() -> None:
    assert Counter(one.clinic for one in people()) == {"tarnwick": 60, "ostermere": 6}


def test_ten_are_due_on_each_shift_of_both_halves_of_the_week() -> None:
    home = [one for one in people() if one.clinic == "tarnwick"]
    groups = Counter((set(one.weekdays) & {0, 1} == {0}, one.shift) for one in home)
    assert set(groups.values()) == {10}
    assert {shift for _, shift in groups} == {"morning", "afternoon", "night"}


def test_somebody_is_due_on_every_shift_of_every_day() -> None:
    for day in range(7):
        for shift in ("morning", "afternoon", "night"):
            due = [one for one in people() if one.clinic == "tarnwick" and one.shift == shift and day in one.weekdays]
            assert len(due) >= (4 if day == SUNDAY else 10)


def test_no_two_share_a_name_a_chart_number_or_a_station() -> None:
    for of in ("name", "chart_number"):
        assert len({getattr(one, of) for one in people()}) == len(people())
    seats = Counter((one.clinic, one.weekdays[0], one.shift, one.station) for one in people())
    assert set(seats.values()) == {1}
    assert all(one.station <= places()[one.clinic].stations for one in people())


def test_every_story_is_somebodys_and_every_patient_is_grown_up() -> None:
    told = [one.story for one in people() if not one.is_healthy]
    assert sorted(told) == sorted(STORIES)
    assert all(one.birth_date < date(2000, 1, 1) for one in people())


def test_every_story_is_found_by_a_line_of_the_readme() -> None:
    readme = Path(__file__).resolve().parents[2].joinpath("README.md").read_text(encoding="utf-8")
    rows = [line for line in readme.splitlines() if line.startswith("| ")]
    shown = [one for one in people() if not one.is_healthy and one.clinic == "tarnwick"]
    for one in shown:
        [row] = [line for line in rows if one.name in line.split("|")[1]]
        assert one.shift in row
    assert any("Ostermere" in line for line in rows)


def test_the_first_clinic_has_every_role_and_only_the_cast_signs_in() -> None:
    home = [one for one in staff() if one.clinic == "tarnwick"]
    assert {one.role for one in home if one.signs_in} == set(ROLES)
    assert [one.username for one in staff() if one.clinic == "ostermere" and one.signs_in] == ["cleo"]


def test_the_numbers_to_call_are_obviously_nobodys() -> None:
    numbers = [contact["number"] for place in places().values() for contact in place.emergency_contacts]
    assert numbers
    assert all(number.startswith("000 000 ") for number in numbers)
