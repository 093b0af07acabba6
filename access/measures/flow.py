"""Access flow in mL/min by every method, with a 90 % interval or with "doubt not known".

It computes one measurement; what a series of flows means stands in ``trend`` and the rules. A flow of 0 is
not a measurement but an event (clotted).
"""

import math
from datetime import datetime, timedelta

from access.measures import Refused, plausibility
from access.measures.flow_interval import (
    Flow,
    least_significant_change,
    least_significant_fall,
    measured,
    question,
)
from access.measures.recirculation import Recirculation
from access.measures.words import Lines

__all__ = [
    "Flow",
    "dialysance",
    "duplex",
    "infusion",
    "least_significant_change",
    "least_significant_fall",
    "measured",
    "reversed_lines",
    "reversed_urea",
    "whole_blood",
]

# A and V are drawn after this long with the lines reversed (own arithmetic on the principle of krivitski-1995).
LEAST_REVERSED = timedelta(minutes=5)
WATER_IN_CELLS, WATER_IN_PLASMA = 0.72, 0.93  # blood-water, from memory


def reversed_lines(pump_ml_min: float, *, recirculation_fraction: float, cv: float | None = None) -> Flow:
    """Access flow in mL/min by indicator dilution with the lines reversed, Qa = Qb (1/R - 1).

    Parameters
    ----------
    pump_ml_min : float
        Pump speed Qb, mL/min.
    recirculation_fraction : float
        Recirculation R as a fraction, strictly between 0 and 1.
    cv : float, optional
        Between-session coefficient of variation (fraction); by default that of ultrasound dilution.

    Raises
    ------
    Refused
        R outside (0, 1), a pump that does not run, a flow that cannot be.

    References
    ----------
    krivitski-1995, ndt-2005
    """
    _refuse_pump(pump_ml_min)
    _refuse_fraction(recirculation_fraction, field="recirculation_fraction")
    return measured(pump_ml_min * (1 / recirculation_fraction - 1), method="ultrasound dilution", cv=cv)


def reversed_urea(
    pump_ml_min: float,
    *,
    recirculation: Recirculation,
    systemic_lines: Lines,
    systemic_drawn_at: datetime,
    reversed_at: datetime,
    arterial_venous_drawn_at: datetime,
) -> Flow:
    """Access flow in mL/min from three urea samples, A and V with the lines reversed.

    Parameters
    ----------
    pump_ml_min : float
        Pump speed Qb, mL/min.
    recirculation : Recirculation
        Of the three samples; its interval becomes that of the flow.
    systemic_lines : Lines
        How the lines were when S was drawn: only "right" is valid.
    systemic_drawn_at, reversed_at, arterial_venous_drawn_at : datetime
        Aware times: S, then the lines reversed, then A and V at least 5 min later.

    Returns
    -------
    Flow
        ``high_ml_min`` is None when the interval of R reaches 0; both ends when it is not known.

    Raises
    ------
    Refused
        Another order, R outside (0, 1), a pump that does not run.

    Notes
    -----
    Drawn with the lines reversed, S would be diluted: a true flow of 700 would read 1,367 mL/min.
    The order is the project's own arithmetic on the principle of krivitski-1995.

    References
    ----------
    krivitski-1995, simulation
    """
    _refuse_pump(pump_ml_min)
    _refuse_order(systemic_lines, first=systemic_drawn_at, then=reversed_at, last=arterial_venous_drawn_at)
    _refuse_fraction(recirculation.percent / 100, field="recirculation")
    ml_min = _from_percent(pump_ml_min, percent=recirculation.percent)
    return Flow(
        ml_min=ml_min,
        # The larger the recirculation, the smaller the flow: the ends change places.
        low_ml_min=_end(pump_ml_min, percent=recirculation.high_percent),
        high_ml_min=_end(pump_ml_min, percent=recirculation.low_percent),
        method="urea, lines reversed",
        question=question(ml_min),
    )


def infusion(
    pump_ml_min: float,
    *,
    ultrafiltration_ml_min: float,
    recirculation_fraction: float,
    cardiopulmonary_fraction: float,
    cv: float | None = None,
) -> Flow:
    """Access flow in mL/min by infusion, (1 - Rx) / (Rx (1 - CPR)) x (Qb - UFR).

    Parameters
    ----------
    pump_ml_min, ultrafiltration_ml_min : float
        Pump speed Qb and ultrafiltration rate UFR, mL/min.
    recirculation_fraction : float
        Rx with the lines reversed, strictly between 0 and 1.
    cardiopulmonary_fraction : float
        CPR, from 0 to below 1.
    cv : float, optional
        Coefficient of variation (fraction); without it the doubt is not known.

    Raises
    ------
    Refused
        A fraction outside its range, UFR negative or not below Qb.

    References
    ----------
    infusion
    """
    _refuse_pump(pump_ml_min)
    _refuse_fraction(recirculation_fraction, field="recirculation_fraction")
    if not 0 <= cardiopulmonary_fraction < 1:
        raise Refused(
            f"A cardiopulmonary recirculation of {cardiopulmonary_fraction:g} cannot be: it is a fraction from 0 to "
            "below 1 (20 % is 0.20).",
            field="cardiopulmonary_fraction",
        )
    if not 0 <= ultrafiltration_ml_min < pump_ml_min:
        raise Refused("The ultrafiltration rate is 0 or more and below the pump speed.", field="ultrafiltration_ml_min")
    odds = (1 - recirculation_fraction) / (recirculation_fraction * (1 - cardiopulmonary_fraction))
    return measured(odds * (pump_ml_min - ultrafiltration_ml_min), method="infusion", cv=cv)


def dialysance(normal_ml_min: float, *, reversed_ml_min: float, cv: float | None = None) -> Flow:
    """Access flow of blood water in mL/min from the dialysance with normal and reversed lines.

    Parameters
    ----------
    normal_ml_min, reversed_ml_min : float
        Dialysance Dn and Dr, mL/min; Dr is the smaller one.
    cv : float, optional
        Coefficient of variation (fraction); without it the doubt is not known.

    Returns
    -------
    Flow
        Dn Dr / (Dn - Dr), not comparable; see :func:`whole_blood`.

    References
    ----------
    dialysance-1999, simulation
    """
    if not 0 < reversed_ml_min < normal_ml_min:
        raise Refused(
            "The dialysance with reversed lines is above 0 and below that with normal lines; look whether the two "
            "were exchanged.",
            field="reversed_ml_min",
        )
    blood_water = normal_ml_min * reversed_ml_min / (normal_ml_min - reversed_ml_min)
    return measured(blood_water, method="dialysance", cv=cv)


def whole_blood(blood_water_ml_min: float, *, hematocrit_fraction: float) -> float:
    """Access flow of whole blood in mL/min from that of blood water.

    Parameters
    ----------
    blood_water_ml_min : float
        Result of :func:`dialysance`, mL/min.
    hematocrit_fraction : float
        Hematocrit Hct as a fraction.

    Notes
    -----
    Value / (0.72 Hct + 0.93 (1 - Hct)); the water fractions are from memory.

    References
    ----------
    blood-water
    """
    question(blood_water_ml_min)
    plausibility.check("hematocrit_fraction", hematocrit_fraction)
    return blood_water_ml_min / (WATER_IN_CELLS * hematocrit_fraction + WATER_IN_PLASMA * (1 - hematocrit_fraction))


def duplex(diameter_cm: float, *, velocity_cm_s: float, cv: float | None = None) -> Flow:
    """Access flow in mL/min by duplex ultrasound: mean velocity x pi (d/2)^2 x 60.

    Parameters
    ----------
    diameter_cm : float
        Inner diameter of the vessel, cm.
    velocity_cm_s : float
        Time-averaged mean velocity, cm/s.
    cv : float, optional
        Between-session coefficient of variation (fraction), in place of the method's own.

    References
    ----------
    duplex, blanco-2015, ndt-2005
    """
    plausibility.check("diameter_cm", diameter_cm)
    plausibility.check("velocity_cm_s", velocity_cm_s)
    area_cm2 = math.pi * (diameter_cm / 2) ** 2
    return measured(velocity_cm_s * area_cm2 * 60, method="duplex", cv=cv)


def _from_percent(pump_ml_min: float, *, percent: float) -> float:
    return pump_ml_min * (100 / percent - 1)


def _end(pump_ml_min: float, *, percent: float | None) -> float | None:
    # An end of R at or below 0 leaves the flow without an upper end; one at or above 100 % means no flow.
    if percent is None or percent <= 0:
        return None
    return max(_from_percent(pump_ml_min, percent=percent), 0.0)


def _refuse_pump(pump_ml_min: float) -> None:
    plausibility.check("pump_ml_min", pump_ml_min)
    if pump_ml_min <= 0:
        raise Refused("A flow is measured with the pump running: the pump speed is above 0.", field="pump_ml_min")


def _refuse_fraction(fraction: float, *, field: str) -> None:
    if not 0 < fraction < 1:
        raise Refused(
            f"A recirculation of {fraction:g} gives no flow: it is a fraction between 0 and 1 (30 % is 0.30).",
            field=field,
        )


def _refuse_order(systemic_lines: Lines, *, first: datetime, then: datetime, last: datetime) -> None:
    if any(at.tzinfo is None for at in (first, then, last)):
        raise Refused("A time without its zone cannot be placed.", field="systemic_drawn_at")
    if systemic_lines != "right":
        raise Refused(
            "S must be drawn with the lines the right way, just before they are reversed; drawn reversed it gives "
            "far too high a flow.",
            field="systemic_lines",
        )
    if first > then:
        raise Refused("S is drawn before the lines are reversed, not after.", field="systemic_drawn_at")
    if last - then < LEAST_REVERSED:
        raise Refused(
            "A and V are drawn at least 5 min after the lines were reversed.", field="arterial_venous_drawn_at"
        )
