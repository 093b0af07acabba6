"""The courses of the invented people at one moment, made once for all tests that look at them without a database."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from functools import cache

from access.practice.accesses import FIRST_DAY
from access.practice.calendar import Calendar
from access.practice.clinic import SEED
from access.practice.course import Course, courses
from access.practice.people import people, places

NOW = datetime(2026, 11, 24, 10, 0, tzinfo=UTC)  # A Tuesday morning, in the first shift.
CALENDAR = Calendar(opened=NOW + timedelta(days=FIRST_DAY), as_of=NOW, places=places())
IDS = {"patient": "9" * 32, "access": "8" * 32, "tarnwick": "7" * 32, "ostermere": "6" * 32}


@cache
def every_course(days_later: int = 0) -> dict[str, Course]:
    """The course of everybody by name, up to so many days after now."""
    calendar = replace(CALENDAR, as_of=NOW + timedelta(days=days_later))
    return {one.person.name: one for one in courses(people(), calendar=calendar, seed=SEED)}


def of_story(story: str) -> Course:
    """The course of the person with this story."""
    return next(one for one in every_course().values() if one.person.story == story)


def healthy() -> list[Course]:
    """The courses of those whose access is healthy."""
    return [one for one in every_course().values() if one.person.is_healthy]
