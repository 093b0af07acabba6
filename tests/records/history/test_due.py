"""Last measured: only what the rules count as measured makes the next one wait."""

from datetime import timedelta
from typing import Any

import pytest

from access.records.history.due import last_measured
from access.records.models import Treatment, VascularAccess
from tests.records.bedside import NOW, Bedside, ago

pytestmark = pytest.mark.django_db
VALID: dict[str, Any] = {"valid": True, "waiting": False, "percent": 6.0}


@pytest.fixture
def north() -> Bedside:
    return Bedside()


@pytest.fixture
def fistula(north: Bedside) -> VascularAccess:
    return north.access(north.patient(), kind="fistula", configuration="radiocephalic")


def last_on(north: Bedside, access: VascularAccess, name: str) -> float | None:
    """How many days ago a quantity counts as last measured."""
    on = last_measured([access], clinic=north.clinic, as_of=NOW)[access.pk][name]
    return None if on is None else (NOW.date() - on).days


@pytest.mark.parametrize(
    "result",
    [
        {"valid": False, "waiting": False, "percent": 29.0, "method": "method not valid"},
        {"valid": True, "waiting": True, "percent": None},
        {},
    ],
)
def test_a_recirculation_that_was_not_valid_or_still_waits_does_not_count(
    north: Bedside, fistula: VascularAccess, result: dict[str, Any]
) -> None:
    north.recirculation(fistula, at=ago(2), result=result, systemic=58)
    assert last_on(north, fistula, "recirculation") is None
    north.recirculation(fistula, at=ago(9), result=VALID)
    assert last_on(north, fistula, "recirculation") == 9


def test_a_recirculation_by_another_route_does_not_count(north: Bedside, fistula: VascularAccess) -> None:
    run = north.treatment(fistula, at=ago(2), route="one needle")
    north.recirculation(fistula, at=ago(2), result=VALID, treatment=run)
    assert last_on(north, fistula, "recirculation") is None
    Treatment.objects.update(route="two needles")
    assert last_on(north, fistula, "recirculation") == 2


@pytest.mark.parametrize("name", ["flow", "dose", "recirculation"])
def test_what_hangs_on_a_treatment_made_in_error_or_possibly_entered_twice_does_not_count(
    north: Bedside, fistula: VascularAccess, name: str
) -> None:
    runs = [north.treatment(fistula, at=ago(2) + timedelta(minutes=30 * count)) for count in range(2)]
    for run, days in ((None, 20), (runs[1], 2)):
        north.flow(fistula, at=ago(days), ml_min=900, treatment=run)
        north.dose(fistula.patient, at=ago(days), kt_v=1.4, treatment=run)
        north.recirculation(fistula, at=ago(days), result=VALID, treatment=run)
    doubtful = Treatment.objects.filter(pk=runs[1].pk)
    assert last_on(north, fistula, name) == 2
    doubtful.update(possibly_same_as=runs[0])
    assert last_on(north, fistula, name) == 20
    doubtful.update(pairing="two treatments")
    assert last_on(north, fistula, name) == 2
    doubtful.update(made_in_error=True, state="made in error")
    assert last_on(north, fistula, name) == 20
