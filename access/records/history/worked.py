"""How a number or a chart is worked out, for whoever asks: its inputs, formula, source and doubt as plain data.

Formula, source and doubt come from the handbook of the computation, so that the page and the handbook never differ; the
inputs come from the caller. It computes nothing.
"""

import re
from collections.abc import Iterable, Sequence
from typing import Any

from access.measures.handbook import bullets
from access.measures.sources import sources

IN_SIMULATION = "Checked in simulation, no patient data."
_QUOTED = re.compile(r"`([a-z0-9.-]+)`")

Input = tuple[str, str]


def worked(sections: Sequence[str], *, inputs: Iterable[Input], doubt: str = "") -> dict[str, Any]:
    """What is worked out by these sections of the handbook from these inputs; ``doubt`` is said after their limits.

    An input without a value is left out.
    """
    said = [bullets(one) for one in sections]

    def joined(name: str) -> str:
        return " ".join(one[name] for one in said if name in one)

    return {
        "inputs": [{"name": name, "value": value} for name, value in inputs if value],
        "formula": joined("Formula"),
        "source": _named(joined("Source")),
        "doubt": " ".join(part for part in (joined("Limits"), doubt) if part),
    }


def _named(text: str) -> str:
    """The ids of sources as their references."""
    known = sources()
    return _QUOTED.sub(lambda found: known[found[1]].reference.rstrip(".") if found[1] in known else found[0], text)
