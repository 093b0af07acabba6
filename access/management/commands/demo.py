"""``manage.py demo``: the invented clinic on this machine, made if need be, served, with a sign-in for each role.

It always uses its own SQLite file and the loopback address. A start on a later day appends the missing days.
"""

import os
import socket
import sys
from argparse import ArgumentParser
from datetime import datetime
from typing import Any

from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError
from django.db import connections
from django.utils import timezone
from django.utils.dateparse import parse_datetime

from access import bootstrap
from access.practice import clinic

ADDRESS = "127.0.0.1"
PORT = 8000
# More writers than this only wait for each other on SQLite.
WORKERS = 2


def moment(text: str) -> datetime:
    """A day as YYYY-MM-DD, taken at noon UTC, or a time with its offset."""
    read = parse_datetime(text if "T" in text else f"{text}T12:00:00+00:00")
    if read is None or timezone.is_naive(read):
        raise ValueError(text)
    return read


def require_free(port: int) -> None:
    """Says so when somebody else answers at this port, instead of leaving the visitor with them."""
    with socket.socket() as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind((ADDRESS, port))
        except OSError as error:
            raise CommandError(f"Port {port} is taken. Try: python3 manage.py demo --port {port + 1}") from error


def serve(port: int) -> None:
    """Becomes the web server; it stops with Ctrl-C and leaves the clinic as it is."""
    connections.close_all()
    command = [sys.executable, "-m", "gunicorn", "access.wsgi", "--bind", f"{ADDRESS}:{port}"]
    os.execv(sys.executable, [*command, "--workers", str(WORKERS), "--log-level", "warning"])  # noqa: S606


class Command(BaseCommand):
    """Makes and serves the demo."""

    help = "Makes the invented clinic, serves it on this machine and prints a sign-in for each role."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """The day to show, the port, and whether to serve at all."""
        parser.add_argument("--as-of", type=moment, default=None, metavar="DATE", help="show the clinic on this day")
        parser.add_argument("--port", type=int, default=PORT)
        parser.add_argument("--no-serve", action="store_true", help="make everything and stop")

    def handle(self, *args: Any, as_of: datetime | None, port: int, no_serve: bool, **options: Any) -> None:
        """Page, tables, clinic, server."""
        if not no_serve:
            require_free(port)
        bootstrap.build_page()
        bootstrap.say("Preparing the demo's own database ...")
        call_command("migrate", verbosity=0)
        self.fill(as_of or timezone.now())
        if not no_serve:
            bootstrap.say(f"The demo is at http://{ADDRESS}:{port}/ and stops with Ctrl-C.")
            serve(port)

    def fill(self, as_of: datetime) -> None:
        """The invented clinic up to this moment, and the people who may sign in."""
        bootstrap.say("Filling the invented clinic ...")
        clinic.fill(as_of=as_of, progress=lambda text: bootstrap.say(f"  {text}"))
        bootstrap.say("Sign in as:")
        for who, username, password in clinic.sign_ins():
            bootstrap.say(f"  {username:<8} {password}   {who}")
