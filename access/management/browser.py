"""Finds the Chromium that the browser journeys run in, and installs it where that may be done."""

import os
import shutil
import subprocess

NAMES = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable")


def chromium() -> str | None:
    """The path of the machine's Chromium, or None."""
    return next((path for path in map(shutil.which, NAMES) if path), None)


def install_chromium() -> bool:
    """Installs Debian's Chromium when this is root on a machine with apt; says whether one is there afterwards."""
    apt = shutil.which("apt-get")
    if apt and os.geteuid() == 0:
        unasked = {**os.environ, "DEBIAN_FRONTEND": "noninteractive"}
        for command in (["update"], ["install", "--yes", "--no-install-recommends", "chromium"]):
            subprocess.run([apt, "--quiet", *command], check=False, env=unasked)
    return chromium() is not None
