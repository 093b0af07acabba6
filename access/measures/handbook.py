"""The handbook of the computation (``README.md``) as data: its sections, and what each says under its six headings.

The pages that show how a number is worked out read it here, so that they and the handbook never differ.
"""

import re
from functools import cache
from pathlib import Path

from access.measures import Refused

_SECTION = re.compile(r"^### (?P<id>\S+)\n(?P<text>.*?)(?=^#{1,3} |\Z)", re.MULTILINE | re.DOTALL)
_BULLET = re.compile(r"^- \*\*(?P<name>[^*]+)\*\*: ?(?P<text>.*?)(?=^- \*\*|^$|\Z)", re.MULTILINE | re.DOTALL)


@cache
def _sections() -> dict[str, str]:
    text = Path(__file__).with_name("README.md").read_text(encoding="utf-8")
    return {found["id"]: found["text"].strip() for found in _SECTION.finditer(text)}


def section(key: str) -> str:
    """What the handbook says under an id, without its heading.

    Raises
    ------
    Refused
        When the handbook has no such section.
    """
    if key not in _sections():
        raise Refused(f"The handbook has no section for “{key}”.", field="section")
    return _sections()[key]


@cache
def bullets(key: str) -> dict[str, str]:
    """The bullets of a section by name, each on one line; empty where the handbook has no section of this id."""
    found = _BULLET.finditer(_sections().get(key, ""))
    return {one["name"]: " ".join(one["text"].split()) for one in found}
