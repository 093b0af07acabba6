"""The trend of an access's flow as a chart shows it: level with band, what is doubtful, and what it says.

The trend is computed in ``access.measures`` and asked in ``estimated``; here it becomes plain data and sentences. It
raises nothing, and draws nothing.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from statistics import median
from typing import Any

from access.measures import trend
from access.measures.alarm import Alarm
from access.measures.flow_series import flow_series, spread
from access.measures.protocol import Limit, Protocol
from access.measures.readings import AccessProfile, FlowReading
from access.measures.rules.case import open_case
from access.measures.rules.flow_said import likely
from access.measures.rules.flow_trend import speaks
from access.measures.rules.flow_watched import believed, seen
from access.measures.rules.say import percent
from access.measures.series import asked_at
from access.measures.units import as_shown
from access.records.history.describe import day_in_words
from access.records.history.estimated import Known, doubtful, interval, known, level_rows
from access.records.history.worked import IN_SIMULATION, Input, worked

SECTIONS = ("trend.level", "trend.outliers", "trend.horizon")
HARDLY, ALMOST_SURELY = 0.1, 0.9  # Beyond these the time until the limit need not be told.
CLEARLY = 0.8  # From here on a downward trend is one that may go on (own choice).
IN_MONTHS = "in 3, 6 and 12 months"
NO_BREAK = "\N{NO-BREAK SPACE}"


@dataclass(frozen=True, kw_only=True)
class FlowTrend:
    """The level at times of the chart (plain data), the ids of doubtful flows, sentences, and how it is worked out."""

    level: tuple[dict[str, Any], ...] = ()
    doubtful: frozenset[str] = frozenset()
    statements: tuple[str, ...] = ()
    worked: dict[str, Any] | None = None


def flow_trend(profile: AccessProfile, *, protocol: Protocol, as_of: datetime, since: datetime) -> FlowTrend:
    """The trend of the flows of the whole record; of its level the part from ``since`` on.

    Before three measurements there is no level, and what is too little known is said.
    """
    case = open_case(profile, protocol=protocol, as_of=as_of)
    found = seen(case)
    if found is None:
        return FlowTrend()
    if len(found.rows.readings) < Alarm().least:
        few = f"No level yet: it is estimated from {Alarm().least} measurements on."
        return FlowTrend(doubtful=doubtful(found), statements=(few,))
    flows = known(found, events=profile.events, as_of=as_of)
    return FlowTrend(
        level=tuple(level_rows(flows, since=since)),
        doubtful=flows.doubtful,
        statements=tuple(_kept_whole(one) for one in _statements(flows, profile=profile, as_of=as_of)),
        worked=worked(
            SECTIONS,
            inputs=((name, _kept_whole(value)) for name, value in _inputs(flows, speaks=speaks(case))),
            doubt=IN_SIMULATION,
        ),
    )


def _statements(flows: Known, *, profile: AccessProfile, as_of: datetime) -> Iterator[str]:
    newest = flows.seen.rows.readings[-1]
    if newest.id in flows.doubtful:
        yield f"The newest value, {newest.ml_min:.0f} mL/min, is doubtful: far from its trend. Measure it again."
    if flows.ended is not None:
        yield f"Not measured since {flows.ended.what}, {day_in_words(flows.ended.on)}: the level is not known."
        return
    state = flows.fit.newest
    low, level, high = interval(float(state.level[0]), variance=float(state.level_variance[0]))
    yield f"Level now about {_about(level)} mL/min (90 % interval {_about(low)} to {_about(high)})."
    yield from _below(flows)
    beside = _beside(profile, flows=flows, as_of=as_of)
    if beside is None:
        return
    if flows.seen.adjusted:
        yield f"At the usual blood pressure, by this clinic's choice; as measured about {_about(beside)} mL/min."
    else:
        yield f"At the usual blood pressure: about {_about(beside)} mL/min; shown beside, it does not decide."


def _kept_whole(sentence: str) -> str:
    """A sentence in which no line ends between a number and its unit."""
    return sentence.replace(" %", f"{NO_BREAK}%").replace(" mL/min", f"{NO_BREAK}mL/min")


def _about(ml_min: float) -> str:
    """A level as exactly as it is known: tens."""
    return f"{round(ml_min, -1):.0f}"


def _below(flows: Known) -> Iterator[str]:
    """How likely the flow is below the limit, now and later."""
    limit = flows.seen.limit
    if limit is None:
        yield "The protocol holds no limit for this kind of access."
        return
    now = _as_shown(trend.probability_below(flows.fit.newest, limit.value)[0])
    later = [_as_shown(one) for one in trend.horizon(flows.fit, limit.value).below[:, 0]]
    below = f"Below the limit of {limit.written()} now: {_likely(now)} likely"
    if now >= ALMOST_SURELY:
        yield f"{below}."
    elif max(now, later[-1]) < HARDLY and (lost := likely(flows.seen, row=flows.seen.last)):
        # What the flag of the same flow says: far from the limit, and yet much of it lost.
        yield f"{lost[0][0].upper()}{lost[0][1:]}; below {limit.written()} in 12 months {_likely(later[-1])} likely."
    elif max(now, later[-1]) < HARDLY:
        yield f"No downward trend to the limit of {limit.written()}: below it in 12 months {_likely(later[-1])} likely."
    elif trend.probability_downward(flows.fit.newest)[0] < CLEARLY:
        yield f"{below}; no clear downward trend."
    else:
        *some, last = [_likely(one) for one in later]
        ahead = f"{IN_MONTHS} {', '.join(some)} and {last}, if the present trend goes on"
        yield f"{below}; {ahead}; more often sooner than later."


def _as_shown(probability: float) -> float:
    """A probability as it is compared and written: in whole percent."""
    return as_shown(float(probability), decimals=2)


def _likely(probability: float) -> str:
    return "less than 1 %" if probability < 0.01 else percent(probability)


def _beside(profile: AccessProfile, *, flows: Known, as_of: datetime) -> float | None:
    """The level (mL/min) at the access's own median blood pressure, or as measured where the first decides.

    ``None`` where fewer flows than make a trend were measured with a blood pressure.
    """
    if sum(one.mean_arterial_mmhg is not None for one in flows.seen.rows.readings) < Alarm().least:
        return None
    # When a repeat is due is not asked here, so that the treatments need not be looked through.
    rows = flow_series(replace(profile, treatments=()), as_of=as_of, adjusted=not flows.seen.adjusted)
    joined, _ = asked_at(believed(replace(flows.seen, rows=rows)), years=0.0)
    return math.exp(float(trend.newest([joined]).level[0]))


def _inputs(flows: Known, *, speaks: bool) -> list[Input]:
    found, used = flows.seen, flows.fit.parameters
    readings = found.rows.readings
    since_change = len(readings) - max((row for row, new in enumerate(found.rows.series.resets) if new), default=0)
    counted = f"{len(readings)} since {day_in_words(readings[0].at.date())}"
    counted += "" if since_change == len(readings) else f", {since_change} since the vessel was changed"
    left_out = len(found.rows.left_out)
    return [
        ("Measurements", counted),
        ("Doubtful", f"{len(flows.doubtful)}" if flows.doubtful else ""),
        ("Left out", f"{left_out} of unknown doubt" if left_out else ""),
        ("They vary from day to day by", "; ".join(_spreads(readings))),
        ("Usual flow" if not found.begun_low(found.last) else "Flow it began with", _usual(flows)),
        ("Trend now", "" if flows.ended else _slope(flows)),
        ("Limit", _limit(found.limit)),
        ("A flag from", _flagged_from(flows) if speaks else ""),
        (
            "Parameters",
            f"slope drift {used.slope_drift:g} a year³; outliers {100 * used.outlier_share:.0f} % "
            f"of {used.outlier_sd:g}; first level {math.exp(used.prior_level):.0f} mL/min ± {used.prior_level_sd:g}, "
            f"slope ± {used.prior_slope_sd:g}; jump at a change ± {used.jump_sd:g} (logarithms)",
        ),
    ]


def _spreads(readings: Sequence[FlowReading]) -> Iterator[str]:
    for method in sorted({one.method for one in readings}):
        found = [one for reading in readings if reading.method == method and (one := spread(reading)) is not None]
        yield f"{100 * median(found):.0f} % ({method})"


def _flagged_from(flows: Known) -> str:
    cut = flows.seen.cut
    rate = f"{cut.false_a_year:.2f} false flags an access-year in simulation, no patient data"
    return f"{percent(cut.value)} likely on: {rate}"


def _usual(flows: Known) -> str:
    """The flow that a lasting loss is told against, where it is known."""
    level = float(flows.seen.watched.usual[flows.seen.last, 0])
    return "" if math.isnan(level) else f"{_about(math.exp(level))} mL/min"


def _slope(flows: Known) -> str:
    """The present slope in percent a year, with its 90 % interval."""
    state = flows.fit.newest
    low, middle, high = interval(float(state.slope[0]), variance=float(state.slope_variance[0]))
    return f"{_change(middle)} a year ({_change(low)} to {_change(high)})"


def _change(factor: float) -> str:
    return f"{100 * (factor - 1):+.0f} %".replace("-", "\N{MINUS SIGN}")


def _limit(limit: Limit | None) -> str:
    if limit is None:
        return ""
    return limit.written() if limit.confirmed else f"{limit.written()}, not yet confirmed by this clinic"
