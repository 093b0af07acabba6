"""Pressure drops and the balance: published forms written out once more, SciPy's root finder, refusals."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from access.measures import Refused
from access.measures.hydraulics import (
    BLOOD_DENSITY_KG_M3,
    Drop,
    balance_ml_min,
    bore_mm,
    drop,
    kinetic,
    narrowing,
    needle_alone_mmhg,
    tube,
    viscosity_pa_s,
)

PASCAL, CUBIC_METRE_A_SECOND = 133.322, 1e-6 / 60
linear = st.floats(1e-4, 1.0)
quadratic = st.floats(0, 1e-3)


def test_a_tube_drops_what_hagen_and_poiseuille_say() -> None:
    # 8 mu L Q / (pi r^4), the form of the textbooks, at 300 mL/min through 10 cm of 4 mm.
    viscosity = float(viscosity_pa_s(0.33))
    pascal = 8 * viscosity * 0.1 * 300 * CUBIC_METRE_A_SECOND / (math.pi * 0.002**4)
    found = tube(100, bore_mm=4, hematocrit_fraction=0.33).mmhg(300)
    assert float(found) == pytest.approx(pascal / PASCAL, rel=1e-9)


def test_a_loss_is_a_share_of_the_dynamic_pressure() -> None:
    speed = 300 * CUBIC_METRE_A_SECOND / (math.pi * 0.0016**2 / 4)
    pascal = 2.5 * BLOOD_DENSITY_KG_M3 * speed**2 / 2
    assert float(kinetic(1.6, loss=2.5).mmhg(300)) == pytest.approx(pascal / PASCAL, rel=1e-9)


@given(st.floats(1, 95), st.floats(3, 8), st.floats(2, 40), st.floats(50, 2000))
def test_a_narrowing_drops_what_young_and_tsai_say(percent: float, bore: float, length: float, flow: float) -> None:
    # Their dimensionless form (from memory): dp = Kv mu U / D0 + Kt / 2 (A0 / A1 - 1)^2 rho U^2 with
    # Kv = 32 (.83 L + 1.64 D1) / D0 (A0 / A1)^2 and Kt = 1.52; the open vessel of that length is taken off.
    viscosity, wide, narrow = float(viscosity_pa_s(0.33)), bore / 1000, bore * (1 - percent / 100) / 1000
    speed, areas = flow * CUBIC_METRE_A_SECOND / (math.pi * wide**2 / 4), (wide / narrow) ** 2
    felt = 0.83 * length / 1000 + 1.64 * narrow
    laminar = 32 * felt / wide * areas**2 * viscosity * speed / wide - 32 * felt * viscosity * speed / wide**2
    behind = 1.52 / 2 * (areas - 1) ** 2 * BLOOD_DENSITY_KG_M3 * speed**2
    found = narrowing(percent, bore_mm=bore, length_mm=length, hematocrit_fraction=0.33).mmhg(flow)
    assert float(found) == pytest.approx((laminar + behind) / PASCAL, rel=1e-6)


def test_an_open_vessel_drops_nothing_more() -> None:
    none = narrowing(0, bore_mm=6, length_mm=10, hematocrit_fraction=0.33)
    assert float(none.mmhg(1000)) == 0


@pytest.mark.parametrize("percent", [-1, 99.5, 100, float("nan")])
def test_a_closed_or_negative_narrowing_is_refused(percent: float) -> None:
    with pytest.raises(Refused, match="0 to 99 %"):
        narrowing(percent, bore_mm=6, length_mm=10, hematocrit_fraction=0.33)


def test_a_drop_turns_with_the_flow() -> None:
    piece = drop(0.03, 1e-5)
    assert float(piece.mmhg(-400)) == -float(piece.mmhg(400))
    assert float(piece.slope(-400)) == pytest.approx(float(piece.mmhg(400.5) - piece.mmhg(399.5)), rel=1e-6)


@given(
    st.lists(st.tuples(linear, quadratic, st.floats(-600, 600)), min_size=1, max_size=4),
    st.floats(0, 200),
)
def test_the_balance_is_the_root_that_scipy_finds(rows: list[tuple[float, float, float]], pressure: float) -> None:
    pieces: list[tuple[Drop, float]] = [(drop(a, b), more) for a, b, more in rows]

    def over(flow: float) -> float:
        return sum(a * (flow + m) + b * (flow + m) * abs(flow + m) for a, b, m in rows) - pressure

    reach = 700 + pressure / sum(a for a, _, _ in rows)
    found = float(balance_ml_min(pressure, pieces=pieces))
    assert found == pytest.approx(brentq(over, -reach, reach, xtol=1e-10), abs=1e-6)


def test_many_balances_at_once_are_the_same_as_one_by_one() -> None:
    random = np.random.default_rng(3)
    linear_many, beyond = random.uniform(0.01, 0.2, 50), random.uniform(-500, 500, 50)
    together = balance_ml_min(85.0, pieces=[(drop(linear_many, 1e-5), 0.0), (drop(0.01), beyond)])
    singly = [
        float(balance_ml_min(85.0, pieces=[(drop(one, 1e-5), 0.0), (drop(0.01), more)]))
        for one, more in zip(linear_many, beyond, strict=True)
    ]
    assert together == pytest.approx(np.array(singly), abs=1e-8)


def test_thinner_needles_have_smaller_bores_and_unknown_ones_are_refused() -> None:
    bores = bore_mm([14, 15, 16, 17])
    assert bores.tolist() == [1.8, 1.6, 1.4, 1.2]  # Assumed, from memory.
    with pytest.raises(Refused, match="18"):
        bore_mm([15, 18])


@given(st.floats(20, 550), st.floats(1, 50), st.floats(0.2, 0.45))
def test_a_needle_alone_reads_more_at_higher_speed_thinner_bore_and_thicker_blood(
    pump: float, more: float, hematocrit: float
) -> None:
    here = needle_alone_mmhg(pump, gauge=15, hematocrit_fraction=hematocrit)
    assert needle_alone_mmhg(pump + more, gauge=15, hematocrit_fraction=hematocrit) > here
    assert needle_alone_mmhg(pump, gauge=16, hematocrit_fraction=hematocrit) > here
    assert needle_alone_mmhg(pump, gauge=15, hematocrit_fraction=hematocrit + 0.05) > here
    assert needle_alone_mmhg(0, gauge=15) == 0
