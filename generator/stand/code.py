"""The code that another device has to know, kept in the home folder, and its picture for a camera."""

import contextlib
import io
import os
from pathlib import Path

import segno

from generator.errors import OutputError
from generator.files.resources import why
from generator.publish.codes import LETTERS

FILE = "stand-code"
_LENGTH = 26  # letters of 32, which is 130 bits


def code_of(folder: Path, chance: bytes, *, new: bool = False) -> str:
    """The code that was kept, or a new one, which is kept so that only this user can read it.

    Args:
        folder: where it is kept.
        chance: 16 bytes nobody can guess.
        new: forget the one that was kept.

    Raises:
        OutputError: it cannot be kept.
    """
    path = folder / FILE
    if not new:
        with contextlib.suppress(OSError, UnicodeDecodeError):
            kept = path.read_text("ascii").strip()
            if len(kept) == _LENGTH and set(kept) <= set(LETTERS):
                return kept
    number, found = int.from_bytes(chance, "big"), ""
    for _ in range(_LENGTH):
        number, letter = divmod(number, len(LETTERS))
        found += LETTERS[letter]
    draft = path.with_name(f"{FILE}.{os.getpid()}.part")
    try:
        folder.mkdir(parents=True, exist_ok=True)
        with os.fdopen(os.open(draft, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600), "w") as file:
            file.write(f"{found}\n")
        draft.replace(path)
    except OSError as problem:
        draft.unlink(missing_ok=True)
        raise OutputError(f"{path} cannot be written: {why(problem)}") from problem
    return found


def qr_lines(text: str) -> list[str]:
    """A QR code (ISO/IEC 18004) as lines of half blocks, which a terminal shows and a camera reads."""
    out = io.StringIO()
    segno.make(text, error="l", micro=False).terminal(out, compact=True)
    return out.getvalue().splitlines()
