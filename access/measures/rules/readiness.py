"""The rule of a new fistula: not ready for use at six weeks, so it is imaged.

What ready means stands in ``access.measures.readiness``. Grafts are ready by time and by the absence of swelling; no
rule waits for them here.
"""

from datetime import datetime, time, timedelta

from access.measures.findings import Finding
from access.measures.readiness import Readiness, ReadinessRules, readiness
from access.measures.rules.case import Case
from access.measures.rules.say import ROUTINE, day

RULE = "new.access"
BORDERS = "borders felt"  # No reading holds them, so they are always asked for.


def not_ready(case: Case) -> Finding | None:
    """new.access: a fistula not needled yet at six weeks, and what of flow, diameter and depth is not there."""
    profile, weeks = case.profile, case.protocol.limits["new-access.weeks"]
    if profile.kind != "fistula" or profile.created_on is None or _needled(case):
        return None
    age_weeks = (case.as_of.date() - profile.created_on).days // 7
    if not weeks.passed(age_weeks):
        return None
    judged = _judged(case, age_weeks=age_weeks)
    asks = bool(judged.not_met or set(judged.missing) - {BORDERS})
    since = datetime.combine(profile.created_on, time(), tzinfo=case.as_of.tzinfo) + timedelta(weeks=weeks.value)
    return Finding(
        rule=RULE,
        basis="measurement",
        sentence=f"Fistula of {day(profile.created_on)}, {age_weeks} weeks old, not needled yet; {_state(judged)}.",
        urgency=ROUTINE.urgency,
        time_in_words=ROUTINE.time_in_words,
        first_seen=since,
        last_seen=case.as_of,
        times_seen=1,
        times_needed=1,
        raises=asks,
        ask=" ".join(judged.remarks) if asks else "Feel the borders; plan the first needles.",
        source=weeks.source,
        source_says=f"{case.protocol.limits['new-access.flow'].says} ({weeks.standing})",
        missing=judged.missing,
    )


def _needled(case: Case) -> bool:
    first = case.profile.first_needled_on
    return bool(case.profile.punctures) or (first is not None and first <= case.as_of.date())


def _judged(case: Case, *, age_weeks: int) -> Readiness:
    number = case.protocol.number
    flows = [one for one in case.profile.flows if one.comparable]
    return readiness(
        "fistula",
        flow_ml_min=flows[-1].ml_min if flows else None,
        diameter_cm=case.profile.diameter_cm,
        depth_cm=case.profile.depth_cm,
        weeks_since_creation=age_weeks,
        rules=ReadinessRules(
            flow_above_ml_min=number("new-access.flow"),
            diameter_cm=number("new-access.diameter"),
            depth_cm=number("new-access.depth"),
            image_at_weeks=number("new-access.weeks"),
        ),
    )


def _state(judged: Readiness) -> str:
    if judged.not_met:
        return f"not there: {'; '.join(judged.not_met)}"
    unknown = [words for words in judged.missing if words != BORDERS]
    return f"not known: {'; '.join(unknown)}" if unknown else "ready by its numbers"
