"""The rules of the needles: a buttonhole in a graft, always the same patch, tries that failed.

How far apart two needles should be is advice at the chair (``needles.spacing``) and raises nothing here. One patch is
told by a share alone; whether chance would do so is worked out when asked, in ``clustering``.
"""

from bisect import bisect_right
from collections.abc import Sequence
from datetime import timedelta
from operator import attrgetter

from access.measures.findings import Finding
from access.measures.readings import Puncture
from access.measures.rules.case import Case
from access.measures.rules.say import REPEAT, ROUTINE, THIS_WEEK, Line, day
from access.measures.succession import Observation
from access.measures.tracks import through_track

FAILED = frozenset({"failed", "infiltrated"})


def buttonhole_in_graft(case: Case) -> Finding | None:
    """needle.buttonhole-in-graft: a graft punctured through a track, which is for fistulas only."""
    days = case.protocol.number("needle.buttonhole-days")
    seen = [one for one in _recent(case, days=days) if one.technique == "buttonhole"]
    if case.profile.kind != "graft" or not seen:
        return None
    return _finding(
        case,
        rule="needle.buttonhole-in-graft",
        seen=seen[-6:],
        sentence="Buttonhole needling in a graft",
        line=THIS_WEEK,
        ask="Needle other sites with sharp needles; look for infection; tell the coordinator.",
        source="kdoqi-2006",
        says="Buttonhole in fistulas only. (published)",
    )


def one_patch(case: Case) -> Finding | None:
    """needle.one-patch: most punctures of the last weeks within one short patch of the vessel."""
    number, limits = case.protocol.number, case.protocol.limits
    recent = [
        one
        for one in _recent(case, days=7 * number("needle.one-patch-weeks"))
        if one.along_cm is not None and not through_track(one)
    ]
    if len(recent) < number("needle.one-patch-least"):
        return None
    length, patch = number("needle.one-patch-cm"), _fullest_patch(recent, length_cm=number("needle.one-patch-cm"))
    share, even = 100 * len(patch) / len(recent), _even_share_percent(case, length_cm=length)
    over_even = even is None or limits["needle.one-patch-times-even"].passed(share / even)
    if not limits["needle.one-patch"].passed(share) or not over_even:
        return None
    from_cm, to_cm = patch[0].along_cm, patch[-1].along_cm
    than = "the needled length is not known" if even is None else f"even needling would put {even:.0f} % there"
    return _finding(
        case,
        rule="needle.one-patch",
        seen=sorted(patch, key=lambda one: (one.at, one.id))[-6:],
        sentence=f"{share:.0f} % of {len(recent)} punctures within {length:g} cm ({from_cm:g} to {to_cm:g} cm); {than}",
        line=ROUTINE,
        ask="Spread the sites; look at the skin there for a bulge.",
        source="own-choice",
        says=f"{limits['needle.one-patch'].says} (own choice or simulation)",
        missing=("whether chance alone would do so, which is worked out when asked",),
    )


def failed_tries(case: Case) -> Finding | None:
    """needling.failed-tries: two or more failed or infiltrated punctures at the last treatment."""
    if not case.profile.punctures:
        return None
    last = case.profile.punctures[-1].treatment
    failed = [one for one in case.profile.punctures if one.treatment == last and one.outcome in FAILED]
    held = case.protocol.limits["needling.failed-tries"]
    if not held.passed(len(failed)):
        return None
    return _finding(
        case,
        rule="needling.failed-tries",
        seen=failed,
        sentence=f"{len(failed)} tries failed at the last treatment",
        line=REPEAT,
        ask="A senior colleague needles; examine the access before, also with ultrasound where there is one.",
        source=held.source,
        says=f"{held.says} ({held.standing})",
    )


def _recent(case: Case, *, days: float) -> tuple[Puncture, ...]:
    """The punctures of the last days; they stand in order of time."""
    punctures = case.profile.punctures
    return punctures[bisect_right(punctures, case.as_of - timedelta(days=days), key=attrgetter("at")) :]


def _fullest_patch(punctures: Sequence[Puncture], *, length_cm: float) -> list[Puncture]:
    """The punctures of one segment within the patch that holds most, in order along the vessel."""
    fullest: list[Puncture] = []
    for segment in sorted({one.segment for one in punctures}):
        placed = sorted((one for one in punctures if one.segment == segment), key=lambda one: (_cm(one), one.id))
        start = 0
        for end, one in enumerate(placed):
            while _cm(one) - _cm(placed[start]) > length_cm + 1e-9:  # Half-centimetre steps, exact in binary.
                start += 1
            if end - start + 1 > len(fullest):
                fullest = placed[start : end + 1]
    return fullest


def _cm(one: Puncture) -> float:
    return one.along_cm if one.along_cm is not None else -1.0


def _even_share_percent(case: Case, *, length_cm: float) -> float | None:
    """The share (%) that a patch holds when the whole needled length is used evenly."""
    if case.profile.needled_to_cm is None:
        return None
    needled = case.profile.needled_to_cm - case.profile.needled_from_cm
    return 100 * min(1.0, length_cm / needled) if needled > 0 else None


def _finding(
    case: Case,
    *,
    rule: str,
    seen: Sequence[Puncture],
    sentence: str,
    line: Line,
    ask: str,
    source: str,
    says: str,
    missing: tuple[str, ...] = (),
) -> Finding:
    return Finding(
        rule=rule,
        basis="measurement",
        sentence=f"{sentence}.",
        urgency=line.urgency,
        time_in_words=line.time_in_words,
        first_seen=seen[0].at,
        last_seen=seen[-1].at,
        times_seen=1,
        times_needed=1,
        ask=ask,
        source=source,
        source_says=says,
        missing=missing,
        evidence=tuple(_observation(one).evidence() for one in seen),
    )


def _observation(one: Puncture) -> Observation:
    where = "place not recorded" if one.along_cm is None else f"{one.along_cm:g} cm"
    text = f"{day(one.at)}: {one.role} needle, {where}, {one.technique or 'technique not recorded'}, {one.outcome}"
    return Observation(id=one.id, at=one.at, odd=True, text=text)
