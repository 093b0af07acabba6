"""The closed vocabularies of the trade that readings, records and screens share.

It holds words only; what a word means for a decision stands in the protocols and rules.
"""

from typing import Literal, get_args

Kind = Literal["fistula", "graft"]
Side = Literal["left", "right"]
Configuration = Literal[
    "radiocephalic",
    "brachiocephalic",
    "transposed brachiobasilic",
    "forearm loop graft",
    "forearm straight graft",
    "upper-arm straight graft",
    "upper-arm loop graft",
    "thigh loop graft",
    "other",
]
AccessStatus = Literal["maturing", "in use", "resting", "clotted", "abandoned"]
Route = Literal["two needles", "one needle", "needle and catheter lumen", "catheter", "not dialysed"]
# What a treatment by this route says nothing about; a route that is not here is judged in full.
NOT_JUDGED: dict[str, str] = dict.fromkeys(
    ("one needle", "needle and catheter lumen", "catheter"),
    "Static and dynamic pressure, recirculation and spacing are not judged in this treatment.",
)
NeedleRole = Literal["arterial", "venous"]
Direction = Literal["with the flow", "against the flow"]
Technique = Literal["rope-ladder", "area", "buttonhole", "other"]
Tip = Literal["sharp", "blunt"]
Outcome = Literal["in use to the end", "failed", "infiltrated", "replaced", "came out"]
CannulatedBy = Literal["staff", "trainee with supervisor", "patient", "carer"]
Limb = Literal["left arm", "right arm", "left leg", "right leg"]
Lines = Literal["right", "reversed", "not known"]
UreaUnit = Literal["mg/dL", "mmol/L"]
SystemicSite = Literal["arterial line after slow flow", "peripheral vein", "other"]
FlowMethod = Literal[
    "ultrasound dilution", "urea, lines reversed", "infusion", "dialysance", "duplex", "thermodilution"
]
RatioFormula = Literal["hydrostatic", "linear-2006", "empirical-2002"]
ZoneWhy = Literal[
    "bulge", "thin skin", "narrowing", "stent", "infection", "bruise", "scab", "buttonhole track", "other"
]
ZoneAction = Literal["keep off", "take care"]
EventWhat = Literal[
    "created",
    "first needled",
    "angioplasty",
    "thrombectomy",
    "stent",
    "revision",
    "ligation",
    "clotted",
    "infection",
    "catheter in",
    "catheter out",
    "abandoned",
]
# FHIR R4 value set request-priority; "routine" is the least and "stat" the greatest urgency.
Urgency = Literal["routine", "urgent", "asap", "stat"]
URGENCIES: tuple[Urgency, ...] = get_args(Urgency)
# Events that change the vessel: the trends of the access start anew at them.
CHANGES_THE_VESSEL: frozenset[str] = frozenset({"angioplasty", "thrombectomy", "stent", "revision", "ligation"})

# What a hand, an eye and an ear find at an access: the first word of each is the normal reading.
FINDINGS: dict[str, tuple[str, ...]] = {
    "thrill": ("continuous", "weak", "at the anastomosis only", "missing"),
    "bruit": ("low, two phases", "high-pitched", "broken", "weak", "missing"),
    "pulse": ("soft", "pulsatile", "weak"),
    "augmentation": ("strong", "weak", "none"),
    "arm_raise": ("collapses", "does not collapse", "collapses too far"),
    "swelling": ("none", "hand", "arm", "at the access", "breast or face"),
    "collaterals": ("none", "seen"),
    "skin": (
        "sound",
        "bruise",
        "small scab of a puncture",
        "scab larger than a needle mark",
        "thin, shiny or pale over a bulge",
        "ulcer, open wound or dead skin",
        "redness that spreads or pus",
    ),
    "bulge": ("none", "known, unchanged", "new", "grown since last time"),
    "bleeding": ("none", "between treatments", "does not stop"),
    "hand": ("as before", "known symptoms, unchanged", "newly cold", "newly numb, weak or painful", "worse"),
    "fever": ("none", "fever or chills"),
    "needling": ("as usual", "newly difficult", "clots drawn"),
    "circuit": ("as usual", "target pump speed not reached", "needle came out", "swelling while the pump runs"),
}
# Thrill and bruit are never filled together with the rest: each takes its own tap, every time.
NEVER_FILLED_TOGETHER: frozenset[str] = frozenset({"thrill", "bruit"})
# What can only be known once the needles are in or the pump runs.
SEEN_DURING_TREATMENT: frozenset[str] = frozenset({"needling", "circuit"})


def normal(field: str) -> str:
    """The normal reading of an examination field."""
    return FINDINGS[field][0]
