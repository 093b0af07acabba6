"""The usual bands at the chair: of which treatments one is made, and when it is not called usual."""

from typing import Any

import pytest

from access.measures.protocol import load
from access.records import history
from access.records.history.bands import bands
from access.records.models import VascularAccess
from tests.records.bedside import NOW, Bedside, ago, running

pytestmark = pytest.mark.django_db
PROTOCOL = load("kdoqi-2019-supplement")


@pytest.fixture
def north() -> Bedside:
    return Bedside()


def venous(access: VascularAccess) -> dict[str, Any]:
    """The band of the venous pressure."""
    found = bands(history.profile(access, as_of=NOW), protocol=PROTOCOL)
    return next(one for one in found if one["quantity"] == "venous_mmhg")


def treated(north: Bedside, access: VascularAccess, *, first: float, count: int) -> None:
    """Treatments two days apart with a steady venous pressure."""
    for place in range(count):
        north.treatment(access, at=ago(first - 2 * place), pressures=[running(150 + place % 3)])


def test_a_flow_low_while_the_band_was_made_takes_it_away(north: Bedside) -> None:
    access = north.access(north.patient())
    treated(north, access, first=100, count=12)
    assert venous(access)["low"] is not None
    north.flow(access, at=ago(90), ml_min=450)
    assert "not called usual" in venous(access)["note"] and venous(access)["low"] is None


def test_a_flow_first_measured_after_the_baseline_does_not(north: Bedside) -> None:
    access = north.access(north.patient())
    treated(north, access, first=100, count=39)
    north.flow(access, at=ago(4), ml_min=450)
    assert venous(access)["note"].startswith("usual since")


def test_what_was_read_on_the_day_of_an_intervention_is_no_part_of_the_new_band(north: Bedside) -> None:
    access = north.access(north.patient())
    north.event(access, on=ago(50).date(), what="angioplasty")
    north.treatment(access, at=ago(50), pressures=[running(300)])
    north.flow(access, at=ago(50), ml_min=300)
    treated(north, access, first=48, count=7)
    assert venous(access)["note"] == "no band yet: 7 of 8 treatments"
    treated(north, access, first=30, count=1)
    assert (venous(access)["count"], venous(access)["median"]) == (8, 150.5)
