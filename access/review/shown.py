"""A flag as lists and pages show it: what, how urgent, how often, since when, by which source, how sure.

It reads the flag alone; a page that shows it later shows what the flag saw, not what the rules would say now.
"""

from typing import Any

from access.measures.handbook import bullets
from access.measures.sources import sources
from access.review.models import Flag

# The handbook says it once for all rules of a kind; here it stands at each.
_DOUBT_OF_KIND = {
    "sign": "Seen, felt and heard, not measured: against angiography the examination has a sensitivity and specificity "
    "of 92 and 86 % for the outflow, 85 and 71 % for the inflow (asif-2007).",
    "emergency": "A row of the emergency table, common practice: it waits for no second look.",
}


def flag_row(flag: Flag) -> dict[str, Any]:
    """One flag as plain data."""
    kept = flag.finding
    return {
        "id": str(flag.pk),
        "rule": flag.rule,
        "basis": flag.basis,
        "urgency": flag.urgency,
        "time_in_words": kept["time_in_words"],
        "sentence": kept["sentence"],
        "ask": kept["ask"],
        "since": flag.first_seen_at.isoformat(),
        "last_seen": flag.last_seen_at.isoformat(),
        "times_seen": kept["times_seen"],
        "times_needed": kept["times_needed"],
        "missing": kept["missing"],
        "source": kept["source"],
        "source_says": kept["source_says"],
        "limit_confirmed": kept["limit_confirmed"],
        "evidence": [{"at": one["at"], "text": one["text"]} for one in kept["evidence"]],
        "state": flag.state,
        "known_since": kept["known_since"],
        "explain": explained(flag.rule, source=kept["source"]),
        "comparators": kept["comparators"],
        "protocol": flag.protocol,
        "protocol_version": flag.protocol_version,
        "closed_at": flag.closed_at.isoformat() if flag.closed_at else None,
        "closed_why": flag.closed_why,
        "closed_by_measurements": flag.state == "closed" and flag.closed_by_id is None,
    }


def explained(rule: str, *, source: str) -> dict[str, str]:
    """How a rule is worked out, on what source it rests, and how sure it is, as the handbook says."""
    said = bullets(rule)
    known = sources().get(source)
    return {
        "formula": said.get("Formula", ""),
        "source": f"{known.reference} ({known.standing})" if known else source,
        "doubt": said.get("Limits") or _DOUBT_OF_KIND.get(rule.split(".")[0], ""),
    }
