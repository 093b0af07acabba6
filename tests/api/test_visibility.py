"""No clinic finds anything of another's, by any address, also with a true id in it."""

from collections.abc import Callable
from typing import Any
from uuid import UUID

import pytest
from django.urls import URLPattern
from uuid_utils.compat import uuid7

from access.api import measured
from access.api.measured import KINDS
from access.api.urls import urlpatterns
from access.records.models import CareMove
from access.referral.models import Referral
from access.referral.states import Draft, draft
from tests.api.conftest import Asking, said, save
from tests.api.test_measured import a_draw
from tests.api.test_registering import BENCH
from tests.cast import Cast, a_treatment_document

Ask = Callable[..., Asking]
# Addresses that name no record.
WITHOUT_ID = {
    "bench-tables",
    "moves",
    "patients",
    "protocol",
    "protocol/limits/<str:limit>",
    "referrals",
    "review",
    "schema",
    "session",
    "session/clinic",
    "tables",
    "today",
}


def addresses() -> list[str]:
    """Every address that names a record."""
    found = [str(pattern.pattern) for pattern in urlpatterns if isinstance(pattern, URLPattern)]
    return [one for one in found if one not in WITHOUT_ID]


@pytest.fixture
def known(asking: Ask, cast: Cast) -> dict[str, UUID]:
    """True ids of North, by what an address calls them."""
    ada, treatment, draw = asking(cast.ada), uuid7(), uuid7()
    assert ada.put(f"treatments/{treatment}", save(a_treatment_document(cast.graft)), new=True).status_code == 201
    assert ada.put(f"recirculations/{draw}", save(a_draw(cast)), new=True).status_code == 201
    referral = draft(
        cast.graft,
        referral_id=uuid7(),
        body=Draft(urgency="urgent", question="Imaging?"),
        acting=cast.acting(cast.dov),
    )
    flag = cast.fistula.flags.first()
    bench = uuid7()
    assert asking(cast.dov).put(f"bench-tables/{bench}", save(BENCH), new=True).status_code == 201
    return {
        # What an address calls a record may be of several kinds.
        "accesses/<uuid:record>/record": cast.graft.pk,
        "bench-tables/<uuid:record>": bench,
        "patients/<uuid:record>": cast.gwen.pk,
        "access": cast.graft.pk,
        "decision": uuid7(),
        "flag": flag.pk if flag else uuid7(),
        "move": uuid7(),
        "patient": cast.gwen.pk,
        "record": draw,
        "referral": referral.pk,
        "treatment": treatment,
    }


def filled(address: str, ids: dict[str, UUID]) -> str:
    """An address with these ids in it."""
    name = address.split(":")[1].split(">")[0]
    return address.replace(f"<uuid:{name}>", str(ids.get(address, ids[name])))


@pytest.mark.parametrize("address", addresses())
def test_a_true_id_answers_the_other_clinic_as_a_guessed_one(
    asking: Ask, cast: Cast, known: dict[str, UUID], address: str
) -> None:
    cleo = asking(cast.cleo)
    guessed = dict.fromkeys(known, uuid7())
    for ask in (cleo.get, cleo.post):
        true, other = ask(filled(address, known)), ask(filled(address, guessed))
        assert true.status_code in (403, 404, 405, 422)
        assert (true.status_code, said(true)) == (other.status_code, said(other))


def test_the_other_clinic_cannot_write_to_a_known_record(asking: Ask, cast: Cast, known: dict[str, UUID]) -> None:
    cleo = asking(cast.cleo)
    answer = cleo.put(f"recirculations/{known['record']}", save(a_draw(cast), reason="mine"), version=1)
    assert answer.status_code == 404
    assert cleo.put(f"recirculations/{uuid7()}", save(a_draw(cast)), new=True).status_code == 404


def test_the_lists_of_the_other_clinic_name_nobody_of_here(asking: Ask, cast: Cast, known: dict[str, UUID]) -> None:
    cleo = asking(cast.cleo)
    for address in ("today", "patients", "referrals"):
        assert cast.gwen.name not in cleo.get(address).content.decode()
    assert cast.gwen.name in asking(cast.ada).get("patients").content.decode()


def test_small_records_have_one_address_each() -> None:
    assert {measured.address(name) for name in KINDS} <= set(addresses())


def test_a_patient_who_moved_is_seen_on_both_sides_up_to_the_day(
    asking: Ask, cast: Cast, known: dict[str, UUID], monkeypatch: Any
) -> None:
    move = CareMove.objects.create(
        patient=cast.gwen,
        from_clinic=cast.north,
        to_clinic=cast.south,
        sent_by=cast.dov,
        sent_at=cast.acting(cast.dov).at,
    )
    # A nurse may not accept; only a coordinator of that clinic.
    assert asking(cast.cleo).post(f"moves/{move.pk}/accept").status_code == 403
    assert Referral.objects.filter(pk=known["referral"]).exists()
    assert asking(cast.cleo).get(f"accesses/{cast.graft.pk}").status_code == 404
