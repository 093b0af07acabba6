"""Why measurements closed a flag: the value named is the one that answers the rule."""

from datetime import timedelta

import pytest

from access.records.models import VascularAccess
from access.review import judging
from access.review.models import Flag
from tests.records.bedside import NOW, Bedside, ago, running, static

pytestmark = pytest.mark.django_db


@pytest.fixture
def north() -> Bedside:
    return Bedside()


@pytest.fixture
def graft(north: Bedside) -> VascularAccess:
    return north.access(north.patient())


def judge(north: Bedside, access: VascularAccess, *, days_ago: float = 0) -> None:
    at = NOW - timedelta(days=days_ago)
    judging.judge(access, as_of=at, acting=north.acting(at=at))


def test_a_venous_pressure_at_another_pump_speed_is_not_named_as_what_closed_it(
    north: Bedside, graft: VascularAccess
) -> None:
    for days in (9, 7, 5):
        north.treatment(graft, at=ago(days), pressures=[running(140)])
    judge(north, graft, days_ago=4)
    faster = running(180, pump=300) | {"minute": 60.0, "measured_at": ago(2) + timedelta(minutes=60)}
    north.treatment(graft, at=ago(2), pressures=[running(110), faster])
    judge(north, graft)
    (flag,) = Flag.objects.filter(rule="outlet.dynamic")
    assert flag.state == "closed"
    assert "venous pressure 110 mmHg at 200 mL/min" in flag.closed_why


def test_an_arterial_ratio_is_not_named_as_what_closed_the_outlet(north: Bedside, graft: VascularAccess) -> None:
    north.treatment(graft, at=ago(9), pressures=[static(None, 40)])
    judge(north, graft, days_ago=8)
    north.treatment(graft, at=ago(5), pressures=[static(40, 15)])
    judge(north, graft)
    (flag,) = Flag.objects.filter(rule="outlet.static-ratio")
    assert flag.closed_why.startswith("Closed by measurements: static ratio 0.38 at the venous needle on")
