"""The rule of the inflow's fall: the inflow ratio likely below the access's own baseline.

The absolute limit of the pre-pump pressure speaks beside it, and its usual band where this rule cannot: in ``inflow``.
"""

from access.measures.findings import Finding
from access.measures.pressure_series import inflow_series
from access.measures.rules.case import Case
from access.measures.rules.ratio_watch import CIRCUIT, Watch, departure_found, watch

RULE = "inflow.fall"


def fall(case: Case) -> Finding | None:
    """inflow.fall: pre-pump pressure, less that of its needle, likely fallen below its own baseline."""
    seen = watched(case)
    if seen is None:
        return None
    limit = case.protocol.limits.get("inflow.pre-pump")
    return departure_found(case, seen, rule=RULE, limit=limit, speaks=speaks(case), ask=CIRCUIT)


def speaks(case: Case) -> bool:
    """Whether this rule speaks for the inflow: first in its row, with a usual baseline, and measured lately."""
    return case.speaking("inflow") == RULE and watched(case) is not None


def watched(case: Case) -> Watch | None:
    """The inflow ratio against its baseline, or None where it has no usual one that stands or is not read lately."""
    return case.once(RULE, _watched)


def _watched(case: Case) -> Watch | None:
    if not any(one.pre_pump_arterial_mmhg is not None for one in case.profile.dynamics):
        return None
    series = inflow_series(case.whole, protocol=case.protocol, as_of=case.as_of)
    seen = watch(case, series, recent_days=case.protocol.gap_days("week"))
    return seen if seen is not None and seen.speaks else None
