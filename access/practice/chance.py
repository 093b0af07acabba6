"""Chance that can be repeated: numbers and ids that depend on a seed, a person and a day, and on nothing else.

A series is drawn from its first day on, so that a longer one begins with the shorter one: a day comes out the same
whenever it is made. It knows nothing of dialysis.
"""

import hashlib
from collections.abc import Sequence
from datetime import datetime
from uuid import UUID

import numpy as np
from numpy.typing import NDArray

Values = NDArray[np.float64]
Days = NDArray[np.int64]


def _digest(*key: object) -> bytes:
    return hashlib.sha256("\x1f".join(str(part) for part in key).encode()).digest()


def _stream(*key: object) -> np.random.Generator:
    return np.random.Generator(np.random.Philox(key=int.from_bytes(_digest(*key)[:16], "big")))


def normals(days: Days, *key: object) -> Values:
    """Standard normal numbers, one for each day number from 0 on that is asked for."""
    return _stream(*key).standard_normal(_length(days))[days]


def uniforms(days: Days, *key: object) -> Values:
    """Numbers between 0 and 1, one for each day number from 0 on that is asked for."""
    return _stream(*key).random(_length(days))[days]


def _length(days: Days) -> int:
    return int(days.max(initial=-1)) + 1


def between(low: float, high: float, *key: object) -> float:
    """One number between two others."""
    return low + (high - low) * float(_stream(*key).random())


def chosen(options: Sequence[str], *key: object) -> str:
    """One of several texts."""
    return options[int(between(0, len(options), *key))]


def record_id(at: datetime, *key: object) -> UUID:
    """The id of an invented record: a UUID of version 7 by its time, always the same for the same key.

    Notes
    -----
    RFC 9562: 48 bits of milliseconds, the version, and bits that are elsewhere random and here drawn from the key.
    """
    bits = int.from_bytes(_digest(*key)[:10], "big")
    milliseconds = int(at.timestamp() * 1000) & (1 << 48) - 1
    low = bits & (1 << 62) - 1 | 0b10 << 62
    return UUID(int=milliseconds << 80 | 7 << 76 | (bits >> 62 & 0xFFF) << 64 | low)
