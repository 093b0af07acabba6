"""The rule of the flow's trend: likely below the limit or falling fast, a far too low value, low first values.

The score, the doubts and the cut are computed in ``alarm`` and ``operating``; here they become a finding.
"""

import math
from dataclasses import replace

from access.measures.findings import Finding
from access.measures.flow_series import spread
from access.measures.protocol import Limit
from access.measures.rules import flow_said
from access.measures.rules.case import Case, tail
from access.measures.rules.flow_watched import Seen, seen
from access.measures.rules.measurement import EVIDENCE, Weight, finding
from access.measures.rules.say import percent
from access.measures.succession import LONGEST_TREATMENT, Observation, in_succession, one_an_occasion

RULE = "flow.trend"
SOURCE = "simulation"


def speaks(case: Case) -> bool:
    """Whether the trend speaks for the flow in this protocol: where the newest cannot be weighed, the next rule does.

    What the trend asked for never lapses since something it cannot weigh was measured: until the limit is passed as
    often as its own rule needs, it goes on asking.
    """
    flows = one_an_occasion(one for one in case.profile.flows if one.comparable)
    weighed = [one.at for one in case.profile.flows if one.comparable and spread(one) is not None]
    if case.speaking("flow") != RULE or not weighed:
        return False
    if flows[-1].at - max(weighed) <= LONGEST_TREATMENT:
        return True
    found, needed = seen(case), case.needed("flow")
    run = () if found is None else _run(found, case)
    held = None if found is None else found.limit
    low = held is not None and all(held.passed(one.ml_min) for one in flows[-needed:])
    return bool(run) and (len(run) >= needed or not low)


def falling(case: Case) -> Finding | None:
    """flow.trend: flow likely below the limit, falling fast, far below its trend, or low at its first values."""
    found = seen(case)
    if found is None:
        return None
    run = _run(found, case)
    if not run:
        return None
    limit = found.limit or _fall_alone(case)
    said = finding(
        case,
        rule=RULE,
        limits=[limit],
        run=run,
        needed=case.needed("flow"),
        sentence=flow_said.sentence(found),
        weight=Weight(speaks=speaks(case) and found.limit is not None, may_refer=True),
        missing=flow_said.missing(found),
    )
    return replace(said, source=SOURCE, source_says=flow_said.source_says(found))


def stands(case: Case) -> str:
    """How likely what the trend looks for is at the newest flow, and from when on it asks; empty while it is silent."""
    found = seen(case)
    if found is None or math.isnan(float(found.watched.score[found.last, 0])):
        return ""
    return f"{flow_said.standing(found)}; asked about from {percent(found.cut.value)} on"


def _run(found: Seen, case: Case) -> tuple[Observation, ...]:
    """The flows in succession, since the vessel was changed, at which the alarm spoke or asked.

    A wild high one neither counts nor breaks: what was asked for waits for a value that can be believed.
    """
    kept, readings = {one.id for one in case.profile.flows}, found.rows.readings
    rows = [row for row, one in enumerate(readings) if one.id in kept and not found.too_high(row)]
    observations = tail(rows, observe=lambda row: _observation(found, row=row))
    return in_succession(observations, gap_days=case.protocol.gap_days("flow"))


def _observation(found: Seen, *, row: int) -> Observation:
    """One flow, odd where the alarm spoke or asked, with what was known then."""
    one, late = found.rows.readings[row], row == found.last and bool(found.watched.overdue[-1, 0])
    odd = bool(found.flagged[row] or found.watched.asked[row, 0]) or late
    text = flow_said.said(one, found=found, row=row)
    return Observation(id=one.id, at=one.at, odd=odd, text=text, value=one.ml_min)


def _fall_alone(case: Case) -> Limit:
    """What stands in for a limit that the protocol does not hold: only a fall is told, and it raises nothing."""
    return replace(case.protocol.limits["flow.high"], says=EVIDENCE, confirmed=True)
