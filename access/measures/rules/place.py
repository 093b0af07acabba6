"""The rule of the place of a narrowing: what the arterial static ratio shows and the venous pressure does not see.

A narrowing of the outlet is the matter of ``outlet``; here it stays silent, so that one narrowing raises once.
"""

from access.measures.findings import Finding
from access.measures.patterns import Pattern, PatternLimits, pattern
from access.measures.protocol import Limit, pattern_limits
from access.measures.readings import RatioReading
from access.measures.rules.case import Case, tail
from access.measures.rules.measurement import Weight, finding
from access.measures.rules.say import day
from access.measures.succession import Observation, in_succession, one_an_occasion
from access.measures.words import NeedleRole

RULE = "static.pattern"
WITHIN = ("arterial.within", "arterial.normal-high", "venous.outlet")  # All three decide, so all are confirmed or not.


def place(case: Case) -> Finding | None:
    """static.pattern: an arterial ratio that fits a narrowing within the access, or with inflow signs at the inflow."""
    kind = case.profile.kind
    table = pattern_limits(case.protocol, kind=kind)
    arterial = [one for one in case.profile.ratios if one.role == "arterial"]
    if table is None or not arterial:
        return None  # That there is no limit is said by outlet.static-ratio.
    same = one_an_occasion(one for one in arterial if one.formula == arterial[-1].formula)
    # A ratio too high and one too low point to two places: they are no succession.
    last_low = _inflow(case).passed(same[-1].ratio)
    observations = tail(same, observe=lambda one: _observation(case, one, table=table, low=last_low))
    run = in_succession(observations, gap_days=case.protocol.gap_days("static"))
    if not run:
        return None
    names = ("arterial.inflow", "arterial.normal-low") if last_low else WITHIN
    limits = [case.protocol.limits[f"static.{kind}.{name}"] for name in names]
    held = limits[0]
    where = "inflow narrowing, beside inflow signs" if last_low else "narrowing within the access"
    return finding(
        case,
        rule=RULE,
        limits=limits,
        run=run,
        needed=case.needed("static"),
        sentence=f"Static ratio at the arterial needle {held.beyond} {held.written()}, pattern of {where}",
        weight=Weight(speaks=case.speaking("place") == RULE, may_refer=True),
        ask=f"Repeat within 7 days{'' if last_low else '; the venous pressure does not see this place'}.",
    )


def place_said(case: Case, *, venous: RatioReading) -> str:
    """What both ratios of the day together say about the place, where both were measured."""
    table = pattern_limits(case.protocol, kind=case.profile.kind)
    arterial = _beside(case, venous, role="arterial")
    if table is None or arterial is None:
        return ""
    return _pattern(case, arterial, venous=venous, table=table).sentence


def _inflow(case: Case) -> Limit:
    return case.protocol.limits[f"static.{case.profile.kind}.arterial.inflow"]


def _pattern(case: Case, arterial: RatioReading, *, venous: RatioReading | None, table: PatternLimits) -> Pattern:
    ratio = None if venous is None else venous.ratio
    return pattern(case.profile.kind, arterial_ratio=arterial.ratio, venous_ratio=ratio, limits=table)


def _observation(case: Case, one: RatioReading, *, table: PatternLimits, low: bool) -> Observation:
    venous = _beside(case, one, role="venous")
    found = _pattern(case, one, venous=venous, table=table)
    outlet = case.protocol.limits[f"static.{case.profile.kind}.venous.outlet"]
    outlet_speaks = venous is not None and outlet.passed(venous.ratio)
    # A low ratio counts only together with clinical findings of the inflow.
    counts = not low or any(sign.group == "inflow" for sign in case.odd_signs)
    beside = "venous not measured" if venous is None else f"venous {venous.ratio:.2f}"
    text = f"{day(one.at)}: arterial {one.ratio:.2f}, {beside} ({one.formula} height). {found.sentence}"
    odd = found.repeat and not outlet_speaks and counts and _inflow(case).passed(one.ratio) is low
    return Observation(id=one.id, at=one.at, odd=odd, text=text, value=one.ratio)


def _beside(case: Case, one: RatioReading, *, role: NeedleRole) -> RatioReading | None:
    """The ratio of the other site on the same day by the same formula: both are read at one stop of the pump."""
    same = [
        other
        for other in case.profile.ratios
        if other.role == role and other.formula == one.formula and other.at.date() == one.at.date()
    ]
    return same[-1] if same else None
