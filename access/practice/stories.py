"""The accesses of the invented clinic as they really are: one for each story, and healthy ones of many sizes.

It is the truth that the model starts from and that the rules are held against; what a nurse would have written of it
stands in ``sheet``.
"""

from dataclasses import replace

from access.measures.words import Configuration, Kind
from access.practice import chance
from access.practice.accesses import FIRST_DAY, Happening, Seen, Stretch, Truth
from access.practice.people import Person

_GRAFT = Truth(kind="graft", configuration="forearm loop graft", size=0.95)
_FISTULA = Truth(kind="fistula", configuration="radiocephalic")

STORIES: dict[str, Truth] = {
    "outlet narrowing": replace(
        _GRAFT,
        outflow=((-548, 15), (-300, 32), (0, 60), (200, 68)),
        seen=(
            Seen(field="bruit", word="high-pitched", first=-6),
            Seen(field="pulse", word="pulsatile", first=-4),
            Seen(field="arm_raise", word="does not collapse", first=-2),
        ),
        bleeding_more=((-3, 8),),
        real_narrowing="outlet",
    ),
    "inflow narrowing": replace(
        _FISTULA,
        side="right",
        size=0.95,
        inflow=((-548, 20), (-260, 38), (-20, 65), (200, 72)),
        seen=(
            Seen(field="augmentation", word="weak", first=-7),
            Seen(field="thrill", word="weak", first=-4),
            Seen(field="circuit", word="target pump speed not reached", first=-3),
        ),
        pump_reached=((-3, 300),),
        real_narrowing="inflow",
    ),
    "narrowing within the graft": replace(
        _GRAFT,
        side="right",
        size=0.92,
        middle=((-548, 15), (-280, 40), (-35, 69), (200, 71)),
        real_narrowing="within",
    ),
    "clotted": replace(
        _GRAFT,
        size=0.9,
        outflow=((-548, 20), (-365, 30), (-182, 54), (-12, 69)),
        status="clotted",
        seen=(
            Seen(field="pulse", word="pulsatile", first=-8, last=-2),
            Seen(field="thrill", word="missing", first=-1),
            Seen(field="bruit", word="missing", first=-1),
        ),
        routes=((-1, "catheter"),),
        happened=(
            Happening(what="clotted", ordinal=-1, outcome="Neither thrill nor bruit before the needles; none went in."),
            Happening(what="catheter in", ordinal=-1, where_words="right internal jugular vein"),
        ),
        real_narrowing="outlet",
    ),
    "one patch": replace(
        _FISTULA,
        configuration="brachiocephalic",
        technique="area",
        diameter_cm=1.1,
        seen=(
            Seen(field="bulge", word="new", first=-52, last=-52),
            Seen(field="bulge", word="known, unchanged", first=-51, last=-2),
            Seen(field="bulge", word="grown since last time", first=-1, last=-1),
            Seen(field="skin", word="thin, shiny or pale over a bulge", first=-1),
            Seen(field="bulge", word="known, unchanged", first=0),
        ),
        zones=(
            Stretch(from_cm=7, to_cm=9.5, why="bulge", action="take care", ordinal=-51, note="about 2 cm wide"),
            Stretch(from_cm=7, to_cm=10, why="bulge", action="keep off", ordinal=-1, note="grown, skin thin and shiny"),
        ),
    ),
    "infiltration": replace(
        _FISTULA,
        size=0.85,
        infiltrated_at=-1,
        seen=(Seen(field="skin", word="bruise", first=0, last=5),),
        zones=(Stretch(from_cm=14, to_cm=18, why="bruise", action="keep off", ordinal=-1, note="until it is soft"),),
    ),
    "new fistula beside a catheter": replace(
        _FISTULA,
        size=0.38,
        created=-63,
        first_needled=None,
        status="maturing",
        diameter_cm=0.45,
        depth_cm=0.7,
        joined=-150,
        has_static=False,
        routes=((-10_000, "catheter"),),
        happened=(Happening(what="created", day=-63, where_words="wrist"),),
        hold="Not ready for use: dialyses by the catheter until it is.",
        note="Dialyses by a tunnelled catheter in the right internal jugular vein.",
    ),
    "needle and lumen": replace(
        _FISTULA,
        size=0.72,
        gauge=17,
        pump_ml_min=200,
        created=-120,
        first_needled=-16,
        diameter_cm=0.62,
        depth_cm=0.5,
        joined=-200,
        has_static=False,
        routes=((-10_000, "catheter"), (-7, "needle and catheter lumen")),
        happened=(
            Happening(what="created", day=-120, where_words="wrist"),
            Happening(what="first needled", ordinal=-7, outcome="One 17G needle, return by the catheter."),
        ),
    ),
    "lines reversed": replace(
        _FISTULA, configuration="brachiocephalic", size=0.8, pump_ml_min=400, tests=((-2, "reversed"),)
    ),
    "low flow": replace(
        _FISTULA,
        size=0.9,
        inflow=((-548, 25), (-160, 42), (-80, 62), (-35, 70), (200, 72)),
        seen=(
            Seen(field="thrill", word="weak", first=-9),
            Seen(field="augmentation", word="none", first=-5),
            Seen(field="arm_raise", word="collapses too far", first=-3),
        ),
        tests=((-16, "right"), (-3, "right")),
        real_narrowing="inflow",
    ),
    "high flow": replace(
        _FISTULA,
        configuration="brachiocephalic",
        size=1.9,
        diameter_cm=1.3,
        seen=(Seen(field="hand", word="known symptoms, unchanged", first=-40),),
    ),
    "angioplasty and return": replace(
        _GRAFT,
        outflow=((-548, 42), (-330, 65), (-325, 65), (-324, 12), (-150, 30), (0, 58), (200, 66)),
        happened=(
            Happening(
                what="angioplasty",
                day=-324,
                where_cm=38,
                where_words="venous anastomosis",
                degree_percent=65,
                outcome="Opened; less than 30 % left, thrill continuous again.",
            ),
        ),
        real_narrowing="outlet",
    ),
    "moved": replace(_FISTULA, moved_on=-130),
    "night shift": replace(
        _FISTULA, configuration="brachiocephalic", size=0.95, tests=((-1, "right"),), waits_for_samples_at=-1
    ),
    "swollen arm": replace(
        _GRAFT,
        configuration="upper-arm straight graft",
        gauge=16,
        pump_ml_min=300,
        has_static=False,
        outflow=((-548, 20), (-250, 40), (-10, 71), (200, 74)),
        seen=(
            Seen(field="collaterals", word="seen", first=-8),
            Seen(field="swelling", word="arm", first=-5),
            Seen(field="pulse", word="pulsatile", first=-3),
        ),
        real_narrowing="outlet",
    ),
}
STORIES["inflow narrowing, second clinic"] = STORIES["inflow narrowing"]

# Of twenty-one healthy accesses so many are of each configuration; invented.
_HEALTHY: dict[Configuration, int] = {
    "radiocephalic": 9,
    "brachiocephalic": 5,
    "transposed brachiobasilic": 2,
    "forearm loop graft": 3,
    "forearm straight graft": 1,
    "upper-arm loop graft": 1,
}


def truth_of(person: Person, *, seed: int) -> Truth:
    """The access of a person: by the story, or a healthy one of its own size."""
    return _healthy(person, seed=seed) if person.is_healthy else STORIES[person.story]


def _healthy(person: Person, *, seed: int) -> Truth:
    def pick(low: float, high: float, what: str) -> float:
        return chance.between(low, high, seed, person.name, what)

    every: list[Configuration] = [name for name, count in _HEALTHY.items() for _ in range(count)]
    configuration = every[int(pick(0, len(every), "kind"))]
    kind: Kind = "graft" if configuration.endswith("graft") else "fistula"
    thin = pick(0, 1, "gauge") < 0.25
    created = -round(pick(700, 2600, "created"))
    return Truth(
        kind=kind,
        configuration=configuration,
        side="left" if pick(0, 1, "side") < 0.7 else "right",
        size=pick(0.74, 1.02, "size"),
        inflow=((0, pick(0, 20, "inflow")),),
        middle=((0, pick(0, 20, "middle")),),
        outflow=((0, pick(0, 25, "outflow")),),
        gauge=16 if thin else 15,
        pump_ml_min=300 if thin else (350 if pick(0, 1, "pump") < 0.7 else 400),
        technique="buttonhole" if kind == "fistula" and pick(0, 1, "technique") < 0.12 else "rope-ladder",
        has_static=kind == "graft" or pick(0, 1, "static") < 0.92,
        created=created,
        first_needled=created + round(pick(21, 90, "first")),
        diameter_cm=round(pick(0.6, 0.9, "diameter"), 2),
        depth_cm=round(pick(0.25, 0.55, "depth"), 2),
        joined=FIRST_DAY + 1 if pick(0, 1, "joined?") < 0.8 else -round(pick(120, 450, "joined")),
    )
