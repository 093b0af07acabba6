"""Where an access narrows: which place fits its flow, pressures and signs best, by the circuit model, with its doubt.

It looks for one narrowing that matters, at the inflow, between the needles or at the outlet, against none. It is no
diagnosis and raises nothing: imaging decides. What an access's records give to it is in ``narrowing_picture``, what
the guideline's table says of two ratios in ``patterns``.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Literal, get_args

import numpy as np
from scipy.special import logsumexp
from scipy.stats import chi2

from access.measures import Refused
from access.measures.circuit import HEALTHY, Access, Conditions, arterial_needle, solve, venous_needle
from access.measures.findings import Evidence
from access.measures.hydraulics import REFERENCE_HEMATOCRIT, Values, values
from access.measures.placing import NARROWINGS, PLACES, NarrowingPlace, Placing
from access.measures.words import Kind

Measure = Literal["flow", "arterial ratio", "venous ratio", "venous pressure", "pre-pump pressure"]
MEASURES: tuple[Measure, ...] = get_args(Measure)


@dataclass(frozen=True, kw_only=True)
class Doubt:
    """Standard deviations of one quantity, of a flow as fractions: all own choice, but those of the flow.

    ``reading``: one reading; ``model``: what the model is off by at this access, before and now alike; ``drift``: how
    far the quantity wanders over months while nothing narrows.
    """

    reading: float
    model: float
    drift: float


# Flow: .142 between sessions (ndt-2005); .23 over years untouched (fistula-flow-2008), so .18 of it is drift.
# The pressures' doubt of the model holds needles, chamber heights and hematocrit, so alone they tell next to nothing.
DOUBTS: dict[Measure, Doubt] = {
    "flow": Doubt(reading=0.142, model=0.10, drift=0.18),
    "arterial ratio": Doubt(reading=0.05, model=0.06, drift=0.05),
    "venous ratio": Doubt(reading=0.05, model=0.06, drift=0.05),
    "venous pressure": Doubt(reading=12.0, model=40.0, drift=8.0),
    "pre-pump pressure": Doubt(reading=15.0, model=50.0, drift=10.0),
}
# Mean and standard deviation of flow, mL/min (flow-levels); people with a narrowing are among them.
PUBLISHED_FLOW: dict[Kind, tuple[float, float]] = {"fistula": (1099.0, 613.0), "graft": (1107.0, 480.0)}
# Log standard deviation by which the outflow is tighter and the inflow wider than in the model's healthy access: with
# it the middle 95 % of open accesses span about the normal range of the pattern table (own choice).
BALANCE_SD = 0.3
NONE_BEFOREHAND = 0.5  # Of those asked about, half have none; the three places share the rest alike (own choice).
LEAST_PERCENT, MOST_PERCENT = 40.0, 90.0  # A narrowing of less takes less than a fifth of the flow: it counts as none.
_SPREAD = np.linspace(-2.5, 2.5, 11)  # Standard deviations at which size and balance are tried.
_PERCENTS = np.linspace(LEAST_PERCENT, MOST_PERCENT, 21)
# The place of each column of the grid, by its number in PLACES: one column without a narrowing, then those of a place.
_PLACE_OF = np.concatenate([[0], np.repeat([1, 2, 3], len(_PERCENTS))])

# How often a group of signs is seen with a narrowing of each place: sensitivity and 1 - specificity (asif-2007).
# Between the needles no figure was seen, and a coin is tossed (own choice).
SIGN_SEEN: dict[Literal["inflow", "outflow"], dict[NarrowingPlace, float]] = {
    "inflow": {"none": 0.29, "inflow": 0.85, "within the access": 0.5, "outlet": 0.29},
    "outflow": {"none": 0.14, "inflow": 0.14, "within the access": 0.5, "outlet": 0.92},
}
MISFIT = 0.001  # Below this chance of a worse fit no place is named: a reading is likelier wrong.


@dataclass(frozen=True, kw_only=True)
class Taken:
    """One number as it enters: mL/min, mmHg or a ratio, the middle of ``count`` readings, with those readings."""

    value: float
    count: int = 1
    reading_sd: float | None = None  # Of one reading, on the scale of ``Doubt``; None: the usual one.
    inputs: tuple[Evidence, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Quantity:
    """One quantity now, and where it lay when the vessel was new or newly opened, if that is known."""

    now: Taken
    before: Taken | None = None


@dataclass(frozen=True, kw_only=True)
class Picture:
    """What is known of an access at a moment, as far as it tells of the place of a narrowing."""

    kind: Kind
    quantities: Mapping[Measure, Quantity] = field(default_factory=dict)
    pump_ml_min: float = 300.0
    arterial_gauge: int = 15
    venous_gauge: int = 15
    mean_arterial_mmhg: float = 93.0
    hematocrit_fraction: float = REFERENCE_HEMATOCRIT
    inflow_signs: tuple[str, ...] = ()  # Odd signs in words; several of one group count once.
    outflow_signs: tuple[str, ...] = ()
    other_signs: tuple[str, ...] = ()  # They point to no place, and yet forbid to say that there is none.
    why_missing: Mapping[Measure, str] = field(default_factory=dict)  # Of what was not measured, or has no baseline.
    remarks: tuple[str, ...] = ()  # What else weakens the picture.
    since: str = ""  # What the vessel was last changed by, as "the angioplasty of 3 May 2025".
    inputs: tuple[Evidence, ...] = ()  # Of the signs, and of what else entered.


def place_of_narrowing(picture: Picture) -> Placing:
    """Probability of each place of a narrowing, and the place named where one stands out (no unit).

    Parameters
    ----------
    picture : Picture
        Flow, static ratios and pressures now and before, conditions, odd signs; whatever is missing is left out.

    Returns
    -------
    Placing
        ``probabilities`` of none, inflow, within the access and outlet, ``place`` or ``between``, ``sentence``,
        ``missing`` and ``inputs``.

    Raises
    ------
    Refused
        A flow of zero or less, a number that is none, a gauge that the model does not know.

    Notes
    -----
    The model predicts each quantity for every size of access, every balance between inflow and outflow and every
    narrowing of 40 to 90 %. A number weighs by a normal likelihood; the number before is held against the same access
    without a narrowing, and shares with the number now what the model is off by, so that the change counts most. All
    is summed over size, balance and degree. Signs multiply by published sensitivity and specificity, once a group
    however many are odd, since they are not independent; what was not seen is not counted, since a look before the
    needles is shorter than the published examination. With an odd sign "none" is never the answer.

    References
    ----------
    simulation, young-tsai-1973, flow-levels, ndt-2005, fistula-flow-2008, asif-2007, own-choice
    """
    predicted = _predicted(
        picture.kind,
        mean_arterial_mmhg=5.0 * round(picture.mean_arterial_mmhg / 5),
        hematocrit_fraction=round(picture.hematocrit_fraction, 2),
        pump_ml_min=10.0 * round(picture.pump_ml_min / 10),
        gauges=(picture.arterial_gauge, picture.venous_gauge),
    )
    off = values(0.0)
    for name, quantity in picture.quantities.items():
        off = off + _squared(quantity, name=name, predicted=predicted[name])
    at_each = np.broadcast_to(_beforehand() - off / 2, predicted["flow"].shape)
    weights = np.array([logsumexp(at_each[..., _PLACE_OF == number]) for number in range(len(PLACES))])
    weights += [math.log(_of_signs(picture, place=place)) for place in PLACES]
    shares = np.exp(weights - logsumexp(weights))
    numbers = sum(1 if one.before is None else 2 for one in picture.quantities.values())
    return Placing(
        probabilities={place: float(share) for place, share in zip(PLACES, shares, strict=True)},
        numbers=numbers,
        signs=(*picture.inflow_signs, *picture.outflow_signs, *picture.other_signs),
        fits=numbers == 0 or float(chi2.sf(np.min(off), numbers)) >= MISFIT,
        since=picture.since,
        missing=_missing(picture),
        inputs=_inputs(picture),
    )


@lru_cache(maxsize=128)
def _predicted(
    kind: Kind,
    *,
    mean_arterial_mmhg: float,
    hematocrit_fraction: float,
    pump_ml_min: float,
    gauges: tuple[int, int],
) -> Mapping[Measure, Values]:
    """What the model gives at each size, balance and column, the first column being open; the flow as its logarithm."""
    arterial, venous = gauges
    solved = solve(
        _accesses(kind),
        conditions=Conditions(
            mean_arterial_mmhg=mean_arterial_mmhg,
            hematocrit_fraction=hematocrit_fraction,
            pump_ml_min=pump_ml_min,
            arterial=arterial_needle(arterial),
            venous=venous_needle(venous),
        ),
    )
    return {
        "flow": np.log(solved.flow_ml_min),
        "arterial ratio": solved.arterial_site_mmhg / mean_arterial_mmhg,
        "venous ratio": solved.venous_site_mmhg / mean_arterial_mmhg,
        "venous pressure": solved.venous_mmhg,
        "pre-pump pressure": solved.pre_pump_arterial_mmhg,
    }


def _accesses(kind: Kind) -> Access:
    """Accesses of every size and balance (sizes, balances, columns), each with the narrowing of its column."""
    healthy = HEALTHY[kind]
    middle, spread = _size_beforehand(kind)
    size = np.exp(middle + spread * _SPREAD)[:, None, None]
    tighter = np.exp(BALANCE_SD * _SPREAD)[None, :, None]
    percents = np.concatenate([[0.0], np.tile(_PERCENTS, len(NARROWINGS))])
    inflow, within, outlet = (np.where(number == _PLACE_OF, percents, 0.0) for number in (1, 2, 3))
    return Access(
        inflow_linear=values(healthy.inflow_linear) / size / tighter,
        inflow_quadratic=values(healthy.inflow_quadratic) / size**2 / tighter,
        middle_linear=values(healthy.middle_linear) / size,
        outflow_linear=values(healthy.outflow_linear) / size * tighter,
        inflow_bore_mm=healthy.inflow_bore_mm,
        middle_bore_mm=healthy.middle_bore_mm,
        outflow_bore_mm=healthy.outflow_bore_mm,
        inflow_percent=inflow,
        middle_percent=within,
        outflow_percent=outlet,
    )


def _size_beforehand(kind: Kind) -> tuple[float, float]:
    """Middle and standard deviation of the log of size: those of a lognormal flow with the published moments."""
    mean, sd = PUBLISHED_FLOW[kind]
    variance = math.log(1 + (sd / mean) ** 2)
    healthy = float(solve(HEALTHY[kind], conditions=Conditions()).flow_ml_min)
    return math.log(mean / healthy) - variance / 2, math.sqrt(variance)


def _beforehand() -> Values:
    """Log of the weight of each size, balance and column before anything is measured."""
    normal = -(_SPREAD**2) / 2
    normal = normal - logsumexp(normal)
    each = (1 - NONE_BEFOREHAND) / len(NARROWINGS) / len(_PERCENTS)
    columns = np.log(np.where(_PLACE_OF == 0, NONE_BEFOREHAND, each))
    return values(normal[:, None, None] + normal[None, :, None] + columns)


def _squared(quantity: Quantity, *, name: Measure, predicted: Values) -> Values:
    """How far numbers lie from the prediction, squared, in units of their doubt: -2 log likelihood but for a constant.

    Before and now share the model's error, so they are two numbers with a covariance.
    """
    doubt, now = DOUBTS[name], quantity.now
    shared = doubt.model**2
    off = _scaled(now, name=name) - predicted
    spread = shared + _sd(now, doubt=doubt) ** 2 / now.count
    if quantity.before is None:
        return values(off**2 / spread)
    before = quantity.before
    off_before = _scaled(before, name=name) - predicted[..., :1]
    spread_before = shared + _sd(before, doubt=doubt) ** 2 / before.count + doubt.drift**2
    squared = spread_before * off**2 - 2 * shared * off * off_before + spread * off_before**2
    return values(squared / (spread * spread_before - shared**2))


def _scaled(taken: Taken, *, name: Measure) -> float:
    """The number on the scale on which it is weighed: a flow by its logarithm."""
    if not math.isfinite(taken.value) or (name == "flow" and taken.value <= 0):
        raise Refused(f"{taken.value:g} for the {name} cannot be weighed.", field=name)
    return math.log(taken.value) if name == "flow" else taken.value


def _sd(taken: Taken, *, doubt: Doubt) -> float:
    return doubt.reading if taken.reading_sd is None else taken.reading_sd


def _of_signs(picture: Picture, *, place: NarrowingPlace) -> float:
    """How often the groups of signs that are odd would be seen with a narrowing of this place."""
    inflow = SIGN_SEEN["inflow"][place] if picture.inflow_signs else 1.0
    outflow = SIGN_SEEN["outflow"][place] if picture.outflow_signs else 1.0
    return inflow * outflow


def _missing(picture: Picture) -> tuple[str, ...]:
    """What was not measured, with the reason where one is known, and what has no baseline of its own."""
    absent = [
        picture.why_missing.get(name, f"{name}: not measured") for name in MEASURES if name not in picture.quantities
    ]
    alone = [name for name in MEASURES if name in picture.quantities and picture.quantities[name].before is None]
    baselines = [picture.why_missing.get(name, f"{name}: no baseline of its own") for name in alone]
    return (*absent, *baselines, *picture.remarks)


def _inputs(picture: Picture) -> tuple[Evidence, ...]:
    """All readings that entered, each once, in order of time."""
    taken = [one for quantity in picture.quantities.values() for one in (quantity.now, quantity.before) if one]
    found = {(one.id, one.text): one for one in (*picture.inputs, *(each for one in taken for each in one.inputs))}
    return tuple(sorted(found.values(), key=lambda one: (one.at, one.id)))
