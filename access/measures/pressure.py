"""What one pressure reading means: mean arterial pressure, static ratio, standardized and derived pressure.

It raises nothing and holds no limit of a protocol. What two ratios together say is in ``patterns``, what is usual for
an access is in ``band``. The venous pressure is never a guard against a fallen needle.
"""

import math
from dataclasses import dataclass
from typing import Literal

from access.measures import Refused
from access.measures.readings import DynamicReading
from access.measures.units import as_shown, is_above
from access.measures.words import RatioFormula

# Intercept (mmHg) and slope (mmHg a cm) of each published height term; the chamber hangs above the access, so its
# reading is low and the term is added.
HEIGHT_TERMS: dict[RatioFormula, tuple[float, float]] = {
    "hydrostatic": (0.0, 0.76),
    "linear-2006": (-1.6, 0.74),
    "empirical-2002": (3.4, 0.35),
}
RATIO_MAP_LOW_MMHG, RATIO_MAP_HIGH_MMHG = 75, 160


@dataclass(frozen=True, kw_only=True)
class StaticRatio:
    """A static pressure ratio and the height formula it was reached by; never joined across formulas."""

    ratio: float
    formula: RatioFormula


def mean_arterial_mmhg(systolic: float, *, diastolic: float) -> float:
    """Mean arterial pressure, in mmHg.

    Parameters
    ----------
    systolic, diastolic : float
        Blood pressure of the cuff, mmHg.

    Raises
    ------
    Refused
        When a value is missing, not positive, or the two are upside down.

    Notes
    -----
    (systolic + 2 diastolic) / 3, in universal use; from memory.

    References
    ----------
    mean-arterial
    """
    if not (math.isfinite(systolic) and math.isfinite(diastolic) and diastolic > 0):
        raise Refused(f"Blood pressure {systolic:g} / {diastolic:g} is not a pressure.", field="diastolic")
    if systolic <= diastolic:
        raise Refused(
            f"Blood pressure {systolic:g} / {diastolic:g}: the systolic must be the higher one.", field="systolic"
        )
    return (systolic + 2 * diastolic) / 3


def height_term_mmhg(height_cm: float, *, formula: RatioFormula) -> float:
    """What is added to a chamber reading for the height (cm) of the chamber above the access, in mmHg.

    Notes
    -----
    The linear term is from memory; the empirical one takes the height from the arm of the chair.

    References
    ----------
    hydrostatic, kdoqi-2006, empirical-2002
    """
    if formula not in HEIGHT_TERMS:
        raise Refused(f"Height formula {formula!r} is not one of {', '.join(HEIGHT_TERMS)}.", field="formula")
    if not (math.isfinite(height_cm) and height_cm >= 0):
        raise Refused(
            f"Height {height_cm:g} cm: the chamber is measured above the access, from 0 up.", field="height_cm"
        )
    fixed, per_cm = HEIGHT_TERMS[formula]
    return fixed + per_cm * height_cm


def static_ratio(
    pressure_mmhg: float, *, height_cm: float, mean_arterial_mmhg: float, formula: RatioFormula
) -> StaticRatio:
    """Pressure inside the access as a fraction of the mean arterial pressure (no unit).

    Parameters
    ----------
    pressure_mmhg : float
        Reading with the pump off, the line clamped between dialyzer and chamber, 30 s after the stop, mmHg.
    height_cm : float
        Chamber above the access (for ``"empirical-2002"`` above the arm of the chair), cm.
    mean_arterial_mmhg : float
        Mean arterial pressure at that time, mmHg.
    formula : RatioFormula
        Which height term; the three differ enough to turn a decision.

    Returns
    -------
    StaticRatio
        ``ratio`` and the ``formula`` it belongs to.

    Raises
    ------
    Refused
        When the mean arterial pressure is outside 75 to 160 mmHg, the height is negative or a value is no number.

    References
    ----------
    besarab-2002, hydrostatic, kdoqi-2006, empirical-2002
    """
    if not (math.isfinite(pressure_mmhg) and math.isfinite(mean_arterial_mmhg)):
        raise Refused("The static pressure or the mean arterial pressure is not a number.", field="pressure_mmhg")
    if not RATIO_MAP_LOW_MMHG <= as_shown(mean_arterial_mmhg, decimals=0) <= RATIO_MAP_HIGH_MMHG:
        raise Refused(
            f"Mean arterial pressure {mean_arterial_mmhg:.0f} mmHg: a ratio is worked out from "
            f"{RATIO_MAP_LOW_MMHG} to {RATIO_MAP_HIGH_MMHG} only.",
            field="mean_arterial_mmhg",
        )
    inside = pressure_mmhg + height_term_mmhg(height_cm, formula=formula)
    return StaticRatio(ratio=inside / mean_arterial_mmhg, formula=formula)


@dataclass(frozen=True, kw_only=True)
class Standardized:
    """Whether a reading counts as a standardized dynamic venous pressure, and if not, why not."""

    counts: bool
    reason: str = ""


def standardized_dynamic(
    reading: DynamicReading, *, pump_ml_min: float = 200, from_minute: float = 2, to_minute: float = 5
) -> Standardized:
    """Whether this reading was taken under the standard conditions; it is kept either way.

    Notes
    -----
    Pump at 200 mL/min, minute 2 to 5, venous pressure and gauge known. That the gauge stays the same, and three
    treatments in succession, are for the rule that looks at the series.

    References
    ----------
    dynamic-pressure
    """
    if reading.venous_mmhg is None:
        reason = "no venous pressure was read"
    elif reading.gauge is None:
        reason = "the gauge of the venous needle is not recorded"
    elif as_shown(reading.pump_ml_min, decimals=0) != as_shown(pump_ml_min, decimals=0):
        reason = f"read at {reading.pump_ml_min:.0f} mL/min, not at {pump_ml_min:.0f}"
    elif not from_minute <= as_shown(reading.minute, decimals=0) <= to_minute:
        reason = f"read in minute {reading.minute:.0f}, not in minute {from_minute:g} to {to_minute:g}"
    else:
        return Standardized(counts=True)
    return Standardized(counts=False, reason=f"Kept, not counted: {reason}.")


NeedleAloneFrom = Literal["bench table", "hydraulic model", "fit to the clinic's own readings"]


@dataclass(frozen=True, kw_only=True)
class DerivedRatio:
    """A static ratio derived from a dynamic venous pressure, with where the needle's own pressure came from."""

    ratio: float
    needle_alone_from: NeedleAloneFrom


def derived_static_ratio(
    reading: DynamicReading, *, needle_alone_mmhg: float, needle_alone_from: NeedleAloneFrom
) -> DerivedRatio:
    """Static ratio derived from a reading with the pump running (no unit); a comparator, noisy by itself.

    Parameters
    ----------
    reading : DynamicReading
        Needs venous pressure above 20 mmHg, pump above 200 mL/min and mean arterial pressure above 75 mmHg.
    needle_alone_mmhg : float
        What tubing and needle alone would read at that pump speed, gauge and hematocrit, mmHg.
    needle_alone_from : NeedleAloneFrom
        Where that number comes from; it is shown with the result.

    Raises
    ------
    Refused
        When one of the three conditions does not hold.

    Notes
    -----
    (VP - VP0) / MAP. The published regression for VP0 was not found and none is shipped. A single value tells
    little (in simulation its error is .16 at 15G and 400 mL/min); a change from the access's own baseline tells more.

    References
    ----------
    frinak-2002
    """
    venous, mean_arterial = reading.venous_mmhg, reading.mean_arterial_mmhg
    if venous is None or not is_above(venous, 20, decimals=0):
        raise Refused("A derived static ratio needs a venous pressure above 20 mmHg.", field="venous_mmhg")
    if not is_above(reading.pump_ml_min, 200, decimals=0):
        raise Refused(
            f"Pump {reading.pump_ml_min:.0f} mL/min: a derived static ratio needs more than 200.", field="pump_ml_min"
        )
    if mean_arterial is None or not is_above(mean_arterial, 75, decimals=0):
        raise Refused(
            "A derived static ratio needs a mean arterial pressure above 75 mmHg.", field="mean_arterial_mmhg"
        )
    return DerivedRatio(ratio=(venous - needle_alone_mmhg) / mean_arterial, needle_alone_from=needle_alone_from)
