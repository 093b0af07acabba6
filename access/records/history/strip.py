"""The findings strip of the Access page: what each examination read, drawn, with its twin as a table."""

from datetime import datetime, timedelta
from typing import Any

from access.drawing.series import FindingMark, day
from access.drawing.strip import findings_strip
from access.measures.readings import AccessProfile
from access.measures.words import normal

SHOWN = timedelta(days=180)
ALWAYS = frozenset({"thrill", "bruit"})


def findings_figure(profile: AccessProfile, *, as_of: datetime, width: float) -> dict[str, Any] | None:
    """The strip of the last half-year; None where nothing was examined.

    ``as_of`` lies in the clinic's zone, since days are written out.
    """
    since = as_of - SHOWN
    marks = finding_marks(profile, since=since, zone_of=as_of)
    if not marks:
        return None
    odd = [[day(one.at), one.sign, one.reading] for one in reversed(marks) if one.odd]
    return {
        "id": "findings",
        "title": "Findings, last six months",
        "svg": findings_strip(marks, until=as_of, since=since, width=width),
        "newest": "",
        "table": {"columns": ["day", "sign", "odd reading"], "rows": odd},
        "statements": [],
        "worked": None,
    }


def finding_marks(profile: AccessProfile, *, since: datetime, zone_of: datetime) -> list[FindingMark]:
    """Each reading of the signs that were odd at least once, and of thrill and bruit always."""
    seen = [one for one in profile.examinations if one.at >= since]
    shown = ALWAYS | {sign for one in seen for sign, word in one.findings.items() if word != normal(sign)}
    return [
        FindingMark(
            at=one.at.astimezone(zone_of.tzinfo), sign=sign.replace("_", " "), reading=word, odd=word != normal(sign)
        )
        for one in seen
        for sign, word in one.findings.items()
        if sign in shown
    ]
