"""Who may do what: one closed table from an act to the roles that may do it.

The table speaks of roles only; that a patient is in the clinic's care is asked of
``access.records.history.patients_visible_to``.
"""

from collections.abc import Iterable

_CARE = frozenset({"nurse", "coordinator", "nephrologist"})
_ALL = _CARE | {"administrator"}

PERMISSIONS: dict[str, frozenset[str]] = {
    "access:change": frozenset({"coordinator", "nephrologist"}),
    "access:read": _CARE,
    "bench:change": frozenset({"coordinator", "nephrologist"}),
    "care-period:change": frozenset({"coordinator"}),
    "clinic:change": frozenset({"administrator"}),
    "clinic:read": _ALL,
    "decision:create": frozenset({"coordinator"}),
    "dose:change": _CARE,
    "event:change": frozenset({"coordinator", "nephrologist"}),
    "examination:change": _CARE,
    "flag:close": frozenset({"coordinator", "nephrologist"}),
    "flow:change": _CARE,
    "hold:change": _CARE,
    "lab:change": _CARE,
    "limit:change": frozenset({"nephrologist", "administrator"}),
    "patient:change": frozenset({"coordinator"}),
    "patient:read": _CARE,
    "prescription:change": frozenset({"nephrologist"}),
    "recirculation:change": _CARE,
    "referral:change": frozenset({"coordinator"}),
    "referral:decide": frozenset({"nephrologist"}),
    "referral:read": _CARE,
    "review:read": frozenset({"coordinator", "nephrologist"}),
    "treatment:change": _CARE,
    "treatment:read": _CARE,
    "zone:change": _CARE,
}


def may(roles: Iterable[str], act: str) -> bool:
    """Whether somebody with these roles may do this; an act outside the table is an error.

    Raises
    ------
    KeyError
        When the act is not in ``PERMISSIONS``.
    """
    return not PERMISSIONS[act].isdisjoint(roles)
