"""A referral as one printed sheet: a tagged PDF made from its frozen summary, and nothing else.

The words are made here and the layout in document.typ; data goes in as JSON, so that no text can act as markup.
"""

import html
import json
import re
from datetime import UTC, date, datetime
from functools import cache
from pathlib import Path
from typing import Any

import font_lato
import typst

from access.measures.words import normal
from access.records.history.describe import day_in_words
from access.records.history.figures import map_drawn
from access.records.history.pictures import charts

_TEMPLATE = Path(__file__).with_name("document.typ")
_DATE = re.compile(r"\b\d{1,2} (Jan|Feb|Mar|Apr|May|Jun|Jul|Aug|Sep|Oct|Nov|Dec)[a-z]*( \d{4})?\b")
_LONG_WORD, _PIECE = re.compile(r"\S{25,}"), re.compile(r"\S{16}(?=\S)")
_CHART_PX, _CHART_HIGH_PX = 560, 170
_MAP_PX = 300


def pdf(summary: dict[str, Any], *, number: str) -> bytes:
    """The sheet of a frozen summary as a tagged PDF; ``number`` is the referral's id as it is printed at its foot.

    The same summary gives the same bytes, since its time is that of the summary.
    """
    made = datetime.fromisoformat(summary["made_at"])
    found: bytes = typst.compile(
        _template(),
        format="pdf",
        sys_inputs={"d": json.dumps(well_set(words(summary, number=number)))},
        font_paths=[font_lato.font_directory],
        ignore_system_fonts=True,
        pdf_standards="ua-1",
        timestamp=int(made.timestamp()),
    )
    return found


@cache
def _template() -> bytes:
    return _TEMPLATE.read_bytes()


def words(summary: dict[str, Any], *, number: str) -> dict[str, Any]:
    """Every word and picture of the sheet, ready to be set."""
    made = datetime.fromisoformat(summary["made_at"])
    asked, demo = summary["asked"], summary["clinic"]["is_demo"]
    return {
        "title": f"Referral, {summary['access']['title']}, {summary['patient']['name']}",
        "heading": "Referral of a vascular access for hemodialysis",
        "clinic": summary["clinic"]["name"],
        "demo": demo,
        "date": [made.year, made.month, made.day],
        "way": [
            f"{'sent' if summary['sent'] else 'draft, not sent,'} {_moment(made)}",
            f"by {asked['by']}",
            *([f"to {asked['to']}"] if asked["to"] else []),
        ],
        "patient": _patient(summary["patient"]),
        "access": _access(summary["access"]),
        "ask": {"urgency": asked["urgency"], "words": asked["time_in_words"], "question": asked["question"]},
        "findings": [_finding(one) for one in summary["findings"]],
        "left_out": summary["findings_left_out"],
        "examination": _examination(summary["examination"]),
        "newest": [
            {"name": one["name"], "value": one["value"], "on": _day(one["on"]), "doubt": one["doubt"]}
            for one in summary["newest"]
        ],
        "charts": [
            {
                "title": one["title"],
                "svg": one["svg"],
                "alt": f"{one['title']}. {described(one['svg'])}",
                "said": " ".join(one["statements"]),
            }
            for one in charts(summary["figures"], width=_CHART_PX, height=_CHART_HIGH_PX)
        ],
        "map": _map(summary["map"]),
        "history": [_event(one) for one in summary["history"]],
        "medicines": _medicines(summary["medicines"]),
        "cautions": summary["cautions"],
        "foot": _foot(summary, number=number, demo=demo),
    }


def well_set(told: Any) -> Any:
    """The same words with dates kept whole and places to break in long words; pictures stay as they are."""
    if isinstance(told, dict):
        return {name: one if name in ("svg", "alt") else well_set(one) for name, one in told.items()}
    if isinstance(told, list):
        return [well_set(one) for one in told]
    if isinstance(told, str):
        whole_days = _DATE.sub(lambda found: found.group().replace(" ", "\u00a0"), told)
        return _LONG_WORD.sub(lambda found: _PIECE.sub("\\g<0>\u200b", found.group()), whole_days)
    return told


def described(svg: str) -> str:
    """What a picture says of itself for whoever does not see it."""
    found = re.search(r"<desc[^>]*>(.*?)</desc>", svg, re.DOTALL)
    return html.unescape(found.group(1)) if found else "A picture without a description."


def _moment(at: datetime) -> str:
    return f"{day_in_words(at.date())}, {at:%H:%M}"


def _day(text: str) -> str:
    return day_in_words(date.fromisoformat(text[:10]))


def _patient(patient: dict[str, Any]) -> dict[str, Any]:
    notes = [patient["arm_notes"], f"isolation: {patient['isolation']}" if patient["isolation"] else ""]
    return {
        "name": patient["name"],
        "born": f"born {_day(patient['birth_date'])}",
        "chart": f"chart {patient['chart_number']}",
        "notes": [note for note in notes if note],
    }


def _access(access: dict[str, Any]) -> dict[str, Any]:
    facts = [
        f"created {_day(access['created_on'])}" if access["created_on"] else "",
        f"first needled {_day(access['first_needled_on'])}" if access["first_needled_on"] else "not needled yet",
        f"{'' if access['first_needled_on'] else 'to be '}needled from {access['needled_from_cm']:g} "
        f"to {access['needled_to_cm']:g} cm",
        f"diameter {access['diameter_cm']:g} cm" if access["diameter_cm"] else "",
        f"depth {access['depth_cm']:g} cm" if access["depth_cm"] else "",
        access["status"] if access["status"] != "in use" else "",
        access["note"],
    ]
    return {"whose": access["whose"], "title": access["title"], "facts": [fact for fact in facts if fact]}


def _finding(one: dict[str, Any]) -> dict[str, Any]:
    seen = _seen(one)
    if not one["limit_confirmed"]:
        seen += " Limit not yet confirmed by this clinic."
    return {
        "urgency": one["urgency"],
        "words": one["time_in_words"],
        "sentence": one["sentence"],
        "seen": seen,
        "evidence": [row["text"] for row in reversed(one["evidence"])],
    }


def _seen(one: dict[str, Any]) -> str:
    """When it was seen, and since when it is known where it came in late."""
    first, last = (date.fromisoformat(one[name][:10]) for name in ("since", "last_seen"))
    text = f"Seen on {day_in_words(last)}"
    if first != last:
        text = f"Seen from {day_in_words(first, as_of=last)} to {day_in_words(last)}"
    return f"{text}, known since {_day(one['known_since'])}." if one["known_since"] else f"{text}."


def _examination(last: dict[str, Any] | None) -> str:
    """The last examination: odd signs with their word, normal ones by name; what is not named was not looked for."""
    if last is None:
        return "none is recorded."
    odd = "; ".join(f"{_field(field)} {word}" for field, word in last["odd"].items())
    sound = ", ".join(_field(field) for field in last["normal"])
    parts = [f"{_day(last['at'])}, {last['examiner'] or 'examiner not named'}"]
    parts += [f"Odd: {odd}"] if odd else []
    parts += [f"As it should be: {sound}"] if sound else []
    return ". ".join(parts) + "."


def _field(name: str) -> str:
    # A field that has no normal reading is a mistake of the program, not of a nurse: let it be seen in tests.
    normal(name)
    return name.replace("_", " ")


def _map(marks: dict[str, Any]) -> dict[str, str]:
    svg = map_drawn(marks, view="needled", width=_MAP_PX)
    return {"svg": svg, "alt": described(svg)}


def _event(one: dict[str, Any]) -> dict[str, str]:
    where = one["where_words"] or (f"at {one['where_cm']:g} cm" if one["where_cm"] is not None else "")
    degree = f"{one['degree_percent']:g} % narrowing" if one.get("degree_percent") is not None else ""
    more = ", ".join(part for part in (where, degree, one["outcome"]) if part)
    return {"on": _day(one["on"]), "what": one["what"], "more": more}


def _medicines(found: dict[str, str]) -> list[list[str]]:
    return [
        ["Allergies", found["allergies"] or "none recorded"],
        ["At the needles", found["needle_allergies"] or "none recorded"],
        ["Medicines", found["medicines"] or "none recorded"],
        ["Given", found["given"] or "none recorded"],
    ]


def _foot(summary: dict[str, Any], *, number: str, demo: bool) -> str:
    made = datetime.fromisoformat(summary["made_at"]).astimezone(UTC)
    protocol = summary["protocol"]
    parts = [
        f"Limits: {protocol['name']}, version {protocol['version']}",
        f"Referral {number}",
        f"data as of {made:%Y-%m-%d %H:%M} UTC",
        "Invented patients: nobody on this sheet exists" if demo else "",
    ]
    return " · ".join(part for part in parts if part)
