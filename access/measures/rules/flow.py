"""Rules of access flow: the protocol's limit seen in succession, the rule of KDOQI 2000 as it is written, high flow.

No trend with doubt stands here; these are the plain rules.
"""

import math
from collections.abc import Sequence

from access.measures import protocol as protocols
from access.measures.findings import Finding
from access.measures.flow_series import spread
from access.measures.protocol import Limit, Protocol
from access.measures.readings import FlowReading
from access.measures.rules import flow_trend
from access.measures.rules.case import Case, tail
from access.measures.rules.likely import likely_above, needed_of
from access.measures.rules.measurement import Weight, finding, no_limit
from access.measures.rules.say import ROUTINE, day
from access.measures.succession import Observation, in_succession, one_an_occasion


def speaking(case: Case) -> str:
    """Which rule speaks for the flow: the trend where the doubt of a flow is known, else the next in the row."""
    row = case.protocol.rules["flow"]
    if row[0] != flow_trend.RULE or flow_trend.speaks(case):
        return row[0]
    return row[1]


def limit(case: Case) -> Finding | None:
    """flow.limit: flow beyond the protocol's limit for this kind, two measurements in succession."""
    kind, flows = case.profile.kind, _comparable(case)
    held = case.protocol.limits.get(f"flow.below.{kind}")
    if held is None:
        return no_limit(case, rule="flow.limit", what=f"flow of a {kind}", at=[one.at for one in flows])
    observations = tail(flows, observe=lambda one: _observation(one, odd=held.passed(one.ml_min)))
    run = in_succession(observations, gap_days=case.protocol.gap_days("flow"))
    if not run:
        return None
    return finding(
        case,
        rule="flow.limit",
        limits=[held],
        run=run,
        needed=case.needed("flow"),
        sentence=f"Flow below the limit of {held.written()} for a {kind}",
        weight=Weight(speaks=speaking(case) == "flow.limit", may_refer=True),
        missing=_left_out(case),
    )


def kdoqi_2000(case: Case) -> Finding | None:
    """flow.kdoqi-2000: the rule as written, one measurement against the limit or against a fall within 4 months."""
    used = case.protocol if case.protocol.id == "kdoqi-2000" else protocols.load("kdoqi-2000")
    flows = _comparable(case)

    def observe(place: int) -> Observation:
        met = _met_2000(flows[: place + 1], kind=case.profile.kind, used=used)
        return _observation(flows[place], odd=bool(met), more=met)

    run = in_succession(tail(range(len(flows)), observe=observe), gap_days=case.protocol.gap_days("flow"))
    if not run:
        return None
    met = _met_2000(flows, kind=case.profile.kind, used=used)
    fallen = met.startswith("fallen")
    names = ("flow.fall-from", "flow.fall-percent") if fallen else (f"flow.below.{case.profile.kind}",)
    return finding(
        case,
        rule="flow.kdoqi-2000",
        limits=[used.limits[name] for name in names],
        run=run,
        needed=case.needed("flow"),
        sentence=f"KDOQI 2000 rule: met ({met})",
        weight=Weight(speaks=speaking(case) == "flow.kdoqi-2000", may_refer=True),
        missing=_left_out(case),
    )


def _met_2000(flows: tuple[FlowReading, ...], *, kind: str, used: Protocol) -> str:
    """How the newest of these flows meets the rule, in words; empty where it does not."""
    now = flows[-1]
    if used.limits[f"flow.below.{kind}"].passed(now.ml_min):
        return f"below {used.limits[f'flow.below.{kind}'].written()}"
    if not used.limits["flow.fall-from"].passed(now.ml_min):
        return ""
    days = used.number("flow.fall-days")
    earlier = [one for one in flows[:-1] if one.method == now.method and (now.at.date() - one.at.date()).days <= days]
    if not earlier:
        return ""
    highest = max(earlier, key=lambda one: one.ml_min)
    fall = 100 * (1 - now.ml_min / highest.ml_min)
    if not used.limits["flow.fall-percent"].passed(fall):
        return ""
    return f"fallen by {fall:.0f} % from {highest.ml_min:.0f} mL/min on {day(highest.at)}, within 4 months"


def high(case: Case) -> Finding | None:
    """flow.high: flow above the limit of high flow, two measurements in succession, by their mean likely so."""
    held, flows = case.protocol.limits["flow.high"], _comparable(case)
    observations = tail(flows, observe=lambda one: _observation(one, odd=held.passed(one.ml_min)))
    run = in_succession(observations, gap_days=case.protocol.gap_days("flow"))
    if not run:
        return None
    likely = _likely_above(held, flows=flows[-len(run) :], least=case.needed("flow"))
    needed = needed_of(len(run), needed=case.needed("flow"), likely=likely)
    return finding(
        case,
        rule="flow.high",
        limits=[held],
        run=run,
        needed=needed.times,
        sentence=f"High flow, above {held.written()}{needed.doubt}",
        weight=Weight(speaks=case.speaking("high-flow") == "flow.high", line=ROUTINE),
        ask="At the next visit ask for breathlessness and signs of a strained heart, look at the hand, measure again.",
        missing=("cardiac output, against which high flow is also judged",),
    )


def _likely_above(limit: Limit, *, flows: Sequence[FlowReading], least: int) -> float | None:
    """P(the flow behind these readings lies above a limit), by their mean; None where the doubt of one is not known."""
    known = [one for reading in flows if (one := spread(reading)) is not None]
    if len(known) < len(flows):
        return None
    logs = [math.log(one.ml_min) for one in flows]
    return likely_above(logs, limit=math.log(limit.value), spreads=known, least=least)


def _comparable(case: Case) -> tuple[FlowReading, ...]:
    """One flow a treatment or visit; flow of blood water without a hematocrit is never held against a limit."""
    return one_an_occasion(one for one in case.profile.flows if one.comparable)


def _left_out(case: Case) -> tuple[str, ...]:
    left = [one for one in case.profile.flows if not one.comparable]
    if not left:
        return ()
    return (f"a hematocrit for the flow of {day(left[-1].at)}: flow of blood water, not held against a limit",)


def _observation(reading: FlowReading, *, odd: bool, more: str = "") -> Observation:
    if reading.low_ml_min is None or reading.high_ml_min is None:
        doubt = "doubt not known"
    else:
        doubt = f"90 % interval {reading.low_ml_min:.0f} to {reading.high_ml_min:.0f}"
    said = f"{day(reading.at)}: {reading.ml_min:.0f} mL/min ({doubt}), {reading.method}"
    return Observation(
        id=reading.id, at=reading.at, odd=odd, text=f"{said}; {more}" if more else said, value=reading.ml_min
    )
