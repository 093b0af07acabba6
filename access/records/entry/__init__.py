"""The only writers of what was observed: validated, versioned, audited, each in one transaction.

They judge nothing: what follows for an access is worked out one layer up, in ``review``.
"""

from functools import partial

from access.records.entry.bench import save_bench
from access.records.entry.error import mark_in_error
from access.records.entry.load import load_treatments
from access.records.entry.moves import accept_patient, send_patient
from access.records.entry.pairing import pair_treatments
from access.records.entry.people import change_side, create_access, create_patient, save_access, save_patient
from access.records.entry.plan import plan_shift
from access.records.entry.record import add_event, save
from access.records.entry.saving import Save, Saved
from access.records.entry.treatment import save_treatment

# Each takes (record_id, *, body: Save, acting: Acting) and gives Saved.
save_examination = partial(save, "examination")
save_flow = partial(save, "flow")
save_recirculation = partial(save, "recirculation")
save_dose = partial(save, "dose")
save_lab = partial(save, "lab")
save_event = partial(save, "event")
save_zone = partial(save, "zone")
save_hold = partial(save, "hold")
save_prescription = partial(save, "prescription")

__all__ = [
    "Save",
    "Saved",
    "accept_patient",
    "add_event",
    "change_side",
    "create_access",
    "create_patient",
    "load_treatments",
    "mark_in_error",
    "pair_treatments",
    "plan_shift",
    "save_access",
    "save_bench",
    "save_dose",
    "save_event",
    "save_examination",
    "save_flow",
    "save_hold",
    "save_lab",
    "save_patient",
    "save_prescription",
    "save_recirculation",
    "save_treatment",
    "save_zone",
    "send_patient",
]
