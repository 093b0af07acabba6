"""The one command of the project: ``python3 manage.py demo``, ``python3 manage.py test``, and Django's own.

It lies outside the import contracts: bootstrap must run before Django is there to be imported.
"""

import importlib
import os
import sys

from access import bootstrap

# The tests and the demo need no secrets; every other command runs under what the environment says. An evaluation reads
# no record unless a clinic is named: where the environment names none of a clinic's either, it runs as the demo does.
COMMAND = sys.argv[1] if len(sys.argv) > 1 else ""
if COMMAND == "demo" or (COMMAND == "evaluate" and "SECRET_KEY" not in os.environ and "DATABASE_URL" not in os.environ):
    os.environ["ROPELADDER_DEMO"] = "1"
os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tests.settings" if COMMAND == "test" else "access.settings")


def main() -> None:
    """Makes what is missing, then does what is asked."""
    bootstrap.hand_over(sys.argv)
    # Only here may Django be imported: before hand_over it need not be installed.
    management = importlib.import_module("django.core.management")
    management.execute_from_command_line(sys.argv)


if __name__ == "__main__":
    main()
