"""The one way in which a measurement becomes a finding: how it weighs alone, with a sign, and unconfirmed.

It knows no quantity. That a measurement alone never refers at its first sight holds here, for every rule.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from access.measures.findings import Finding
from access.measures.protocol import Limit
from access.measures.rules.case import Case
from access.measures.rules.say import REPEAT, ROUTINE, SIGN_HOLDS, THIS_WEEK, WITH_A_SIGN, Line, counted
from access.measures.succession import Observation, evidence_of

NOT_CONFIRMED_YET = "Limit not yet confirmed by this clinic."
NOT_CONFIRMED = f"{NOT_CONFIRMED_YET[:-1]}: repeat at the next treatment and examine, no more."
EVIDENCE = "Shown as evidence: not met yet, or another rule speaks for this quantity."
REPEAT_AND_EXAMINE = "Repeat at the next treatment and examine."


@dataclass(frozen=True, kw_only=True)
class Weight:
    """How a quantity weighs, apart from what was measured."""

    speaks: bool = True  # False: another rule raises for this quantity; this one is shown as evidence.
    first_asks: bool = True  # False: measured at each treatment anyway, so it raises once met or beside a sign.
    may_refer: bool = False  # True: met, it leads to referral where the protocol lets measurements refer.
    indicator: bool = False  # True: on the list of clinical indicators, so met it leads to referral.
    line: Line | None = None  # An urgency of its own instead of the table's; what it asks says the same.


def finding(
    case: Case,
    *,
    rule: str,
    limits: Sequence[Limit],
    run: Sequence[Observation],
    needed: int,
    sentence: str,
    weight: Weight,
    ask: str = "",
    missing: Sequence[str] = (),
) -> Finding:
    """The finding of a run of measurements beyond their limit.

    Parameters
    ----------
    case : Case
        The access.
    rule : str
        Id of the rule.
    limits : sequence of Limit
        What was passed; the first one's source is shown.
    run : sequence of Observation
        The measurements in succession, oldest first; at least one.
    needed : int
        How many meet the rule.
    sentence : str
        What was seen, with the limit.
    weight : Weight
        How the quantity weighs.
    ask : str
        What to look at besides, in this quantity's own words.
    missing : sequence of str
        What would have told more.
    """
    met, confirmed = len(run) >= needed, all(limit.confirmed for limit in limits)
    refers = met and confirmed and _refers(case, weight)
    signs = case.beside(run[-1].at)
    raises = weight.speaks and (met or weight.first_asks or bool(signs))
    line = _line(weight, signs=signs, refers=refers) if raises else ROUTINE
    said = _ask(case, weight, signs=signs, met=met, confirmed=confirmed, refers=refers) if raises else EVIDENCE
    asked = [said, ask]
    return Finding(
        rule=rule,
        basis="measurement",
        sentence=f"{sentence}: {counted(len(run), needed=needed)}.",
        urgency=line.urgency,
        time_in_words=line.time_in_words,
        first_seen=run[0].at,
        last_seen=run[-1].at,
        times_seen=len(run),
        times_needed=needed,
        raises=raises,
        ask=" ".join(part for part in asked if part),
        source=limits[0].source,
        source_says=f"{limits[0].says} ({limits[0].standing})",
        limit_confirmed=confirmed,
        missing=tuple(missing),
        evidence=evidence_of(run),
    )


def _refers(case: Case, weight: Weight) -> bool:
    return weight.indicator or (weight.may_refer and case.protocol.measurement_alone == "refer")


def _line(weight: Weight, *, signs: Sequence[str], refers: bool) -> Line:
    if weight.line is not None:
        return weight.line
    if signs:
        return WITH_A_SIGN
    if refers:
        return SIGN_HOLDS if weight.indicator else THIS_WEEK
    return REPEAT


def _ask(case: Case, weight: Weight, *, signs: Sequence[str], met: bool, confirmed: bool, refers: bool) -> str:
    if weight.line is not None:
        return "" if confirmed else NOT_CONFIRMED_YET
    odd = ", ".join(signs)
    today = f"Odd when last looked for: {odd}. Examine today, tell the coordinator." if odd else ""
    if not confirmed:
        return f"{today} {NOT_CONFIRMED}".strip()
    if weight.indicator and refers:
        return f"{today} A clinical indicator that holds: refer.".strip()
    if met and weight.may_refer:
        return f"{today} {case.protocol.texts['measurement_met']}".strip()
    return today or REPEAT_AND_EXAMINE


def no_limit(case: Case, *, rule: str, what: str, at: Sequence[datetime]) -> Finding | None:
    """The answer in words where something was measured for which the protocol holds no limit."""
    if not at:
        return None
    return Finding(
        rule=rule,
        basis="measurement",
        sentence=f"{case.protocol.name} holds no limit for the {what}: measured, not judged.",
        urgency=ROUTINE.urgency,
        time_in_words=ROUTINE.time_in_words,
        first_seen=at[0],
        last_seen=at[-1],
        times_seen=0,
        times_needed=0,
        raises=False,
        ask=case.protocol.texts["no_limit"],
        missing=(f"a limit for the {what}",),
    )
