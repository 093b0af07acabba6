"""Accesses with a narrowing at a known place, and what would be measured at them: in simulation, no patient data.

They come from the same circuit model that weighs them, which flatters the weighing. To flatter it less, every constant
is drawn anew for each access (resistances, bores, needles, length of the narrowing, central pressure, chamber height),
each has a mild second narrowing, its baseline was not quite open, and blood pressure, hematocrit and readings vary.
"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from access.measures.circuit import HEALTHY, Access, Conditions, Needle, arterial_needle, solve, venous_needle
from access.measures.hydraulics import Values, values
from access.measures.narrowing_place import MEASURES, Measure, Picture, Quantity, Taken, place_of_narrowing
from access.measures.placing import PLACES, NarrowingPlace, Placing
from access.measures.words import Kind

READINGS: dict[Measure, tuple[int, int]] = {  # How many now, and how many make the baseline.
    "flow": (1, 3),
    "arterial ratio": (1, 3),
    "venous ratio": (1, 3),
    "venous pressure": (6, 12),
    "pre-pump pressure": (6, 12),
}


@dataclass(frozen=True, kw_only=True)
class Simulated:
    """One access as it is, and the picture that its measurements give."""

    place: NarrowingPlace
    percent: float
    picture: Picture

    def placed(self, *, by: Iterable[Measure] = MEASURES, baseline: bool = True) -> Placing:
        """What comes of these quantities only, with the numbers before or without them."""
        known = {name: one for name, one in self.picture.quantities.items() if name in set(by)}
        if not baseline:
            known = {name: replace(one, before=None) for name, one in known.items()}
        return place_of_narrowing(replace(self.picture, quantities=known))

    def ratio(self, name: Measure) -> float:
        """The number now."""
        return self.picture.quantities[name].now.value


def cohort(*, seed: int, each: int) -> list[Simulated]:
    """Of each kind so many accesses with a narrowing of 40 to 75 % at each place, and as many as those without any."""
    return [one for kind in ("fistula", "graft") for one in _of_kind(kind, seed=seed, each=each)]


def _of_kind(kind: Kind, *, seed: int, each: int) -> list[Simulated]:
    rng = np.random.default_rng([seed, len(kind)])
    place = np.repeat([0, 0, 0, 1, 2, 3], each)
    percent = np.where(place > 0, rng.uniform(40, 75, len(place)), 0.0)
    access = _access(kind, rng=rng, count=len(place))
    mild = [rng.uniform(0, 30, len(place)) * (rng.integers(1, 4, len(place)) == number) for number in (1, 2, 3)]
    # Before, a third of the degree at most, and of it at most 25 %.
    begun = np.minimum(percent * rng.uniform(0, 1 / 3, len(place)), 25)
    conditions = _conditions(rng=rng, count=len(place))
    now = _read(_narrowed(access, mild, place=place, percent=percent), conditions, rng=rng, time=0)
    before = _read(_narrowed(access, mild, place=place, percent=begun), conditions, rng=rng, time=1)
    return [
        Simulated(
            place=PLACES[place[index]],
            percent=float(percent[index]),
            picture=Picture(
                kind=kind,
                pump_ml_min=float(values(conditions.pump_ml_min)[index]),
                quantities={
                    name: Quantity(
                        now=Taken(value=float(now[name][index]), count=READINGS[name][0]),
                        before=Taken(value=float(before[name][index]), count=READINGS[name][1]),
                    )
                    for name in MEASURES
                },
            ),
        )
        for index in range(len(place))
    ]


def _access(kind: Kind, *, rng: np.random.Generator, count: int) -> Access:
    """Open accesses whose constants all differ from the model's, each by itself."""

    def about(value: object, spread: float) -> Values:
        return float(value) * np.exp(spread * rng.standard_normal(count))  # type: ignore[arg-type]

    healthy, size = HEALTHY[kind], np.exp(0.4 * rng.standard_normal(count) - 0.05)
    return Access(
        inflow_linear=about(healthy.inflow_linear, 0.3) / size,
        inflow_quadratic=about(healthy.inflow_quadratic, 0.3) / size**2,
        middle_linear=about(healthy.middle_linear, 0.4) / size,
        outflow_linear=about(healthy.outflow_linear, 0.3) / size,
        inflow_bore_mm=about(healthy.inflow_bore_mm, 0.12),
        middle_bore_mm=about(healthy.middle_bore_mm, 0.12),
        outflow_bore_mm=about(healthy.outflow_bore_mm, 0.12),
        narrowing_length_mm=rng.uniform(5, 30, count),
    )


def _narrowed(access: Access, mild: list[Values], *, place: Values, percent: Values) -> Access:
    inflow, middle, outflow = (
        np.where(place == number, percent, slight) for number, slight in zip((1, 2, 3), mild, strict=True)
    )
    return replace(access, inflow_percent=inflow, middle_percent=middle, outflow_percent=outflow)


def _conditions(*, rng: np.random.Generator, count: int) -> Conditions:
    """What stays with a person and a chair over the months: pressures about their usual, needles, height, speed."""

    def needle(usual: Needle) -> Needle:
        bore, loss = values(usual.bore_mm), values(usual.loss)
        return Needle(bore_mm=bore * rng.normal(1, 0.03, count), loss=loss * rng.normal(1, 0.15, count))

    return Conditions(
        mean_arterial_mmhg=rng.normal(93, 9, count).clip(78, 120),
        central_venous_mmhg=rng.normal(8, 3, count).clip(2, 16),
        hematocrit_fraction=rng.normal(0.33, 0.03, count),
        pump_ml_min=rng.choice([200.0, 300.0, 350.0], count),
        arterial=needle(arterial_needle(15)),
        venous=needle(venous_needle(15)),
        chamber_height_cm=rng.uniform(10, 22, count),
    )


def _read(access: Access, usual: Conditions, *, rng: np.random.Generator, time: int) -> dict[Measure, Values]:
    """What would be written down at one time: the middle of the readings, each with its noise, rounded as written."""
    count = len(values(usual.pump_ml_min))

    def noise(spread: float, name: Measure) -> Values:
        return values(rng.normal(0, spread / math.sqrt(READINGS[name][time]), count))

    arterial = (values(usual.mean_arterial_mmhg) + rng.normal(0, 6, count)).clip(75, 130)
    hematocrit = values(usual.hematocrit_fraction) + rng.normal(0, 0.015, count)
    solved = solve(access, conditions=replace(usual, mean_arterial_mmhg=arterial, hematocrit_fraction=hematocrit))
    cuff, height = arterial + rng.normal(0, 4, count), 0.76 * rng.normal(0, 4, count)
    return {
        "flow": _whole(solved.flow_ml_min * np.exp(noise(0.142, "flow") + rng.normal(0, 0.1, count)), to=10),
        "arterial ratio": (solved.arterial_site_mmhg + height + noise(3.0, "arterial ratio")) / cuff,
        "venous ratio": (solved.venous_site_mmhg + height + noise(3.0, "venous ratio")) / cuff,
        "venous pressure": _whole(solved.venous_mmhg + noise(12.0, "venous pressure"), to=5),
        "pre-pump pressure": _whole(solved.pre_pump_arterial_mmhg + noise(12.0, "pre-pump pressure"), to=5),
    }


def _whole(numbers: Values, *, to: float) -> Values:
    return values(to * np.round(numbers / to))


@dataclass(frozen=True, kw_only=True)
class Merit:
    """How a weighing did over a cohort: shares of all, of those named, and of all narrowings."""

    brier: float
    named: float
    right: float
    missed: float


def merit(found: Sequence[tuple[NarrowingPlace, Placing]]) -> Merit:
    """Brier score over the four places, share named, share right where named, narrowings named as none."""
    named = [(true, one.place) for true, one in found if one.place is not None]
    narrowed = [one.place for true, one in found if true != "none"]
    return Merit(
        brier=sum((one.probabilities[place] - (place == true)) ** 2 for true, one in found for place in PLACES)
        / len(found),
        named=len(named) / len(found),
        right=sum(true == place for true, place in named) / len(named),
        missed=narrowed.count("none") / len(narrowed),
    )


def confusion(found: Sequence[tuple[NarrowingPlace, Placing]]) -> dict[NarrowingPlace, list[int]]:
    """Of each true place how often each was named, how often "between" held the true one, and what is left."""
    rows: dict[NarrowingPlace, list[int]] = {}
    for true in PLACES:
        mine = [one for place, one in found if place == true]
        named = [sum(one.place == place for one in mine) for place in PLACES]
        held = sum(true in one.between for one in mine)
        rows[true] = [*named, held, len(mine) - sum(named) - held]
    return rows


def reliability(
    found: Sequence[tuple[NarrowingPlace, Placing]], *, edges: Sequence[float]
) -> list[tuple[float, float, int]]:
    """Mean probability of the likeliest place, how often it was the true one, and how many, between the edges."""
    best = [(max(one.probabilities.items(), key=lambda item: item[1]), true) for true, one in found]
    rows = []
    for low, high in zip(edges, edges[1:], strict=False):
        here = [(share, place == true) for (place, share), true in best if low <= share < high]
        if here:
            rows.append((sum(one for one, _ in here) / len(here), sum(hit for _, hit in here) / len(here), len(here)))
    return rows
