"""``manage.py evaluate``: what the rules are worth, in simulation or over a clinic's own past.

Without arguments it runs all rules over simulated accesses whose truth is known; with ``--clinic`` it looks back over
the records of one clinic; with ``--write-table`` it makes the operating table anew. It changes no record.
"""

from argparse import ArgumentParser
from collections.abc import Iterable
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.db import DatabaseError
from django.utils import timezone

from access import bootstrap
from access.accounts.models import Clinic
from access.measures import Refused, operating, protocol
from access.practice.cohorts import operating_table
from access.practice.evaluation import looking_back, pictures, printed, program, simulated
from access.practice.evaluation.past import past
from access.practice.evaluation.simulated import ACCESSES, COHORTS, SEEDS

JUDGED = 80  # Stable accesses judged week by week: two or three minutes.
FEWEST = 50
NO_RECORDS = "This database holds no records of this version; access/settings.py says which database it is."


def count(text: str) -> int:
    """A whole number from 0 on."""
    number = int(text)
    if number < 0:
        raise ValueError(text)
    return number


def enough(text: str) -> int:
    """How many accesses a cohort holds; with fewer no median is worth printing."""
    number = int(text)
    if number < FEWEST:
        raise ValueError(text)
    return number


class Command(BaseCommand):
    """Evaluates the rules."""

    help = (
        "Runs all rules over simulated accesses with known truth, or over a clinic's own past, and prints their worth."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        """How much to simulate, whose past to look at, and what to write."""
        parser.add_argument("--accesses", type=enough, default=ACCESSES, help=f"in each cohort, {FEWEST} or more")
        parser.add_argument("--seeds", type=count, nargs="+", default=list(SEEDS))
        parser.add_argument("--cohort", choices=sorted(COHORTS), help="only this one; by default both")
        parser.add_argument("--judged", type=count, default=JUDGED, help="accesses judged week by week; 0 for none")
        parser.add_argument(
            "--protocol", choices=protocol.ids(), default=protocol.DEFAULT, help="the protocol that they are judged by"
        )
        parser.add_argument("--figures", type=Path, metavar="DIR", help="draw figures into this folder")
        parser.add_argument("--clinic", metavar="NAME", help="look back over this clinic's own records instead")
        parser.add_argument("--write-table", action="store_true", help="make the operating table anew instead")

    def handle(self, *args: Any, **options: Any) -> None:
        """The table, a clinic's past, or the simulation."""
        try:
            if options["write_table"]:
                self.write_table()
            elif options["clinic"]:
                self.look_back(options["clinic"])
            else:
                self.simulate(**options)
        except Refused as refused:
            raise CommandError(str(refused)) from refused

    def simulate(self, **options: Any) -> None:
        """Both cohorts, the accesses after a treatment, the program's rules, and the figures."""
        names = [options["cohort"]] if options["cohort"] else sorted(COHORTS)
        accesses, seeds, found = options["accesses"], options["seeds"], []
        for name in names:
            found.append(simulated.evaluated(name, accesses=accesses, seeds=seeds, say=bootstrap.say))
            self.show(printed.simulated(found[-1]))
        self.show(printed.treated(simulated.treated(accesses=accesses, seed=seeds[0])))
        if options["figures"]:
            for file in pictures.written(found, folder=options["figures"]):
                bootstrap.say(f"Drawn: {file}")
        if options["judged"]:
            judged = program.judged(
                options["judged"], seed=seeds[0], protocol=protocol.load(options["protocol"]), say=bootstrap.say
            )
            self.show(printed.program(judged))

    def look_back(self, name: str) -> None:
        """What would have been told before each thrombosis or intervention of a clinic."""
        try:
            clinic = Clinic.objects.filter(name=name).first()
            found = None if clinic is None else past(clinic, as_of=timezone.now(), say=bootstrap.say)
        except DatabaseError as failed:
            raise CommandError(NO_RECORDS) from failed
        if found is None:
            raise CommandError(f"There is no clinic “{name}” in this database.")
        self.show(looking_back.looked_back(found))

    def write_table(self) -> None:
        """The operating table as the program ships it."""
        text = operating_table.written(bootstrap.say)
        operating.FILE.write_text(text, encoding="utf-8")
        bootstrap.say(
            f"Written: {operating.FILE.name}. Tests hold it to the parameters of the trend and make one row anew."
        )

    def show(self, lines: Iterable[str]) -> None:
        """A block of lines between empty ones."""
        self.stdout.write("\n".join(["", *lines, ""]))
