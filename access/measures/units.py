"""Urea in one unit, and numbers as they are shown.

A value that is compared is first rounded to the precision at which it is shown, so that what a
person reads and what a rule decides never differ. What may be typed at all stands in ``plausibility``.
"""

import math
from collections.abc import Iterable
from decimal import ROUND_HALF_UP, Decimal

from access.measures import Refused
from access.measures.readings import Sample
from access.measures.words import UreaUnit

DAYS_A_YEAR = 365.25
# Urea nitrogen in mg/dL times this is urea in mmol/L (source: urea-factor).
MMOL_L_PER_MG_DL = 0.357


def as_shown(value: float, *, decimals: int) -> float:
    """The value rounded to ``decimals`` places as a person rounds: a half goes away from zero.

    Parameters
    ----------
    value : float
        A finite number; 1.60 - 1.40, stored as 0.20000000000000018, becomes 0.2.
    decimals : int
        Places shown.

    Raises
    ------
    Refused
        When the value is not a finite number.
    """
    if not math.isfinite(value):
        raise Refused("A number is missing: what was given is not a number.")
    if float(value).is_integer() and abs(value) < 1e12 and decimals >= 0:
        return float(value) + 0.0
    # The shortest decimal text of a float is what was typed, so 2.675 rounds to 2.68 and not to 2.67;
    # twelve significant digits first, so that the noise of binary arithmetic is not taken for a half.
    typed = Decimal(f"{value:.12g}")
    rounded = float(typed.quantize(Decimal(1).scaleb(-decimals), rounding=ROUND_HALF_UP))
    return rounded + 0.0  # Turns -0.0 into 0.0: "-0 %" would puzzle a reader.


def shown(value: float, *, decimals: int) -> str:
    """The value as text with at most ``decimals`` places and no trailing zeros: 20, not 20.0."""
    text = f"{as_shown(value, decimals=decimals):.{decimals}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def is_above(value: float, limit: float, *, decimals: int) -> bool:
    """Whether the value, as shown, lies above the limit."""
    if _far_apart(value, limit, decimals=decimals):
        return value > limit
    return as_shown(value, decimals=decimals) > as_shown(limit, decimals=decimals)


def is_below(value: float, limit: float, *, decimals: int) -> bool:
    """Whether the value, as shown, lies below the limit."""
    if _far_apart(value, limit, decimals=decimals):
        return value < limit
    return as_shown(value, decimals=decimals) < as_shown(limit, decimals=decimals)


def _far_apart(value: float, limit: float, *, decimals: int) -> bool:
    """Whether two numbers of a size that occurs differ by so much that rounding cannot change which is larger."""
    return 2 * 0.1**decimals < abs(value - limit) < 1e6


def urea_mmol_l(value: float, *, unit: UreaUnit) -> float:
    """Urea in mmol/L.

    Parameters
    ----------
    value : float
        Urea nitrogen when ``unit`` is mg/dL, urea when it is mmol/L.
    unit : UreaUnit
        The unit the laboratory reported.

    References
    ----------
    urea-factor
    """
    return value * MMOL_L_PER_MG_DL if unit == "mg/dL" else value


def urea_mg_dl(value: float, *, unit: UreaUnit) -> float:
    """Urea nitrogen in mg/dL, the inverse of :func:`urea_mmol_l`.

    References
    ----------
    urea-factor
    """
    return value / MMOL_L_PER_MG_DL if unit == "mmol/L" else value


def one_unit(samples: Iterable[Sample]) -> UreaUnit:
    """The one unit that all samples share.

    Raises
    ------
    Refused
        When the samples carry different units, or when there are none. Converting instead would hide
        a unit typed wrongly: samples of one test come from one laboratory in one run.
    """
    units = sorted({sample.unit for sample in samples})
    if not units:
        raise Refused("There is no sample, so there is no unit.", field="unit")
    if len(units) > 1:
        raise Refused(
            f"The samples are in different units ({' and '.join(units)}). All three come from one laboratory "
            "in one run: look at the report and give one unit.",
            field="unit",
        )
    return units[0]
