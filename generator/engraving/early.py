"""LilyPond started before anything else is read.

LilyPond takes longer to start than Python takes to read our own modules; so a command that will want pages starts it
first of all, and whoever engraves claims the one that waits. One that nobody claims is stopped.
"""

from collections.abc import Sequence

from generator.engraving import lilypond
from generator.engraving.include import ENGRAVED, house
from generator.errors import GeneratorError
from generator.files.resources import data_folder

# What prints no page, or prints it in another way.
_OTHERWISE = {"--help", "--book", "--crop"}
_waiting: dict[tuple[str, ...], lilypond.Starting] = {}


def _includes() -> dict[str, str]:
    return house(data_folder("templates"))


def engraved_of(formats: str) -> tuple[str, ...]:
    """The formats LilyPond makes among those of ``pdf,png,json``, in order."""
    words = dict.fromkeys(word.strip().casefold() for word in formats.split(","))
    return tuple(word for word in words if word in ENGRAVED)


def start_for(words: Sequence[str]) -> None:
    """Start LilyPond if these command-line words ask for pages; say nothing if it cannot be done.

    Whatever is wrong (no LilyPond, a bad option) is found again, and told, by the command itself.

    Args:
        words: the arguments, the command's name first.
    """
    if not words or words[0] not in ("sheet", "today") or not _OTHERWISE.isdisjoint(words):
        return
    formats = "pdf"
    for word, following in zip(words, [*words[1:], ""], strict=True):
        if word in ("-f", "--format"):
            formats = following
        elif word.startswith("--format="):
            formats = word.partition("=")[2]
    wanted = engraved_of(formats)
    if wanted:
        try:
            _waiting[wanted] = lilypond.start(files=_includes(), formats=wanted)
        except (GeneratorError, OSError):
            return


def claim(formats: tuple[str, ...]) -> lilypond.Starting:
    """The LilyPond that waits for these formats, or a new one.

    Raises:
        LilyPondMissingError: there is none.
    """
    return _waiting.pop(formats, None) or lilypond.start(files=_includes(), formats=formats)


def forget() -> None:
    """Stop whatever still waits."""
    while _waiting:
        _waiting.popitem()[1].cancel()
