"""Urea samples drawn in the circuit model through the lines as they are, as a nurse would draw them.

It gives what the tubes hold, without assay error; what is made of the three numbers is in ``recirculation``, and
samples from patients are in ``readings``.
"""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike

from access.measures.circuit import Access, Conditions, solve
from access.measures.hydraulics import Values, values
from access.measures.needles import PORT_VOLUME_ML

# A vein of the other arm above the artery, during treatment (source slow-flow-161).
PERIPHERAL_VEIN_OVER_ARTERY = 1.096


@dataclass(frozen=True, kw_only=True)
class UreaDraw:
    """Urea of the three samples as drawn, in the unit of the systemic blood, and the true recirculation (fraction)."""

    systemic: Values
    arterial: Values
    venous: Values
    peripheral_vein: Values  # What a nurse gets who takes S from a vein of the other arm.
    recirculation_fraction: Values


def draw_urea(
    access: Access,
    *,
    conditions: Conditions,
    systemic: ArrayLike,
    extraction_fraction: ArrayLike,
    slow_flow_ml_min: ArrayLike = 120.0,
    slow_flow_seconds: ArrayLike = 10.0,
    slow_flow_lines_reversed: ArrayLike | None = None,
) -> UreaDraw:
    """Three urea samples (unit of ``systemic``) drawn through the lines as they are, without assay error.

    Parameters
    ----------
    systemic : array_like
        Urea of the arterial blood that reaches the access.
    extraction_fraction : array_like
        Part of the urea that one passage through the dialyzer takes out.
    slow_flow_ml_min, slow_flow_seconds : array_like
        The slow flow before the S sample.
    slow_flow_lines_reversed : array_like or None
        Lines while S is drawn; ``None``: as for A and V. ``False`` beside reversed ``conditions`` is a flow test.

    Notes
    -----
    During the slow flow the venous line still returns the blood of the full speed. S is wholly fresh once twice the
    volume up to the port has moved; before, it is mixed with what stood there (in proportion: own choice).

    References
    ----------
    kapoian-1997, slow-flow-161, simulation
    """
    before = conditions
    if slow_flow_lines_reversed is not None:
        before = replace(conditions, lines_reversed=slow_flow_lines_reversed)
    slow = solve(access, conditions=replace(before, pump_ml_min=slow_flow_ml_min)).recirculation_fraction
    fresh, kept = values(systemic), 1 - values(extraction_fraction)
    at_before, at_draw = (solve(access, conditions=each).recirculation_fraction for each in (before, conditions))
    # What is drawn is fresh blood and, to the part R, what was just returned: A = (1 - R) S + R V, and V = kept A.
    arterial_before, arterial = (fresh * (1 - part) / (1 - part * kept) for part in (at_before, at_draw))
    moved = values(slow_flow_ml_min) * values(slow_flow_seconds) / 60
    washed = np.clip(moved / PORT_VOLUME_ML - 1, 0.0, 1.0)
    drawn_slowly = (1 - slow) * fresh + slow * kept * arterial_before
    return UreaDraw(
        systemic=washed * drawn_slowly + (1 - washed) * arterial_before,
        arterial=arterial,
        venous=kept * arterial,
        peripheral_vein=PERIPHERAL_VEIN_OVER_ARTERY * fresh,
        recirculation_fraction=at_draw,
    )
