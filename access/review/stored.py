"""A finding as a flag keeps it, and back: the one place where findings become JSON.

What a flag saw stands in it whole, so that it can be explained years later, whatever the rules are then.
"""

from collections.abc import Iterable
from datetime import datetime
from typing import Any

from access.measures.findings import Evidence, Finding


def as_json(
    finding: Finding, *, beside: Iterable[Finding] = (), known_since: datetime | None = None, held: str = ""
) -> dict[str, Any]:
    """A finding as plain data, with the comparators that were evaluated beside it.

    ``known_since`` is when it reached the server, where that was long after it was seen; ``held`` is the sentence with
    which a sign held, where less was seen since.
    """
    return {
        "rule": finding.rule,
        "basis": finding.basis,
        "sentence": finding.sentence,
        "urgency": finding.urgency,
        "time_in_words": finding.time_in_words,
        "first_seen": finding.first_seen.isoformat(),
        "last_seen": finding.last_seen.isoformat(),
        "times_seen": finding.times_seen,
        "times_needed": finding.times_needed,
        "raises": finding.raises,
        "ask": finding.ask,
        "source": finding.source,
        "source_says": finding.source_says,
        "limit_confirmed": finding.limit_confirmed,
        "missing": list(finding.missing),
        "evidence": [{"id": one.id, "at": one.at.isoformat(), "text": one.text} for one in finding.evidence],
        "comparators": [{"rule": one.rule, "met": is_met(one), "sentence": one.sentence} for one in beside],
        "known_since": known_since.isoformat() if known_since else None,
        "held": held,
    }


def is_met(finding: Finding) -> bool:
    """Whether what was seen was seen as often as the rule needs; what was only measured, not judged, is not."""
    return finding.times_seen >= finding.times_needed > 0


def from_json(kept: dict[str, Any]) -> Finding:
    """The finding that a flag keeps."""
    return Finding(
        rule=kept["rule"],
        basis=kept["basis"],
        sentence=kept["sentence"],
        urgency=kept["urgency"],
        time_in_words=kept["time_in_words"],
        first_seen=datetime.fromisoformat(kept["first_seen"]),
        last_seen=datetime.fromisoformat(kept["last_seen"]),
        times_seen=kept["times_seen"],
        times_needed=kept["times_needed"],
        raises=kept["raises"],
        ask=kept["ask"],
        source=kept["source"],
        source_says=kept["source_says"],
        limit_confirmed=kept["limit_confirmed"],
        missing=tuple(kept["missing"]),
        evidence=tuple(
            Evidence(id=one["id"], at=datetime.fromisoformat(one["at"]), text=one["text"]) for one in kept["evidence"]
        ),
    )


def evidence_ids(kept: dict[str, Any]) -> frozenset[str]:
    """The ids of the readings that a kept finding rests on."""
    return frozenset(one["id"] for one in kept["evidence"])
