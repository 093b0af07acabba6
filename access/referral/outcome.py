"""What came of a referral: the procedure becomes an event of the access, and closes or keeps the flags behind it.

Everything happens in one transaction: event, flags, judging again, the referral done. An event that changes the
vessel starts its series anew, so what measurements had raised ends with it unless a person keeps it.
"""

from datetime import date

from django.db import transaction

from access.audit.trail import Acting
from access.records import entry
from access.records.history.describe import day_in_words
from access.records.models import VascularAccess
from access.records.problems import Invalid
from access.referral.models import Referral
from access.referral.states import locked, needed_text, stored
from access.review import flags, judging
from access.review.models import Flag

LONGEST_OUTCOME = 400
NO_PROCEDURE = ""


def record_outcome(
    referral: Referral,
    *,
    on: date,
    what: str,
    outcome: str,
    close_flags: bool,
    acting: Acting,
    where_cm: float | None = None,
    where_words: str = "",
    degree_percent: float | None = None,
) -> Referral:
    """Keep what came of a decided referral.

    Parameters
    ----------
    on : date
        The day of the procedure, or of the decision to do none.
    what : str
        What was done, in the words of events; empty where nothing was done to the access.
    outcome : str
        The result in words.
    close_flags : bool
        Whether the flags that the referral rested on are closed by this, or kept.

    Raises
    ------
    Invalid
        When the referral is not decided, or the event cannot be.
    """
    text = needed_text("outcome", outcome, most=LONGEST_OUTCOME, ask="Say what came of it")
    with transaction.atomic():
        found = locked("record the outcome of", referral=referral, acting=acting)
        access = VascularAccess.objects.get(pk=found.access_id)
        if what == NO_PROCEDURE:
            if where_cm is not None or degree_percent is not None:
                raise Invalid([("what", "A place or a degree was given: say what was done there.")])
        else:
            event = entry.add_event(
                access,
                on=on,
                what=what,
                where_cm=where_cm,
                where_words=where_words,
                degree_percent=degree_percent,
                outcome=text,
                acting=acting,
            )
            found.events = [*found.events, str(event.pk)]
        done = what.capitalize() or "No procedure"
        _settle(found, said=f"{done}, {day_in_words(on)}: {text}", close=close_flags, acting=acting)
        judging.judge(access, as_of=acting.at, acting=acting)
        found.state, found.done_at, found.outcome = "done", acting.at, text
        stored(found, acting=acting, step="done")
    return found


def _settle(referral: Referral, *, said: str, close: bool, acting: Acting) -> None:
    """Close the flags behind the referral with the outcome as the reason, or keep them standing."""
    for flag in Flag.objects.filter(pk__in=referral.flags, state__in=flags.STANDING).order_by("pk"):
        if close:
            flags.close(flag, why=said[: flags.LONGEST_WHY], acting=acting)
        else:
            flags.keep(flag, acting=acting)
