"""Why measurements close a flag, in words: what is newer, what changed the vessel, or what was corrected.

It is asked only of flags raised by measurements whose rule is no longer met; a sign is closed by a person.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import partial

from access.measures.findings import Finding
from access.measures.flow_series import spread
from access.measures.pressure import standardized_dynamic
from access.measures.protocol import Protocol
from access.measures.readings import AccessProfile
from access.measures.rules import flow_trend
from access.measures.rules.case import open_case
from access.measures.rules.say import counted
from access.measures.words import CHANGES_THE_VESSEL, NeedleRole
from access.records.history import SERIES
from access.records.history.describe import day_in_words
from access.review.models import Flag
from access.review.stored import evidence_ids, from_json

# A static ratio no older than this, beside a running pressure, is what the rule of the outlet's rise looked at.
STATIC_SPEAKS_FOR = timedelta(days=28)


@dataclass(frozen=True, kw_only=True)
class Newest:
    """The newest value of the quantity that a rule looks at, in words."""

    at: datetime
    text: str


def why_closed(
    flag: Flag, *, profile: AccessProfile, protocol: Protocol, as_of: datetime, findings: Sequence[Finding] = ()
) -> str:
    """The sentence with which measurements close this flag; ``findings`` is what the rules say of the access now."""
    kept = from_json(flag.finding)
    # An event that came in late may lie between the readings that the flag rests on.
    seen = kept.first_seen.astimezone(as_of.tzinfo).date()
    for event in reversed([one for one in profile.events if one.on >= seen]):
        if event.what == "abandoned":
            return f"The access was abandoned on {day_in_words(event.on)}."
        if event.what in CHANGES_THE_VESSEL:
            return f"{event.what.capitalize()} on {day_in_words(event.on)} changed the vessel: its series starts anew."
    if still := next((one for one in findings if one.rule == flag.rule and one.times_seen), None):
        return _no_more_than_evidence(still, protocol=protocol, findings=findings)
    newest, stands = newest_of(flag.rule, profile=profile), "the rule is no longer met"
    if flag.rule == flow_trend.RULE:
        stands = flow_trend.stands(open_case(profile, protocol=protocol, as_of=as_of)) or stands
    if newest is not None and newest.at > kept.last_seen:
        return f"Closed by measurements: {newest.text} on {day_in_words(newest.at.date())}; {stands}."
    if evidence_ids(flag.finding) - ids_of(profile):
        return "A reading it rested on was taken out or marked as made in error; the rule is no longer met."
    if flag.protocol_version != protocol.version or flag.protocol != protocol.id:
        return f"By the limits now in force ({protocol.name}) the rule is not met."
    return f"Judged again on {day_in_words(as_of.date())}: with the readings as they stand {stands}."


def _no_more_than_evidence(still: Finding, *, protocol: Protocol, findings: Sequence[Finding]) -> str:
    """Still seen, but this rule asks for nothing by itself: another one speaks, or it was not seen often enough."""
    alike = {rule for row in protocol.rules.values() if still.rule in row for rule in row}
    if instead := next((one for one in findings if one.raises and one.rule in alike), None):
        return f"Another rule speaks for this now: {instead.sentence}"
    times = counted(still.times_seen, needed=still.times_needed)
    return f"Still {times}; shown as evidence, since another rule speaks for this or too few were seen."


def newest_of(rule: str, *, profile: AccessProfile) -> Newest | None:
    """The newest value of the quantity that this rule looks at; None for a rule that looks at no single one."""
    for prefix, read in _QUANTITIES.items():
        if rule.startswith(prefix):
            return read(profile)
    return None


def ids_of(profile: AccessProfile) -> frozenset[str]:
    """The id of every reading in a profile."""
    return frozenset(getattr(one, "id", "") for name in SERIES for one in getattr(profile, name))


def _flow(profile: AccessProfile) -> Newest | None:
    rows = [one for one in profile.flows if one.comparable]
    return Newest(at=rows[-1].at, text=f"flow {rows[-1].ml_min:.0f} mL/min") if rows else None


def _weighed_flow(profile: AccessProfile) -> Newest | None:
    """The newest flow that the trend can weigh: another one neither raises nor closes."""
    rows = [one for one in profile.flows if one.comparable and spread(one) is not None]
    return Newest(at=rows[-1].at, text=f"flow {rows[-1].ml_min:.0f} mL/min") if rows else None


def _ratio(profile: AccessProfile, *, role: NeedleRole) -> Newest | None:
    rows = [one for one in profile.ratios if one.role == role]
    if not rows:
        return None
    return Newest(at=rows[-1].at, text=f"static ratio {rows[-1].ratio:.2f} at the {role} needle")


def _outlet(profile: AccessProfile) -> Newest | None:
    """The newest static ratio where it is as recent as the running pressures, else the newest of those."""
    ratio = _ratio(profile, role="venous")
    running = [one for one in profile.dynamics if one.venous_mmhg is not None]
    if not running or (ratio is not None and running[-1].at - ratio.at <= STATIC_SPEAKS_FOR):
        return ratio
    last = running[-1]
    return Newest(at=last.at, text=f"venous pressure {last.venous_mmhg:.0f} mmHg at {last.pump_ml_min:.0f} mL/min")


def _venous(profile: AccessProfile) -> Newest | None:
    """The newest venous pressure under the standard conditions: another one neither raises nor closes."""
    rows = [one for one in profile.dynamics if standardized_dynamic(one).counts]
    if not rows:
        return None
    last = rows[-1]
    return Newest(at=last.at, text=f"venous pressure {last.venous_mmhg:.0f} mmHg at {last.pump_ml_min:.0f} mL/min")


def _pre_pump(profile: AccessProfile) -> Newest | None:
    rows = [one for one in profile.dynamics if one.pre_pump_arterial_mmhg is not None]
    if not rows:
        return None
    last = rows[-1]
    text = f"pre-pump pressure {last.pre_pump_arterial_mmhg:.0f} mmHg at {last.pump_ml_min:.0f} mL/min"
    return Newest(at=last.at, text=text)


def _recirculation(profile: AccessProfile) -> Newest | None:
    rows = profile.recirculations
    return Newest(at=rows[-1].at, text=f"recirculation {rows[-1].percent:.0f} %") if rows else None


def _dose(profile: AccessProfile) -> Newest | None:
    return Newest(at=profile.doses[-1].at, text=f"Kt/V {profile.doses[-1].kt_v:.2f}") if profile.doses else None


def _pump(profile: AccessProfile) -> Newest | None:
    rows = [one for one in profile.treatments if one.pump_reached_ml_min is not None]
    return Newest(at=rows[-1].at, text=f"{rows[-1].pump_reached_ml_min:.0f} mL/min reached") if rows else None


def _bleeding(profile: AccessProfile) -> Newest | None:
    rows = [one for one in profile.punctures if one.bleeding_minutes is not None]
    return Newest(at=rows[-1].at, text=f"{rows[-1].bleeding_minutes:.0f} min to stop bleeding") if rows else None


def _needle(profile: AccessProfile) -> Newest | None:
    rows = [one for one in profile.punctures if one.along_cm is not None]
    return Newest(at=rows[-1].at, text=f"{rows[-1].role} needle at {rows[-1].along_cm:g} cm") if rows else None


# By the first part of a rule's id; the longer one stands first.
_QUANTITIES: dict[str, Callable[[AccessProfile], Newest | None]] = {
    "flow.trend": _weighed_flow,
    "flow.": _flow,
    "outlet.dynamic": _venous,
    "outlet.rise": _outlet,
    "outlet.": partial(_ratio, role="venous"),
    "static.": partial(_ratio, role="arterial"),
    "inflow.": _pre_pump,
    "recirculation.": _recirculation,
    "dose.": _dose,
    "pump.": _pump,
    "bleeding.": _bleeding,
    "needle": _needle,
}
