"""The rules of the emergency table: one for each row, from what was found last in each field.

An emergency never waits for a second look, and no number and no other examiner's normal reading takes it away. What
passes by itself lapses at the next occasion; thrill and bruit are felt and heard anew once the vessel was changed.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import date, datetime, time

from access.measures.emergency_table import EMERGENCY_TABLE, PASSING, Row
from access.measures.examination import FELT_AND_HEARD, emergencies, old_zones
from access.measures.findings import Evidence, Finding
from access.measures.readings import ExaminationReading
from access.measures.rules.case import Case
from access.measures.rules.occasions import Occasion, View, occasions
from access.measures.rules.say import day
from access.measures.succession import LONGEST_TREATMENT
from access.measures.words import FINDINGS, SEEN_DURING_TREATMENT

State = Mapping[str, View]  # For each field the view that holds its last reading.
NEEDLE_OUT = next(row for row in EMERGENCY_TABLE if row.id == "bleeding-or-needle-out")
OF_THE_FLOW = ("emergency.no-thrill-no-bruit", "emergency.thrill-or-bruit-missing")


def rows(case: Case) -> tuple[Finding, ...]:
    """emergency.*: each row of the emergency table that is met now."""
    # What one examiner did not look at, another of the same occasion may have found.
    passed = bool(case.occasions) and _anything_after(case, case.occasions[-1].at)
    known = _known(case.occasions, passed=passed, changed_on=case.changed_on)
    before = _findings(_known(case.occasions[-2:-1], passed=False, changed_on=case.changed_on))
    met: dict[str, tuple[Row, State]] = {}
    for state in _states(case, known=known, passed=passed) or [known]:
        found = emergencies(_findings(state), before=before, zones=case.profile.zones, on=case.as_of.date())
        for row in found:
            # Where one examiner found it as known and the other something new, the new is told.
            if row.id not in met or _unchanged(row, met[row.id][1]):
                met[row.id] = (row, state)
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


def found_last(examinations: Iterable[ExaminationReading]) -> dict[str, str]:
    """What was found at the last occasion of these examinations, field by field; of two readings the odder one."""
    return _findings(_known(occasions(examinations)[-1:], passed=False, changed_on=None))


def _states(case: Case, *, known: State, passed: bool) -> list[State]:
    """What is known with each view of the last occasion: each examiner's findings count by themselves."""
    if not case.occasions:
        return []
    found: list[State] = []
    for view in case.occasions[-1].views:
        own = [one for one in view.findings if _stands(view, field=one, passed=passed, changed_on=case.changed_on)]
        found.append({**known, **dict.fromkeys(own, view)})
    return found


def _known(all_of_them: Sequence[Occasion], *, passed: bool, changed_on: date | None) -> dict[str, View]:
    """The view of what was found last in each field; at one occasion the odder reading outweighs the other.

    ``passed`` says that something newer than the last of these occasions exists. What can be seen only during a
    treatment lapses with it.
    """
    known: dict[str, View] = {}
    wanted = FINDINGS.keys() - SEEN_DURING_TREATMENT
    for occasion in reversed(all_of_them):
        for field in wanted - known.keys():
            seen = [view for view in occasion.views if field in view.findings]
            left = [view for view in seen if _stands(view, field=field, passed=passed, changed_on=changed_on)]
            if left:
                known[field] = max(left, key=lambda one: _oddness(one, field=field))
        if len(known) == len(wanted):
            break
        passed = True
    return known


def _stands(view: View, *, field: str, passed: bool, changed_on: date | None) -> bool:
    """Whether a reading still says something: not of a vessel since changed, nor of what has passed by itself."""
    if field in FELT_AND_HEARD and changed_on is not None and view.at.date() < changed_on:
        return False
    return not (passed and view.findings[field] in PASSING.get(field, ()))


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
    out = [one for one in case.profile.punctures if one.treatment == last.treatment and one.outcome == "came out"]
    if _anything_after(case, last.at):
        return ()
    return tuple(Evidence(id=one.id, at=one.at, text=f"{day(one.at)}: {one.role} needle came out") for one in out)


def _anything_after(case: Case, at: datetime) -> bool:
    """Whether a treatment or an examination came after the occasion of this moment; one not dialysed is none."""
    treated = (one.at for one in reversed(case.profile.treatments) if one.route != "not dialysed")
    newest = (next(treated, at), *(one.at for one in case.occasions[-1:]))
    return max(newest) > at + LONGEST_TREATMENT


def _unchanged(row: Row, state: State) -> bool:
    """Whether a row is met by nothing but what was known and reviewed before."""
    seen = [state[field].findings[field] in row.known[field] for field in row.known if field in state]
    return bool(seen) and all(seen)


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
        unchanged=_unchanged(row, state),
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
