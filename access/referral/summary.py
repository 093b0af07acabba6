"""What a nephrologist needs to decide on a referral, as plain data that is frozen when it is sent.

Nothing in it is written by hand but the question; no picture stands in it, only the numbers that one is drawn from.
It judges nothing: findings are the flags as they stood, in order of weight.
"""

from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from access.accounts.models import Clinic, User
from access.drawing.geometry import geometries
from access.measures.findings import URGENCY_IN_WORDS
from access.measures.readings import AccessProfile
from access.measures.words import FINDINGS, normal
from access.records.history import in_force, profile, title
from access.records.history.describe import day_in_words
from access.records.history.figures import figures, map_marks
from access.records.history.sight import SEES_ALL
from access.records.history.story import event_rows
from access.records.models import Patient, Treatment, VascularAccess
from access.review import flags
from access.review.models import Flag

# The form of the summary; a page or document that reads a frozen one looks here first.
FORM = 1
MOST_FINDINGS = 12
CAUTIONS = (
    "Decision support for trained staff: it does not diagnose. Examine the access before anything is done to it.",
    "A single reading is never the only reason, and a normal number silences no sign.",
    "Local protocol, the prescriber's orders and licensed practice come first.",
)


def summary(
    access: VascularAccess,
    *,
    clinic: Clinic,
    urgency: str,
    question: str,
    by: User,
    to: User | None,
    as_of: datetime,
    sent: bool = True,
) -> dict[str, Any]:
    """The summary of an access as its record stands, with what is asked and how soon; ``sent=False`` for a draft."""
    moment = as_of.astimezone(ZoneInfo(clinic.time_zone))
    known, protocol = profile(access, as_of=moment), in_force(clinic)
    standing = flags.standing([access.pk])
    return {
        "form": FORM,
        "made_at": moment.isoformat(),
        "sent": sent,
        "clinic": {"name": clinic.name, "is_demo": clinic.is_demo, "time_zone": clinic.time_zone},
        "patient": _patient(access.patient),
        "access": _access(access),
        "asked": {
            "question": question,
            "urgency": urgency,
            "time_in_words": URGENCY_IN_WORDS[urgency],
            "by": by.full_name,
            "to": to.full_name if to else "",
        },
        "findings": [_finding(flag) for flag in standing[:MOST_FINDINGS]],
        "findings_left_out": max(len(standing) - MOST_FINDINGS, 0),
        "examination": _examination(known),
        "newest": _newest(known),
        "figures": figures(known, protocol=protocol, as_of=moment),
        "map": map_marks(known, day=moment.date()),
        "history": _history(access),
        "medicines": _medicines(access.patient),
        "protocol": {"name": protocol.name, "version": protocol.version},
        "cautions": list(CAUTIONS),
    }


def _patient(patient: Patient) -> dict[str, Any]:
    return {
        "name": patient.name,
        "birth_date": patient.birth_date.isoformat(),
        "chart_number": patient.chart_number,
        "arm_notes": patient.arm_notes,
        "isolation": patient.isolation,
    }


def _access(access: VascularAccess) -> dict[str, Any]:
    drawn = geometries().get(access.configuration)  # type: ignore[call-overload]  # The database holds it to the words.
    side = f"patient's {access.side.upper()}"
    return {
        "id": str(access.pk),
        "title": title(access),
        "whose": drawn.whose(access.side) if drawn else side,
        "kind": access.kind,
        "configuration": access.configuration,
        "side": access.side,
        "status": access.status,
        "created_on": _day(access.created_on),
        "first_needled_on": _day(access.first_needled_on),
        "needled_from_cm": access.needled_from_cm,
        "needled_to_cm": access.needled_to_cm,
        "depth_cm": access.depth_cm,
        "diameter_cm": access.diameter_cm,
        "note": access.note,
    }


def _day(day: Any) -> str | None:
    return day.isoformat() if day else None


def _finding(flag: Flag) -> dict[str, Any]:
    kept = flag.finding
    return {
        "id": str(flag.pk),
        "rule": flag.rule,
        "basis": flag.basis,
        "urgency": flag.urgency,
        "time_in_words": kept["time_in_words"],
        "sentence": kept["sentence"],
        "since": flag.first_seen_at.isoformat(),
        "last_seen": flag.last_seen_at.isoformat(),
        "known_since": kept["known_since"],
        "times_seen": kept["times_seen"],
        "times_needed": kept["times_needed"],
        "limit_confirmed": kept["limit_confirmed"],
        "source_says": kept["source_says"],
        "missing": kept["missing"],
        "evidence": [{"at": one["at"], "text": one["text"]} for one in kept["evidence"]],
        "comparators": kept["comparators"],
    }


def _examination(known: AccessProfile) -> dict[str, Any] | None:
    """What the last examination found, odd and normal apart, and what nobody looked at."""
    if not known.examinations:
        return None
    last = known.examinations[-1]
    both = {**last.findings, **{field: word for field, word in last.second_findings.items() if word != normal(field)}}
    return {
        "at": last.at.isoformat(),
        "examiner": last.examiner,
        "odd": {field: word for field, word in both.items() if word != normal(field)},
        "normal": [field for field in FINDINGS if both.get(field) == normal(field)],
    }


def _newest(known: AccessProfile) -> list[dict[str, Any]]:
    """The newest value of each quantity, with its doubt and day; what was never measured is not there."""
    rows = []
    for flow in known.flows[-1:]:
        doubt = _interval(flow.low_ml_min, flow.high_ml_min)
        rows.append(_value("Access flow", f"{flow.ml_min:.0f} mL/min", flow.at, f"{doubt}; {flow.method}"))
    for role in ("arterial", "venous"):
        for ratio in [one for one in known.ratios if one.role == role][-1:]:
            doubt = f"{ratio.formula} height"
            rows.append(_value(f"Static ratio, {role} needle", f"{ratio.ratio:.2f}", ratio.at, doubt))
    for last in known.recirculations[-1:]:
        # Below zero there is none to show; what was computed is kept beside it.
        none = last.percent < 0
        shown = "none found" if none else f"{last.percent:.0f} %"
        doubt = f"computed {last.percent:.1f} %" if none else f"{_interval(last.low_percent, last.high_percent)} %"
        rows.append(_value("Recirculation", shown, last.at, f"{doubt}; lines {last.lines}"))
    for dose in known.doses[-1:]:
        rows.append(_value("Kt/V", f"{dose.kt_v:.2f}", dose.at, dose.prescription))
    return rows


def _interval(low: float | None, high: float | None) -> str:
    return "doubt not known" if low is None or high is None else f"{max(low, 0):.0f} to {high:.0f}"


def _value(name: str, value: str, at: datetime, doubt: str) -> dict[str, Any]:
    return {"name": name, "value": value, "on": at.date().isoformat(), "doubt": doubt}


def _history(access: VascularAccess) -> list[dict[str, Any]]:
    """What was done to the access and what happened to it, oldest first, begun by its creation."""
    rows = event_rows(access, sight=SEES_ALL)
    return [{name: value for name, value in row.items() if name != "id"} for row in rows]


def _medicines(patient: Patient) -> dict[str, str]:
    """Allergies and medicines that matter to a procedure, with what the last treatments gave."""
    last = (
        Treatment.objects.filter(patient=patient, made_in_error=False, state="ended")
        .order_by("-measured_at", "-id")
        .values("heparin", "antithrombotics", "measured_at")
        .first()
    )
    given = [text for text in (last["heparin"], last["antithrombotics"]) if text] if last else []
    on = f"last treatment, {day_in_words(last['measured_at'].date())}: " if last and given else ""
    return {
        "allergies": patient.procedure_allergies,
        "needle_allergies": patient.needle_allergies,
        "medicines": patient.procedure_medicines,
        "given": f"{on}{'; '.join(given)}" if given else "",
    }
