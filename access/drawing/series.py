"""What is drawn on a chart: points, levels, limits, bands and events, as the caller hands them in.

Times are aware datetimes in the clinic's zone, since their days are written out. Missing is ``None``, never zero.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime

MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


@dataclass(frozen=True, kw_only=True)
class ChartPoint:
    """One value with its interval; ``value=None`` is a measurement that was due and not taken.

    ``mark`` is ``"A"`` or ``"V"`` for a needle, any other word for a value that is shown hollow ("not comparable").
    """

    at: datetime
    value: float | None
    low: float | None = None
    high: float | None = None
    mark: str = ""


@dataclass(frozen=True, kw_only=True)
class Level:
    """The estimated level at one time with its band."""

    at: datetime
    value: float
    low: float
    high: float


@dataclass(frozen=True, kw_only=True)
class Limit:
    """A limit in force with the words at its end."""

    value: float
    name: str


@dataclass(frozen=True, kw_only=True)
class Band:
    """A usual range, over the whole chart or from a day until another; ``mark`` says of which needle."""

    low: float
    high: float
    name: str
    mark: str = ""
    since: datetime | None = None
    until: datetime | None = None


@dataclass(frozen=True, kw_only=True)
class EventMark:
    """Something done to the access; one that changes the vessel breaks the line of the level."""

    on: date
    word: str
    breaks_level: bool = False


@dataclass(frozen=True, kw_only=True)
class FindingMark:
    """What one examination read for one sign."""

    at: datetime
    sign: str
    reading: str
    odd: bool


@dataclass(frozen=True, kw_only=True)
class Panel:
    """One series with what belongs to it."""

    points: Sequence[ChartPoint]
    unit: str
    decimals: int = 0
    level: Sequence[Level] = ()
    limits: Sequence[Limit] = ()
    bands: Sequence[Band] = ()
    from_zero: bool = True
    heading: str = ""

    def newest(self) -> ChartPoint | None:
        """The last point that has a value."""
        known = [each for each in self.points if each.value is not None]
        return max(known, key=lambda each: each.at, default=None)

    def newest_of_each(self) -> list[ChartPoint]:
        """The last point with a value of each needle, arterial first; where no needle is named, of all."""
        needles = sorted({each.mark for each in self.points if each.mark in ("A", "V")})
        if not needles:
            return [newest] if (newest := self.newest()) else []
        of_each = (replace(self, points=[each for each in self.points if each.mark == mark]) for mark in needles)
        return [newest for panel in of_each if (newest := panel.newest())]

    def said(self, value: float) -> str:
        """A value at the precision at which it is shown, with its unit."""
        return f"{rounded(value, self.decimals)} {self.unit}".strip()

    def reach(self) -> tuple[float, float] | None:
        """The least and the greatest value that must be on the chart; ``None`` when there is nothing to show."""
        values = [value for each in self.points for value in (each.value, each.low, each.high) if value is not None]
        values += [each.value for each in self.limits]
        values += [value for each in self.bands for value in (each.low, each.high)]
        levels = [value for each in self.level for value in (each.low, each.high)]
        if values:  # A band that grew wide in a gap must not press all that was measured together.
            low, high = min(values), max(values)
            room = (high - min(low, 0.0)) / 2
            levels = [min(max(value, low - room), high + room) for value in levels]
        everything = [*values, *levels]
        return (min(everything), max(everything)) if everything else None


def rounded(value: float, decimals: int) -> str:
    """The number as shown, with a true minus sign and never a negative zero."""
    text = f"{value:.{decimals}f}"
    shown = text.lstrip("-") if float(text) == 0 else text
    return shown.replace("-", "\N{MINUS SIGN}")


def day(at: date) -> str:
    """A day in words, the same in every locale: 3 Mar 2026."""
    return f"{at.day} {MONTHS[at.month - 1]} {at.year}"
