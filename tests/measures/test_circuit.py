"""The circuit model: printed checks it was not fitted to, its own study, monotone relations, SciPy's root."""

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from access.measures import Refused
from access.measures.circuit import (
    FISTULA,
    GRAFT,
    HEALTHY,
    Access,
    Conditions,
    Solution,
    arterial_needle,
    flow_by_reversed_lines_ml_min,
    recirculation_fraction,
    solve,
    venous_needle,
)
from access.measures.patterns import pattern
from access.measures.pressure import static_ratio
from access.measures.protocol import load, pattern_limits
from access.measures.recirculation import fraction_for_flow
from access.measures.words import Kind
from tests.measures.cases import cases

KINDS: tuple[Kind, ...] = ("graft", "fistula")
PLACES = ("inflow_percent", "middle_percent", "outflow_percent")
kinds = st.sampled_from(KINDS)
places = st.sampled_from(PLACES)
narrowed = st.floats(0, 85)
pumps = st.floats(100, 450)
more = st.floats(1, 10)


def at(access: Access, *, gauge: int = 15, **changed: Any) -> Solution:
    """The model under usual conditions with both needles of one gauge."""
    needles = {"arterial": arterial_needle(gauge), "venous": venous_needle(gauge)}
    return solve(access, conditions=Conditions(**{**needles, **changed}))


def narrowed_at(kind: Kind, place: str, percent: float) -> Access:
    return replace(HEALTHY[kind], **{place: percent})


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("case", cases("circuit", formula="circuit.one-gauge-larger"))
def test_one_gauge_larger_moves_the_pressures_within_a_factor_of_two(case: dict[str, Any], kind: Kind) -> None:
    # Not seen by the fit. 17G to 16G at 225 mL/min would give -73 mmHg, beyond the factor: thin needles are too tight.
    thin, wide, pump = case["given"]["from"], case["given"]["to"], case["given"]["pump_ml_min"]
    field = "venous_mmhg" if case["given"]["line"] == "venous" else "pre_pump_arterial_mmhg"
    before, after = (getattr(at(HEALTHY[kind], gauge=gauge, pump_ml_min=pump), field) for gauge in (thin, wide))
    assert abs(math.log(float(after - before) / case["expected"])) < case["tolerance"]


@pytest.mark.parametrize("case", cases("circuit", formula="circuit.solve"))
def test_healthy_accesses_lie_where_the_printed_ones_do(case: dict[str, Any]) -> None:
    asked = case["given"]
    for kind in KINDS if "kind" not in asked else (asked["kind"],):
        here = at(HEALTHY[kind])
        if asked["quantity"] == "flow":
            found = float(here.flow_ml_min)
        elif asked["quantity"] == "venous ratio":
            found = float(here.venous_site_mmhg) / 93
        else:
            lower = at(HEALTHY[kind], mean_arterial_mmhg=93 * (1 - asked["pressure_fall_percent"] / 100))
            found = 100 * (1 - float(lower.flow_ml_min / here.flow_ml_min))
        assert found == pytest.approx(case["expected"], abs=case["tolerance"]), kind


# The study that the constants come from (own simulation, so no outside check): flow and venous ratio of the graft.
STUDY = [
    ("outflow_percent", 0, 1148, 0.39),
    ("outflow_percent", 50, 930, 0.53),
    ("outflow_percent", 60, 728, 0.65),
    ("outflow_percent", 70, 467, 0.79),
    ("outflow_percent", 80, 215, 0.91),
    ("inflow_percent", 50, 803, 0.30),
    ("inflow_percent", 60, 578, 0.24),
    ("inflow_percent", 70, 343, 0.18),
    ("middle_percent", 60, 728, 0.28),
]


@pytest.mark.parametrize(("place", "percent", "flow", "ratio"), STUDY)
def test_the_model_is_that_of_the_study(place: str, percent: float, flow: float, ratio: float) -> None:
    found = at(narrowed_at("graft", place, percent))
    assert float(found.flow_ml_min) == pytest.approx(flow, abs=2)
    assert float(found.venous_site_mmhg) / 93 == pytest.approx(ratio, abs=0.006)


@pytest.mark.parametrize(
    ("place", "percent", "expected"),
    [
        ("outflow_percent", 0, "normal"),
        ("inflow_percent", 70, "inflow"),
        ("middle_percent", 70, "within the access"),
        ("outflow_percent", 70, "outlet"),
    ],
)
def test_a_tight_narrowing_shows_the_pattern_of_its_place(place: str, percent: float, expected: str) -> None:
    # The pattern table of KDOQI 2006 (secondary) knows nothing of this model.
    found = at(narrowed_at("graft", place, percent))
    ratios = {name: float(getattr(found, f"{name}_site_mmhg")) / 93 for name in ("arterial", "venous")}
    limits = pattern_limits(load("kdoqi-2006"), kind="graft")
    assert limits is not None
    seen = pattern("graft", arterial_ratio=ratios["arterial"], venous_ratio=ratios["venous"], limits=limits)
    assert seen.place == expected


@given(kinds, narrowed, narrowed, narrowed, pumps, st.booleans())
def test_the_flow_is_the_root_that_scipy_finds(
    kind: Kind, inflow: float, middle: float, outflow: float, pump: float, lines_reversed: bool
) -> None:
    access = replace(HEALTHY[kind], inflow_percent=inflow, middle_percent=middle, outflow_percent=outflow)
    found = at(access, pump_ml_min=pump, lines_reversed=lines_reversed)
    own = HEALTHY[kind]
    rows = (
        (own.inflow_linear, own.inflow_quadratic, own.inflow_bore_mm, inflow, 0.0),
        (own.middle_linear, 0.0, own.middle_bore_mm, middle, pump if lines_reversed else -pump),
        (own.outflow_linear, 0.0, own.outflow_bore_mm, outflow, 0.0),
    )

    def over(flow: float) -> float:
        total = 0.0
        for linear, quadratic, bore, percent, beyond in rows:
            a, b = _young_and_tsai(float(np.asarray(bore)), percent)
            through = flow + beyond
            total += (float(np.asarray(linear)) + a) * through
            total += (float(np.asarray(quadratic)) + b) * through * abs(through)
        return total - (93 - 8)

    assert float(found.flow_on_pump_ml_min) == pytest.approx(brentq(over, -3000, 3000, xtol=1e-9), abs=1e-5)


def _young_and_tsai(bore: float, percent: float) -> tuple[float, float]:
    wide, narrow, viscosity = bore / 1e3, bore * (1 - percent / 100) / 1e3, 1.2e-3 * math.exp(2.6 * 0.33)
    felt, flow = 0.83 * 0.010 + 1.64 * narrow, 1e-6 / 60
    a = 128 * viscosity * felt / math.pi * (narrow**-4 - wide**-4) * flow / 133.322
    b = 1.52 * 1055 / 2 * (16 / math.pi**2) * (narrow**-2 - wide**-2) ** 2 * flow**2 / 133.322
    return a, b


@given(kinds, places, narrowed, more)
def test_flow_falls_with_a_narrowing_at_every_place(kind: Kind, place: str, percent: float, step: float) -> None:
    here, tighter = (at(narrowed_at(kind, place, each)).flow_ml_min for each in (percent, percent + step))
    assert tighter < here


@given(kinds, narrowed, more)
def test_only_a_narrowing_of_the_outflow_raises_the_venous_pressure(kind: Kind, percent: float, step: float) -> None:
    for place in PLACES:
        here, tighter = (at(narrowed_at(kind, place, each)) for each in (percent, percent + step))
        rose = {
            "static": tighter.static_venous_mmhg > here.static_venous_mmhg,
            "dynamic": tighter.venous_mmhg > here.venous_mmhg,
        }
        expected = place == "outflow_percent"
        assert rose == {"static": expected, "dynamic": expected}, place


@given(kinds, narrowed, more)
def test_the_arterial_site_rises_for_middle_and_outflow_and_falls_for_inflow(
    kind: Kind, percent: float, step: float
) -> None:
    for place in PLACES:
        here, tighter = (at(narrowed_at(kind, place, each)) for each in (percent, percent + step))
        rose = bool(tighter.static_arterial_mmhg > here.static_arterial_mmhg)
        assert rose == (place != "inflow_percent"), place


@given(kinds, places, narrowed, pumps, st.floats(1, 100))
def test_pressures_move_apart_with_pump_speed(
    kind: Kind, place: str, percent: float, pump: float, faster: float
) -> None:
    access = narrowed_at(kind, place, percent)
    slow, fast = at(access, pump_ml_min=pump), at(access, pump_ml_min=pump + faster)
    assert fast.venous_mmhg > slow.venous_mmhg
    assert fast.pre_pump_arterial_mmhg < slow.pre_pump_arterial_mmhg
    assert fast.static_venous_mmhg == slow.static_venous_mmhg


@given(kinds, pumps, st.sampled_from([15, 16, 17]))
def test_a_wider_bore_brings_both_pressures_nearer_to_the_access(kind: Kind, pump: float, gauge: int) -> None:
    thin, wide = (at(HEALTHY[kind], gauge=each, pump_ml_min=pump) for each in (gauge, gauge - 1))
    assert wide.venous_mmhg < thin.venous_mmhg
    assert wide.pre_pump_arterial_mmhg > thin.pre_pump_arterial_mmhg


@given(kinds, places, narrowed, pumps)
def test_recirculation_only_where_the_pump_is_faster_than_the_access(
    kind: Kind, place: str, percent: float, pump: float
) -> None:
    found = at(narrowed_at(kind, place, percent), pump_ml_min=pump)
    assert (found.recirculation_fraction > 0) == (found.flow_on_pump_ml_min < pump)
    expected = fraction_for_flow(float(found.flow_on_pump_ml_min), pump_ml_min=pump, lines="right")
    assert float(found.recirculation_fraction) == pytest.approx(expected, abs=1e-12)


@given(kinds, pumps)
def test_reversed_lines_give_the_flow_back_exactly(kind: Kind, pump: float) -> None:
    conditions = Conditions(pump_ml_min=pump, lines_reversed=True)
    on_pump = solve(HEALTHY[kind], conditions=conditions).flow_on_pump_ml_min
    assert float(flow_by_reversed_lines_ml_min(HEALTHY[kind], conditions=conditions)) == pytest.approx(float(on_pump))


def test_recirculation_of_the_two_ways_and_of_a_pump_that_stands() -> None:
    found = recirculation_fraction([240.0, 700.0, 700.0, 0.0, -60.0], pump_ml_min=[300, 300, 0, 300, 300])
    assert found == pytest.approx(np.array([0.2, 0, 0, 1, 1.2]))
    turned = recirculation_fraction([700.0, 0.0, -60.0, -400.0], pump_ml_min=300, lines_reversed=True)
    assert turned == pytest.approx(np.array([0.3, 1, 0.8, 0]))


@pytest.mark.parametrize("kind", KINDS)
def test_the_chamber_above_the_access_reads_low_and_the_hydrostatic_term_puts_it_right(kind: Kind) -> None:
    level, raised = at(HEALTHY[kind]), at(HEALTHY[kind], chamber_height_cm=30)
    for field in ("static_venous_mmhg", "static_arterial_mmhg", "venous_mmhg", "pre_pump_arterial_mmhg"):
        assert float(getattr(level, field) - getattr(raised, field)) == pytest.approx(22.8)
    shown = float(raised.static_venous_mmhg)
    ratio = static_ratio(shown, height_cm=30, mean_arterial_mmhg=93, formula="hydrostatic").ratio
    assert ratio == pytest.approx(float(raised.venous_site_mmhg) / 93)


def test_after_angioplasty_the_ratio_falls_only_where_the_outlet_was_narrowed() -> None:
    # Source angioplasty-2013.
    healthy = at(GRAFT).venous_site_mmhg
    for place in PLACES:
        before = at(narrowed_at("graft", place, 65)).venous_site_mmhg
        assert (healthy < before) == (place == "outflow_percent")


def test_reversed_lines_swap_the_sites_at_which_the_pressures_are_read() -> None:
    right, turned = at(GRAFT), at(GRAFT, lines_reversed=True)
    assert turned.venous_mmhg > right.venous_mmhg
    assert turned.pre_pump_arterial_mmhg < right.pre_pump_arterial_mmhg
    assert turned.static_venous_mmhg == right.static_venous_mmhg


def test_many_accesses_at_once_are_the_same_as_one_by_one() -> None:
    percents = np.linspace(0, 90, 40)
    together = at(replace(FISTULA, outflow_percent=percents), pump_ml_min=350)
    for index in (0, 17, 39):
        single = at(replace(FISTULA, outflow_percent=float(percents[index])), pump_ml_min=350)
        for field in ("flow_ml_min", "venous_mmhg", "recirculation_fraction"):
            assert getattr(together, field)[index] == pytest.approx(float(getattr(single, field)), abs=1e-7)


def test_a_closed_access_is_refused() -> None:
    with pytest.raises(Refused, match="closed vessel"):
        at(narrowed_at("graft", "outflow_percent", 100))
