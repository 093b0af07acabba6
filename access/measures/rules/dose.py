"""The rule of the dose: an unexplained fall of Kt/V on an unchanged prescription.

The minimum dose is not its matter: a dose too low from the start says nothing about the access.
"""

from collections.abc import Sequence

from access.measures.findings import Finding
from access.measures.readings import DoseReading
from access.measures.rules.case import Case
from access.measures.rules.measurement import Weight, finding
from access.measures.rules.say import day
from access.measures.succession import Observation, against_usual, one_an_occasion
from access.measures.units import as_shown

RULE = "dose.fall"
COMPARED_WITH = 3  # The median of the last three monthly values before the ones judged.


def fall(case: Case) -> Finding | None:
    """dose.fall: Kt/V fallen by more than the limit against the median of the last three on this prescription."""
    same = _same_prescription(one_an_occasion(case.profile.doses))
    held = case.protocol.limits[RULE]

    def beyond(value: float, usual: float | None) -> bool:
        # Both are shown with the limit's decimals, and a reader subtracts what is shown.
        return usual is not None and held.passed(as_shown(usual, decimals=held.decimals) - value)

    needed = case.needed("dose")
    found = against_usual(
        [_observation(one) for one in same[-(COMPARED_WITH + needed) :]],
        needed=needed,
        of=COMPARED_WITH,
        least=1,
        gap_days=case.protocol.gap_days("dose"),
        beyond=beyond,
    )
    if not found.run or found.usual is None:
        return None
    few, usual = len(found.before), held.written(found.usual)
    return finding(
        case,
        rule=RULE,
        limits=[held],
        run=found.run,
        needed=needed,
        sentence=f"Kt/V fallen by more than {held.written()} from {usual} on an unchanged prescription",
        weight=Weight(speaks=case.speaking("dose") == RULE, indicator=True),
        ask="Rule out a shorter treatment, a slower pump and how the samples were drawn.",
        missing=() if few == COMPARED_WITH else (f"earlier values on this prescription: {few} of {COMPARED_WITH}",),
    )


def _same_prescription(doses: Sequence[DoseReading]) -> tuple[DoseReading, ...]:
    """The newest values without a change of prescription among them."""
    start = len(doses)
    while start > 0 and doses[start - 1].prescription == doses[-1].prescription:
        start -= 1
    return tuple(doses[start:])


def _observation(one: DoseReading) -> Observation:
    text = f"{day(one.at)}: Kt/V {one.kt_v:.2f}, {one.prescription}"
    return Observation(id=one.id, at=one.at, odd=False, text=text, value=as_shown(one.kt_v, decimals=2))
