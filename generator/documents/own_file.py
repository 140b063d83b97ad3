"""The bytes of a file that a person wrote, or why there are none."""

from pathlib import Path

from generator.errors import BadFileError, OutputError
from generator.files.resources import why

MOST = 1 << 20
"""Bytes. A plan that names every key, form and figure one by one has a tenth of that."""


def read_own(path: Path) -> bytes:
    """The content of a file.

    Raises:
        BadFileError: it is larger than any a person writes; reading such a one takes minutes.
        OutputError: it cannot be read.
    """
    try:
        with path.open("rb") as file:
            data = file.read(MOST + 1)
    except OSError as problem:
        raise OutputError(f"cannot read {path}: {why(problem)}") from problem
    if len(data) > MOST:
        raise BadFileError(
            f"{path.name} is larger than {MOST >> 20} MB, which nobody writes by hand; is it the right file?"
        )
    return data
