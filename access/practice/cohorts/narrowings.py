"""The accesses of cohort B: what was drawn for each, how its narrowing grows, and how it flows on a usual day.

In simulation, no patient data. All numbers are assumptions, above all how fast a narrowing grows: no rate was found in
any source. What no study gives (sizes, slow narrowings, blood pressure from day to day) was adjusted, over five
settings on one seed, towards the rates and delays of the study before the program: that they agree is no evidence.
What gauges and chambers show is in ``hydraulic``.
"""

from dataclasses import dataclass

import numpy as np
from scipy.special import ndtr, ndtri

from access.measures.circuit import FISTULA, GRAFT, Access, Conditions, solve
from access.measures.hydraulics import Values, values
from access.practice.cohorts.cohort import Texts

PLACES = ("inflow", "middle", "outflow")
FLOW_TEST_ML_MIN, CENTRAL_VENOUS_MMHG = 300.0, 8.0
# With the lines reversed the pump presses on a narrowing between the needles; at a tight one it would drive the access
# backwards, and no more than "hardly any flow" can be read (own choice).
LEAST_READ_ML_MIN = 30.0
_MODEL = {"graft": GRAFT, "fistula": FISTULA}


@dataclass(frozen=True, kw_only=True)
class Hydraulic:
    """The assumptions of cohort B; committed, so that a figure can be found again."""

    accesses: int = 3000
    slow_share: float = 0.4  # With a narrowing that grows slowly or not at all.
    graft_share: float = 0.5
    years: float = 4.0
    flow_every_treatments: int = 13  # Monthly.
    static_every_treatments: int = 6  # Two-weekly.
    missed_share: float = 0.10
    flow_cv: float = 0.10  # Beside the blood pressure of the day, which is in the model.
    outlier_share: float = 0.02
    graft_limit_ml_min: float = 600.0
    fistula_limit_ml_min: float = 500.0
    size_sd: float = 0.25  # Of the flow over that of the model's access, on the log scale.
    least_over_limit: float = 1.3  # The least flow of the sound access over its limit.
    percent_before: tuple[float, float] = (0.0, 30.0)
    slow_percent_a_year: tuple[float, float] = (0.0, 3.0)
    percent_a_year: tuple[float, float] = (15.0, 55.0)
    begins_years: tuple[float, float] = (0.5, 2.0)
    most_percent: float = 88.0
    mean_arterial_mmhg: float = 93.0
    mean_arterial_between_sd: float = 0.08  # Between patients, as a fraction.
    mean_arterial_sd: float = 0.06  # Between treatments of one patient.
    cuff_sd: float = 0.04  # Error of the cuff.
    hematocrit: float = 0.33
    hematocrit_between_sd: float = 0.03
    hematocrit_sd: float = 0.012
    pump_ml_min: tuple[float, float] = (350.0, 400.0)
    pump_sd: float = 0.03  # Of the delivered speed, at each treatment.
    height_cm: tuple[float, float] = (12.0, 20.0)
    height_sd_cm: float = 5.0  # Error of the height as the clinic knows it, the same at each treatment.
    bore_sd: float = 0.02  # From one lot of needles to another.
    loss_sd: float = 0.08
    lots: int = 1  # Lots of needles in all the years; one, as in the study: errors that stay cancel.
    venous_drift_mmhg: float = 9.3  # Where in its drift of 30 to 40 mmHg a treatment was read.
    pre_pump_drift_mmhg: float = 10.0
    static_drift_mmhg: float = 3.0


@dataclass(frozen=True, kw_only=True)
class Accesses:
    """What was drawn for each access, (n,), and for each lot of needles, (lots, n)."""

    kinds: Texts
    places: Texts
    slow: Values
    size: Values
    percent_before: Values
    percent_a_year: Values
    began: Values
    mean_arterial: Values
    hematocrit: Values
    pump: Values
    height: Values
    height_known: Values
    bore_factor: Values
    loss_factor: Values

    def of(self, chosen: slice) -> "Accesses":
        """Some of them only."""
        return Accesses(**{name: getattr(self, name)[..., chosen] for name in self.__dataclass_fields__})


def drawn(used: Hydraulic, *, draw: np.random.Generator) -> Accesses:
    """The accesses of a cohort."""
    size, slow_count = used.accesses, round(used.slow_share * used.accesses)
    slow = draw.permutation(size) < slow_count
    kinds = np.where(draw.random(size) < used.graft_share, "graft", "fistula")
    rate = np.where(slow, draw.uniform(*used.slow_percent_a_year, size), draw.uniform(*used.percent_a_year, size))
    height = draw.uniform(*used.height_cm, size)
    return Accesses(
        kinds=kinds,
        places=np.array(PLACES)[draw.integers(0, len(PLACES), size)],
        slow=slow.astype(float),
        size=_sizes(kinds, used=used, shares=draw.random(size)),
        percent_before=draw.uniform(*used.percent_before, size),
        percent_a_year=rate,
        began=np.where(slow, 0.0, draw.uniform(*used.begins_years, size)),
        mean_arterial=used.mean_arterial_mmhg * np.exp(used.mean_arterial_between_sd * draw.standard_normal(size)),
        hematocrit=np.clip(used.hematocrit + used.hematocrit_between_sd * draw.standard_normal(size), 0.24, 0.42),
        pump=draw.uniform(*used.pump_ml_min, size),
        height=height,
        height_known=height + used.height_sd_cm * draw.standard_normal(size),
        bore_factor=1 + used.bore_sd * draw.standard_normal((used.lots, size)),
        loss_factor=1 + used.loss_sd * draw.standard_normal((used.lots, size)),
    )


def _sizes(kinds: Texts, *, used: Hydraulic, shares: Values) -> Values:
    """Flow over that of the model's access of the kind: lognormal, above what a sound access needs."""
    usual = {
        kind: float(solve(one, conditions=Conditions(pump_ml_min=0.0)).flow_ml_min) for kind, one in _MODEL.items()
    }
    limits = {"graft": used.graft_limit_ml_min, "fistula": used.fistula_limit_ml_min}
    least = np.where(kinds == "graft", limits["graft"] / usual["graft"], limits["fistula"] / usual["fistula"])
    lowest = ndtr(np.log(used.least_over_limit * least) / used.size_sd)
    return np.asarray(np.exp(used.size_sd * ndtri(lowest + (1 - lowest) * shares)))


def percent_at(some: Accesses, years: Values, *, used: Hydraulic) -> Values:
    """Narrowing (% of the diameter) at times (G,), (G, n)."""
    grown = some.percent_a_year * np.maximum(years[:, None] - some.began, 0.0)
    return values(np.minimum(some.percent_before + grown, used.most_percent))


def access_of(some: Accesses, percent: Values) -> Access:
    """The model's accesses, each of its size, with this narrowing at its place.

    Resistances over the size (the quadratic one over its square) change the flow and leave the pressures as they are.
    """

    def of_kind(name: str) -> Values:
        return values(np.where(some.kinds == "graft", getattr(GRAFT, name), getattr(FISTULA, name)))

    def at(place: str) -> Values:
        return np.where(some.places == place, percent, 0.0)

    return Access(
        inflow_linear=of_kind("inflow_linear") / some.size,
        inflow_quadratic=of_kind("inflow_quadratic") / some.size**2,
        middle_linear=of_kind("middle_linear") / some.size,
        outflow_linear=of_kind("outflow_linear") / some.size,
        inflow_bore_mm=of_kind("inflow_bore_mm"),
        middle_bore_mm=of_kind("middle_bore_mm"),
        outflow_bore_mm=of_kind("outflow_bore_mm"),
        inflow_percent=at("inflow"),
        middle_percent=at("middle"),
        outflow_percent=at("outflow"),
    )


def usual_flow_ml_min(some: Accesses, years: Values, *, used: Hydraulic) -> Values:
    """True flow on a usual day (mL/min), (G, n)."""
    usual = Conditions(
        mean_arterial_mmhg=some.mean_arterial,
        central_venous_mmhg=CENTRAL_VENOUS_MMHG,
        hematocrit_fraction=some.hematocrit,
        pump_ml_min=0.0,
    )
    return solve(access_of(some, percent_at(some, years, used=used)), conditions=usual).flow_ml_min


def on_test_ml_min(some: Accesses, percent: Values, *, mean_arterial: Values, hematocrit: Values) -> Values:
    """What a flow test with the lines reversed reads without its error (mL/min), (G, n).

    This is the flow while the pump runs the wrong way, which the indicator gives back as long as it runs forward.
    """
    then = Conditions(
        mean_arterial_mmhg=mean_arterial,
        central_venous_mmhg=CENTRAL_VENOUS_MMHG,
        hematocrit_fraction=hematocrit,
        pump_ml_min=FLOW_TEST_ML_MIN,
        lines_reversed=True,
    )
    on_pump = solve(access_of(some, percent), conditions=then).flow_on_pump_ml_min
    return np.maximum(on_pump, LEAST_READ_ML_MIN)
