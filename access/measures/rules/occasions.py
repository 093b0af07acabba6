"""Examinations gathered by treatment: what was looked for, what was odd, and who saw it.

It counts nothing; ``succession`` says when a sign holds.
"""

from bisect import bisect
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import cached_property
from operator import attrgetter

from access.measures.examination import Sign
from access.measures.readings import ExaminationReading
from access.measures.rules.say import day
from access.measures.succession import LONGEST_TREATMENT, Observation


@dataclass(frozen=True, kw_only=True)
class View:
    """What one examiner found at one examination."""

    id: str
    at: datetime
    examiner: str
    findings: Mapping[str, str]


@dataclass(frozen=True, kw_only=True)
class Occasion:
    """All that was found at one treatment, or at one visit."""

    examinations: tuple[ExaminationReading, ...]  # In order; at least one.

    @property
    def at(self) -> datetime:
        """The moment of the last one."""
        return self.examinations[-1].at

    @cached_property
    def views(self) -> tuple[View, ...]:
        """What each examiner found; of a long history only the newest are asked for."""
        return tuple(view for one in self.examinations for view in _views(one))

    def looked_for(self, field: str) -> bool:
        """Whether anybody examined this field."""
        return any(field in view.findings for view in self.views)


def occasions(examinations: Iterable[ExaminationReading]) -> tuple[Occasion, ...]:
    """Occasions in order of their last examination; those of one treatment, and visits near it, are one occasion."""
    ordered = sorted(examinations, key=_IN_ORDER)
    gathered: dict[str, list[ExaminationReading]] = {}
    for one in ordered:
        if one.treatment is not None:
            gathered.setdefault(one.treatment, []).append(one)
    begun = sorted((group[0].at, name) for name, group in gathered.items())
    for one in (each for each in ordered if each.treatment is None):
        place = bisect(begun, (one.at, ""))
        near = [each for each in begun[max(place - 1, 0) : place + 1] if abs(one.at - each[0]) <= LONGEST_TREATMENT]
        if not near:
            near = [(one.at, f"visit {one.id}")]
            begun.insert(place, near[0])
        _, name = min(near, key=lambda each: abs(one.at - each[0]))
        gathered.setdefault(name, []).append(one)
    for group in gathered.values():
        group.sort(key=_IN_ORDER)
    groups = sorted(gathered.values(), key=lambda group: _IN_ORDER(group[-1]))
    return tuple([Occasion(examinations=tuple(group)) for group in groups])


_IN_ORDER = attrgetter("at", "id")


def _views(one: ExaminationReading) -> Iterator[View]:
    yield View(id=one.id, at=one.at, examiner=one.examiner, findings=one.findings)
    if one.second_findings:
        second = one.second_examiner or one.examiner
        yield View(id=one.id, at=one.at, examiner=second, findings=one.second_findings)


def odd_at_the_end(all_of_them: Sequence[Occasion], *, sign: Sign) -> bool:
    """Whether the sign was seen at the last occasion at which it was looked for."""
    for occasion in reversed(all_of_them):
        if occasion.looked_for(sign.field):
            return any(view.findings.get(sign.field) in sign.readings for view in occasion.views)
    return False


def observed(occasion: Occasion, *, sign: Sign) -> Observation:
    """The occasion as an observation of one sign: odd when any examiner saw it."""
    looked = [view for view in occasion.views if sign.field in view.findings]
    saw = [view for view in looked if view.findings[sign.field] in sign.readings]
    words = "; ".join(f"{view.findings[sign.field]} ({view.examiner or 'examiner not named'})" for view in looked)
    newest = (saw or looked)[-1]
    return Observation(
        id=newest.id,
        at=newest.at,
        odd=bool(saw),
        text=f"{day(newest.at)}: {sign.field.replace('_', ' ')} {words}",
        examiners=frozenset(view.examiner for view in saw if view.examiner),
    )
