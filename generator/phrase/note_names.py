"""Note names inside a phrase, and what a phrase set, in words again."""

from typing import Any

from generator.catalogue.names import Word
from generator.exercise.records import Tempo
from generator.exercise.request import EVERY, ORDINALS
from generator.phrase.vocabulary import UNIT_NAMES
from generator.theory.pitch import LETTERS, NoteName


def told(kind: str, value: Any) -> str:  # noqa: ANN401
    """What a phrase set, in words.

    >>> told("degree", 2)
    'third'
    """
    if isinstance(value, Tempo):
        unit = next(name for name, length in UNIT_NAMES.items() if length == value.unit)
        return f"{unit} = {value.bpm}"
    if kind == "degree" and value != EVERY:
        return ORDINALS[value]
    return str(getattr(value, "name", value))


def note_name(words: tuple[Word, ...], at: int) -> tuple[NoteName | None, int]:
    """A note name at a place, and how many words it takes: ``Eb``, ``E flat``, ``E-flat``, ``F#``.

    >>> from generator.catalogue.names import words_of
    >>> name, used = note_name(words_of("E flat major"), 0)
    >>> name.name, used
    ('Eb', 2)
    """
    key = words[at].key
    letter, sign = key[:1], key[1:]
    # A flat sign alone folds to "b" but names no note.
    if (
        letter.upper() not in LETTERS
        or not words[at].text[0].isalpha()
        or sign not in ("", "#", "b", "##", "bb")
    ):
        return None, 0
    following = words[at + 1].key if at + 1 < len(words) else ""
    if not sign and following == "double" and at + 2 < len(words) and words[at + 2].key in ("flat", "sharp"):
        return NoteName(LETTERS.index(letter.upper()), -2 if words[at + 2].key == "flat" else 2), 3
    if not sign and following in ("flat", "sharp") and not words[at + 1].after_comma:
        return NoteName(LETTERS.index(letter.upper()), -1 if following == "flat" else 1), 2
    return NoteName.parse(letter.upper() + sign), 1
