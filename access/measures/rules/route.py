"""The rule that says what was not judged: a treatment that did not run through two needles.

It raises nothing; it keeps silence from being read as normal.
"""

from access.measures.findings import Finding
from access.measures.rules.case import Case
from access.measures.rules.say import ROUTINE, day
from access.measures.words import NOT_JUDGED

RULE = "route.not-judged"


def not_judged(case: Case) -> Finding | None:
    """route.not-judged: the last treatment ran by one needle, a needle and a catheter lumen, or a catheter."""
    treatments = case.profile.treatments
    if not treatments or treatments[-1].route not in NOT_JUDGED:
        return None
    last = treatments[-1]
    return Finding(
        rule=RULE,
        basis="measurement",
        sentence=f"The treatment of {day(last.at)} ran by {last.route}: static and dynamic pressure, recirculation and "
        "spacing were not judged.",
        urgency=ROUTINE.urgency,
        time_in_words=ROUTINE.time_in_words,
        first_seen=last.at,
        last_seen=last.at,
        times_seen=0,
        times_needed=0,
        raises=False,
        ask="Examine as always: signs count whatever the route.",
        source="own-choice",
        source_says="Pressures by one needle or by a catheter lumen say nothing about the access.",
        missing=("static and dynamic pressure, recirculation and spacing of this treatment",),
    )
