"""Where needles may go: volumes drawn through them, spacing, and what to keep off after an infiltration.

Spacing rests on weak evidence, so all of it is advice with a rule id; refused is only what cannot be. The next pair is
in ``sites``, gauges and first use are in ``readiness``.
"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

from access.measures import Refused
from access.measures.readings import Puncture, ZoneReading
from access.measures.units import as_shown, is_below, shown
from access.measures.words import Direction, Kind, NeedleRole, Technique

# Between needle tip and sample port lie 8 to 10 mL; the upper end is the careful one.
PORT_VOLUME_ML = 10.0


def line_volume_ml(pump_ml_min: float, *, seconds: float) -> float:
    """Volume the pump has moved, in mL.

    Parameters
    ----------
    pump_ml_min : float
        Pump speed, mL/min.
    seconds : float
        Time at that speed, s.

    Raises
    ------
    Refused
        When a value is not a positive number.
    """
    for name, value in (("pump_ml_min", pump_ml_min), ("seconds", seconds)):
        if not (math.isfinite(value) and value > 0):
            raise Refused(f"{value:g} for the {name.replace('_ml_min', ' speed')} moves nothing.", field=name)
    return pump_ml_min * seconds / 60


def slow_flow_enough(volume_ml: float, *, port_volume_ml: float = PORT_VOLUME_ML) -> bool:
    """Whether a slow flow moved at least twice the volume (mL) between needle tip and port.

    Notes
    -----
    120 mL/min for 10 s is published; the 8-10 mL, and that twice as much is enough, are common practice.

    References
    ----------
    kapoian-1997, common-practice
    """
    return not is_below(volume_ml, 2 * port_volume_ml, decimals=1)


@dataclass(frozen=True, kw_only=True)
class SpacingRules:
    """Distances in cm that a protocol advises."""

    sites_cm: float = 5.0
    tips_cm: float = 2.5
    anastomosis_cm: float = 4.0
    recent_cm: float = 0.6


@dataclass(frozen=True, kw_only=True)
class Site:
    """A needle as planned or placed; ``along_cm`` from the arterial anastomosis, ``None`` where not recorded."""

    along_cm: float | None
    direction: Direction | None = None
    technique: Technique | None = None
    segment: str = ""  # Distances are told within one segment only.


Manner = Literal["advice", "question"]


@dataclass(frozen=True, kw_only=True)
class Remark:
    """What is said of a needle: advice may be passed over with a reason, a question wants an answer."""

    rule: str
    sentence: str
    manner: Manner = "advice"
    role: NeedleRole | None = None


DEFAULT_SPACING = SpacingRules()


def spacing(
    arterial: Site,
    *,
    venous: Site,
    recent: Sequence[Puncture],
    kind: Kind,
    length_cm: float | None,
    planned: bool,
    rules: SpacingRules = DEFAULT_SPACING,
) -> tuple[Remark, ...]:
    """What to say of two needle sites, by the distances of the protocol (cm).

    Parameters
    ----------
    arterial, venous : Site
        The two needles.
    recent : sequence of Puncture
        Punctures that count as recent, chosen by the caller.
    kind : Kind
        Fistula or graft.
    length_cm : float or None
        Length of the access; ``None``: not known, so its end is not checked.
    planned : bool
        True for a plan. What was done is recorded whatever it was, so then a buttonhole in a graft is not refused.
    rules : SpacingRules
        Distances of the protocol.

    Raises
    ------
    Refused
        A needle beyond the access, two needles in one spot, a buttonhole planned in a graft.

    References
    ----------
    needle-spacing, needle-spacing-review, common-practice
    """
    _refuse_impossible(arterial, venous=venous, kind=kind, length_cm=length_cm, planned=planned)
    remarks = [*_about_the_pair(arterial, venous, rules=rules)]
    for role, site in _both(arterial, venous):
        remarks += _about_one(role, site, recent=recent, rules=rules)
    return tuple(remarks)


def _both(arterial: Site, venous: Site) -> tuple[tuple[NeedleRole, Site], tuple[NeedleRole, Site]]:
    return ("arterial", arterial), ("venous", venous)


def _refuse_impossible(arterial: Site, *, venous: Site, kind: Kind, length_cm: float | None, planned: bool) -> None:
    for role, site in _both(arterial, venous):
        along = site.along_cm
        if along is not None and (
            not math.isfinite(along) or along < 0 or (length_cm is not None and along > length_cm)
        ):
            end = "" if length_cm is None else f", which is {shown(length_cm, decimals=1)} cm long"
            raise Refused(f"The {role} needle at {along:g} cm lies beyond the access{end}.", field=f"{role}.along_cm")
        if planned and kind == "graft" and site.technique == "buttonhole":
            raise Refused("A buttonhole is for fistulas only; it is not planned in a graft.", field=f"{role}.technique")
    if arterial.along_cm is not None and venous.along_cm is not None:
        same_place = as_shown(arterial.along_cm, decimals=1) == as_shown(venous.along_cm, decimals=1)
        if same_place and arterial.segment == venous.segment:
            raise Refused("Both needles are in one spot.", field="venous.along_cm")


def _about_the_pair(arterial: Site, venous: Site, *, rules: SpacingRules) -> Iterable[Remark]:
    if arterial.along_cm is None or venous.along_cm is None:
        yield Remark(rule="needles.site-gap", sentence="A position is not recorded: the gap was not checked.")
        return
    if arterial.segment != venous.segment:
        return
    if venous.along_cm < arterial.along_cm:
        yield Remark(
            rule="needles.order",
            sentence="The venous needle lies upstream of the arterial one: returned blood would be drawn again.",
            manner="question",
        )
    gap = abs(venous.along_cm - arterial.along_cm)
    if is_below(gap, rules.sites_cm, decimals=1):
        yield Remark(
            rule="needles.site-gap",
            sentence=f"The sites are {shown(gap, decimals=1)} cm apart; {rules.sites_cm:g} cm are advised.",
        )
    same_way = arterial.direction == venous.direction == "with the flow"
    if same_way and is_below(gap, rules.tips_cm, decimals=1):
        # Both needles point the same way, so their tips are as far apart as their sites.
        yield Remark(
            rule="needles.tip-gap",
            sentence=f"The tips are about {shown(gap, decimals=1)} cm apart; {rules.tips_cm:g} cm or more are advised.",
        )


def _about_one(role: NeedleRole, site: Site, *, recent: Sequence[Puncture], rules: SpacingRules) -> Iterable[Remark]:
    if role == "venous" and site.direction == "against the flow":
        yield Remark(
            rule="needles.venous-direction",
            sentence="The venous needle points against the flow; it always points with it. Is this right?",
            manner="question",
            role=role,
        )
    if site.along_cm is None:
        return
    if is_below(site.along_cm, rules.anastomosis_cm, decimals=1):
        yield Remark(
            rule="needles.anastomosis-gap",
            sentence=f"The {role} needle is {shown(site.along_cm, decimals=1)} cm from the anastomosis; "
            f"at least {rules.anastomosis_cm:g} cm are advised.",
            role=role,
        )
    nearest = min(
        (
            abs(one.along_cm - site.along_cm)
            for one in recent
            if one.along_cm is not None and one.segment == site.segment
        ),
        default=None,
    )
    # A buttonhole goes through the same track on purpose.
    if nearest is not None and site.technique != "buttonhole" and is_below(nearest, rules.recent_cm, decimals=1):
        yield Remark(
            rule="needles.recent-gap",
            sentence=f"The {role} needle is {shown(nearest, decimals=1)} cm from a recent puncture; at least "
            f"{rules.recent_cm:g} cm are advised, better 1 to 2.",
            role=role,
        )


def zone_after_infiltration(puncture: Puncture, *, half_length_cm: float = 2.0) -> ZoneReading:
    """The stretch to keep off after an infiltration (2 cm to each side: own choice), until a person ends it.

    Notes
    -----
    Rest until the swelling is gone (recommendation 2, for new fistulas), so the zone has no end of its own.

    References
    ----------
    kdoqi-2006, own-choice
    """
    if puncture.along_cm is None:
        raise Refused("The place of the infiltrated needle is not recorded.", field="along_cm")
    return ZoneReading(
        from_cm=max(0.0, puncture.along_cm - half_length_cm),
        to_cm=puncture.along_cm + half_length_cm,
        why="bruise",
        action="keep off",
        since=puncture.at.date(),
    )
