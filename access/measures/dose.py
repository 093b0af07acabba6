"""The dose of one treatment from urea before and after: single-pool Kt/V, equilibrated Kt/V, reduction.

Minimum and target are protocol data. An after-sample drawn too early is diluted by recirculation and
overstates the dose; the numbers alone cannot tell.
"""

import math
from typing import Literal

from access.measures import Refused, plausibility

AccessSide = Literal["artery", "vein"]
# Rate equations by what the access draws from: slope per hour and constant (ebpg-2002).
_EQUILIBRATION: dict[AccessSide, tuple[float, float]] = {"artery": (0.6, 0.03), "vein": (0.47, 0.02)}


def kt_v(before: float, *, after: float, hours: float, ultrafiltration_l: float, weight_kg: float) -> float:
    """Single-pool Kt/V (no unit), -ln(R - 0.008 t) + (4 - 3.5 R) UF / W.

    Parameters
    ----------
    before, after : float
        Urea before and after the treatment, both in one unit; R = after / before.
    hours : float
        Time on dialysis t, h.
    ultrafiltration_l : float
        Volume removed UF, L.
    weight_kg : float
        Weight W after the treatment, kg.

    Raises
    ------
    Refused
        After >= before, R <= 0.008 t, or a number that cannot be.

    References
    ----------
    daugirdas-1993, recirculation-dose
    """
    ratio = _ratio(before, after=after)
    plausibility.check("hours", hours)
    plausibility.check("ultrafiltration_l", ultrafiltration_l)
    plausibility.check("weight_kg", weight_kg)
    generated = 0.008 * hours
    if ratio <= generated:
        raise Refused(
            f"Urea after the treatment ({after:g}) is too low for {hours:g} h: the formula has no result. "
            "Look at both samples.",
            field="after",
        )
    return -math.log(ratio - generated) + (4 - 3.5 * ratio) * ultrafiltration_l / weight_kg


def urea_reduction_percent(before: float, *, after: float) -> float:
    """Urea reduction in percent, 100 (1 - after / before).

    Parameters
    ----------
    before, after : float
        Urea before and after the treatment, both in one unit.

    Raises
    ------
    Refused
        After >= before, or a value that is not above 0.

    References
    ----------
    kdoqi-adequacy, sherman-1994
    """
    return 100 * (1 - _ratio(before, after=after))


def equilibrated(kt_v: float, *, hours: float, access: AccessSide) -> float:
    """Equilibrated Kt/V (no unit) from the single-pool one.

    Parameters
    ----------
    kt_v : float
        Single-pool Kt/V.
    hours : float
        Time on dialysis t, h.
    access : {"artery", "vein"}
        "artery" for a fistula or graft: Kt/V - 0.6 Kt/V / t + 0.03; "vein" for an access from vein to
        vein, a catheter: Kt/V - 0.47 Kt/V / t + 0.02.

    References
    ----------
    ebpg-2002
    """
    if access not in _EQUILIBRATION:
        raise Refused("Say whether the access draws from an artery or a vein.", field="access")
    plausibility.check("kt_v", kt_v)
    plausibility.check("hours", hours)
    slope, constant = _EQUILIBRATION[access]
    return kt_v - slope * kt_v / hours + constant


def _ratio(before: float, *, after: float) -> float:
    for field, value in (("before", before), ("after", after)):
        if not 0 < value < math.inf:
            raise Refused(f"Urea {field} the treatment is above 0; {value:g} cannot be.", field=field)
    if after >= before:
        raise Refused(
            f"Urea after the treatment ({after:g}) is not below that before ({before:g}): look whether the two "
            "were exchanged.",
            field="after",
        )
    return after / before
