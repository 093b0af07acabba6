"""Access recirculation from three urea samples: how much, how sure, and whether the draw was valid.

It knows no limit that leads to a finding: limits are data of a protocol and are passed in.
Samples of another kind than urea, and a treatment with one needle, are not judged here.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from access.measures import Refused, draw_conditions
from access.measures.fieller import NoisyRatio
from access.measures.readings import Draw
from access.measures.units import as_shown, is_above, shown
from access.measures.words import Lines

PERCENT_DECIMALS = 1
# Own choice, from simulation: with a larger spread a true zero exceeds 10 % in one test of seven or more.
LARGEST_SD_PERCENT = 8.0
LATEST_VENOUS_SHARE = 0.65  # Own choice: V/S above it means that the samples were drawn too late.
A_ABOVE_S_PERCENT = 5.0  # Own choice: beyond what an assay explains.


@dataclass(frozen=True, kw_only=True)
class Recirculation:
    """A recirculation in percent, raw and possibly below zero, with its 90 % interval and its inputs."""

    percent: float
    low_percent: float | None
    high_percent: float | None
    sd_percent: float
    verdict_possible: bool
    remarks: tuple[str, ...]
    ratio: NoisyRatio

    def probability_above(self, limit_percent: float) -> float:
        """The probability, 0 to 1, that the true recirculation lies above ``limit_percent``."""
        if not 0 <= limit_percent <= 100:
            raise Refused(
                f"A limit of {shown(limit_percent, decimals=2)} % cannot be: a recirculation lies between 0 and 100 %.",
                field="limit_percent",
            )
        return self.ratio.probability_above(limit_percent / 100)

    @property
    def text(self) -> str:
        """The result as shown, with its interval; below zero it says that none was found."""
        percent = as_shown(self.percent, decimals=PERCENT_DECIMALS)
        if self.low_percent is None or self.high_percent is None:
            return "samples too close, cannot tell"
        if percent < 0 and self.high_percent < 0:
            return "none found, and the arterial sample is higher than assay error explains"
        if percent < 0:
            return "none found, within assay error"
        low, high = (shown(min(max(end, 0), 100), decimals=0) for end in (self.low_percent, self.high_percent))
        return f"{shown(percent, decimals=PERCENT_DECIMALS)} % (90 % interval {low} to {high} %)"


@dataclass(frozen=True, kw_only=True)
class JudgedDraw:
    """A draw with its result, whether the method was valid, and what to check first.

    ``result`` may hold the arithmetic of an invalid draw; only ``usable`` may be held against a limit.
    """

    result: Recirculation | None
    valid: bool
    reason: str
    remarks: tuple[str, ...]
    checks: tuple[str, ...]
    waiting: bool

    @property
    def usable(self) -> Recirculation | None:
        """The result where the method was valid and a verdict is possible, else None."""
        if self.valid and self.result is not None and self.result.verdict_possible:
            return self.result
        return None


def recirculation(
    systemic: float, *, arterial: float, venous: float, assay_cv: float = 0.02, correlation: float = 0.0
) -> Recirculation:
    """Access recirculation in percent, R = 100 (S - A) / (S - V).

    Parameters
    ----------
    systemic, arterial, venous : float
        Urea of the three samples S, A and V, all in one unit; which unit does not matter.
    assay_cv : float
        Coefficient of variation of the assay within one run, as a fraction.
    correlation : float
        Correlation of the three errors; 0 is the cautious choice, more needs data of the laboratory.

    Returns
    -------
    Recirculation
        Percent, 90 % interval by Fieller (None when S and V are too close), standard deviation in
        points, remarks. The percentage is kept as it is when negative.

    Raises
    ------
    Refused
        When a value is not above zero, S <= V, A < V, or ``assay_cv`` or ``correlation`` cannot be.

    Notes
    -----
    The formula is that of kapoian-1997. An assay CV of 2 % is from-memory. Interval and probability are
    the project's own use of Fieller's method. Rounding to whole mg/dL is not part of the interval.

    References
    ----------
    kapoian-1997, sherman-1994, fieller, simulation
    """
    _refuse_samples(systemic, arterial=arterial, venous=venous)
    _refuse_errors(assay_cv, correlation=correlation)
    ratio = _noisy_ratio(systemic, arterial=arterial, venous=venous, cv=assay_cv, correlation=correlation)
    interval = ratio.interval()
    sd_percent = 100 * ratio.standard_deviation()
    verdict = interval is not None and not is_above(sd_percent, LARGEST_SD_PERCENT, decimals=1)
    return Recirculation(
        percent=100 * ratio.value,
        low_percent=None if interval is None else 100 * interval.low,
        high_percent=None if interval is None else 100 * interval.high,
        sd_percent=sd_percent,
        verdict_possible=verdict,
        remarks=_remarks(systemic, arterial=arterial, venous=venous, sd_percent=sd_percent, told=interval is not None),
        ratio=ratio,
    )


def judge_draw(draw: Draw, *, limit_percent: float | None = None, placement_percent: float = 20.0) -> JudgedDraw:
    """Judge how the three samples were drawn and, once they are back, compute the recirculation.

    Parameters
    ----------
    draw : Draw
        The samples with their unit, where S was drawn, pump speed, times, ultrafiltration, lines.
    limit_percent : float, optional
        The protocol's limit in percent: checks are then given only for a result above it.
    placement_percent : float
        From here on needle placement is checked before any imaging (kdoqi-2000, from memory).

    Returns
    -------
    JudgedDraw
        Not valid when S did not come from the arterial line after slow flow.

    Raises
    ------
    Refused
        Mixed units, missing pump speed, times or place of S, and all that :func:`recirculation` refuses.

    References
    ----------
    kapoian-1997, laboratory-manual, kdoqi-2000, sherman-1994, sherman-kapoian-1997, basile, own-choice
    """
    draw_conditions.refuse_bedside(draw)
    samples = {"systemic": draw.systemic, "arterial": draw.arterial, "venous": draw.venous}
    back = {name: sample for name, sample in samples.items() if sample is not None}
    asked = draw_conditions.questions(back)
    reason = draw_conditions.why_not_valid(draw)
    remarks = (*asked, *draw_conditions.remarks(draw))
    if len(back) < len(samples):
        missing = ", ".join(name for name in samples if name not in back)
        waiting = f"The samples are not all back from the laboratory (missing: {missing})."
        return JudgedDraw(
            result=None, valid=not reason, reason=reason or waiting, remarks=remarks, checks=(), waiting=True
        )
    result = recirculation(
        back["systemic"].value,
        arterial=back["arterial"].value,
        venous=back["venous"].value,
        assay_cv=draw.assay_cv,
    )
    return JudgedDraw(
        result=result,
        valid=not reason,
        reason=reason,
        remarks=(*result.remarks, *remarks, *draw_conditions.reversed_remark(draw, percent=result.percent)),
        checks=draw_conditions.checks(
            result.percent, valid=not reason, limit=limit_percent, placement=placement_percent
        ),
        waiting=False,
    )


def fraction_for_flow(flow_ml_min: float, *, pump_ml_min: float, lines: Lines) -> float:
    """The recirculation fraction (0 to 1) that the mass balance gives for an access flow.

    Parameters
    ----------
    flow_ml_min, pump_ml_min : float
        Access flow Qa (0 or more) and pump speed Qb (above 0), mL/min.
    lines : Lines
        "right": 1 - Qa/Qb when Qa < Qb, else 0. "reversed": Qb / (Qb + Qa).

    References
    ----------
    mercadal-1999, krivitski-1995
    """
    if flow_ml_min < 0:
        raise Refused("An access flow cannot be negative.", field="flow_ml_min")
    if pump_ml_min <= 0:
        raise Refused("Recirculation needs a running pump: the pump speed is above 0.", field="pump_ml_min")
    if lines == "right":
        return max(0.0, 1 - flow_ml_min / pump_ml_min)
    if lines == "reversed":
        return pump_ml_min / (pump_ml_min + flow_ml_min)
    raise Refused("Recirculation depends on which way the lines are connected: say right or reversed.", field="lines")


def very_likely_real(percents: Sequence[float]) -> bool:
    """Whether one value is above 30 % or two are above 5 %: raises what is shown as sure, and is no limit.

    References
    ----------
    kapoian-1997
    """
    one = any(is_above(percent, 30, decimals=PERCENT_DECIMALS) for percent in percents)
    return one or sum(is_above(percent, 5, decimals=PERCENT_DECIMALS) for percent in percents) >= 2


def _noisy_ratio(systemic: float, *, arterial: float, venous: float, cv: float, correlation: float) -> NoisyRatio:
    # Each sample errs by cv times its value; S stands in numerator and denominator, hence the covariance.
    s, a, v = cv * systemic, cv * arterial, cv * venous
    return NoisyRatio(
        x=systemic - arterial,
        y=systemic - venous,
        variance_x=s**2 + a**2 - 2 * correlation * s * a,
        variance_y=s**2 + v**2 - 2 * correlation * s * v,
        covariance=s**2 - correlation * (s * v + s * a - a * v),
    )


def _refuse_samples(systemic: float, *, arterial: float, venous: float) -> None:
    for field, value in (("systemic", systemic), ("arterial", arterial), ("venous", venous)):
        if not 0 < value < float("inf"):
            raise Refused(f"The {field} sample is above 0; {value:g} cannot be.", field=field)
    if systemic <= venous:
        raise Refused(
            f"The systemic sample ({systemic:g}) is not above the venous one ({venous:g}): the dialyzer lowers urea, "
            "so look whether the tubes were swapped.",
            field="systemic",
        )
    if arterial < venous:
        raise Refused(
            f"The arterial sample ({arterial:g}) is below the venous one ({venous:g}): the two tubes look swapped.",
            field="arterial",
        )


def _refuse_errors(assay_cv: float, *, correlation: float) -> None:
    if not 0 < assay_cv <= 0.25:
        raise Refused(
            f"An assay variation of {assay_cv:g} cannot be: it is a fraction above 0 and up to 0.25 (2 % is 0.02).",
            field="assay_cv",
        )
    if not 0 <= correlation <= 0.95:
        raise Refused(f"A correlation of {correlation:g} cannot be: it lies from 0 to 0.95.", field="correlation")


def _remarks(systemic: float, *, arterial: float, venous: float, sd_percent: float, told: bool) -> tuple[str, ...]:
    remarks = []
    if is_above(venous / systemic, LATEST_VENOUS_SHARE, decimals=2):
        remarks.append("The venous sample is above 0.65 of the systemic one: drawn too late to tell much.")
    if is_above(100 * (arterial / systemic - 1), A_ABOVE_S_PERCENT, decimals=1):
        remarks.append("The arterial sample is more than 5 % above the systemic one: look at tubes and draw.")
    if not told:
        remarks.append("samples too close, cannot tell")
    elif is_above(sd_percent, LARGEST_SD_PERCENT, decimals=1):
        remarks.append(f"No verdict: the standard deviation is {sd_percent:.1f} points, above 8.")
    return tuple(remarks)
