"""The cases of fixtures/published and fixtures/arithmetic, read for the tests beside this file."""

import tomllib
from pathlib import Path
from typing import Any

FIXTURES = Path(__file__).parents[2] / "fixtures"
KINDS = ("published", "arithmetic")


def cases(area: str, *, formula: str, kind: str | None = None) -> list[dict[str, Any]]:
    """The cases of one area (a file's stem) for one formula, of one kind or of both."""
    found = [case for case in _all(area, kinds=KINDS if kind is None else (kind,)) if case["formula"] == formula]
    if not found:
        raise LookupError(f"No case of {formula} in {area}.toml: a test over none would pass unseen.")
    return found


def every_case(*areas: str) -> list[dict[str, Any]]:
    """Every case of these areas."""
    return [case for area in areas for case in _all(area, kinds=KINDS)]


def _all(area: str, *, kinds: tuple[str, ...]) -> list[dict[str, Any]]:
    paths = [FIXTURES / kind / f"{area}.toml" for kind in kinds]
    return [
        {"kind": path.parent.name, **case}
        for path in paths
        if path.exists()
        for case in tomllib.loads(path.read_text(encoding="utf-8"))["case"]
    ]
