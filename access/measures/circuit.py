"""A small hydraulic model of heart, access, needles and pump: one physics for the invented clinic and for analysis.

It gives flows, pressures as the chamber shows them and recirculation; urea samples are in ``draws``. It models means:
no pulse, no growth of a narrowing, no noise of measurement, no needle too close to the other, no loss of pump
delivery; ultrafiltration is off. Its constants come from a simulation study, not from patients.
"""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike

from access.measures.hydraulics import (
    ARTERIAL_LOSS,
    REFERENCE_HEMATOCRIT,
    VENOUS_LOSS,
    Drop,
    Values,
    balance_ml_min,
    bore_mm,
    drop,
    narrowing,
    needle,
    values,
)
from access.measures.pressure import HEIGHT_TERMS
from access.measures.words import Kind


@dataclass(frozen=True, kw_only=True)
class Access:
    """Resistances, bores and narrowings of one access (or of many, as arrays).

    Linear terms are mmHg per mL/min, the quadratic one mmHg per (mL/min) squared; bores and length
    in mm; narrowings in % of the diameter.
    """

    inflow_linear: ArrayLike
    inflow_quadratic: ArrayLike
    middle_linear: ArrayLike
    outflow_linear: ArrayLike
    inflow_bore_mm: ArrayLike
    middle_bore_mm: ArrayLike
    outflow_bore_mm: ArrayLike
    inflow_percent: ArrayLike = 0.0
    middle_percent: ArrayLike = 0.0
    outflow_percent: ArrayLike = 0.0
    narrowing_length_mm: ArrayLike = 10.0


# Constants of the study, chosen there so that flows and ratios fall into the published ranges: own simulation.
GRAFT = Access(
    inflow_linear=0.030,
    inflow_quadratic=1.05e-5,
    middle_linear=0.0075,
    outflow_linear=0.0245,
    inflow_bore_mm=5.0,
    middle_bore_mm=6.0,
    outflow_bore_mm=6.0,
)
FISTULA = Access(
    inflow_linear=0.045,
    inflow_quadratic=1.55e-5,
    middle_linear=0.0040,
    outflow_linear=0.0130,
    inflow_bore_mm=4.5,
    middle_bore_mm=8.0,
    outflow_bore_mm=6.5,
)
HEALTHY: dict[Kind, Access] = {"graft": GRAFT, "fistula": FISTULA}


@dataclass(frozen=True, kw_only=True)
class Needle:
    """A needle by its inner diameter (mm) and loss coefficient (no unit); numbers or arrays."""

    bore_mm: ArrayLike
    loss: ArrayLike


def arterial_needle(gauge: ArrayLike) -> Needle:
    """The assumed needle of this gauge in the arterial place."""
    return Needle(bore_mm=bore_mm(gauge), loss=ARTERIAL_LOSS)


def venous_needle(gauge: ArrayLike) -> Needle:
    """The assumed needle of this gauge in the venous place."""
    return Needle(bore_mm=bore_mm(gauge), loss=VENOUS_LOSS)


@dataclass(frozen=True, kw_only=True)
class Conditions:
    """Patient, pump, needles and lines at one time; numbers or arrays that fit each other."""

    mean_arterial_mmhg: ArrayLike = 93.0
    central_venous_mmhg: ArrayLike = 8.0
    hematocrit_fraction: ArrayLike = REFERENCE_HEMATOCRIT
    pump_ml_min: ArrayLike = 300.0
    arterial: Needle = arterial_needle(15)
    venous: Needle = venous_needle(15)
    chamber_height_cm: ArrayLike = 0.0  # Both chambers above the access, so both readings are low.
    lines_reversed: ArrayLike = False


@dataclass(frozen=True, kw_only=True)
class Solution:
    """What the model gives for an access under conditions; arrays of the common shape.

    ``..._site_mmhg`` is inside the access at the needle, pump off; ``static_...`` the same as the chamber shows it;
    ``venous_mmhg`` and ``pre_pump_arterial_mmhg`` as the chambers show them with the pump running.
    """

    flow_ml_min: Values
    flow_on_pump_ml_min: Values
    arterial_site_mmhg: Values
    venous_site_mmhg: Values
    static_arterial_mmhg: Values
    static_venous_mmhg: Values
    venous_mmhg: Values
    pre_pump_arterial_mmhg: Values
    recirculation_fraction: Values


@dataclass(frozen=True, kw_only=True)
class _Sites:
    """Flow into the access (mL/min) and pressure (mmHg) at its two needle sites, upstream and downstream."""

    flow: Values
    upstream: Values
    downstream: Values


def solve(access: Access, *, conditions: Conditions) -> Solution:
    """Flow (mL/min), pressures (mmHg) and true recirculation (fraction) of an access under conditions.

    Parameters
    ----------
    access : Access
        Resistances and narrowings.
    conditions : Conditions
        Blood pressure, hematocrit, pump, needles, chamber height, lines.

    Returns
    -------
    Solution
        Arrays of the common shape of all inputs.

    Raises
    ------
    Refused
        A narrowing outside 0 to 99 %.

    Notes
    -----
    Artery, inflow, upstream needle, middle, downstream needle, outflow, central vein in a row; the pump takes its
    flow round the middle (the right way), or sends it through once more (lines reversed). Recirculation is
    1 - Qa/Qb where the pump is faster than the access, else none; with lines reversed Qb / (Qa + Qb).

    References
    ----------
    mercadal-1999, krivitski-1995, young-tsai-1973, simulation
    """
    at_rest = _sites(access, conditions=conditions, round_the_middle=0.0)
    pump, reversed_ = values(conditions.pump_ml_min), np.asarray(conditions.lines_reversed, dtype=bool)
    running = _sites(access, conditions=conditions, round_the_middle=np.where(reversed_, pump, -pump))
    low_by = HEIGHT_TERMS["hydrostatic"][1] * values(conditions.chamber_height_cm)
    drawn_from = np.where(reversed_, running.downstream, running.upstream)
    returned_to = np.where(reversed_, running.upstream, running.downstream)
    return Solution(
        flow_ml_min=at_rest.flow,
        flow_on_pump_ml_min=running.flow,
        arterial_site_mmhg=at_rest.upstream,
        venous_site_mmhg=at_rest.downstream,
        static_arterial_mmhg=at_rest.upstream - low_by,
        static_venous_mmhg=at_rest.downstream - low_by,
        venous_mmhg=returned_to + _through(conditions.venous, conditions=conditions) - low_by,
        pre_pump_arterial_mmhg=drawn_from - _through(conditions.arterial, conditions=conditions) - low_by,
        recirculation_fraction=recirculation_fraction(running.flow, pump_ml_min=pump, lines_reversed=reversed_),
    )


def recirculation_fraction(
    flow_ml_min: ArrayLike, *, pump_ml_min: ArrayLike, lines_reversed: ArrayLike = False
) -> Values:
    """True recirculation (fraction of the drawn blood that was just returned), from access flow and pump speed.

    References
    ----------
    mercadal-1999, krivitski-1995
    """
    flow, pump = values(flow_ml_min), values(pump_ml_min)
    running = np.maximum(pump, 1e-9)  # With the pump off nothing is returned; both forms below become zero.
    right = np.maximum(0.0, 1 - flow / running)
    # A flow that the reversed pump drives back into the artery takes part of what was returned with it.
    wrong = np.where(flow >= 0, pump / (running + np.maximum(flow, 0.0)), np.maximum(0.0, 1 + flow / running))
    return values(np.where(pump <= 0, 0.0, np.where(np.asarray(lines_reversed, dtype=bool), wrong, right)))


def _through(one: Needle, *, conditions: Conditions) -> Values:
    """Drop (mmHg) of a needle and its tube at the pump speed."""
    piece = needle(one.bore_mm, loss=one.loss, hematocrit_fraction=conditions.hematocrit_fraction)
    return piece.mmhg(conditions.pump_ml_min)


def _pieces(access: Access, *, hematocrit_fraction: ArrayLike) -> tuple[Drop, Drop, Drop]:
    """Inflow, middle and outflow with their narrowings; only the narrowings follow the hematocrit (own choice)."""
    own = (
        (access.inflow_linear, access.inflow_quadratic, access.inflow_bore_mm, access.inflow_percent),
        (access.middle_linear, 0.0, access.middle_bore_mm, access.middle_percent),
        (access.outflow_linear, 0.0, access.outflow_bore_mm, access.outflow_percent),
    )
    length = access.narrowing_length_mm
    inflow, middle, outflow = (
        drop(linear, quadratic)
        + narrowing(percent, bore_mm=bore, length_mm=length, hematocrit_fraction=hematocrit_fraction)
        for linear, quadratic, bore, percent in own
    )
    return inflow, middle, outflow


def _sites(access: Access, *, conditions: Conditions, round_the_middle: ArrayLike) -> _Sites:
    """Solve the row for its flow; the middle carries ``round_the_middle`` mL/min more than the ends."""
    inflow, middle, outflow = _pieces(access, hematocrit_fraction=conditions.hematocrit_fraction)
    arterial, central = values(conditions.mean_arterial_mmhg), values(conditions.central_venous_mmhg)
    flow = balance_ml_min(arterial - central, pieces=[(inflow, 0.0), (middle, round_the_middle), (outflow, 0.0)])
    return _Sites(flow=flow, upstream=arterial - inflow.mmhg(flow), downstream=central + outflow.mmhg(flow))


def flow_by_reversed_lines_ml_min(access: Access, *, conditions: Conditions) -> Values:
    """What an indicator test with the lines reversed reads, in mL/min, without its noise: Qb (1/R - 1).

    References
    ----------
    krivitski-1995
    """
    solved = solve(access, conditions=replace(conditions, lines_reversed=True))
    return values(conditions.pump_ml_min) * (1 / solved.recirculation_fraction - 1)
