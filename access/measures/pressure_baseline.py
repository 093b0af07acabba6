"""The level from which a pressure ratio of one access is told to have moved: that of its first treatments.

A baseline never moves by itself, since a moving one would follow the disease; it begins anew only where the vessel was
changed. It says how sure it is and whether it may be called usual; what lies beyond it is for the alarm.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from statistics import median
from typing import NamedTuple

from access.measures.band import MONTHS
from access.measures.derived import TREATMENT_SD, average
from access.measures.protocol import Limit, Protocol
from access.measures.readings import AccessProfile, DynamicReading, RatioReading
from access.measures.succession import T, one_an_occasion

# One static reading: 3 mmHg of reading, 5 cm of height and 4 % of blood pressure at a mean of 93 mmHg (own choice, in
# the size of the errors that the simulation assumes).
STATIC_SD = 0.055


class Value(NamedTuple):
    """The ratio of one treatment (no unit), with gauge and pump speed where the pump ran; made by the hundred."""

    id: str
    at: datetime
    ratio: float
    gauge: int | None = None
    pump_ml_min: float | None = None


@dataclass(frozen=True, kw_only=True)
class Span:
    """Which values make a baseline: the first ``most``, and all that came within ``days`` of the first.

    Fewer than ``least`` make none, fewer than ``settled`` are called few; ``one_sd`` is the spread of one value.
    """

    least: int
    settled: int
    most: int
    days: int
    one_sd: float


# As for the usual band; static readings are fewer, so theirs are those of the same 13 weeks (own choice).
RUNNING = Span(least=8, settled=12, most=39, days=0, one_sd=TREATMENT_SD)
STATIC = Span(least=4, settled=6, most=4, days=91, one_sd=STATIC_SD)


@dataclass(frozen=True, kw_only=True)
class Baseline:
    """A level (ratio, no unit) with its standard error ``sd``; not ``usual`` where it began beyond a limit."""

    level: float
    sd: float
    count: int
    since: date
    note: str
    usual: bool = True


@dataclass(frozen=True, kw_only=True)
class Start:
    """Where a baseline begins: first use, first treatment here or the last change of the vessel."""

    since: date
    already_in_use: bool


def first(values: Sequence[Value], *, span: Span) -> tuple[Value, ...]:
    """The values that make the baseline, of those given in order of bedside time."""
    if not values:
        return ()
    until, count = values[0].at + timedelta(days=span.days), span.most
    while count < len(values) and values[count].at <= until:
        count += 1
    return tuple(values[:count])


def baseline(values: Sequence[Value], *, span: Span, start: Start, beyond_limit: bool = False) -> Baseline | None:
    """The level of the first values with its standard error (ratios, no unit); ``None`` where they are too few.

    Parameters
    ----------
    values : sequence of Value
        One a treatment since the vessel was last changed, in order of bedside time.
    span : Span
        How many of them count.
    start : Start
    beyond_limit : bool
        Flow or static ratio lay beyond the protocol's limit while it was made (``begun_beyond``): not called usual.

    Notes
    -----
    The median, which one wild value hardly moves, and the standard error of it (``derived.average``).

    References
    ----------
    own-choice
    """
    counted = first(values, span=span)
    if len(counted) < span.least:
        return None
    middle = average([one.ratio for one in counted], one_sd=span.one_sd)
    when = f"since {MONTHS[start.since.month - 1]} {start.since.year}"
    if beyond_limit:
        note = f"not called usual: already beyond the protocol's limit {when}; the limits speak alone"
    else:
        note = f"usual {when}" + ("; not known to be healthy" if start.already_in_use else "")
        note += f"; from {len(counted)} treatments only" if len(counted) < span.settled else ""
    return Baseline(
        level=middle.ratio,
        sd=middle.standard_error,
        count=len(counted),
        since=start.since,
        note=note,
        usual=not beyond_limit,
    )


def starts(profile: AccessProfile, *, changes: Sequence[date]) -> tuple[Start, ...]:
    """The first start and one for each day on which the vessel was changed."""
    at = [one.at for one in profile.treatments] or [*_times(profile.ratios), *_times(profile.dynamics)]
    here, used = min(at).date() if at else None, profile.first_needled_on
    before = used is None or (here is not None and used < here)
    begun = max((one for one in (here, used) if one is not None), default=date.min)
    return (
        Start(since=begun, already_in_use=before),
        *(Start(since=change, already_in_use=False) for change in changes),
    )


def _times(readings: Sequence[RatioReading] | Sequence[DynamicReading]) -> list[datetime]:
    return [one.at for one in readings]


def begun_beyond(profile: AccessProfile, *, protocol: Protocol, after: date | None, until: date) -> bool:
    """Whether flow or venous static ratio lay beyond the protocol's limit in the baseline's time, by their medians.

    Parameters
    ----------
    after : date, optional
        The day of the last change of the vessel, which itself does not count.
    until : date
        Day of the baseline's last value; what was measured later says nothing of how it began.

    Notes
    -----
    Not by the first value alone: one reading near the limit, or a wild one, would keep an access without a usual level
    for good, and the absolute limits would judge its noise as long as it lasts.

    References
    ----------
    own-choice, simulation
    """
    limits, kind = protocol.limits, profile.kind

    def read(series: Iterable[T]) -> tuple[T, ...]:
        """One an occasion of those that count."""
        counted = ((one, one.at.date()) for one in series)
        return one_an_occasion([one for one, on in counted if on <= until and (after is None or on > after)])

    flows = read(one for one in profile.flows if one.comparable)
    venous = read(one for one in profile.ratios if one.role == "venous")
    ratios = [one.ratio for one in venous if one.formula == venous[0].formula]
    low, high = limits.get(f"flow.below.{kind}"), limits.get(f"static.{kind}.venous.outlet")
    return _lie_beyond([one.ml_min for one in flows], limit=low) or _lie_beyond(ratios, limit=high)


def _lie_beyond(values: Sequence[float], *, limit: Limit | None) -> bool:
    return bool(values) and limit is not None and limit.passed(median(values))
