"""An access flow with its doubt: the interval of its method, and the change that one can tell from noise.

It takes a flow as given; how each method arrives at one stands in ``flow``.
"""

import math
from dataclasses import dataclass

from access.measures import Refused, plausibility, sources
from access.measures.fieller import NORMAL, Z_90
from access.measures.units import shown
from access.measures.words import FlowMethod


@dataclass(frozen=True, kw_only=True)
class Flow:
    """An access flow in mL/min with its 90 % interval; both ends None where the doubt is not known."""

    ml_min: float
    low_ml_min: float | None
    high_ml_min: float | None
    method: FlowMethod
    question: str = ""  # What to ask about an unlikely value; it is no refusal.
    comparable: bool = True  # False for blood water: never held against a limit nor joined to another trend.

    @property
    def doubt_known(self) -> bool:
        """Whether at least one end of the interval is known."""
        return self.low_ml_min is not None or self.high_ml_min is not None

    @property
    def text(self) -> str:
        """The flow as shown, with its interval or with "doubt not known"."""
        value = f"{shown(self.ml_min, decimals=0)} mL/min"
        if not self.doubt_known:
            return f"{value} (doubt not known)"
        low = shown(self.low_ml_min or 0, decimals=0)
        if self.high_ml_min is None:
            return f"{value} (90 % interval from {low}, no upper end)"
        return f"{value} (90 % interval {low} to {shown(self.high_ml_min, decimals=0)})"


def measured(ml_min: float, *, method: FlowMethod, cv: float | None = None) -> Flow:
    """An access flow as a device shows it, with the 90 % interval of its method.

    Parameters
    ----------
    ml_min : float
        Access flow, mL/min.
    method : FlowMethod
        The method; a dialysance gives blood water and is marked as not comparable.
    cv : float, optional
        Between-session coefficient of variation (fraction), in place of the method's own.

    Returns
    -------
    Flow
        Interval = value x exp(+/- 1.645 CV); both ends None where no CV is known.

    Raises
    ------
    Refused
        Zero or less, above 10000, or a CV outside (0, 1].

    References
    ----------
    ndt-2005, thermodilution-cv, own-choice
    """
    asked = question(ml_min)
    spread = _spread(method, cv=cv)
    return Flow(
        ml_min=ml_min,
        low_ml_min=None if spread is None else ml_min / math.exp(Z_90 * spread),
        high_ml_min=None if spread is None else ml_min * math.exp(Z_90 * spread),
        method=method,
        question=asked,
        comparable=method != "dialysance",
    )


def least_significant_change(cv: float, *, one_sided: bool = False) -> float:
    """The relative change, as a fraction, that two single readings must show to be told from noise at 95 %.

    Parameters
    ----------
    cv : float
        Coefficient of variation of one reading (fraction).
    one_sided : bool
        Only a fall, or only a rise, is looked for.

    Returns
    -------
    float
        1.96 sqrt(2) CV, one-sided 1.645 sqrt(2) CV.

    References
    ----------
    simulation, desoto-paulson-2001
    """
    _refuse_cv(cv)
    return NORMAL.inv_cdf(0.95 if one_sided else 0.975) * math.sqrt(2) * cv


def least_significant_fall(cv: float, *, one_sided: bool = False) -> float:
    """The same on the log scale that the program uses, as a fall in fractions of the first reading.

    References
    ----------
    simulation
    """
    return 1 - math.exp(-least_significant_change(cv, one_sided=one_sided))


def question(ml_min: float) -> str:
    """What to ask about a flow (mL/min); refuses zero, which is an event, and what cannot be."""
    if ml_min == 0:
        raise Refused(
            "A flow of 0, or a clotted access, is an event: record it as “clotted”, not as a flow.", field="ml_min"
        )
    try:
        return plausibility.check("flow_ml_min", ml_min)
    except Refused as refused:
        raise Refused(str(refused), field="ml_min") from None


def _spread(method: FlowMethod, *, cv: float | None) -> float | None:
    if cv is not None:
        _refuse_cv(cv)
        return cv
    known = sources.flow_cv().get(method)
    return None if known is None else known.cv


def _refuse_cv(cv: float) -> None:
    if not 0 < cv <= 1:
        raise Refused(f"A variation of {cv:g} cannot be: it is a fraction above 0 (14 % is 0.14).", field="cv")
