"""What is known of an access's flow over time: its level at the times that a chart shows, and which flow is doubted.

Trend and alarm are computed in ``access.measures``; here they are asked at those times. What is known is put into words
in ``trends``.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, time, timedelta
from typing import Any

from access.measures import trend
from access.measures.alarm import Alarm
from access.measures.fieller import Z_90
from access.measures.readings import EventReading, FlowReading
from access.measures.rules.flow_watched import Seen, believed
from access.measures.series import asked_at
from access.measures.words import CHANGES_THE_VESSEL

# After these a flow measured before says nothing of the present any more.
ENDS = CHANGES_THE_VESSEL | {"clotted", "abandoned"}
ASKED_EVERY = timedelta(days=30)


@dataclass(frozen=True, kw_only=True)
class Known:
    """What is seen of the flows, which are believed and which doubted (ids), and the fit at each time of ``at``.

    ``ended`` is what happened since the last flow that ends what is known; where it is None the last row is now.
    """

    seen: Seen
    real: frozenset[str]
    doubtful: frozenset[str]
    at: tuple[datetime, ...]
    fit: trend.Fit
    ended: EventReading | None


def known(found: Seen, *, events: Sequence[EventReading], as_of: datetime) -> Known:
    """What is known of flows under watch, at each of them and monthly between them until now."""
    ends = sorted((one for one in events if one.what in ENDS), key=lambda one: (one.on, one.id))
    asked, ended = _asked(found, ends=ends, as_of=as_of)
    joined, _ = asked_at(believed(found), years=[found.rows.years(at) for at in asked])
    return Known(
        seen=found,
        real=frozenset(one.id for row, one in enumerate(found.rows.readings) if found.watched.real[row, 0]),
        doubtful=doubtful(found),
        at=tuple(sorted([*(one.at for one in found.rows.readings), *asked])),
        fit=trend.fit(joined),
        ended=ended,
    )


def doubtful(found: Seen) -> frozenset[str]:
    """The flows that are more likely wild than not, and did not prove real."""
    wild = (found.watched.outlier[:, 0] > Alarm().doubted_above) & ~found.watched.real[:, 0]
    return frozenset(reading.id for row, reading in enumerate(found.rows.readings) if wild[row])


def _asked(found: Seen, *, ends: Sequence[EventReading], as_of: datetime) -> tuple[list[datetime], EventReading | None]:
    """When the level is asked for besides the measurements, and what ended the last vessel where it did.

    Monthly while one vessel lasts, and at its end: after a change the level is known from the next measurement on.
    """
    asked: list[datetime] = []
    ended = None
    for first, last, following in _stretches(found):
        until = as_of if following is None else following.at
        ended = next((one for one in ends if last.at.date() <= one.on <= until.date()), None)
        if ended is not None:
            until = datetime.combine(ended.on, time.min, tzinfo=as_of.tzinfo) - timedelta(minutes=1)
        asked += [at for at in _monthly(first.at, until=until) if at >= first.at]
    return asked, ended


def _stretches(found: Seen) -> Iterator[tuple[FlowReading, FlowReading, FlowReading | None]]:
    """First and last flow of each vessel, and the first one of the next."""
    readings = found.rows.readings
    begins = [0, *(row for row, reset in enumerate(found.rows.series.resets) if reset and row), len(readings)]
    for begin, end in zip(begins, begins[1:], strict=False):
        yield readings[begin], readings[end - 1], readings[end] if end < len(readings) else None


def _monthly(first: datetime, *, until: datetime) -> list[datetime]:
    """Times a month apart, counted back from the last one."""
    months = max(math.ceil((until - first) / ASKED_EVERY), 1)
    return [until - month * ASKED_EVERY for month in reversed(range(months))]


def level_rows(known: Known, *, since: datetime) -> Iterator[dict[str, Any]]:
    """The level (mL/min) at each time from ``since`` on, as plain data."""
    state = known.fit.smoothed
    for at, level, variance in zip(known.at, state.level[:, 0], state.level_variance[:, 0], strict=True):
        if at >= since:
            low, middle, high = interval(level, variance=variance)
            yield {"at": at.isoformat(), "value": round(middle, 1), "low": round(low, 1), "high": round(high, 1)}


def interval(level: float, *, variance: float) -> tuple[float, float, float]:
    """Lower end, middle and upper end of what is known by its logarithm: a level in mL/min, a slope as a factor."""
    half = Z_90 * math.sqrt(variance)
    return math.exp(level - half), math.exp(level), math.exp(level + half)
