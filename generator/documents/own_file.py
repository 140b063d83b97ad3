"""The text of a file that a person wrote, or why there is none."""

from pathlib import Path

from generator.errors import BadFileError, OutputError
from generator.files.resources import why

MOST = 1 << 20
"""Bytes. A plan that names every key, form and figure one by one has a tenth of that."""


def own_text(path: Path) -> str:
    """The content of a file, without a byte order mark.

    Raises:
        BadFileError: it is larger than any a person writes (reading such a one takes minutes), or not UTF-8.
        OutputError: it cannot be read.
    """
    data = own_bytes(path)
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        raise BadFileError(
            f"{path.name}, line {line}: a character is not UTF-8; save the file as UTF-8"
        ) from None


def own_bytes(path: Path, most: int = MOST) -> bytes:
    """The content of a file.

    Args:
        path: the file.
        most: bytes; a larger file is refused.

    Raises:
        BadFileError: it is larger.
        OutputError: it cannot be read.
    """
    try:
        with path.open("rb") as file:
            data = file.read(most + 1)
    except OSError as problem:
        raise OutputError(f"cannot read {path}: {why(problem)}") from problem
    if len(data) > most:
        raise BadFileError(
            f"{path.name} is larger than {most >> 20} MB, which nobody writes by hand; is it the right file?"
        )
    return data
