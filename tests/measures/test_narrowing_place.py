"""Where it narrows, weighed: what each number does to the places, the guideline's table, signs, and what is refused."""

import math
from dataclasses import replace
from datetime import UTC, datetime, timedelta

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from access.measures import Refused
from access.measures.circuit import HEALTHY, Conditions, solve
from access.measures.findings import Evidence
from access.measures.narrowing_place import (
    MEASURES,
    SIGN_SEEN,
    Measure,
    Picture,
    Quantity,
    Taken,
    place_of_narrowing,
)
from access.measures.patterns import pattern
from access.measures.placing import PLACES, NarrowingPlace
from access.measures.protocol import load, pattern_limits
from access.measures.words import Kind

KINDS: tuple[Kind, ...] = ("graft", "fistula")
FIELDS: dict[NarrowingPlace, str] = {
    "inflow": "inflow_percent",
    "within the access": "middle_percent",
    "outlet": "outflow_percent",
}
kinds = st.sampled_from(KINDS)


def a_picture(kind: Kind = "graft", **numbers: float | tuple[float, float]) -> Picture:
    """Numbers of today, or (before, now), by the name of the quantity with underscores."""
    quantities: dict[Measure, Quantity] = {}
    for name in MEASURES:
        given_one = numbers.get(name.replace(" ", "_").replace("-", "_"))
        if isinstance(given_one, tuple):
            before, now = given_one
            quantities[name] = Quantity(now=Taken(value=now, count=3), before=Taken(value=before, count=3))
        elif given_one is not None:
            quantities[name] = Quantity(now=Taken(value=given_one))
    return Picture(kind=kind, quantities=quantities)


def of_the_model(kind: Kind, *, place: NarrowingPlace, percent: float) -> Picture:
    """What the model's own access shows before and with a narrowing, without noise."""
    conditions = Conditions(pump_ml_min=300.0)
    healthy = HEALTHY[kind]
    narrow = healthy if place == "none" else replace(healthy, **{FIELDS[place]: percent})
    both = [solve(one, conditions=conditions) for one in (healthy, narrow)]
    rows = [
        (one.flow_ml_min, one.arterial_site_mmhg / 93, one.venous_site_mmhg / 93, one.venous_mmhg)
        + (one.pre_pump_arterial_mmhg,)
        for one in both
    ]
    taken = {
        name: Quantity(now=Taken(value=float(now), count=2), before=Taken(value=float(before), count=3))
        for name, before, now in zip(MEASURES, *rows, strict=True)
    }
    return Picture(kind=kind, quantities=taken)


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize(("place", "percent"), [("inflow", 60), ("within the access", 70), ("outlet", 60)])
def test_a_narrowing_of_the_model_is_named_by_its_place(kind: Kind, place: NarrowingPlace, percent: float) -> None:
    found = place_of_narrowing(of_the_model(kind, place=place, percent=percent))
    assert found.place == place
    assert found.probabilities[place] > 0.9


@pytest.mark.parametrize("kind", KINDS)
def test_an_access_that_stayed_as_it_was_fits_none(kind: Kind) -> None:
    found = place_of_narrowing(of_the_model(kind, place="none", percent=0))
    assert found.place == "none" and found.fits


# Corners of the pattern table of KDOQI 2006 (secondary), which knows nothing of the model: well inside its cells.
CORNERS: list[tuple[Kind, float, float]] = [
    ("graft", 0.55, 0.35),
    ("graft", 0.40, 0.25),
    ("graft", 0.85, 0.75),
    ("graft", 0.80, 0.55),
    ("graft", 0.80, 0.30),
    ("graft", 0.22, 0.18),
    ("fistula", 0.28, 0.22),
    ("fistula", 0.20, 0.15),
    ("fistula", 0.65, 0.60),
    ("fistula", 0.50, 0.42),
    ("fistula", 0.55, 0.20),
    ("fistula", 0.10, 0.08),
]


@pytest.mark.parametrize(("kind", "arterial", "venous"), CORNERS)
def test_no_corner_of_the_guidelines_table_is_contradicted(kind: Kind, arterial: float, venous: float) -> None:
    limits = pattern_limits(load("kdoqi-2006"), kind=kind)
    assert limits is not None
    table = pattern(kind, arterial_ratio=arterial, venous_ratio=venous, limits=limits).place
    assert table is not None
    found = place_of_narrowing(a_picture(kind, arterial_ratio=arterial, venous_ratio=venous))
    named: NarrowingPlace = "none" if table == "normal" else table
    likeliest = sorted(PLACES, key=lambda place: -found.probabilities[place])
    assert found.place in (None, named) and named in likeliest[:2]


def test_the_worked_examples_of_the_handbook() -> None:
    moved = a_picture(flow=(1100, 700), arterial_ratio=(0.48, 0.70), venous_ratio=(0.39, 0.65))
    today = a_picture(flow=500, arterial_ratio=0.25, venous_ratio=0.20)
    assert [place_of_narrowing(one).sentence for one in (moved, today)] == [
        "Fits a narrowing of the outlet best (more than 99 %). Imaging decides.",
        "Between a narrowing of the inflow and an access without a narrowing (67 % and 29 %). Imaging decides.",
    ]


def test_a_low_flow_alone_says_that_there_is_a_narrowing_and_not_where() -> None:
    found = place_of_narrowing(a_picture(flow=(1100, 450)))
    assert found.place is None
    assert found.between == ("inflow", "within the access", "outlet")
    assert "cannot tell where" in found.sentence


def test_the_own_baseline_tells_what_the_number_of_today_does_not() -> None:
    today = place_of_narrowing(a_picture(arterial_ratio=0.60, venous_ratio=0.52))
    risen = place_of_narrowing(a_picture(arterial_ratio=(0.38, 0.60), venous_ratio=(0.30, 0.52)))
    always = place_of_narrowing(a_picture(arterial_ratio=(0.60, 0.60), venous_ratio=(0.52, 0.52)))
    assert always.probabilities["outlet"] < today.probabilities["outlet"] < risen.probabilities["outlet"]
    assert risen.place == "outlet"


def test_pressures_of_the_running_pump_tell_by_their_change_and_next_to_nothing_alone() -> None:
    beforehand = place_of_narrowing(Picture(kind="graft")).probabilities
    alone = place_of_narrowing(a_picture(venous_pressure=130, pre_pump_pressure=-60)).probabilities
    risen = place_of_narrowing(a_picture(venous_pressure=(105, 140), pre_pump_pressure=(-60, -40)))
    assert all(abs(alone[place] - beforehand[place]) < 0.1 for place in PLACES)
    assert risen.place == "outlet"


@given(kinds, st.floats(300, 900), st.floats(5, 200))
def test_a_lower_flow_never_makes_no_narrowing_likelier(kind: Kind, flow: float, less: float) -> None:
    higher, lower = (
        place_of_narrowing(a_picture(kind, flow=(1000, now))).probabilities["none"] for now in (flow, flow - less)
    )
    assert lower <= higher + 1e-9


@given(kinds, st.floats(150, 2500), st.floats(0.05, 1.0), st.floats(0.05, 1.0))
def test_the_four_shares_are_probabilities(kind: Kind, flow: float, arterial: float, venous: float) -> None:
    found = place_of_narrowing(a_picture(kind, flow=flow, arterial_ratio=arterial, venous_ratio=venous))
    assert math.isclose(sum(found.probabilities.values()), 1) and min(found.probabilities.values()) >= 0
    assert found.place is None or not found.between


def test_a_sign_moves_the_odds_by_its_published_accuracy_and_several_of_a_group_count_once() -> None:
    numbers = a_picture(flow=700, arterial_ratio=0.55, venous_ratio=0.45)
    without = place_of_narrowing(numbers).probabilities
    one = place_of_narrowing(replace(numbers, outflow_signs=("pulsatile pulse",))).probabilities
    more = place_of_narrowing(replace(numbers, outflow_signs=("pulsatile pulse", "swelling of the limb")))
    odds = (one["outlet"] / one["none"]) / (without["outlet"] / without["none"])
    assert odds == pytest.approx(0.92 / (1 - 0.86))  # asif-2007: outflow 92/86 %.
    assert more.probabilities == pytest.approx(one)
    assert more.signs == ("pulsatile pulse", "swelling of the limb")


def test_the_accuracy_of_the_signs_is_the_printed_one() -> None:
    # asif-2007: outflow 92/86, inflow 85/71 % sensitivity/specificity.
    assert SIGN_SEEN["outflow"]["outlet"] == 0.92 and SIGN_SEEN["outflow"]["none"] == pytest.approx(1 - 0.86)
    assert SIGN_SEEN["inflow"]["inflow"] == 0.85 and SIGN_SEEN["inflow"]["none"] == pytest.approx(1 - 0.71)


@given(kinds, st.floats(300, 2500), st.sampled_from(["inflow_signs", "outflow_signs", "other_signs"]))
def test_beside_an_odd_sign_none_is_never_the_answer(kind: Kind, flow: float, group: str) -> None:
    steady = a_picture(kind, flow=(flow, flow), arterial_ratio=(0.4, 0.4), venous_ratio=(0.3, 0.3))
    found = place_of_narrowing(replace(steady, **{group: ("weak thrill",)}))  # type: ignore[arg-type]
    assert found.place != "none"
    assert "weak thrill; no number silences it" in found.sentence


def test_signs_alone_name_no_place() -> None:
    found = place_of_narrowing(
        Picture(kind="graft", outflow_signs=("pulsatile pulse",), since="the stent of 3 May 2025")
    )
    assert found.place is None and not found.between
    assert found.sentence.startswith("Cannot tell: nothing measured since the stent of 3 May 2025. Odd at the exam")


def test_numbers_that_fit_no_access_name_no_place() -> None:
    found = place_of_narrowing(a_picture(arterial_ratio=0.20, venous_ratio=0.60))
    assert not found.fits and found.place is None and not found.between
    assert found.sentence == "Fits no place: look at the readings, heights and lines, and measure again."


def test_it_says_what_was_missing_and_opens_its_inputs_in_order() -> None:
    start = datetime(2025, 5, 3, tzinfo=UTC)
    late, early = (Evidence(id=key, at=start + timedelta(days=d), text=key) for key, d in (("b", 9), ("a", 2)))
    flow = Quantity(now=Taken(value=700, inputs=(late,)), before=Taken(value=900, inputs=(early,)))
    ratio = Quantity(now=Taken(value=0.4, inputs=(late,)))
    found = place_of_narrowing(Picture(kind="graft", quantities={"flow": flow, "venous ratio": ratio}, remarks=("x",)))
    assert found.inputs == (early, late)
    assert found.numbers == 3
    assert found.missing == (
        "arterial ratio: not measured",
        "venous pressure: not measured",
        "pre-pump pressure: not measured",
        "venous ratio: no baseline of its own",
        "x",
    )


@pytest.mark.parametrize("flow", [0.0, -5.0, math.nan, math.inf])
def test_a_flow_that_is_none_is_refused(flow: float) -> None:
    with pytest.raises(Refused, match="cannot be weighed"):
        place_of_narrowing(a_picture(flow=flow))


def test_a_gauge_that_the_model_does_not_know_is_refused() -> None:
    with pytest.raises(Refused, match="14 to 17"):
        place_of_narrowing(Picture(kind="graft", venous_gauge=18))


def on_a_fine_grid(kind: Kind, quantity: Quantity) -> dict[NarrowingPlace, float]:
    """The shares by one flow before and now, written out once more: finer steps, SciPy's densities."""
    # flow-levels: fistula 1099 +/- 613, graft 1107 +/- 480 mL/min, as a lognormal.
    mean, sd = (1099, 613) if kind == "fistula" else (1107, 480)
    log_sd = math.sqrt(math.log1p((sd / mean) ** 2))
    healthy = HEALTHY[kind]
    flow = float(solve(healthy, conditions=Conditions()).flow_ml_min)
    nodes = np.linspace(-4, 4, 25)
    size = (mean / flow * math.exp(-(log_sd**2) / 2) * np.exp(log_sd * nodes))[:, None, None]
    tighter = np.exp(0.3 * nodes)[None, :, None]
    percents = np.concatenate([[0.0], np.linspace(40, 90, 51)])
    base = replace(
        healthy,
        inflow_linear=np.asarray(healthy.inflow_linear) / size / tighter,
        inflow_quadratic=np.asarray(healthy.inflow_quadratic) / size**2 / tighter,
        middle_linear=np.asarray(healthy.middle_linear) / size,
        outflow_linear=np.asarray(healthy.outflow_linear) / size * tighter,
    )
    assert quantity.before is not None
    shared, fresh = 0.10**2, 0.142**2
    covariance = [[shared + fresh, shared], [shared, shared + fresh / quantity.before.count + 0.18**2]]
    normal = stats.norm.logpdf(nodes)[:, None, None] + stats.norm.logpdf(nodes)[None, :, None]
    joint = stats.multivariate_normal(cov=covariance)
    masses = {}
    for place, field in FIELDS.items():
        flows = np.log(solve(replace(base, **{field: percents}), conditions=Conditions()).flow_ml_min)
        off = np.stack(
            np.broadcast_arrays(math.log(quantity.now.value) - flows, math.log(quantity.before.value) - flows[..., :1]),
            axis=-1,
        )
        density = np.exp(normal + joint.logpdf(off))
        masses["none"], masses[place] = density[..., 0].sum() * 3, density[..., 1:].sum() / 51
    return {place: float(masses[place] / sum(masses.values())) for place in PLACES}


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize(("before", "now"), [(1000, 950), (1000, 700), (1400, 600), (600, 500)])
def test_the_shares_are_those_of_a_finer_grid_with_the_densities_of_scipy(kind: Kind, before: int, now: int) -> None:
    quantity = Quantity(now=Taken(value=now), before=Taken(value=before, count=3))
    found = place_of_narrowing(Picture(kind=kind, quantities={"flow": quantity}))
    assert dict(found.probabilities) == pytest.approx(on_a_fine_grid(kind, quantity), abs=0.02)
