"""The permission table, closed over the routes: a new route or method without a row fails."""

from collections.abc import Iterator

import pytest
from django.urls import URLPattern

from access.accounts.permissions import PERMISSIONS
from access.api.resource import ByTable, Resource
from access.api.urls import urlpatterns

NURSE, COORDINATOR, NEPHROLOGIST, ADMINISTRATOR = "nurse", "coordinator", "nephrologist", "administrator"
CARE = {NURSE, COORDINATOR, NEPHROLOGIST}
EVERYBODY = CARE | {ADMINISTRATOR}
# Whoever asks, signed in or not.
OPEN: set[str] = {"anybody"}

TABLE: dict[tuple[str, str], set[str]] = {
    ("GET", "accesses/<uuid:access>"): CARE,
    ("GET", "accesses/<uuid:record>/record"): CARE,
    ("PUT", "accesses/<uuid:record>/record"): {COORDINATOR, NEPHROLOGIST},
    ("POST", "accesses/<uuid:access>/side"): {COORDINATOR, NEPHROLOGIST},
    ("GET", "accesses/<uuid:access>/weighed"): CARE,
    ("GET", "bench-tables"): EVERYBODY,
    ("GET", "bench-tables/<uuid:record>"): EVERYBODY,
    ("PUT", "bench-tables/<uuid:record>"): {COORDINATOR, NEPHROLOGIST},
    ("PUT", "decisions/<uuid:decision>"): {COORDINATOR},
    ("GET", "doses/<uuid:record>"): CARE,
    ("PUT", "doses/<uuid:record>"): CARE,
    ("GET", "events/<uuid:record>"): CARE,
    ("PUT", "events/<uuid:record>"): {COORDINATOR, NEPHROLOGIST},
    ("GET", "examinations/<uuid:record>"): CARE,
    ("PUT", "examinations/<uuid:record>"): CARE,
    ("POST", "flags/<uuid:flag>/close"): {COORDINATOR, NEPHROLOGIST},
    ("GET", "flows/<uuid:record>"): CARE,
    ("PUT", "flows/<uuid:record>"): CARE,
    ("GET", "holds/<uuid:record>"): CARE,
    ("PUT", "holds/<uuid:record>"): CARE,
    ("GET", "labs/<uuid:record>"): CARE,
    ("PUT", "labs/<uuid:record>"): CARE,
    ("GET", "moves"): {COORDINATOR},
    ("POST", "moves/<uuid:move>/accept"): {COORDINATOR},
    ("GET", "patients"): CARE,
    ("GET", "patients/<uuid:record>"): CARE,
    ("PUT", "patients/<uuid:record>"): {COORDINATOR},
    ("POST", "patients/<uuid:patient>/move"): {COORDINATOR},
    ("GET", "patients/<uuid:patient>/tests"): CARE,
    ("GET", "prescriptions/<uuid:record>"): CARE,
    ("PUT", "prescriptions/<uuid:record>"): {NEPHROLOGIST},
    ("GET", "protocol"): EVERYBODY,
    ("PUT", "protocol/limits/<str:limit>"): {NEPHROLOGIST, ADMINISTRATOR},
    ("GET", "recirculations/<uuid:record>"): CARE,
    ("PUT", "recirculations/<uuid:record>"): CARE,
    ("GET", "referrals"): CARE,
    ("GET", "referrals/<uuid:referral>"): CARE,
    ("PUT", "referrals/<uuid:referral>"): {COORDINATOR},
    ("POST", "referrals/<uuid:referral>/acknowledge"): {NEPHROLOGIST},
    ("POST", "referrals/<uuid:referral>/decide"): {NEPHROLOGIST},
    ("GET", "referrals/<uuid:referral>/document"): CARE,
    ("POST", "referrals/<uuid:referral>/outcome"): {COORDINATOR, NEPHROLOGIST},
    ("POST", "referrals/<uuid:referral>/send"): {COORDINATOR},
    ("POST", "referrals/<uuid:referral>/withdraw"): {COORDINATOR},
    ("GET", "review"): {COORDINATOR, NEPHROLOGIST},
    ("GET", "schema"): OPEN,
    ("DELETE", "session"): OPEN,
    ("GET", "session"): OPEN,
    ("POST", "session"): OPEN,
    ("PUT", "session/clinic"): EVERYBODY,
    ("GET", "tables"): EVERYBODY,
    ("GET", "today"): CARE,
    ("GET", "treatments/<uuid:treatment>"): CARE,
    ("PUT", "treatments/<uuid:treatment>"): CARE,
    ("POST", "treatments/<uuid:treatment>/error"): CARE,
    ("POST", "treatments/<uuid:treatment>/pairing"): CARE,
    ("GET", "zones/<uuid:record>"): CARE,
    ("PUT", "zones/<uuid:record>"): CARE,
}
METHODS = ("GET", "PUT", "POST", "PATCH", "DELETE")


def routes() -> Iterator[tuple[str, str, type]]:
    """Every method of every address under /api/v1/ with its view class."""
    for pattern in urlpatterns:
        assert isinstance(pattern, URLPattern)
        view = pattern.callback.cls  # type: ignore[attr-defined]
        for method in METHODS:
            if method.lower() in view.http_method_names and hasattr(view, method.lower()):
                yield method, str(pattern.pattern), view


def roles_let_in(view: type, method: str) -> set[str]:
    """Who the view lets in, by its own declaration."""
    if not issubclass(view, Resource) or ByTable not in view.permission_classes:
        return OPEN
    act = view.acts.get(method)
    return EVERYBODY if act is None else set(PERMISSIONS[act])


def test_every_route_has_a_row_and_every_row_a_route() -> None:
    assert {(method, address) for method, address, _ in routes()} == set(TABLE)


@pytest.mark.parametrize(("method", "address", "view"), list(routes()))
def test_a_route_lets_in_whom_the_table_says(method: str, address: str, view: type) -> None:
    assert roles_let_in(view, method) == TABLE[(method, address)]


def test_only_the_sign_in_and_the_schema_are_open() -> None:
    assert {address for (_, address), roles in TABLE.items() if roles is OPEN} == {"schema", "session"}


def test_every_act_of_a_view_stands_in_the_permission_table() -> None:
    acts = {act for _, _, view in routes() if issubclass(view, Resource) for act in view.acts.values()}
    assert acts <= set(PERMISSIONS)
