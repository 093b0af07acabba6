"""Urea samples drawn in the model: mass balance, reversed lines, a flow test, a draw done badly."""

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from access.measures.circuit import FISTULA, GRAFT, Access, Conditions, solve
from access.measures.draw_conditions import share_read_reversed
from access.measures.draws import UreaDraw, draw_urea
from access.measures.flow import reversed_lines
from access.measures.recirculation import recirculation

FAILING = replace(FISTULA, inflow_percent=75)


def drawn(access: Access, *, extraction: float = 0.7, lines_reversed: bool = False, **changed: Any) -> UreaDraw:
    conditions = Conditions(lines_reversed=lines_reversed, pump_ml_min=300)
    return draw_urea(access, conditions=conditions, systemic=70, extraction_fraction=extraction, **changed)


def read_percent(draw: UreaDraw) -> float:
    """What the three samples are worked out to, as for a patient."""
    found = recirculation(float(draw.systemic), arterial=float(draw.arterial), venous=float(draw.venous))
    return found.percent


def test_a_healthy_access_shows_none() -> None:
    draw = drawn(GRAFT)
    assert (float(draw.systemic), float(draw.arterial)) == (70, 70)
    assert float(draw.venous) == pytest.approx(21)
    assert read_percent(draw) == pytest.approx(0)


@given(st.floats(0.3, 0.9), st.floats(70, 78))
def test_a_good_draw_reads_the_true_recirculation_whatever_the_dialyzer(extraction: float, percent: float) -> None:
    draw = drawn(replace(FISTULA, inflow_percent=percent), extraction=extraction)
    assert draw.recirculation_fraction > 0
    assert read_percent(draw) == pytest.approx(100 * float(draw.recirculation_fraction), abs=1e-6)


def test_the_samples_keep_the_mass_balance_of_the_arterial_line() -> None:
    draw = drawn(FAILING)
    part = draw.recirculation_fraction
    assert float(draw.arterial) == pytest.approx(float((1 - part) * 70 + part * draw.venous))


def test_reversed_lines_dilute_the_systemic_sample_and_read_too_little() -> None:
    draw = drawn(GRAFT, lines_reversed=True)
    assert draw.systemic < 70
    read, true = read_percent(draw), 100 * float(draw.recirculation_fraction)
    # Own arithmetic: R' = (R - Rslow) / (1 - Rslow), and with the same flow in both (Qb - Qslow) / Qb of the true one.
    # Here the slow pump leaves the access a little less flow than the fast one, so the share is a little off.
    assert read / true == pytest.approx(share_read_reversed(300), abs=0.02)
    slow = solve(GRAFT, conditions=Conditions(lines_reversed=True, pump_ml_min=120)).recirculation_fraction
    assert read / 100 == pytest.approx(float((true / 100 - slow) / (1 - slow)))


def test_a_flow_test_takes_its_systemic_sample_before_the_lines_are_reversed() -> None:
    right = drawn(GRAFT, lines_reversed=True, slow_flow_lines_reversed=False)
    wrong = drawn(GRAFT, lines_reversed=True)
    true = solve(GRAFT, conditions=Conditions(lines_reversed=True, pump_ml_min=300)).flow_on_pump_ml_min
    flows = [reversed_lines(300, recirculation_fraction=read_percent(draw) / 100).ml_min for draw in (right, wrong)]
    assert flows[0] == pytest.approx(float(true))
    assert flows[1] > 1.6 * flows[0]  # Own arithmetic: drawn reversed, a true 700 reads 1,367.


def test_a_slow_flow_cut_short_still_holds_the_blood_of_the_arterial_line() -> None:
    reads = [read_percent(drawn(FAILING, slow_flow_seconds=seconds)) for seconds in (3, 7.5, 10, 15)]
    assert reads[0] == pytest.approx(0)
    assert 0 < reads[1] < reads[2]
    assert reads[2] == pytest.approx(reads[3])


def test_a_vein_of_the_other_arm_shows_recirculation_where_there_is_none() -> None:
    draw = drawn(FISTULA)
    false = recirculation(float(draw.peripheral_vein), arterial=float(draw.arterial), venous=float(draw.venous)).percent
    assert draw.recirculation_fraction == 0
    # Source sherman-kapoian-1997: 10.7 % on average where there was none; the model's 9.6 % is another study's.
    assert false == pytest.approx(10.7, abs=3)


def test_a_narrowing_so_tight_that_even_the_slow_flow_recirculates_dilutes_the_sample() -> None:
    draw = drawn(replace(FISTULA, inflow_percent=92))
    assert draw.systemic < 70
    assert read_percent(draw) < 100 * float(draw.recirculation_fraction)


def test_many_draws_at_once_are_the_same_as_one_by_one() -> None:
    reversed_ = np.array([True, False, True])
    conditions = Conditions(lines_reversed=reversed_, pump_ml_min=np.array([200.0, 300.0, 400.0]))
    together = draw_urea(FAILING, conditions=conditions, systemic=70, extraction_fraction=0.7)
    for index in range(3):
        alone = Conditions(lines_reversed=bool(reversed_[index]), pump_ml_min=(200.0, 300.0, 400.0)[index])
        single = draw_urea(FAILING, conditions=alone, systemic=70, extraction_fraction=0.7)
        assert together.systemic[index] == pytest.approx(float(single.systemic))
        assert together.arterial[index] == pytest.approx(float(single.arterial))
