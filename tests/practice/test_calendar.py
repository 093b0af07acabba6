"""When the invented treatments are due: shifts over midnight, clocks that change, and what was over at a moment."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

from access.practice.people import people
from tests.practice.invented import CALENDAR, NOW, every_course

ZERO = timedelta(0)
NIGHT = next(one for one in people() if one.story == "night shift")


def test_a_night_shift_belongs_to_the_evening_on_which_it_starts() -> None:
    starts, ends = CALENDAR.hours_of("night", day=date(2026, 11, 23), place="tarnwick")
    assert (starts.date(), ends.date()) == (date(2026, 11, 23), date(2026, 11, 24))


def test_a_treatment_counts_once_its_shift_is_over_and_not_before() -> None:
    at_one, at_three = (datetime(2026, 11, 24, hour, 0, tzinfo=UTC) for hour in (1, 3))
    before = CALENDAR.days_of(NIGHT, since=-30, moment=at_one)
    after = CALENDAR.days_of(NIGHT, since=-30, moment=at_three)
    assert CALENDAR.date_of(int(after[-1]), place="tarnwick") == date(2026, 11, 23)
    assert list(after[:-1]) == list(before)


def test_treatments_fall_on_the_weekdays_of_the_schedule() -> None:
    for course in every_course().values():
        assert {day.weekday() for day in course.clinic_days} <= set(course.person.weekdays)


def test_day_numbers_and_dates_are_one_another_turned_round() -> None:
    for number in (-548, -1, 0, 40):
        assert CALENDAR.day_number(CALENDAR.date_of(number, place="tarnwick"), place="tarnwick") == number


def test_a_treatment_lasts_its_hours_through_the_night_on_which_the_clocks_change() -> None:
    # On 29 March 2026 at 01:00 UTC the clocks of the zone go from 01:00 to 02:00.
    eve, zone = date(2026, 3, 28), CALENDAR.zone("tarnwick")
    at_night = [one for one in every_course().values() if one.person.shift == "night" and eve in one.clinic_days]
    across = [one for one in at_night if one.hours > 4]
    assert across
    for course in across:
        start = course.starts[course.clinic_days.index(eve)]
        end = start + timedelta(hours=course.hours)
        assert (start.astimezone(zone).utcoffset(), end.astimezone(zone).utcoffset()) == (ZERO, timedelta(hours=1))
        assert (end - start).total_seconds() == 3600 * course.hours


def test_a_later_moment_only_adds_days() -> None:
    later = replace(CALENDAR, as_of=NOW + timedelta(days=30))
    for person in people()[:12]:
        now = list(CALENDAR.days_of(person, since=-100, moment=NOW))
        assert list(later.days_of(person, since=-100, moment=later.as_of))[: len(now)] == now
