"""The story of one access as plain data: events, tests, needles and examinations, newest first where a person reads.

Charts and the map are drawn from the profile elsewhere; decisions, flags and referrals are joined one layer up.
"""

from collections.abc import Sequence
from datetime import datetime, timedelta
from typing import Any

from access.accounts.models import Clinic
from access.measures.readings import AccessProfile
from access.measures.words import normal
from access.records.history.describe import local_day, patient_card
from access.records.history.limits import in_force
from access.records.history.pack import Moment, packs
from access.records.history.profile import profile
from access.records.history.sight import Sight
from access.records.models import Event, RecirculationTest, VascularAccess

LOG_SHOWN = timedelta(weeks=12)
MOST_ROWS = 200


def access_history(access: VascularAccess, *, clinic: Clinic, as_of: datetime, sight: Sight) -> dict[str, Any]:
    """What the Access page shows of one access, as far as this clinic sees it."""
    clock = sight.clock(as_of)
    known = profile(access, as_of=clock, sight=sight)
    moment = Moment(clinic=clinic, day=local_day(clock, clinic=clinic), at=clock)
    return {
        "access": packs([access], moment=moment, protocol=in_force(clinic), sight=sight)[0],
        "patient": patient_card(access.patient),
        "recirculations": recirculation_rows(access, as_of=clock, sight=sight),
        "needle_log": needle_log(known, clinic=clinic, since=clock - LOG_SHOWN),
        "examinations": examination_rows(known, clinic=clinic, since=clock - LOG_SHOWN),
        "events": event_rows(access, sight=sight),
    }


def event_rows(access: VascularAccess, *, sight: Sight) -> list[dict[str, Any]]:
    """What was done to this access and what happened to it, oldest first, begun by its creation."""
    rows = Event.objects.filter(sight.observed(), access=access, made_in_error=False).order_by("on", "id")
    told = [
        {
            "id": str(row.pk),
            "on": row.on.isoformat(),
            "what": row.what,
            "where_cm": row.where_cm,
            "where_words": row.where_words,
            "degree_percent": row.degree_percent,
            "outcome": row.outcome,
        }
        for row in rows[:MOST_ROWS]
    ]
    return sorted([*_beginning(access, told=told, sight=sight), *told], key=lambda row: str(row["on"]))


def _beginning(access: VascularAccess, *, told: list[dict[str, Any]], sight: Sight) -> list[dict[str, Any]]:
    """Creation and first needles as the access itself has them, where no event says so."""
    known = {row["what"] for row in told}
    days = (("created", access.created_on), ("first needled", access.first_needled_on))
    nothing = {"id": "", "where_cm": None, "where_words": "", "degree_percent": None, "outcome": ""}
    return [
        {**nothing, "on": day.isoformat(), "what": what}
        for what, day in days
        if day and what not in known and (sight.until is None or day <= sight.until.date())
    ]


def recirculation_rows(access: VascularAccess, *, as_of: datetime, sight: Sight) -> list[dict[str, Any]]:
    """Every recirculation test of this access with its result, valid or not, newest first."""
    rows = RecirculationTest.objects.filter(
        sight.observed(), access=access, made_in_error=False, measured_at__lte=as_of
    ).order_by("-measured_at", "-id")
    return [
        {
            "id": str(row.pk),
            "measured_at": row.measured_at.isoformat(),
            "systemic": row.systemic,
            "arterial": row.arterial,
            "venous": row.venous,
            "unit": row.unit,
            "systemic_site": row.systemic_site,
            "pump_ml_min": row.pump_ml_min,
            "lines": row.lines,
            "result": row.result,
        }
        for row in rows[:MOST_ROWS]
    ]


def needle_log(profile: AccessProfile, *, clinic: Clinic, since: datetime) -> list[dict[str, Any]]:
    """The punctures since a moment, newest first."""
    rows = [one for one in profile.punctures if one.at >= since]
    return [
        {
            "on": local_day(one.at, clinic=clinic).isoformat(),
            "treatment": one.treatment,
            "role": one.role,
            "along_cm": one.along_cm,
            "gauge": one.gauge,
            "direction": one.direction or "",
            "technique": one.technique or "",
            "tip": one.tip or "",
            "outcome": one.outcome,
            "bleeding_minutes": one.bleeding_minutes,
        }
        for one in reversed(rows)
    ]


def examination_rows(profile: AccessProfile, *, clinic: Clinic, since: datetime) -> list[dict[str, Any]]:
    """The examinations since a moment with what was odd in each, oldest first."""
    return [
        {
            "id": one.id,
            "on": local_day(one.at, clinic=clinic).isoformat(),
            "examiner": one.examiner,
            "second_examiner": one.second_examiner,
            "odd": odd_words([one.findings, one.second_findings]),
            "looked_for": sorted({*one.findings, *one.second_findings}),
        }
        for one in profile.examinations
        if one.at >= since
    ]


def odd_words(findings: Sequence[dict[str, str]]) -> dict[str, str]:
    """The fields that any examiner found odd, with the odd word."""
    return {field: word for seen in findings for field, word in seen.items() if word != normal(field)}
