"""A sign that held: its flag goes on saying so, whatever is seen of it later, until a person closes it."""

from datetime import timedelta

import pytest

from access.audit.models import AuditEntry
from access.records.models import Examination, VascularAccess
from access.review import judging
from access.review.models import Flag
from access.review.shown import flag_row
from tests.records.bedside import NOW, Bedside, ago

pytestmark = pytest.mark.django_db
REFER = "refer this week, imaging within about 14 days"
HELD = "Pulsatile pulse (a sign of the outflow): seen twice in succession, 2 needed."


@pytest.fixture
def north() -> Bedside:
    return Bedside()


@pytest.fixture
def graft(north: Bedside) -> VascularAccess:
    return north.access(north.patient())


def seen(north: Bedside, access: VascularAccess, *days: float, pulse: str = "pulsatile") -> Flag:
    """The flag of the sign after treatments with this pulse, judged after each."""
    for one in days:
        north.treatment(access, at=ago(one), findings={"pulse": pulse})
        at = ago(one) + timedelta(hours=1)
        judging.judge(access, as_of=at, acting=north.acting(at=at))
    return Flag.objects.get(rule="sign.pulse-pulsatile")


def test_a_later_single_sighting_does_not_lower_a_sign_that_held(north: Bedside, graft: VascularAccess) -> None:
    assert flag_row(seen(north, graft, 9, 7))["sentence"] == HELD
    seen(north, graft, 5, pulse="soft")
    row = flag_row(seen(north, graft, 3))
    assert (row["urgency"], row["time_in_words"], row["times_seen"]) == ("urgent", REFER, 2)
    assert row["ask"] == "Refer: a clinical sign that holds."
    assert row["sentence"] == f"{HELD} Last seen 15 March 2026: pulse pulsatile (Ada Brandt)."
    assert len(row["evidence"]) == 3
    assert (row["since"], row["last_seen"]) == (
        (ago(9) - timedelta(minutes=5)).isoformat(),
        (ago(3) - timedelta(minutes=5)).isoformat(),
    )


def test_judged_again_it_says_the_same_and_tells_nothing(north: Bedside, graft: VascularAccess) -> None:
    seen(north, graft, 9, 7)
    seen(north, graft, 5, pulse="soft")
    before, told = seen(north, graft, 3), AuditEntry.objects.count()
    judging.judge(graft, as_of=NOW, acting=north.acting())
    after = Flag.objects.get()
    assert (after.finding, after.last_seen_at, AuditEntry.objects.count()) == (
        before.finding,
        before.last_seen_at,
        told,
    )


def test_seen_in_succession_again_it_says_how_it_holds_now(north: Bedside, graft: VascularAccess) -> None:
    seen(north, graft, 12, 10)
    seen(north, graft, 8, pulse="soft")
    assert "Last seen" in seen(north, graft, 6).finding["sentence"]
    assert seen(north, graft, 4).finding["sentence"] == HELD
    seen(north, graft, 3, pulse="soft")
    assert seen(north, graft, 2).finding["sentence"].count("Last seen") == 1


@pytest.mark.parametrize("since", [(), (3,)])
def test_a_correction_of_what_it_rested_on_lowers_it(
    north: Bedside, graft: VascularAccess, since: tuple[float, ...]
) -> None:
    seen(north, graft, 9, 7)
    seen(north, graft, 5, pulse="soft")
    assert seen(north, graft, *since).finding["time_in_words"] == REFER
    wrong = Examination.objects.filter(measured_at__lt=ago(8) if since else ago(4), measured_at__gt=ago(10))
    wrong.exclude(measured_at__gt=ago(8), measured_at__lt=ago(6)).update(made_in_error=True)
    judging.judge(graft, as_of=NOW, acting=north.acting())
    flag = Flag.objects.get()
    assert flag.finding["time_in_words"] == "at the next treatment"
    assert flag.finding["sentence"].endswith("seen once; 2 in succession needed.")
