"""The rules of the signs: one for each sign that look, listen and feel can show.

No number enters here, so no normal number can silence a sign.
"""

from access.measures.examination import Sign
from access.measures.findings import Finding
from access.measures.rules.case import Case
from access.measures.rules.occasions import observed
from access.measures.rules.say import REPEAT, SIGN_HOLDS, counted
from access.measures.succession import Held, Observation, evidence_of, holding


def signs(case: Case) -> tuple[Finding, ...]:
    """sign.*: each sign that was odd when last looked for; it holds, or asks for a second look."""
    return tuple(_sign(case, sign=sign) for sign in case.odd_signs)


def _sign(case: Case, *, sign: Sign) -> Finding:
    needed = case.needed("sign")
    held = holding(_newest(case, sign=sign), needed=needed, gap_days=case.protocol.gap_days("sign"))
    line = SIGN_HOLDS if held.holds else REPEAT
    return Finding(
        rule=sign.rule,
        basis="sign",
        sentence=f"{sign.words.capitalize()}{_side(sign)}: {_how_often(held, needed=needed)}.",
        urgency=line.urgency,
        time_in_words=line.time_in_words,
        first_seen=held.run[0].at,
        last_seen=held.run[-1].at,
        times_seen=len(held.run),
        times_needed=1 if held.by_two_examiners else needed,
        ask="Refer: a clinical sign that holds." if held.holds else "Second look at the next treatment: still there?",
        source=sign.source,
        source_says=sign.source_says,
        evidence=evidence_of(held.run),
    )


def _how_often(held: Held, *, needed: int) -> str:
    if held.by_two_examiners:
        return "seen by two examiners at one treatment"
    return counted(len(held.run), needed=needed)


def _side(sign: Sign) -> str:
    return "" if sign.group == "other" else f" (a sign of the {sign.group})"


def _newest(case: Case, *, sign: Sign) -> tuple[Observation, ...]:
    """The occasions from the newest back to the first that looked for the sign and did not see it."""
    found: list[Observation] = []
    for occasion in reversed(case.occasions):
        if occasion.looked_for(sign.field):
            found.append(observed(occasion, sign=sign))
            if not found[-1].odd:
                break
    return tuple(reversed(found))
