"""Why a save or a reading was refused, in words that a nurse can act on.

Plain exceptions: what an answer to a browser looks like is the API's business.
"""

from collections.abc import Iterable
from typing import Any

# A field's path in the document ("needles.0.along_cm") and a sentence about it.
Remark = tuple[str, str]
Document = dict[str, Any]


class Problem(Exception):
    """A refusal with its sentence."""


class Missing(Problem):
    """No such record for this person and clinic: absent and another clinic's are the same."""

    def __init__(self) -> None:
        super().__init__("There is nothing here for you.")


class Invalid(Problem):
    """Some of what was entered cannot be; every field that was found wrong is named."""

    def __init__(self, fields: Iterable[Remark]) -> None:
        self.fields: tuple[Remark, ...] = tuple(fields)
        super().__init__(" ".join(text for _, text in self.fields))


class NeedsReason(Invalid):
    """A correction that does not say why."""

    def __init__(self) -> None:
        super().__init__([("reason", "This corrects what was already recorded. Say in a few words why.")])


class Conflict(Problem):
    """Two people changed the same part; both documents are handed back, nothing is stored."""

    def __init__(self, parts: Iterable[str], *, yours: Document, theirs: Document, version: int) -> None:
        self.parts: tuple[str, ...] = tuple(parts)
        self.yours, self.theirs, self.version = yours, theirs, version
        super().__init__(
            f"Somebody else changed the same part in the meantime ({', '.join(self.parts)}). "
            "Look at both and choose; nothing was lost."
        )
