"""The rules of the signs: one for each sign that look, listen and feel can show.

No number enters here, so no normal number can silence a sign.
"""

from access.measures.examination import Sign
from access.measures.findings import Finding
from access.measures.rules.case import Case
from access.measures.rules.say import REPEAT, SIGN_HOLDS, counted
from access.measures.succession import Held, evidence_of


def signs(case: Case) -> tuple[Finding, ...]:
    """sign.*: each sign that was odd when last looked for; it holds, or asks for a second look."""
    return tuple(_sign(case, sign=sign) for sign in case.odd_signs)


def _sign(case: Case, *, sign: Sign) -> Finding:
    needed, held = case.needed("sign"), case.held(sign)
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
