"""The rule of the outlet's rise: the static ratio, or the derived one, likely above the access's own baseline.

Outlet pressure is one quantity. The static ratio speaks for it where it is measured at least every four weeks, else the
derived ratio; where neither has a usual baseline the absolute limits speak, which stand in ``outlet``.
"""

from access.measures.findings import Finding
from access.measures.pressure_series import derived_series, static_series
from access.measures.protocol import Limit
from access.measures.rules.case import Case
from access.measures.rules.place import place_said
from access.measures.rules.ratio_watch import CIRCUIT, Watch, departure_found, watch

RULE = "outlet.rise"


def rise(case: Case) -> Finding | None:
    """outlet.rise: outlet pressure likely risen above its own baseline."""
    seen = watched(case)
    if seen is None:
        return None
    return departure_found(case, seen, rule=RULE, limit=_limit(case), speaks=speaks(case), ask=_ask(case, seen))


def speaks(case: Case) -> bool:
    """Whether this rule speaks for the outlet: first in its row, with a limit to stand beside, and a usual baseline."""
    return case.speaking("outlet") == RULE and _limit(case) is not None and watched(case) is not None


def watched(case: Case) -> Watch | None:
    """The ratio that speaks for the outlet against its baseline, or None where none has a usual one that stands."""
    return case.once(RULE, _watched)


def _watched(case: Case) -> Watch | None:
    """The static ratio where it is recent, else the derived one; each once its baseline is made.

    What a static ratio asked for never lapses since something else was measured: until the derived ratio itself meets
    its rule, a static one that had risen, or lies beyond its absolute limit, goes on asking.
    """
    static = _static(case)
    if static is not None and static.recent and static.speaks:
        return static
    waiting = static if static is not None and static.run else None
    derived = _derived(case)
    if derived is not None and derived.speaks:
        unanswered = waiting is not None or _beyond_its_limit(case)
        if derived.met or not unanswered:
            return derived
    return waiting


def _static(case: Case) -> Watch | None:
    """The static ratio by the height formula read last, or by one before while that has no baseline yet."""
    of_site = [one for one in case.profile.ratios if one.role == "venous"]
    every = case.protocol.number("outlet.static-every-days")
    for formula in dict.fromkeys(one.formula for one in reversed(of_site)):
        series = static_series(case.whole, protocol=case.protocol, as_of=case.as_of, formula=formula)
        seen = watch(case, series, recent_days=every)
        if seen is not None and (seen.run or formula == of_site[-1].formula):
            return seen
    return None


def _derived(case: Case) -> Watch | None:
    if not any(one.venous_mmhg is not None for one in case.profile.dynamics):
        return None
    series = derived_series(case.whole, protocol=case.protocol, as_of=case.as_of)
    return watch(case, series, recent_days=case.protocol.gap_days("week"))


def _beyond_its_limit(case: Case) -> bool:
    """Whether the newest static ratio lies beyond the absolute limit of the protocol."""
    held = case.protocol.limits.get(f"static.{case.profile.kind}.venous.outlet")
    newest = next((one for one in reversed(case.profile.ratios) if one.role == "venous"), None)
    return held is not None and newest is not None and held.passed(newest.ratio)


def _limit(case: Case) -> Limit | None:
    """The outlet's own limit in the protocol, behind which a person of the clinic stands."""
    limits = case.protocol.limits
    return limits.get(f"static.{case.profile.kind}.venous.outlet") or limits.get("outlet.dynamic")


def _ask(case: Case, seen: Watch) -> str:
    if seen.found.quantity != "static ratio":
        return CIRCUIT
    if not seen.met:
        return "Repeat within 7 days."
    newest = next((one for one in case.profile.ratios if one.id == seen.run[-1].id and one.role == "venous"), None)
    return "" if newest is None else place_said(case, venous=newest)
