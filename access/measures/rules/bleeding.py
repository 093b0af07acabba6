"""The rule of bleeding: longer than this patient's usual after the needles are out, three treatments in succession.

Bleeding that does not stop is an emergency and stands in the emergency table.
"""

from dataclasses import dataclass
from statistics import mode

from access.measures.findings import Finding
from access.measures.readings import Puncture
from access.measures.rules.case import Case
from access.measures.rules.say import ROUTINE, SIGN_HOLDS, counted, day
from access.measures.succession import AgainstUsual, Observation, against_usual
from access.measures.words import NeedleRole

RULE = "bleeding.longer"
ROLES: tuple[NeedleRole, ...] = ("arterial", "venous")


@dataclass(frozen=True, kw_only=True)
class Site:
    """What one needle site shows."""

    role: NeedleRole
    found: AgainstUsual
    punctures: dict[str, Puncture]


def longer(case: Case) -> Finding | None:
    """bleeding.longer: bleeding time at one site longer than usual, as KDOQI 2019 lists it."""
    return case.once(RULE, _longer)  # Asked before the other rules, which need to know whether it holds.


def _longer(case: Case) -> Finding | None:
    sites = [site for role in ROLES if (site := _site(case, role=role)).found.run]
    if not sites:
        return None
    worst = max(sites, key=lambda site: len(site.found.run))
    run, needed = worst.found.run, case.needed("bleeding")
    holds, held = len(run) >= needed, case.protocol.limits["succession.bleeding"]
    line = SIGN_HOLDS if holds else ROUTINE
    return Finding(
        rule=RULE,
        basis="sign",
        sentence=f"Bleeding {_than(case, worst)} at the {worst.role} site: {counted(len(run), needed=needed)}."
        f"{_heparin(worst)}",
        urgency=line.urgency,
        time_in_words=line.time_in_words,
        first_seen=run[0].at,
        last_seen=run[-1].at,
        times_seen=len(run),
        times_needed=needed,
        raises=holds,  # Timed at each treatment anyway, so it is counted and not asked about.
        ask="Refer: a clinical indicator that holds." if holds else "Time it again at the next treatment.",
        source=held.source,
        source_says=f"{held.says} ({held.standing}) {case.protocol.limits['bleeding.times-usual'].says}",
        missing=() if worst.found.usual is not None else ("this patient's usual time: too few treatments timed",),
        evidence=tuple(one.evidence() for site in sites for one in site.found.run),
    )


def holds(case: Case) -> bool:
    """Whether bleeding is longer than usual as often in succession as its rule needs."""
    found = longer(case)
    return found is not None and found.raises


def _site(case: Case, *, role: NeedleRole) -> Site:
    longest: dict[str, Puncture] = {}
    changed_on = case.changed_on
    for one in case.profile.punctures:
        if one.role != role or one.bleeding_minutes is None:
            continue
        if changed_on is not None and one.at.date() <= changed_on:
            continue
        before = longest.get(one.treatment)
        if before is None or (before.bleeding_minutes or 0) <= one.bleeding_minutes:
            longest[one.treatment] = one
    number, needed = case.protocol.number, case.needed("bleeding")
    of = round(number("bleeding.usual-of"))
    newest = list(longest.values())[-(of + needed) :]
    found = against_usual(
        [_observation(one) for one in newest],
        needed=needed,
        of=of,
        least=round(number("bleeding.usual-least")),
        gap_days=case.protocol.gap_days("bleeding"),
        beyond=lambda minutes, usual: _beyond(case, minutes, usual),
    )
    return Site(role=role, found=found, punctures={one.id: one for one in newest})


def _beyond(case: Case, minutes: float, usual: float | None) -> bool:
    limits = case.protocol.limits
    if usual is None:
        return limits["bleeding.long"].passed(minutes)
    more = limits["bleeding.minutes-more"].passed(minutes - usual)
    return more and (usual <= 0 or limits["bleeding.times-usual"].passed(minutes / usual))


def _than(case: Case, site: Site) -> str:
    if site.found.usual is None:
        return f"longer than {case.protocol.limits['bleeding.long'].written()}"
    return f"longer than the usual {site.found.usual:g} min"


def _heparin(site: Site) -> str:
    """Heparin unchanged is not spoken of; a change is said, since it explains a longer bleeding."""
    before = [site.punctures[one.id].heparin for one in site.found.before]
    now = site.punctures[site.found.run[-1].id].heparin
    if not before or mode(before) == now:
        return ""
    return f" Heparin changed: {mode(before) or 'not recorded'} before, {now or 'not recorded'} now."


def _observation(one: Puncture) -> Observation:
    minutes = one.bleeding_minutes or 0.0
    heparin = f", {one.heparin}" if one.heparin else ""
    text = f"{day(one.at)}: {one.role} site {minutes:g} min{heparin}"
    return Observation(id=one.id, at=one.at, odd=False, text=text, value=minutes)
