"""The words of a phrase: words in haste spelled out, and what was typed without a space taken apart."""

import re
from dataclasses import replace
from typing import Protocol

from generator.catalogue.names import Word, words_of

_KEY = r"([A-Ga-g])(flat|sharp|bb|b|##|#)?"
_NOTE = re.compile(r"[a-g](bb|b|##|#)?")
_GLUED_SIGN = re.compile(r"[a-g](flat|sharp)")
_NOTE_AND_MORE = re.compile(_KEY + r"(.+)")
_NUMBER_AND_MORE = re.compile(r"(\d{1,3})(\D.*)")
_DOTTED = ("\u2669", "\u266a")
_UNITS = ("bpm", "mm")
_CHORD = re.compile(r"m?(maj)?(9|1[13]|7.+)|m?7?sus[24]?|add\d+|alt|7alt|6/9|69")
_DIGITS = re.compile(r"[1-9]{4,8}")
GLUED = {"m": "minor", "mi": "minor", "ma": "major"}
"""What may follow the name of a note and says no more than its mode."""
_JAZZ_MINOR = {"7": "m7", "7b5": "m7b5"}


class _Known(Protocol):
    """What has to be known to take words apart."""

    def spelled(self, key: str) -> str:
        """What a word in haste stands for, or the word itself."""

    def stands(self, key: str) -> bool:
        """Whether a word begins or goes on a name."""

    def glues(self, key: str) -> bool:
        """Whether a word may stand glued to the name of a note: a mode or a chord symbol."""

    def follows(self, before: str, key: str) -> bool:
        """Whether a word follows another one in some name."""


def phrase_words(text: str, known: _Known) -> tuple[Word, ...]:
    """The words of a phrase.

    Args:
        text: the phrase.
        known: the vocabulary.

    >>> from generator.catalogue.tables import shared_catalogue
    >>> from generator.phrase.vocabulary import vocabulary_of
    >>> [word.key for word in phrase_words("Ebmaj, 2oct and F#m7", vocabulary_of(shared_catalogue()))]
    ['eb', 'major', 'two', 'octave', 'and', 'f#', 'm7']
    """
    found: list[Word] = []
    for word in words_of(text):
        if word.text == "." and word.gap == "" and found and found[-1].key not in _DOTTED:
            continue  # "maj." is short for something
        if found and _jazz_minor(found[-1], word):
            found.append(Word("-", "minor", found[-1].end + 1, gap=""))
            parts = _apart(replace(word, gap=" "), found[-1], known)
        else:
            parts = _apart(word, found[-1] if found else None, known)
        found += [replace(part, key=known.spelled(part.key)) for part in parts]
    return tuple(found)


def _apart(word: Word, before: Word | None, known: _Known) -> tuple[Word, ...]:
    """A word as the one or several that it holds."""
    key = word.key
    if before is not None and _is_note(before.key) and (after := _after_note(word)):
        return (replace(word, key=after),)
    if _is_note(key) or key.isdecimal() or (before is not None and known.follows(before.key, key)):
        return (word,)
    number = _NUMBER_AND_MORE.fullmatch(key)
    unit = number is not None and (known.stands(known.spelled(number[2])) or number[2] in _UNITS)
    if number and unit and not known.stands(key):
        return _parts(word, len(number[1]))
    note = _NOTE_AND_MORE.fullmatch(word.text)
    # A flat belongs to the note, unless what is left is no word then.
    for cut in dict.fromkeys((1 + len(note[2] or ""), 1)) if note else ():
        rest = _symbol(word.text[cut:])
        if known.glues(rest) or _CHORD.fullmatch(rest):
            first, *last = _parts(word, cut)
            told = rest.startswith("maj") or rest in GLUED
            said = [replace(one, key=GLUED.get(rest, rest)) for one in last] if told else last
            return (*_flat_apart(first), *said)
    return _flat_apart(word)


def _jazz_minor(before: Word, word: Word) -> bool:
    """Whether a hyphen after a note is the minus of a minor chord: "A- pentatonic"."""
    dash = word.gap[:1] == "-" and len(word.gap) > 1
    return dash and _is_note(before.key) and word.key not in ("flat", "sharp", "major", "minor")


def _after_note(word: Word) -> str:
    """What a word right after a note stands for: C-7, CM7, F#m; "" where it is nothing special."""
    if word.gap == "-" and word.key in _JAZZ_MINOR:
        return _JAZZ_MINOR[word.key]
    if word.gap == "" and word.text[:1] == "M":
        return _symbol(word.text)
    return GLUED.get(word.key, "") if not word.after_comma else ""


def _symbol(text: str) -> str:
    """The key of a chord symbol: a capital M is major, a small one minor."""
    major = text[:1] == "M" and text[1:2] in ("", "7", "6", "9")
    return "maj" + text[1:].casefold() if major else text.casefold().replace("♭", "b").replace("♯", "#")


def _parts(word: Word, cut: int) -> tuple[Word, ...]:
    first, second = words_of(word.text[:cut]), words_of(word.text[cut:])
    if len(first) != 1 or len(second) != 1:
        return (word,)
    return (
        replace(first[0], place=word.place, after_comma=word.after_comma, gap=word.gap),
        replace(second[0], place=word.place + cut, gap=""),
    )


def _flat_apart(word: Word) -> tuple[Word, ...]:
    """``Bflat`` as two words; any other word as it is."""
    return _parts(word, 1) if _GLUED_SIGN.fullmatch(word.key) else (word,)


def _is_note(key: str) -> bool:
    return bool(_NOTE.fullmatch(key)) or key in ("flat", "sharp")


def digits_apart(word: Word) -> tuple[int, ...]:
    """The degrees of ``1235``, or none.

    >>> digits_apart(words_of("1235")[0])
    (1, 2, 3, 5)
    """
    return tuple(map(int, word.text)) if _DIGITS.fullmatch(word.text) else ()
