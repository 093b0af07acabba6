"""What the chair needs to know of an access before a needle goes in: zones, holds, last sites, plan, bands.

One pack an access, as plain data that a tablet can take along; the page compares and looks up, it decides nothing.
Flags are not here: they belong to review, one layer up.
"""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from typing import Any
from uuid import UUID

from django.db.models import Q

from access.accounts.models import Clinic
from access.measures.protocol import Protocol
from access.measures.readings import AccessProfile, Puncture
from access.measures.sites import next_pairs, plan
from access.measures.words import normal
from access.records.history.bands import bands
from access.records.history.describe import access_title, day_in_words, local_day
from access.records.history.profile import profiles
from access.records.history.sight import Sight
from access.records.models import Hold, VascularAccess, Zone

PUNCTURES_SHOWN = timedelta(weeks=12)
# No needle goes there however well a site has rested.
NOT_NEEDLED = {"maturing": "It is not ready for use yet.", "clotted": "It is clotted.", "abandoned": "It is abandoned."}
NO_PAIR: dict[str, Any] = {
    "arterial_cm": None,
    "venous_cm": None,
    "arterial_rest_days": None,
    "venous_rest_days": None,
    "through_track": [],
    "reason": "",
    "gauge": "",
    "next": [],
    "none_because": "",
}
USUALLY_A_WEEK = 3  # Treatments, where no days are recorded.


@dataclass(frozen=True, kw_only=True)
class Moment:
    """When and for whom a pack is made: the clinic, the day of the treatment, and the treatment itself if any."""

    clinic: Clinic
    day: date
    at: datetime
    treatment: UUID | None = None

    def before(self, puncture: Puncture) -> bool:
        """Whether a puncture lies before this treatment and is not one of its own."""
        return puncture.at <= self.at and (self.treatment is None or puncture.treatment != str(self.treatment))


def packs(
    accesses: Iterable[VascularAccess], *, moment: Moment, protocol: Protocol, sight: Sight
) -> list[dict[str, Any]]:
    """The packs of these accesses; the number of queries does not grow with them."""
    listed = list(accesses)
    known = profiles(listed, as_of=moment.at, sight=sight)
    zones = zones_in_force([one.pk for one in listed], day=moment.day, sight=sight)
    holds = holds_in_force([one.pk for one in listed], day=moment.day, sight=sight)
    return [
        _pack(one, profile=known[one.pk], zones=zones[one.pk], holds=holds[one.pk], moment=moment, protocol=protocol)
        for one in listed
    ]


def zones_in_force(ids: Sequence[UUID], *, day: date, sight: Sight) -> dict[UUID, list[Zone]]:
    """The zones of these accesses that are in force on a day."""
    running = Q(until__isnull=True) | Q(until__gte=day)
    rows = Zone.objects.filter(running, sight.dated(), access__in=ids, since__lte=day, made_in_error=False)
    found: dict[UUID, list[Zone]] = defaultdict(list)
    for row in rows.order_by("from_cm", "id"):
        found[row.access_id].append(row)
    return found


def holds_in_force(ids: Sequence[UUID], *, day: date, sight: Sight) -> dict[UUID, list[Hold]]:
    """The holds of these accesses that are in force on a day."""
    running = Q(until__isnull=True) | Q(until__gte=day)
    rows = Hold.objects.filter(running, sight.dated(), access__in=ids, since__lte=day, made_in_error=False)
    found: dict[UUID, list[Hold]] = defaultdict(list)
    for row in rows.order_by("since", "id"):
        found[row.access_id].append(row)
    return found


def last_sites(punctures: Sequence[Puncture], *, clinic: Clinic) -> dict[str, Any] | None:
    """Where both needles were in use last, and when; None where no place was recorded."""
    used = [one for one in punctures if one.outcome == "in use to the end" and one.along_cm is not None]
    if not used:
        return None
    last = [one for one in used if one.treatment == used[-1].treatment]
    sites = {one.role: one.along_cm for one in last}
    return {
        "arterial_cm": sites.get("arterial"),
        "venous_cm": sites.get("venous"),
        "on": local_day(used[-1].at, clinic=clinic).isoformat(),
    }


def _pack(
    access: VascularAccess,
    *,
    profile: AccessProfile,
    zones: list[Zone],
    holds: list[Hold],
    moment: Moment,
    protocol: Protocol,
) -> dict[str, Any]:
    earlier = [one for one in profile.punctures if moment.before(one)]
    gauges = [one.gauge for one in earlier if one.gauge is not None]
    return {
        **access_title(access),
        "needled_from_cm": access.needled_from_cm,
        "needled_to_cm": access.needled_to_cm,
        "zones": [zone_row(zone) for zone in zones],
        "holds": [hold_row(hold) for hold in holds],
        "punctures": [puncture_row(one, moment=moment) for one in earlier if one.at >= moment.at - PUNCTURES_SHOWN],
        "last_sites": last_sites(earlier, clinic=moment.clinic),
        "last_gauge": gauges[-1] if gauges else None,
        "plan": _plan(access, profile=replace(profile, punctures=tuple(earlier)), holds=holds, day=moment.day),
        **_last_signs(profile, moment=moment),
        "bands": bands(profile, protocol=protocol),
    }


def zone_row(zone: Zone) -> dict[str, Any]:
    """One zone as plain data."""
    return {
        "id": str(zone.pk),
        "from_cm": zone.from_cm,
        "to_cm": zone.to_cm,
        "why": zone.why,
        "action": zone.action,
        "since": zone.since.isoformat(),
    }


def hold_row(hold: Hold) -> dict[str, Any]:
    """One hold as plain data."""
    return {
        "id": str(hold.pk),
        "why": hold.why,
        "since": hold.since.isoformat(),
        "until": hold.until.isoformat() if hold.until else None,
    }


def puncture_row(puncture: Puncture, *, moment: Moment) -> dict[str, Any]:
    """One puncture as the map shows it."""
    on = local_day(puncture.at, clinic=moment.clinic)
    return {
        "role": puncture.role,
        "along_cm": puncture.along_cm,
        "on": on.isoformat(),
        "days_ago": (moment.day - on).days,
        "outcome": puncture.outcome,
        "technique": puncture.technique or "",
    }


def _plan(access: VascularAccess, *, profile: AccessProfile, holds: list[Hold], day: date) -> dict[str, Any]:
    if holds:
        since = day_in_words(holds[0].since, as_of=day)
        return NO_PAIR | {"none_because": f"Not to be needled since {since}: {holds[0].why}"}
    if access.status in NOT_NEEDLED:
        return NO_PAIR | {"none_because": NOT_NEEDLED[access.status]}
    pair = plan(profile, as_of=day)
    if pair.arterial_cm is None or pair.venous_cm is None:
        return NO_PAIR | {"none_because": pair.reason}
    a_week = len(access.patient.schedule_days) or USUALLY_A_WEEK
    return NO_PAIR | {
        "arterial_cm": pair.arterial_cm,
        "venous_cm": pair.venous_cm,
        "arterial_rest_days": pair.arterial_rest_days,
        "venous_rest_days": pair.venous_rest_days,
        "through_track": list(pair.through_track),
        "reason": pair.reason,
        "gauge": pair.gauge,
        "next": [
            {"arterial_cm": one.arterial_cm, "venous_cm": one.venous_cm}
            for one in next_pairs(profile, as_of=day, treatments_a_week=a_week)
        ],
    }


def _last_signs(profile: AccessProfile, *, moment: Moment) -> dict[str, Any]:
    """What was odd at the last examination before this treatment, so that it is asked again: still there?"""
    own = str(moment.treatment) if moment.treatment else None
    earlier = [one for one in profile.examinations if one.treatment is None or one.treatment != own]
    if not earlier:
        return {"last_signs": {}, "last_signs_on": None}
    last = earlier[-1]
    both = [*last.second_findings.items(), *last.findings.items()]
    return {
        "last_signs": {field: word for field, word in both if word != normal(field)},
        "last_signs_on": local_day(last.at, clinic=moment.clinic).isoformat(),
    }
