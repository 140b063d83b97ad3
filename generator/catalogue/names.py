"""Matching names as people write them: case, hyphens and accidental signs do not matter."""

import difflib
import re
import unicodedata
from collections.abc import Collection
from dataclasses import dataclass
from functools import lru_cache

# A word with its accidental signs, or any other mark that is no mere separator.
_WORD = re.compile(r"[^\W_]+(?:['’][^\W_]+)?[#♯♭]*|[^\w\s,;:()\"'’‘“”\-‐‑–—]", re.UNICODE)
_PARTS = ",;\n"
_SIGNS = {"♯": "#", "♭": "b", "&": "and"}
LONGEST_NAME = 200
"""Characters. What follows in a longer text is not compared; no name of ours has a third of that."""
_COUNTS = {"1": "one", "2": "two", "3": "three", "4": "four", "5": "five", "6": "six", "8": "eight"}


@dataclass(frozen=True, slots=True)
class Word:
    """One word of a phrase.

    Attributes:
        text: as written.
        key: folded for comparison.
        place: 1-based character position.
        after_comma: a comma stood before it.
        gap: what stood between it and the word before.
    """

    text: str
    key: str
    place: int
    after_comma: bool = False
    gap: str = ""

    @property
    def end(self) -> int:
        """Place of its last character."""
        return self.place + len(self.text) - 1


def words_of(text: str) -> tuple[Word, ...]:
    """The words of a text with their places; commas and hyphens only part them."""
    text = unicodedata.normalize("NFC", text)
    found: list[Word] = []
    end = 0
    for match in _WORD.finditer(text):
        between = text[end : match.start()]
        found.append(
            Word(
                match.group(),
                _key(match.group()),
                match.start() + 1,
                any(sign in between for sign in _PARTS),
                between,
            )
        )
        end = match.end()
    return tuple(found)


def _key(word: str) -> str:
    key = word.casefold()
    if not key.isalnum() or not key.isascii():
        for sign, plain in _SIGNS.items():
            key = key.replace(sign, plain)
    return _COUNTS.get(key, key)


@lru_cache(maxsize=1 << 14)
def fold(name: str) -> tuple[str, ...]:
    """A name as the tuple of its folded words, which is how names are compared.

    >>> fold("Slur 2, tongue-2")
    ('slur', 'two', 'tongue', 'two')
    """
    text = name[:LONGEST_NAME]
    # Without the records of words: this is done for every name there is, whenever the program starts.
    return tuple(map(_key, _WORD.findall(text if text.isascii() else unicodedata.normalize("NFC", text))))


def hint(near: Collection[str], otherwise: str) -> str:
    """The end of a refusal: the nearest names, or what helps where none is near."""
    return f"nearest: {', '.join(near)}" if near else otherwise


def nearest_or_all(word: str, names: Collection[str]) -> str:
    """The end of a refusal of a word where few names are allowed: the nearest, or all of them."""
    near = nearest(word, names, most=1) if word.strip(" .,-_") else ()
    return hint(near, f"there is {', '.join(names)}")


def nearest(word: str, names: Collection[str], most: int = 3) -> tuple[str, ...]:
    """The names that look most like a word, best first; names that hold it as a whole word win."""
    word = word[:LONGEST_NAME]
    folded = fold(word)
    holding = [n for n in names if folded[0] in fold(n)] if len(folded) == 1 else []
    by_fold: dict[str, str] = {}
    for name in names:
        by_fold.setdefault(" ".join(fold(name)), name)
    hits = difflib.get_close_matches(" ".join(folded), by_fold, n=most, cutoff=0.55)
    return tuple(dict.fromkeys([*holding, *(by_fold[h] for h in hits)]))[:most]
