"""The flows of one access under watch: the alarm over its own series, with the cut and the limit that it is held to.

It finds nothing and says nothing; ``flow_trend`` makes a finding of it, ``flow_said`` the words.
"""

import math
from dataclasses import dataclass, replace

import numpy as np

from access.measures import alarm, operating, usual_flow
from access.measures.flow_series import FlowSeries, flow_series, spread
from access.measures.protocol import Limit
from access.measures.rules import outlet_rise
from access.measures.rules.case import Case
from access.measures.series import Flags, Series, asked_at, side_by_side

AT_USUAL_PRESSURE = "flow.at-usual-pressure"  # The clinic may let the adjusted flow decide; the finding says so.


@dataclass(frozen=True, kw_only=True)
class Seen:
    """The flows of an access under watch, up to the moment; the last row is the moment itself."""

    rows: FlowSeries
    watched: alarm.Watched
    flagged: Flags
    cut: operating.Cut
    limit: Limit | None
    adjusted: bool

    @property
    def last(self) -> int:
        """The row of the newest flow."""
        return len(self.rows.readings) - 1

    def early(self, row: int) -> bool:
        """Whether no trend can speak yet, of the access or of the vessel since it was changed."""
        begun, rule = self.begun(row), alarm.Alarm()
        return row + 1 < rule.least or (begun > 0 and row - begun + 1 < rule.least_since_change)

    def begun(self, row: int) -> int:
        """The first row of the vessel as it was at a row."""
        return max((one for one in range(row + 1) if self.rows.series.resets[one]), default=0)

    def begun_low(self, row: int) -> bool:
        """Whether the access was low or falling already while its usual flow was made: then it is not called usual."""
        made, usual = self.begun(row), float(self.watched.usual[row, 0])
        spoke = self.flagged | self.watched.real[:, 0]
        low = self.limit is not None and not math.isnan(usual) and self.limit.passed(math.exp(usual))
        return low or bool(spoke[made : made + usual_flow.FIRST].any())

    def too_high(self, row: int) -> bool:
        """Whether a flow is more likely wild than not, and high: it moves little, and it shows nothing."""
        wild = float(self.watched.outlier[row, 0]) > alarm.Alarm().doubted_above
        return wild and not bool(self.watched.asked[row, 0])


def seen(case: Case) -> Seen | None:
    """The flows under watch, or None where no flow can be weighed."""
    return case.once("flow.watched", _seen)


def _seen(case: Case) -> Seen | None:
    adjusted = case.protocol.number(AT_USUAL_PRESSURE) >= 1
    rows = flow_series(case.whole, as_of=case.as_of, adjusted=adjusted)
    if not rows.readings:
        return None
    held = case.protocol.limits.get(f"flow.below.{case.profile.kind}")
    joined, _ = asked_at(rows.series, years=0.0)
    watched = alarm.watch(
        side_by_side([joined]),
        limit_ml_min=math.nan if held is None else held.value,
        due_years=np.append(rows.due_years, math.inf)[:, None],
    )
    spreads = [one for reading in rows.readings if (one := spread(reading)) is not None]
    cut = operating.cut(
        "flow and pressure" if outlet_rise.speaks(case) else "flow alone", spread=float(np.median(spreads))
    )
    # Not what was overdue when a row was measured: that measurement has answered it.
    flagged = ((watched.score >= cut.value) | watched.low_again)[:, 0]
    return Seen(rows=rows, watched=watched, flagged=flagged, cut=cut, limit=held, adjusted=adjusted)


def believed(found: Seen) -> Series:
    """The series with what proved real taken as certain, and the level free to have fallen at once where it did."""
    series, last = found.rows.series, len(found.rows.readings)
    real, fell = found.watched.real[:last, 0], found.watched.fell[:last, 0]
    return replace(series, certain=series.certain | real, resets=series.resets | fell)
