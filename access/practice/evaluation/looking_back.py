"""A clinic's past in words: each thrombosis or intervention with what the rules would have told before it."""

from collections.abc import Iterator

from access.practice.evaluation.past import Past, Story
from access.practice.evaluation.printed import rule_table, table

NOTHING = "nothing"


def looked_back(found: Past) -> Iterator[str]:
    """The whole of it; accesses by chart number."""
    yield f"{found.clinic}, by the rules of today and its protocol of today ({found.protocol})."
    yield "For each thrombosis or intervention: the rules that would have spoken in the 180 days before it, or since"
    yield "the one before it, and how many days before it they first did. Events within 30 days stand together."
    yield ""
    rows = [_row(one) for one in found.stories]
    yield from table(("chart number", "on", "what", "weeks judged", "flagged, days before", "asked, days before"), rows)
    if not rows:
        yield "No thrombosis and no intervention is recorded."
    seen = [one for one in found.stories if one.weeks]
    flagged = sum(bool(one.flags) for one in seen)
    yield ""
    yield f"Flagged before: {flagged} of {len(seen)} with anything recorded before; {len(rows) - len(seen)} without."
    yield ""
    yield f"Accesses without such an event: {found.quiet}, watched for {found.quiet_years:.1f} years in sum."
    if found.rules:
        yield from rule_table(found.rules)
    yield "Whether a flag there was false no record can tell: what was not treated may still have narrowed."


def _row(one: Story) -> tuple[str, ...]:
    if not one.weeks:
        return one.chart_number, one.on.isoformat(), " + ".join(one.what), "0", "nothing recorded", ""
    return (
        one.chart_number,
        one.on.isoformat(),
        " + ".join(one.what),
        str(one.weeks),
        _said(one.flags),
        _said({rule: days for rule, days in one.questions.items() if rule not in one.flags}),
    )


def _said(told: dict[str, int]) -> str:
    """Rules with their days, the earliest first."""
    ordered = sorted(told.items(), key=lambda one: (-one[1], one[0]))
    return ", ".join(f"{rule} {days}" for rule, days in ordered) or NOTHING
