"""When the invented treatments are due: clinic days, shifts over midnight, and which were over at a moment.

The clinic opened eighteen months before the story day. Days are counted from that day, in the clinic's own zone.
"""

from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import numpy as np

from access.practice.accesses import FIRST_DAY
from access.practice.chance import Days
from access.practice.people import Person, Place


@dataclass(frozen=True, kw_only=True)
class Calendar:
    """From when to when treatments are made; ``opened`` never changes once a demo exists."""

    opened: datetime
    as_of: datetime
    places: dict[str, Place]

    @property
    def story_moment(self) -> datetime:
        """The moment at which the demo was first made."""
        return self.opened - timedelta(days=FIRST_DAY)

    def zone(self, place: str) -> ZoneInfo:
        """The zone of a clinic."""
        return ZoneInfo(self.places[place].time_zone)

    def day_number(self, day: date, *, place: str) -> int:
        """Days after the story day; negative before it."""
        return (day - self.story_moment.astimezone(self.zone(place)).date()).days

    def date_of(self, day: int, *, place: str) -> date:
        """The date of a day number."""
        return self.story_moment.astimezone(self.zone(place)).date() + timedelta(days=day)

    def hours_of(self, shift: str, *, day: date, place: str) -> tuple[datetime, datetime]:
        """When a shift starts and ends; it may end on the next day."""
        row = next(one for one in self.places[place].shifts if one["name"] == shift)
        starts, ends = time.fromisoformat(row["starts"]), time.fromisoformat(row["ends"])
        zone = self.zone(place)
        last_day = day if ends > starts else day + timedelta(days=1)
        return datetime.combine(day, starts, tzinfo=zone), datetime.combine(last_day, ends, tzinfo=zone)

    def days_of(self, person: Person, *, since: int, moment: datetime) -> Days:
        """The day numbers of the person's treatments, from a day on, whose shift was over at a moment."""
        place = person.clinic
        last = self.day_number(moment.astimezone(self.zone(place)).date(), place=place)
        numbers = np.arange(since, last + 1)
        weekdays = (numbers + self.date_of(0, place=place).weekday()) % 7
        found = numbers[np.isin(weekdays, person.weekdays)]
        over = [
            self.hours_of(person.shift, day=self.date_of(int(day), place=place), place=place)[1] <= moment
            for day in found[-2:]
        ]
        return found[: len(found) - over.count(False)]
