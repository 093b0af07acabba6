"""The one seam between the program's rules and whoever asks what they would have said: a profile and a moment go in.

What comes out is told as a flag, a question or evidence. It stores nothing, and knows neither cohorts nor records.

A *flag* is a finding that raises and is met: seen as often as its rule needs. For the flow's trend it is also one whose
score has reached its cut, or whose far too low flow was not repeated in time, since that alone makes it speak. Any
other finding that raises is a *question*: it asks to repeat and examine. What raises nothing is *evidence*.
"""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from access.measures import rules
from access.measures.findings import Finding
from access.measures.protocol import Protocol
from access.measures.readings import AccessProfile
from access.measures.rules import flow_trend, flow_watched
from access.measures.rules.case import open_case

As = Literal["flag", "question", "evidence"]
# The rules that judge a number; the others judge what was seen, felt, heard or done.
OF_NUMBERS = ("dose.", "flow.", "inflow.", "outlet.", "pump.", "recirculation.", "static.")


@dataclass(frozen=True, kw_only=True)
class Told:
    """What one rule said of an access at a moment, and how much it says."""

    rule: str
    told_as: As

    @property
    def of_a_number(self) -> bool:
        """Whether the rule judges a number rather than a sign."""
        return self.rule.startswith(OF_NUMBERS)


Judge = Callable[[AccessProfile, datetime], tuple[Told, ...]]


def by_the_rules(protocol: Protocol) -> Judge:
    """The program's rules under one protocol, as anybody may ask them: of a profile, at a moment."""

    def judge(profile: AccessProfile, as_of: datetime) -> tuple[Told, ...]:
        found = rules.evaluate(profile, protocol=protocol, as_of=as_of)
        return tuple(
            Told(rule=one.rule, told_as=_told_as(one, profile=profile, protocol=protocol, as_of=as_of)) for one in found
        )

    return judge


def _told_as(finding: Finding, *, profile: AccessProfile, protocol: Protocol, as_of: datetime) -> As:
    if not finding.raises:
        return "evidence"
    if finding.times_seen >= finding.times_needed:
        return "flag"
    if finding.rule == flow_trend.RULE and _speaks(profile, protocol=protocol, as_of=as_of):
        return "flag"
    return "question"


def _speaks(profile: AccessProfile, *, protocol: Protocol, as_of: datetime) -> bool:
    """Whether the flow's alarm speaks at the newest flow, or at the moment itself since no repeat came in time."""
    seen = flow_watched.seen(open_case(profile, protocol=protocol, as_of=as_of))
    return seen is not None and bool(seen.flagged[seen.last] or seen.watched.overdue[-1, 0])
