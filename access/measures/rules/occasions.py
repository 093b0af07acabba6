"""Examinations gathered by treatment: what was looked for, what was odd, and who saw it.

It counts nothing; ``succession`` says when a sign holds.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from access.measures.examination import Sign
from access.measures.readings import ExaminationReading
from access.measures.rules.say import day
from access.measures.succession import Observation


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

    at: datetime
    views: tuple[View, ...]

    def looked_for(self, field: str) -> bool:
        """Whether anybody examined this field."""
        return any(field in view.findings for view in self.views)


def occasions(examinations: Iterable[ExaminationReading]) -> tuple[Occasion, ...]:
    """Occasions in order of their last examination; examinations of one treatment are one occasion."""
    gathered: dict[str, list[View]] = {}
    for one in examinations:
        views = gathered.setdefault(one.treatment or f"visit {one.id}", [])
        views.append(View(id=one.id, at=one.at, examiner=one.examiner, findings=one.findings))
        if one.second_findings:
            second = one.second_examiner or one.examiner
            views.append(View(id=one.id, at=one.at, examiner=second, findings=one.second_findings))
    found = [Occasion(at=views[-1].at, views=tuple(views)) for views in gathered.values()]
    return tuple(sorted(found, key=lambda one: (one.at, one.views[-1].id)))


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
