"""Where a damaged log goes when a new one takes its place."""

import contextlib
import datetime as dt
import os
import shutil
from pathlib import Path

from generator.practice_log.database import plain_words


def begun(path: Path) -> Path | None:
    """Where a repair that was cut short laid this very log aside."""
    with contextlib.suppress(OSError):
        data = path.read_bytes()
        for one in sorted(path.parent.glob(f"{path.name}.damaged-*")):
            if not one.name.endswith(("-wal", "-shm")) and one.read_bytes() == data:
                return one
    return None


def free_name(path: Path, day: dt.date) -> Path:
    """A name for a damaged log that nothing has."""
    aside = path.with_name(f"{path.name}.damaged-{day}")
    number = 1
    while aside.exists():
        number += 1
        aside = path.with_name(f"{path.name}.damaged-{day}.{number}")
    return aside


def lay_aside(path: Path, new: Path, aside: Path) -> Path:
    """Put the new log in place of the old one, which gets another name first; at every moment there is one.

    Args:
        path: of the log.
        new: the log made anew.
        aside: the other name, which the log has already where a repair was cut short.

    Raises:
        OutputError: the disk is in the way.
    """
    with plain_words(path):
        if not aside.exists():
            try:
                os.link(path, aside)
            except (OSError, AttributeError):  # a disk, or a Python, without hard links
                shutil.copyfile(path, aside)
        for end in ("-wal", "-shm"):
            with contextlib.suppress(FileNotFoundError):
                path.with_name(f"{path.name}{end}").rename(aside.with_name(f"{aside.name}{end}"))
        new.replace(path)
    path.with_name(f"{path.name}.sound").unlink(missing_ok=True)
    return aside
