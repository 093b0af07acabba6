"""What the flows of an access under watch say, in words: each measurement as known then, and all of them in a sentence.

It judges nothing; ``flow_trend`` is the rule.
"""

import math
from collections.abc import Sequence

from access.measures import trend
from access.measures.readings import FlowReading
from access.measures.rules.flow_watched import Seen, believed
from access.measures.rules.say import day, percent

BELOW = "below the limit"
LOOKED_BACK_YEARS = 1.0  # How far back the level is looked for from which it fell.
# Shares of a fall that have a word; others are said in percent.
IN_WORDS = {0.25: "a quarter", 0.33: "a third", 0.5: "half"}


def sentence(found: Seen) -> str:
    """What is known now, in one sentence; a value that is doubted, or not low itself, is written out first."""
    row = found.last
    while row and found.too_high(row):
        row -= 1
    told = _asked(found, row=row) if found.watched.asked[row, 0] else _spoken(found, row=row)
    if row == found.last:
        return f"Flow {told}"
    newest = found.rows.readings[found.last].ml_min
    return f"Flow {newest:.0f} mL/min, far above its trend and doubtful; before it {told}"


def _spoken(found: Seen, *, row: int) -> str:
    """What the trend tells at a row, and from when it fell."""
    one, held, parts = found.rows.readings[row], found.limit, likely(found, row=row)
    normal = held is not None and not held.passed(one.ml_min)
    # Believed together, two low values that differ by much would promise more than is known of either.
    if found.watched.low_again[row, 0] and (normal or not parts):
        told = f"{one.ml_min:.0f} mL/min, low again when repeated"
    elif found.adjusted:
        told = f"at the usual blood pressure, by this clinic's choice, {parts[0]}"
    elif held and normal and parts[0].endswith(f"below {held.written()}"):
        told = f"{one.ml_min:.0f} mL/min when last measured, and yet {parts[0]}"
    else:
        told = parts[0]
    return "; ".join(part for part in (told, _fallen(found)) if part)


def _asked(found: Seen, *, row: int) -> str:
    """What is asked about at once, the measured value first."""
    why = _too_low(found, row=row)
    said = f"{found.rows.readings[row].ml_min:.0f} mL/min, {why}"
    if why == BELOW and found.limit:
        said = f"{said} of {found.limit.written()} at one of the first measurements"
    if row == found.last and found.watched.overdue[-1, 0]:
        return f"{said} and not repeated in time: it counts as real"
    if why == BELOW:
        return said
    if not row:
        return f"{said}: a wrong value or low from the start"
    before = math.exp(float(found.watched.state.level[row - 1, 0]))
    return f"{said} (about {before:.0f} before): a wrong value or a sudden fall"


def said(one: FlowReading, *, found: Seen, row: int) -> str:
    """One flow with its doubt, and what was known of it on that day."""
    told = f"{day(one.at)}: {one.ml_min:.0f} mL/min{_interval(one)}, {one.method}"
    if found.watched.asked[row, 0]:
        return f"{told}; {_too_low(found, row=row)}"
    if found.watched.low_again[row, 0]:
        return f"{told}; low again"
    parts = likely(found, row=row)
    return f"{told}; {_listed(parts)}" if parts else told


def _interval(one: FlowReading) -> str:
    if one.low_ml_min is None:
        return ""
    if one.high_ml_min is None:
        return f" (90 % interval from {one.low_ml_min:.0f}, no upper end)"
    return f" (90 % interval {one.low_ml_min:.0f} to {one.high_ml_min:.0f})"


def _too_low(found: Seen, *, row: int) -> str:
    """Why a flow was asked about at once: before there is a trend nothing is said of one."""
    below = found.limit is not None and found.limit.passed(found.rows.readings[row].ml_min)
    if found.watched.first[row, 0] or (below and found.early(row)):
        return BELOW
    return "far below its trend" if row else "far too low for a first measurement"


def likely(found: Seen, *, row: int) -> list[str]:
    """What is likely enough at a row to be asked about, the most telling first."""
    told = [(one, what) for one, what in _told(found, row=row) if one >= found.cut.value]
    return [f"{percent(one)} likely {what}" for one, what in told]


def _told(found: Seen, *, row: int) -> list[tuple[float, str]]:
    """How likely each thing is: below the limit first where that is more likely than not, else the likeliest first."""
    watched = found.watched
    below, steep, lost = (float(one[row, 0]) for one in (watched.below, watched.falling, watched.lost))
    told = [(steep, "falling by more than a quarter in 4 months")]
    if not math.isnan(float(watched.usual[row, 0])):
        told.append((lost, f"more than a third below {_usual_said(found, row=row)}"))
    told.sort(key=lambda one: -one[0])
    if found.limit is None:
        return told
    limit = (below, f"below {found.limit.written()}")
    return [limit, *told] if below > 0.5 else sorted([limit, *told], key=lambda one: -one[0])


def standing(found: Seen) -> str:
    """How likely everything is that is looked for at the newest flow, whether it is asked about or not."""
    return _listed([f"{percent(one)} likely {what}" for one, what in _told(found, row=found.last)])


def _usual_said(found: Seen, *, row: int) -> str:
    usual = f"{math.exp(float(found.watched.usual[row, 0])):.0f} mL/min"
    return f"the {usual} it began with" if found.begun_low(row) else f"its usual {usual}"


def _listed(parts: Sequence[str]) -> str:
    *some, last = parts
    return f"{', '.join(some)} and {last}" if some else last


def _fallen(found: Seen) -> str:
    """From when and by how much the level fell, where it did: both ends as known now."""
    fitted = trend.fit(believed(found))
    level = fitted.smoothed.level[:, 0]
    years = found.rows.series.years
    since = max((row for row, reset in enumerate(found.rows.series.resets) if reset), default=0)
    within = [row for row in range(since, len(years)) if years[row] >= years[-1] - LOOKED_BACK_YEARS]
    highest = max(within, key=lambda row: float(level[row]))
    fall = 1 - math.exp(float(level[-1] - level[highest]))
    if fall < 0.1:
        return ""
    near = min(IN_WORDS, key=lambda share: abs(share - fall))
    about = IN_WORDS[near] if abs(near - fall) <= 0.03 else f"{100 * fall:.0f} %"
    month, year = day(found.rows.readings[highest].at).split()[1:]
    return f"fell by about {about} since {month} {year}"


def missing(found: Seen) -> tuple[str, ...]:
    gaps = [f"the doubt of the flow of {day(one.at)} ({one.method}): left out" for one in found.rows.left_out[-1:]]
    if found.limit is None:
        gaps.append("a limit of the protocol for this kind of access: only a fall is told, as evidence")
    return tuple(gaps)


def source_says(found: Seen) -> str:
    asked = f"Asked from {percent(found.cut.value)} likely on"
    rate = f"about {found.cut.false_a_year:.2f} false flags an access-year at this spread"
    said = f"{asked}: {rate}, in simulation, no patient data. (own choice or simulation)"
    held = found.limit
    return said if held is None else f"{said} Limit of {held.written()}: {held.says} ({held.standing})"
