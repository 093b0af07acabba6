"""The rules of the emergency table: one for each row, from what was found last in each field.

An emergency never waits for a second look, and no number and no other examiner's normal reading takes it away.
"""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import datetime, time

from access.measures.emergency_table import EMERGENCY_TABLE, Row
from access.measures.examination import emergencies, old_zones
from access.measures.findings import Evidence, Finding
from access.measures.rules.case import Case
from access.measures.rules.occasions import LONGEST_TREATMENT, Occasion, View
from access.measures.rules.say import day
from access.measures.words import FINDINGS, SEEN_DURING_TREATMENT

State = Mapping[str, View]  # For each field the view that holds its last reading.
NEEDLE_OUT = next(row for row in EMERGENCY_TABLE if row.id == "bleeding-or-needle-out")
OF_THE_FLOW = ("emergency.no-thrill-no-bruit", "emergency.thrill-or-bruit-missing")


def rows(case: Case) -> tuple[Finding, ...]:
    """emergency.*: each row of the emergency table that is met now."""
    # What one examiner did not look at, another of the same occasion may have found.
    known, before = _known(case.occasions), _findings(_known(case.occasions[-2:-1]))
    met: dict[str, tuple[Row, State]] = {}
    for state in _states(case, known=known) or [known]:
        found = emergencies(_findings(state), before=before, zones=case.profile.zones, on=case.as_of.date())
        for row in found:
            met.setdefault(row.id, (row, state))
    out = _came_out(case)
    if out:
        met.setdefault(NEEDLE_OUT.id, (NEEDLE_OUT, {}))
    return tuple(
        _finding(case, *met[row.id], beside=out if row is NEEDLE_OUT else ())
        for row in EMERGENCY_TABLE
        if row.id in met
    )


def after_the_end(case: Case) -> tuple[Finding, ...]:
    """emergency.*: what is met at an abandoned access by examinations since; that it has no thrill is no news."""
    ended_on = max(event.on for event in case.profile.events if event.what == "abandoned")
    since = tuple(one for one in case.profile.examinations if one.at.date() >= ended_on)
    left = replace(case, profile=replace(case.profile, examinations=since, punctures=(), zones=()))
    return tuple(one for one in rows(left) if one.basis == "emergency" and one.rule not in OF_THE_FLOW)


def _states(case: Case, *, known: State) -> list[State]:
    """What is known with each view of the last occasion: each examiner's findings count by themselves."""
    if not case.occasions:
        return []
    return [{**known, **dict.fromkeys(view.findings, view)} for view in case.occasions[-1].views]


def _known(all_of_them: Sequence[Occasion]) -> dict[str, View]:
    """The view of what was found last in each field; at one occasion the odder reading outweighs the other.

    What can be seen only during a treatment lapses with it.
    """
    known: dict[str, View] = {}
    wanted = FINDINGS.keys() - SEEN_DURING_TREATMENT
    for occasion in reversed(all_of_them):
        for field in wanted - known.keys():
            seen = [view for view in occasion.views if field in view.findings]
            if seen:
                known[field] = max(seen, key=lambda one: _oddness(one, field=field))
        if len(known) == len(wanted):
            break
    return known


def _oddness(view: View, *, field: str) -> int:
    """The place of a reading in its vocabulary, which begins with the normal one and ends with the worst."""
    return FINDINGS[field].index(view.findings[field])


def _findings(state: State) -> dict[str, str]:
    return {field: view.findings[field] for field, view in state.items()}


def _came_out(case: Case) -> tuple[Evidence, ...]:
    """The needles that came out at the last treatment, by what became of them; a later look or treatment ends it."""
    if not case.profile.punctures:
        return ()
    last = case.profile.punctures[-1]
    moments = [*(one.at for one in case.profile.treatments), *(one.at for one in case.occasions)]
    out = [one for one in case.profile.punctures if one.treatment == last.treatment and one.outcome == "came out"]
    if any(at > last.at + LONGEST_TREATMENT for at in moments):
        return ()
    return tuple(Evidence(id=one.id, at=one.at, text=f"{day(one.at)}: {one.role} needle came out") for one in out)


def _finding(case: Case, row: Row, state: State, *, beside: tuple[Evidence, ...] = ()) -> Finding:
    shown = {
        field: state[field]
        for condition in row.when
        for field, readings in condition.seen.items()
        if field in state and state[field].findings[field] in readings
    }
    evidence = (*(_evidence(view, field=field) for field, view in shown.items()), *beside)
    moments = [one.at for one in evidence] or [_since(case, row)]
    needle = f" {row.keep_off.capitalize()}." if row.keep_off else ""
    return Finding(
        rule=f"emergency.{row.id}",
        basis="emergency" if row.stop or row.second_examiner else "sign",
        sentence=f"{row.title}.{needle}",
        urgency=row.urgency,
        time_in_words=row.time_in_words,
        first_seen=min(moments),
        last_seen=max(moments),
        times_seen=1,
        times_needed=1,
        ask=" ".join(row.first),
        source=row.source,
        source_says=row.source_says,
        evidence=evidence,
    )


def _evidence(view: View, *, field: str) -> Evidence:
    who = view.examiner or "examiner not named"
    text = f"{day(view.at)}: {field.replace('_', ' ')} {view.findings[field]} ({who})"
    return Evidence(id=view.id, at=view.at, text=text)


def _since(case: Case, row: Row) -> datetime:
    """The start of the oldest zone that meets the row."""
    today = case.as_of.date()
    days = [zone.since for zone in old_zones(row, zones=case.profile.zones, on=today)]
    return datetime.combine(min(days, default=today), time(), tzinfo=case.as_of.tzinfo)
