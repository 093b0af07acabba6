"""The computation: numbers in, numbers out, without Django.

Everything here is a pure function of its arguments; only NumPy and SciPy are used.
What a function refuses it refuses with ``Refused``, whose text says which value and why.
"""


class Refused(ValueError):
    """An input from which no honest result follows; the text says which value and why."""

    def __init__(self, text: str, *, field: str = "") -> None:
        super().__init__(text)
        self.field = field
