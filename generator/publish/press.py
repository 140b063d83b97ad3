"""A LilyPond that gets ready while the rest of the program is still loaded and exercises are chosen and built.

Little is imported here, so that a command can open it first of all.
"""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager

from generator.engraving import lilypond
from generator.engraving.include import ENGRAVED, house_style
from generator.engraving.lilypond import Press
from generator.files.resources import data_folder


@contextmanager
def press_for(formats: Sequence[str], waiting: Press | None = None) -> Iterator[Press | None]:
    """A LilyPond that gets ready for these formats, stopped at the end if nobody used it; None where none needs it.

    Args:
        formats: as ordered.
        waiting: one that was started for the same formats; it is handed on, and its owner stops it.

    Raises:
        LilyPondMissingError: there is none.
    """
    engraved = engraved_of(formats)
    if waiting is not None or not engraved:
        yield waiting
        return
    with lilypond.start(files=house_style(data_folder("templates")), formats=engraved) as press:
        yield press


def engraved_of(formats: Sequence[str]) -> tuple[str, ...]:
    """The formats among these that LilyPond makes."""
    return tuple(name for name in formats if name in ENGRAVED)
