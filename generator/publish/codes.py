"""Short codes for sheets: a person can say one, and the log can find the sheet by it."""

import hashlib
from collections.abc import Sequence

LETTERS = "23456789ABCDEFGHJKLMNPQRSTUVWXYZ"
"""Letters and digits that cannot be taken for one another on paper."""


def letters_of(number: int, parts: Sequence[object]) -> str:
    """So many letters that are the same for the same parts."""
    digest = hashlib.sha256("\x1f".join(map(str, parts)).encode()).digest()
    return "".join(LETTERS[byte % len(LETTERS)] for byte in digest[:number])


def sheet_code(parts: Sequence[object]) -> str:
    """The code of a sheet, the same for the same content.

    >>> sheet_code(["G major", "flute"]) == sheet_code(["G major", "flute"])
    True
    """
    return letters_of(4, parts)
