"""Whether an access may be needled yet, and with which gauge: first use, new fistula, gauge by pump speed.

All of it is advice; the hand at the access and the prescriber decide. Where the needles go is in ``needles``.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from access.measures import Refused
from access.measures.units import is_above, is_below, shown
from access.measures.words import Kind


@dataclass(frozen=True, kw_only=True)
class GaugeSpeed:
    """The pump speeds (mL/min, both ends included) for which a gauge is advised."""

    gauge: int
    from_ml_min: float
    to_ml_min: float


# Source gauge-by-speed (secondary, common practice). Below the table the thinnest needle does.
GAUGES_BY_SPEED = (
    GaugeSpeed(gauge=17, from_ml_min=0, to_ml_min=250),
    GaugeSpeed(gauge=16, from_ml_min=250, to_ml_min=350),
    GaugeSpeed(gauge=15, from_ml_min=350, to_ml_min=450),
    GaugeSpeed(gauge=14, from_ml_min=450, to_ml_min=float("inf")),
)


def gauge_for_pump_speed(
    pump_ml_min: float, *, table: Sequence[GaugeSpeed] = GAUGES_BY_SPEED
) -> tuple[GaugeSpeed, ...]:
    """The gauges advised at a pump speed, thinnest first; two where the ranges meet.

    Raises
    ------
    Refused
        When the pump speed is not positive.

    References
    ----------
    gauge-by-speed
    """
    if not pump_ml_min > 0:
        raise Refused(f"Pump speed {pump_ml_min:g} mL/min asks for no needle.", field="pump_ml_min")
    return tuple(
        row
        for row in table
        if not is_below(pump_ml_min, row.from_ml_min, decimals=0)
        and (row.to_ml_min == float("inf") or not is_above(pump_ml_min, row.to_ml_min, decimals=0))
    )


@dataclass(frozen=True, kw_only=True)
class GaugeStep:
    """The gauge of a new fistula in one week of its use, with its pump speeds (mL/min)."""

    gauge: int
    from_ml_min: float
    to_ml_min: float
    sentence: str


def gauge_for_new_fistula(weeks_since_first_needled: float) -> GaugeStep:
    """The step of a new fistula: 17G at 200-250 mL/min in the first week, then 16G, then 15G.

    Notes
    -----
    The source gives a time for the first step only; one week for the second is the project's own choice. Each step
    is taken only when the one before went without infiltration, as the nurse sees it.

    References
    ----------
    new-fistula-gauge, own-choice
    """
    if not weeks_since_first_needled >= 0:
        raise Refused("The weeks since the first needle cannot be negative.", field="weeks_since_first_needled")
    if weeks_since_first_needled < 1:
        sentence = "First week: 17G, 200 to 250 mL/min."
        return GaugeStep(gauge=17, from_ml_min=200, to_ml_min=250, sentence=sentence)
    row = next(one for one in GAUGES_BY_SPEED if one.gauge == (16 if weeks_since_first_needled < 2 else 15))
    sentence = f"If the step before went well: {row.gauge}G, {row.from_ml_min:.0f} to {row.to_ml_min:.0f} mL/min."
    return GaugeStep(gauge=row.gauge, from_ml_min=row.from_ml_min, to_ml_min=row.to_ml_min, sentence=sentence)


@dataclass(frozen=True, kw_only=True)
class ReadinessRules:
    """What an access must have before its first needle, as a protocol holds it."""

    flow_above_ml_min: float = 600
    diameter_cm: float = 0.6
    depth_cm: float = 0.6
    image_at_weeks: float = 6
    graft_weeks: float = 2
    # Source robbin-2002: these two together made 95 % usable.
    smaller_diameter_cm: float = 0.4
    smaller_flow_ml_min: float = 500


DEFAULT_READINESS = ReadinessRules()


@dataclass(frozen=True, kw_only=True)
class Readiness:
    """Whether an access is ready (``None``: cannot be told), with each condition in words where it belongs."""

    ready: bool | None
    met: tuple[str, ...]
    not_met: tuple[str, ...]
    missing: tuple[str, ...]
    remarks: tuple[str, ...] = ()


def readiness(
    kind: Kind,
    *,
    flow_ml_min: float | None = None,
    diameter_cm: float | None = None,
    depth_cm: float | None = None,
    borders_felt: bool | None = None,
    swelling: bool | None = None,
    weeks_since_creation: float | None = None,
    rules: ReadinessRules = DEFAULT_READINESS,
) -> Readiness:
    """Whether an access is ready for its first needle.

    Parameters
    ----------
    kind : Kind
        A fistula is judged by flow, diameter, depth and borders, a graft by weeks and swelling.
    flow_ml_min, diameter_cm, depth_cm, weeks_since_creation : float or None
        mL/min, cm, cm, weeks; ``None`` where not known.
    borders_felt, swelling : bool or None
        What the hand and the eye found.

    Returns
    -------
    Readiness
        ``ready`` is False as soon as one condition is not met, None while one is missing.

    References
    ----------
    kdoqi-2006, robbin-2002, graft-first-use
    """
    if kind == "graft":
        conditions = (
            (f"at least {rules.graft_weeks:g} weeks old", _at_least(weeks_since_creation, rules.graft_weeks)),
            ("no swelling", None if swelling is None else not swelling),
        )
        return _weighed(conditions)
    shallow = None if depth_cm is None else not is_above(depth_cm, rules.depth_cm, decimals=2)
    strong = None if flow_ml_min is None else is_above(flow_ml_min, rules.flow_above_ml_min, decimals=0)
    judged = _weighed(
        (
            (f"flow above {rules.flow_above_ml_min:g} mL/min", strong),
            (f"diameter at least {rules.diameter_cm:g} cm", _at_least(diameter_cm, rules.diameter_cm)),
            (f"no deeper than {rules.depth_cm:g} cm", shallow),
            ("borders felt", borders_felt),
        )
    )
    if judged.ready:
        return judged
    of_age = _at_least(weeks_since_creation, rules.image_at_weeks)
    smaller = _at_least(diameter_cm, rules.smaller_diameter_cm) and _at_least(flow_ml_min, rules.smaller_flow_ml_min)
    return replace(judged, remarks=_not_ready_remarks(bool(of_age), smaller=bool(smaller), rules=rules))


def _not_ready_remarks(of_age: bool, *, smaller: bool, rules: ReadinessRules) -> tuple[str, ...]:
    image = f"Not shown to be ready at {shown(rules.image_at_weeks, decimals=0)} weeks: image it."
    usable = (
        f"In one study {rules.smaller_diameter_cm:g} cm and {rules.smaller_flow_ml_min:g} mL/min together "
        "made 95 % usable."
    )
    return (image,) * of_age + (usable,) * smaller


def _at_least(value: float | None, limit: float) -> bool | None:
    return None if value is None else not is_below(value, limit, decimals=2)


def _weighed(conditions: Sequence[tuple[str, bool | None]]) -> Readiness:
    met = tuple(words for words, holds in conditions if holds)
    not_met = tuple(words for words, holds in conditions if holds is False)
    missing = tuple(words for words, holds in conditions if holds is None)
    return Readiness(ready=False if not_met else None if missing else True, met=met, not_met=not_met, missing=missing)
