"""The settings of a process that makes or serves the prepared demo: the tests' own, on the file it is given."""

import os
from pathlib import Path

from access.settings import sqlite
from tests.settings import *  # noqa: F403

DATABASES = {"default": sqlite(Path(os.environ["PREPARED_DATABASE"]))}
