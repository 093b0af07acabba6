"""The plane of a chart: time to the right, values upward, with round ticks on both.

It knows neither points nor limits; charts puts those into the plane.
"""

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from math import ceil, floor, log10

from access.drawing.ink import EDGE, HAIR, SOFT, Markup, group, line, words
from access.drawing.series import MONTHS, rounded

SMALL = 11.5
_LABEL_ROOM_PX = 58.0
_MONTH_STEPS = (1, 2, 3, 6, 12, 24, 60, 120)
_DAY_STEPS = (1, 2, 7, 14)


@dataclass(frozen=True, kw_only=True)
class Plane:
    """A rectangle of the drawing (px) with the time and value that its edges stand for."""

    left: float
    right: float
    top: float
    bottom: float
    since: datetime
    until: datetime
    low: float
    high: float

    def x(self, at: datetime) -> float:
        """Where a time stands."""
        share = (at - self.since) / (self.until - self.since)
        return self.left + share * (self.right - self.left)

    def y(self, value: float) -> float:
        """Where a value stands."""
        share = (value - self.low) / (self.high - self.low)
        return self.bottom - share * (self.bottom - self.top)

    def start_of(self, day: date) -> datetime:
        """The first moment of a day in the zone of the chart."""
        return datetime(day.year, day.month, day.day, tzinfo=self.until.tzinfo)


def value_ticks(low: float, high: float, *, at_most: int) -> list[float]:
    """Round values (1, 2 or 5 times a power of ten apart) that enclose the range."""
    span = high - low
    if span < 1e-3 * max(abs(high), 1e-3):  # As good as one value: it gets room of its own size around it.
        span = abs(high) if abs(high) >= 1e-2 else 1.0
    rough = span / max(at_most - 1, 1)
    power = 10.0 ** floor(log10(rough))
    step = next(factor * power for factor in (1, 2, 5, 10) if factor * power >= rough * (1 - 1e-9))
    first, last = floor(low / step + 1e-9), ceil(high / step - 1e-9)
    return [round(index * step, 10) for index in range(first, max(last, first + 1) + 1)]


def time_ticks(since: datetime, until: datetime, *, room_px: float) -> list[tuple[datetime, str]]:
    """Days or firsts of months between two times, as many as have room, each with its label."""
    days = (until - since) / timedelta(days=1)
    fit = max(room_px / _LABEL_ROOM_PX, 1.0)
    for step in _DAY_STEPS:
        if days / step <= fit:
            return _day_ticks(since, until, step)
    months = next((step for step in _MONTH_STEPS if days / (30.44 * step) <= fit), _MONTH_STEPS[-1])
    return _month_ticks(since, until, months)


def _day_ticks(since: datetime, until: datetime, step: int) -> list[tuple[datetime, str]]:
    first = since.date() + timedelta(days=1)
    days = [first + timedelta(days=index) for index in range(0, (until.date() - first).days + 1, step)]
    return [(datetime(d.year, d.month, d.day, tzinfo=until.tzinfo), f"{d.day} {MONTHS[d.month - 1]}") for d in days]


def _month_ticks(since: datetime, until: datetime, step: int) -> list[tuple[datetime, str]]:
    ticks: list[tuple[datetime, str]] = []
    for index in range(since.year * 12 + since.month, until.year * 12 + until.month):
        year, month = divmod(index, 12)
        if index % step == 0:
            name = f"{year}" if step >= 12 else f"{MONTHS[month]} {year}" if month == 0 or not ticks else MONTHS[month]
            ticks.append((datetime(year, month + 1, 1, tzinfo=until.tzinfo), name))
    return ticks


def value_axis(plane: Plane, ticks: list[float], *, decimals: int) -> Markup:
    """A hairline at each round value with its number at the left."""
    lines = [line(plane.left, plane.y(v), plane.right, plane.y(v), tone=HAIR, width=1) for v in ticks]
    numbers = [
        words(rounded(v, decimals), x=plane.left - 6, y=plane.y(v) + 4, size=SMALL, tone=SOFT, anchor="end")
        for v in ticks
    ]
    return group(*lines, *numbers)


def time_axis(plane: Plane) -> Markup:
    """The foot of the chart: a line, a tick at each time, and the labels as far as they do not touch."""
    parts = [line(plane.left, plane.bottom, plane.right, plane.bottom, tone=EDGE, width=1)]
    taken = plane.left - SMALL
    for at, label in time_ticks(plane.since, plane.until, room_px=plane.right - plane.left):
        x, half = plane.x(at), len(label) * SMALL * 0.28
        parts.append(line(x, plane.bottom, x, plane.bottom + 4, tone=EDGE, width=1))
        middle = min(x, plane.right + 8 - half)
        if middle - half > taken:
            parts.append(words(label, x=middle, y=plane.bottom + 17, size=SMALL, tone=SOFT, anchor="middle"))
            taken = middle + half + 8
    return group(*parts)
