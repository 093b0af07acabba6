"""Readers of the record: what a person may see, and what is known of a patient, a treatment or an access.

They read only, in a number of queries that does not grow with the rows; ``entry`` writes. What a reading means is
decided in ``access.measures`` and what to do about it in ``access.review``.
"""

from access.records.history.chair import treatment_pack
from access.records.history.describe import access_title, local_day, patient_card, title
from access.records.history.limits import in_force
from access.records.history.profile import SERIES, profile, profiles
from access.records.history.sight import Sight
from access.records.history.story import access_history
from access.records.history.today import today
from access.records.history.visible import (
    get_access,
    get_patient,
    get_record,
    get_treatment,
    patients_in_care,
    patients_visible_to,
    sight_of,
)

__all__ = [
    "SERIES",
    "Sight",
    "access_history",
    "access_title",
    "get_access",
    "get_patient",
    "get_record",
    "get_treatment",
    "in_force",
    "local_day",
    "patient_card",
    "patients_in_care",
    "patients_visible_to",
    "profile",
    "profiles",
    "sight_of",
    "title",
    "today",
    "treatment_pack",
]
