"""The demo: two invented clinics with eighteen months of treatments, made by the model, judged, and decided on.

``fill`` may be called again on a later day and adds the days that are missing; what visitors did stays. It serves
nothing and prints nothing.
"""

from collections.abc import Callable, Collection, Iterator
from contextlib import contextmanager
from datetime import datetime, timedelta
from time import perf_counter

from access.practice import aftermath, founding, loading, shift
from access.practice.accesses import FIRST_DAY
from access.practice.calendar import Calendar
from access.practice.course import courses
from access.practice.founding import PASSWORD, Demo
from access.practice.people import people, places, staff
from access.review import judging
from access.review.models import Flag

# Judged so long before the moment shown, so that what people did about it lies between.
BEFORE = timedelta(minutes=30)
SEED = 20_260_311
Progress = Callable[[str], None]


def fill(
    *, as_of: datetime, seed: int = SEED, progress: Progress | None = None, only: Collection[str] | None = None
) -> None:
    """Make the invented clinics, or bring those that are there up to this moment.

    Parameters
    ----------
    as_of : datetime
        The moment that the demo shows, with its zone.
    seed : int
        All chance follows from it and from person and day.
    progress : callable, optional
        Is told in a few words what was done and how long it took.
    only : collection of str, optional
        The names of the patients who are made; by default all.
    """
    patients = [one for one in people() if only is None or one.name in only]
    say = progress or (lambda text: None)
    opened = founding.opened()
    calendar = Calendar(opened=opened or as_of + timedelta(days=FIRST_DAY), as_of=as_of, places=places())
    with _timed("Clinics, staff and patients", say):
        demo = founding.found(calendar, patients=patients, seed=seed)
    with _timed("The model, solved for every treatment", say):
        made = courses(patients, calendar=calendar, seed=seed)
    shift.move_patients(demo, made)
    known = loading.there(demo)
    if not known.treatments:
        say("Loading eighteen months of treatments; this takes about half a minute ...")
    with _timed("Treatments", say):
        new = loading.load_treatments(demo, made, known=known)
    with _timed("Flows, recirculations, doses, laboratory values", say):
        known = loading.there(demo)
        new += loading.load_measured(demo, made, known=known)
        loading.load_told(demo, made, known=known)
    with _timed("The shift that is due", say):
        shift.open_shifts(demo)
    # A second start on one day brings nothing new, unless the first was broken off before it had judged.
    if new or not Flag.objects.exists():
        with _timed("Judged", say):
            _judge(demo)
    with _timed("Decisions and referrals", say):
        aftermath.decide(demo, patients=patients)


def _judge(demo: Demo) -> None:
    for place, clinic in demo.clinics.items():
        acting = demo.acting(demo.coordinator(place), at=demo.calendar.as_of - BEFORE)
        judging.judge_many(clinic, as_of=demo.calendar.as_of, acting=acting)


def sign_ins() -> list[tuple[str, str, str]]:
    """Who may sign in to the demo: what they are and where, the username, the password."""
    return [
        (f"{one.role} at {places()[one.clinic].name}, {one.name}", one.username, PASSWORD)
        for one in staff()
        if one.signs_in
    ]


@contextmanager
def _timed(what: str, say: Progress) -> Iterator[None]:
    begun = perf_counter()
    yield
    say(f"{what}: {perf_counter() - begun:.1f} s")
