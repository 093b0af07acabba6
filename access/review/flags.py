"""Keeps flags in step with findings: opens, updates and closes them; one open flag an access and rule.

A flag raised by measurements closes by measurements, in words and by nobody's hand; one raised by a sign or an
emergency only by a person. What a person closed comes back only when something newer is seen; what was then known and
is unchanged does not. A sign that held goes on saying so, with what was last seen of it.
"""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from typing import cast
from uuid import UUID

from django.db.models import Q

from access.accounts.models import Clinic
from access.audit import trail
from access.audit.models import AuditEntry
from access.audit.trail import Acting
from access.measures.findings import Basis, Finding
from access.measures.protocol import Protocol
from access.measures.readings import AccessProfile
from access.measures.succession import EVIDENCE_KEPT
from access.measures.words import URGENCIES, Urgency
from access.records.entry.saving import must_care
from access.records.history.sight import SEES_ALL, Sight
from access.records.models import VascularAccess
from access.records.problems import Invalid, Missing
from access.review.closing import ids_of, newest_of, why_closed
from access.review.models import Flag
from access.review.stored import as_json, evidence_ids, from_json, is_met

STANDING = ("open", "kept")
BASES: tuple[Basis, ...] = ("measurement", "sign", "emergency")  # The lightest first.
# An entry that arrives later than this after the bedside says since when it is known.
LATE = timedelta(hours=12)
LONGEST_WHY = 400


@dataclass(frozen=True, kw_only=True)
class Judgement:
    """What the rules found in one access at one moment."""

    access: VascularAccess
    profile: AccessProfile
    protocol: Protocol
    findings: tuple[Finding, ...]
    as_of: datetime
    arrived: bool  # True: something was just entered, so a late one says since when it is known.


@dataclass(kw_only=True)
class _Changes:
    """What is to be written, gathered for all accesses together."""

    clinic: Clinic
    opened: list[Flag] = field(default_factory=list)
    updated: list[Flag] = field(default_factory=list)
    closed: list[Flag] = field(default_factory=list)
    standing: dict[UUID, list[Flag]] = field(default_factory=lambda: defaultdict(list))


def store(judgements: Sequence[Judgement], *, clinic: Clinic, acting: Acting) -> dict[UUID, list[Flag]]:
    """Bring the flags of these accesses in step with what was found; the flags that stand, most urgent first.

    ``clinic`` is the one by whose protocol was judged. The number of queries does not grow with the accesses; the
    caller holds the transaction and the accesses' lock.
    """
    ids = [one.access.pk for one in judgements]
    known: dict[UUID, list[Flag]] = defaultdict(list)
    rows = Flag.objects.filter(Q(state__in=STANDING) | Q(closed_by__isnull=False), access__in=ids)
    for row in rows.order_by("raised_at", "id"):
        known[row.access_id].append(row)
    changes = _Changes(clinic=clinic)
    for one in judgements:
        _in_step(one, known=known[one.access.pk], acting=acting, changes=changes)
    _write(changes, acting=acting)
    return {access: in_order(changes.standing.get(access, [])) for access in ids}


def standing(accesses: Iterable[UUID], *, sight: Sight = SEES_ALL) -> list[Flag]:
    """The flags of these accesses that stand, most urgent first; of an ended care those raised until its end."""
    rows = Flag.objects.filter(access__in=list(accesses), state__in=STANDING)
    return in_order(rows if sight.until is None else rows.filter(raised_at__lte=sight.until))


def in_order(flags: Iterable[Flag]) -> list[Flag]:
    """Flags by urgency, then basis, then how long they have stood."""
    return sorted(flags, key=lambda one: (-weight(one.urgency, basis=one.basis), one.first_seen_at, str(one.pk)))


def weight(urgency: str, *, basis: str) -> int:
    """How heavy a flag is: by urgency first, then an emergency before a sign before a measurement."""
    return URGENCIES.index(cast(Urgency, urgency)) * len(BASES) + BASES.index(cast(Basis, basis))


def close(flag: Flag, *, why: str, acting: Acting) -> Flag:
    """Close a flag by hand; the reason is kept, and so is who closed it."""
    if not why.strip() or len(why) > LONGEST_WHY:
        raise Invalid([("why", f"Say in a few words why this is closed (at most {LONGEST_WHY} characters).")])
    must_care(flag.patient_id, clinic=_clinic(acting), bedside_at=acting.at, now=acting.at)
    if flag.state == "closed":
        raise Invalid([("state", "This flag is already closed.")])
    _shut(flag, why=why.strip(), acting=acting, by=acting.user)
    flag.save(update_fields=["state", "closed_at", "closed_by", "closed_why"])
    trail.write("flag:close", acting=acting, subjects=[flag.pk, flag.access_id], patients=[flag.patient_id])
    return flag


def keep(flag: Flag, *, acting: Acting) -> Flag:
    """Let a flag stand although something was done about it: a person says that it is not over."""
    if flag.state == "open":
        flag.state = "kept"
        flag.save(update_fields=["state"])
        detail: dict[str, object] = {"state": "kept"}
        subjects = [flag.pk, flag.access_id]
        trail.write("flag:change", acting=acting, subjects=subjects, patients=[flag.patient_id], detail=detail)
    return flag


def _in_step(judgement: Judgement, *, known: Sequence[Flag], acting: Acting, changes: _Changes) -> None:
    """Work out what becomes of the flags of one access."""
    raised = {one.rule: one for one in judgement.findings if one.raises}
    met = {one.rule for one in judgement.findings if is_met(one)}
    open_now = {flag.rule: flag for flag in known if flag.state in STANDING}
    shut = {flag.rule: flag for flag in known if flag.state == "closed"}  # The newest of each rule.
    stand = changes.standing[judgement.access.pk]
    for rule, finding in raised.items():
        flag = open_now.get(rule)
        if flag is None and not _newer(finding, than=shut.get(rule)):
            continue
        if flag is None:
            flag = _opened(finding, judgement=judgement, clinic=changes.clinic, acting=acting)
            changes.opened.append(flag)
        elif _updated(flag, finding=finding, judgement=judgement, acting=acting):
            changes.updated.append(flag)
        stand.append(flag)
    for rule, flag in open_now.items():
        if rule in raised:
            continue
        # Another rule may speak for the quantity now; while this one is still met, its flag stands.
        if flag.basis == "measurement" and rule not in met and _may_close(flag, profile=judgement.profile):
            why = why_closed(
                flag,
                profile=judgement.profile,
                protocol=judgement.protocol,
                as_of=judgement.as_of,
                findings=judgement.findings,
            )
            _shut(flag, why=why, acting=acting, by=None)
            changes.closed.append(flag)
        else:
            stand.append(flag)


def _may_close(flag: Flag, *, profile: AccessProfile) -> bool:
    """Whether measurements may close a flag: one that a person kept, only when something newer was measured."""
    if flag.state != "kept":
        return True
    newest = newest_of(flag.rule, profile=profile)
    return newest is not None and newest.at > flag.last_seen_at


def _newer(finding: Finding, *, than: Flag | None) -> bool:
    """Whether a finding shows anything that the flag closed by a person had not seen."""
    if than is None:
        return True
    if finding.unchanged:
        return False  # A person has looked at what it speaks of.
    return finding.last_seen > than.last_seen_at or bool(
        {one.id for one in finding.evidence} - evidence_ids(than.finding)
    )


def _opened(finding: Finding, *, judgement: Judgement, clinic: Clinic, acting: Acting) -> Flag:
    access, protocol = judgement.access, judgement.protocol
    return Flag(
        clinic=clinic,
        patient_id=access.patient_id,
        access=access,
        rule=finding.rule,
        protocol=protocol.id,
        protocol_version=protocol.version,
        basis=finding.basis,
        urgency=finding.urgency,
        first_seen_at=finding.first_seen,
        last_seen_at=finding.last_seen,
        raised_at=acting.at,
        finding=_kept(finding, judgement=judgement, known_since=_late(finding, judgement=judgement, acting=acting)),
    )


def _clinic(acting: Acting) -> UUID:
    if acting.clinic is None:
        raise Missing
    return acting.clinic


def _updated(flag: Flag, *, finding: Finding, judgement: Judgement, acting: Acting) -> bool:
    """Bring a flag up to what was found now; whether anything in it changed."""
    before = flag.finding.get("known_since")
    known_since = datetime.fromisoformat(before) if before else None
    if finding.last_seen > flag.last_seen_at:
        known_since = _late(finding, judgement=judgement, acting=acting)
    finding, held = _at_its_heaviest(flag, finding=finding, judgement=judgement)
    kept = _kept(finding, judgement=judgement, known_since=known_since, held=held)
    same_protocol = (flag.protocol, flag.protocol_version) == (judgement.protocol.id, judgement.protocol.version)
    if kept == flag.finding and same_protocol:
        return False
    flag.finding, flag.urgency = kept, finding.urgency
    flag.protocol, flag.protocol_version = judgement.protocol.id, judgement.protocol.version
    flag.first_seen_at = min(flag.first_seen_at, finding.first_seen)
    flag.last_seen_at = finding.last_seen
    return True


def _at_its_heaviest(flag: Flag, *, finding: Finding, judgement: Judgement) -> tuple[Finding, str]:
    """What a flag goes on saying, and the sentence with which a sign held where something lighter was seen since.

    A correction of what it rested on lowers it; a later sighting that counts for less does not.
    """
    before, held = from_json(flag.finding), flag.finding.get("held", "")
    if finding.basis != "sign" or _heaviness(finding) >= _heaviness(before):
        return finding, ""
    corrected = not evidence_ids(flag.finding) <= ids_of(judgement.profile)
    if corrected or not (held or finding.last_seen > before.last_seen):
        return finding, ""
    said, known = held or before.sentence, evidence_ids(flag.finding)
    evidence = (*before.evidence, *(one for one in finding.evidence if one.id not in known))
    sentence = f"{said} Last seen {finding.evidence[-1].text}."
    return replace(before, sentence=sentence, last_seen=finding.last_seen, evidence=evidence[-EVIDENCE_KEPT:]), said


def _heaviness(finding: Finding) -> tuple[int, bool]:
    return URGENCIES.index(finding.urgency), is_met(finding)


def _kept(finding: Finding, *, judgement: Judgement, known_since: datetime | None, held: str = "") -> dict[str, object]:
    family = _family(finding.rule)
    beside = [one for one in judgement.findings if not one.raises and _family(one.rule) == family]
    return as_json(finding, beside=beside, known_since=known_since, held=held)


def _family(rule: str) -> str:
    """The quantity a rule belongs to by its id; the place of a narrowing is told from the outlet's ratios."""
    first = rule.split(".")[0]
    return "outlet" if first == "static" else first


def _late(finding: Finding, *, judgement: Judgement, acting: Acting) -> datetime | None:
    return acting.at if judgement.arrived and acting.at - finding.last_seen > LATE else None


def _shut(flag: Flag, *, why: str, acting: Acting, by: UUID | None) -> None:
    flag.state, flag.closed_at, flag.closed_why, flag.closed_by_id = "closed", acting.at, why[:LONGEST_WHY], by


def _write(changes: _Changes, *, acting: Acting) -> None:
    # Closed first: the store allows one standing flag an access and rule.
    Flag.objects.bulk_update(changes.closed, ["state", "closed_at", "closed_why", "closed_by"])
    Flag.objects.bulk_create(changes.opened)
    columns = ["finding", "urgency", "protocol", "protocol_version", "first_seen_at", "last_seen_at"]
    Flag.objects.bulk_update(changes.updated, columns)
    told = (("flag:close", changes.closed), ("flag:raise", changes.opened), ("flag:change", changes.updated))
    AuditEntry.objects.bulk_create(
        trail.entry(action, acting=acting, subjects=[flag.pk, flag.access_id], patients=[flag.patient_id])
        for action, flags in told
        for flag in flags
    )
