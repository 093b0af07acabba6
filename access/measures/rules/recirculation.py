"""The rule of recirculation: one value above the limit is repeated and its causes are looked for in order.

How sure a value is raises what is shown as sure and is no limit of its own: two values of 6 % raise nothing.
"""

from access.measures.draw_conditions import LINES_REVERSED, checks
from access.measures.findings import Finding
from access.measures.protocol import Limit
from access.measures.readings import RecirculationReading
from access.measures.recirculation import very_likely_real
from access.measures.rules.case import Case, tail
from access.measures.rules.measurement import Weight, finding, no_limit
from access.measures.rules.say import day
from access.measures.succession import Observation, in_succession, one_an_occasion

RULE = "recirculation.above-limit"


def above_limit(case: Case) -> Finding | None:
    """recirculation.above-limit: recirculation above the limit of its method and kind."""
    tests = case.profile.recirculations
    judged = one_an_occasion(one for one in tests if _limit(case, one) is not None)
    if not judged:
        return no_limit(case, rule=RULE, what=f"recirculation of a {case.profile.kind}", at=[one.at for one in tests])
    run = in_succession(
        tail(judged, observe=lambda one: _observation(case, one)), gap_days=case.protocol.gap_days("recirculation")
    )
    held = _limit(case, judged[-1])
    if not run or held is None:
        return None
    sure = "" if not very_likely_real([one.percent for one in judged[-2:]]) else "; very likely real"
    return finding(
        case,
        rule=RULE,
        limits=[held],
        run=run,
        needed=case.needed("recirculation"),
        sentence=f"Recirculation above {held.written()}{sure}",
        weight=Weight(speaks=case.speaking("recirculation") == RULE),
        ask=" ".join(_causes(case, judged[-1], held)),
        missing=() if judged[-1].probability_above_limit is not None else ("how likely the limit is passed",),
    )


def _limit(case: Case, one: RecirculationReading) -> Limit | None:
    name = f"recirculation.above.{case.profile.kind}" if one.urea_based else "recirculation.dilution"
    return case.protocol.limits.get(name)


def _causes(case: Case, one: RecirculationReading, limit: Limit) -> tuple[str, ...]:
    """What to look at, in order; reversed lines found are the first answer, not a question."""
    placement = case.protocol.number("recirculation.needles-first")
    found = checks(one.percent, valid=True, limit=limit.value, placement=placement)
    if one.lines != "reversed":
        return found
    first = "The lines were reversed: put them the right way and repeat the test."
    return (first, *(question for question in found if question != LINES_REVERSED))


def _observation(case: Case, one: RecirculationReading) -> Observation:
    held = _limit(case, one)
    text = f"{day(one.at)}: {one.percent:.1f} %"
    if one.low_percent is not None and one.high_percent is not None:
        text += f" (90 % interval {max(one.low_percent, 0):.0f} to {one.high_percent:.0f} %)"
    if one.probability_above_limit is not None:
        text += f", probability {one.probability_above_limit:.2f} of being above the limit"
    text += f", at {one.pump_ml_min:.0f} mL/min, lines {one.lines}"
    odd = held is not None and held.passed(one.percent)
    return Observation(id=one.id, at=one.at, odd=odd, text=text, value=one.percent)
