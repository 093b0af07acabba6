"""The rules: an access as it stands goes in, findings come out, the most urgent first.

Each rule is one small function of a case. Rules raise nothing by themselves and store nothing; a person decides.
"""

from collections.abc import Callable
from dataclasses import replace
from datetime import datetime

from access.measures import Refused
from access.measures.emergency_table import EMERGENCY_TABLE
from access.measures.examination import SIGNS
from access.measures.findings import Basis, Finding
from access.measures.handbook import section
from access.measures.protocol import Protocol
from access.measures.readings import AccessProfile
from access.measures.rules import (
    bleeding,
    dose,
    emergency,
    flow,
    flow_trend,
    inflow,
    inflow_fall,
    needles,
    outlet,
    outlet_rise,
    place,
    pump,
    readiness,
    recirculation,
    route,
    signs,
)
from access.measures.rules.case import Case, open_case
from access.measures.words import URGENCIES

RULES: dict[str, Callable[[Case], Finding | None]] = {
    "bleeding.longer": bleeding.longer,
    "dose.fall": dose.fall,
    "flow.high": flow.high,
    "flow.kdoqi-2000": flow.kdoqi_2000,
    "flow.limit": flow.limit,
    "flow.trend": flow_trend.falling,
    "inflow.fall": inflow_fall.fall,
    "inflow.pre-pump": inflow.pre_pump,
    "needle.buttonhole-in-graft": needles.buttonhole_in_graft,
    "needle.one-patch": needles.one_patch,
    "needling.failed-tries": needles.failed_tries,
    "new.access": readiness.not_ready,
    "outlet.dynamic": outlet.dynamic,
    "outlet.rise": outlet_rise.rise,
    "outlet.static-ratio": outlet.static_ratio,
    "pump.target-not-reached": pump.target,
    "recirculation.above-limit": recirculation.above_limit,
    "route.not-judged": route.not_judged,
    "static.pattern": place.place,
}
RULE_IDS: tuple[str, ...] = tuple(
    sorted([*RULES, *(sign.rule for sign in SIGNS), *(f"emergency.{row.id}" for row in EMERGENCY_TABLE)])
)
# At one urgency an emergency stands before a sign, and a sign before a measurement.
_BASES: tuple[Basis, ...] = ("emergency", "sign", "measurement")


def evaluate(profile: AccessProfile, *, protocol: Protocol, as_of: datetime) -> tuple[Finding, ...]:
    """What all rules find in one access, most urgent first; each rule id at most once.

    Parameters
    ----------
    profile : AccessProfile
        All that is known of the access; the order within a series does not matter.
    protocol : Protocol
        The limits in force.
    as_of : datetime
        The moment of asking, with its zone; later readings do not exist yet.

    Returns
    -------
    tuple of Finding
        Those shown as evidence only are routine and stand last; an abandoned access has emergencies only.

    Raises
    ------
    Refused
        When ``as_of`` carries no zone.
    """
    if as_of.tzinfo is None:
        raise Refused("A moment without its zone cannot be placed.", field="as_of")
    case = open_case(profile, protocol=protocol, as_of=as_of)
    if case.ended:
        return tuple(sorted(emergency.after_the_end(case), key=_rank))
    case = replace(case, bleeding_holds=bleeding.holds(case))
    single = [finding for rule in RULES.values() if (finding := rule(case)) is not None]
    found = [*emergency.rows(case), *signs.signs(case), *single]
    return tuple(sorted(found, key=_rank))


def _rank(finding: Finding) -> tuple[int, bool, int, bool, str]:
    met = finding.times_seen >= finding.times_needed
    place_of_basis = _BASES.index(finding.basis)
    return -URGENCIES.index(finding.urgency), not finding.raises, place_of_basis, not met, finding.rule


def explain(rule_id: str) -> str:
    """What the handbook of the computation (``README.md``) says of a rule, without its heading.

    Raises
    ------
    Refused
        When there is no such rule, or the handbook has no section for it.
    """
    if rule_id not in RULE_IDS:
        raise Refused(f"There is no rule “{rule_id}”.", field="rule")
    return section(rule_id)
