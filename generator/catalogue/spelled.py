"""Instruments as people write them in rosters and on scores: "Cl. 2", "1st Clarinet", "Sax, Bari", "Flute/Picc".

What a name leaves open is not guessed: it comes back with the likely instruments, for somebody to say which.
"""

import re
import tomllib
import unicodedata
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any

from generator.catalogue.names import LONGEST_NAME, fold, nearest
from generator.catalogue.tables import shared_catalogue
from generator.errors import BadFileError, OutputError, UnknownNameError
from generator.exercise.instrument import Instrument
from generator.files.resources import data_folder

Words = tuple[str, ...]
_ORDINALS = {"first": 1, "second": 2, "third": 3, "fourth": 4, "fifth": 5, "sixth": 6}
_ROMAN = {"i": 1, "ii": 2, "iii": 3, "iv": 4, "v": 5, "vi": 6}
_WORD = re.compile(r"[0-9]+(?:st|nd|rd|th)?(?![a-z])|[a-z]+(?:'[a-z]+)?")
_NUMBER = re.compile(r"([0-9]{1,2})(?:st|nd|rd|th)?$")
_SPLIT = re.compile(r"[/+&;|]|\band\b|\bdoubl(?:es|ing)(?: on)?\b|\bdbl\b\.?|\bwith\b|\bw/", re.IGNORECASE)
_ASIDE = re.compile(r"\(([^()]*)\)|\[([^\[\]]*)\]")
_SAYS_NOTHING = re.compile(r"[\s.\-–—?_/]*|n/?a|none|tbd|tba\?", re.IGNORECASE)
_SHORTEST_MISSPELT = 5


@dataclass(frozen=True, slots=True)
class SpelledPart:
    """One instrument out of a name.

    Attributes:
        instrument: which.
        said: the words for it, as written.
        chair: number of the chair, 0 where none is said.
        guessed: a letter was wrong.
    """

    instrument: Instrument
    said: str
    chair: int = 0
    guessed: bool = False


@dataclass(frozen=True, slots=True)
class SpelledName:
    """What a name says.

    Attributes:
        parts: its instruments, more than one for a doubler; none where it stays doubtful.
        likely: names of instruments it may mean, likeliest first, where it stays doubtful.
        shared: it is an ordinary name, of several instruments.
    """

    parts: tuple[SpelledPart, ...] = ()
    likely: tuple[str, ...] = ()
    shared: bool = False


@dataclass(frozen=True, slots=True)
class _Book:
    """Every spelling, by its plain words in the order of the alphabet."""

    words: dict[str, str]
    fillers: frozenset[str]
    known: dict[Words, tuple[Instrument, ...]]
    exact: dict[str, Instrument]
    doubtful: dict[Words, tuple[str, ...]]
    joined: frozenset[Words]
    vocabulary: frozenset[str]


def instrument_named(said: str) -> Instrument:
    """The one instrument a name stands for, by the names of the catalogue or as it is written on scores.

    Raises:
        UnknownNameError: no such name, or one that several share; gives the likely ones.
    """
    instruments = shared_catalogue().instruments
    try:
        return instruments.find(said)
    except UnknownNameError:
        found = spelled(said)
        if len(found.parts) == 1 and not found.parts[0].guessed and not found.parts[0].chair:
            return found.parts[0].instrument
        raise


@lru_cache(maxsize=1 << 12)
def spelled(said: str, *, hints: bool = True) -> SpelledName:
    """Read the name of an instrument, or of several that one player doubles on, chair and all.

    Args:
        said: as written.
        hints: look for the nearest names where it means nothing, which takes a hundred times as long.

    >>> [part.instrument.name for part in spelled("Flute/Picc").parts]
    ['flute', 'piccolo']
    >>> spelled("Sax").likely[:2]
    ('alto saxophone', 'tenor saxophone')
    """
    text = " ".join(unicodedata.normalize("NFKC", said[:LONGEST_NAME]).split())
    if _SAYS_NOTHING.fullmatch(text):
        return SpelledName()
    book, instruments = _book(), shared_catalogue().instruments
    whole = _one(text, book)
    if not whole.parts or not set(_keys(text, book)) & book.joined:
        # "Flute/Picc" is no piccolo flute, but "Clarinet, Bass" is a bass clarinet.
        doubled = _doubled(text, book)
        whole = SpelledName(doubled) if doubled else whole
    if whole.parts:
        return whole
    doubled = _doubled(_ASIDE.sub(r" / \1\2 ", text).replace(",", "/"), book)
    if doubled:
        return SpelledName(doubled)
    if whole.likely or not hints:
        return whole
    near = nearest(text, [n for r in instruments.rows for n in (r.name, *r.aliases)], most=5)
    return SpelledName((), tuple(dict.fromkeys(instruments.find(name).name for name in near)))


def chair_number(said: str) -> int:
    """The number of a chair out of "2", "2nd", "II" or "second"; 0 where there is none.

    >>> [chair_number(word) for word in ("2nd", "III", "Clarinet 4", "tuba")]
    [2, 3, 4, 0]
    """
    words = _words(said)
    numbers = [n for index, word in enumerate(words) if (n := _number(word, index, words))]
    return numbers[0] if numbers else 0


def _one(text: str, book: _Book) -> SpelledName:
    """One instrument, or what it may be."""
    words = _words(text)
    chair = chair_number(text)
    bare = _bare(words)
    as_printed = book.exact.get(_printed(_without_chair(text)))
    if as_printed:
        return SpelledName((SpelledPart(as_printed, text, chair),))
    for guessing in (False, True):
        plain = list(_plain(bare, book, guessing=guessing))
        for kept in (plain, [word for word in plain if word not in book.fillers]):
            key = tuple(sorted(kept))
            if key in book.doubtful:
                return SpelledName((), book.doubtful[key], shared=True)
            index = shared_catalogue().instruments.index
            named = index.get(fold(" ".join(bare))) or index.get(fold(" ".join(kept)))
            found = (named,) if named else book.known.get(key, ())
            if len(found) == 1:
                return SpelledName((SpelledPart(found[0], text, chair, guessing),))
            if found:
                return SpelledName((), tuple(row.name for row in found), shared=True)
    return SpelledName()


def _doubled(text: str, book: _Book) -> tuple[SpelledPart, ...]:
    """The instruments of a doubler; none unless every one of them is understood."""
    pieces = [piece.strip(" .") for piece in _SPLIT.split(text)]
    pieces = [piece for piece in pieces if piece]
    if not 1 < len(pieces) < 6:
        return ()
    shared = pieces[-1].split()[-1]
    found: dict[str, SpelledPart] = {}
    for piece in pieces:
        if not _bare(_words(piece)):
            continue  # "Clarinet 1 & 2": the other number of a chair
        one = _one(piece, book).parts or _one(f"{piece} {shared}", book).parts
        if not one:
            return ()
        found.setdefault(one[0].instrument.name, one[0])
    if len(found) == 1:  # "Clarinet 1 & 2", "Tuba/Sousaphone": one part, called what was written
        (only,) = found.values()
        return (SpelledPart(only.instrument, text, only.chair, only.guessed),)
    return tuple(found.values())


def _words(text: str) -> list[str]:
    """Plain words; "B-flat", "B flat" and "B♭" are one, and so are "T.C." and "treble clef"."""
    plain = unicodedata.normalize("NFKD", text.replace("♭", "b").replace("♯", "#").casefold())
    plain = "".join(sign for sign in plain if not unicodedata.combining(sign)).replace("’", "'")
    words = _WORD.findall(re.sub(r"([a-z])([0-9])", r"\1 \2", plain))
    found: list[str] = []
    for word in words:
        before = found[-1] if found else ""
        if word == "flat" and len(before) <= 2 and before:
            found[-1] = f"{before}b"
        elif word == "clef" and before in ("treble", "bass"):
            found[-1] = f"{before[0]}c"
        elif word == "c" and before in ("t", "b") and len(found) > 1:
            found[-1] = f"{before}c"
        else:
            found.append(word)
    return found


def _number(word: str, index: int, words: Sequence[str]) -> int:
    """The chair a word stands for: a figure, an ordinal, or a roman numeral at either end."""
    match = _NUMBER.match(word)
    if match:
        return int(match[1])
    if word in _ORDINALS:
        return _ORDINALS[word]
    at_end = index == len(words) - 1 or (index == 0 and word in ("ii", "iii", "iv"))
    return _ROMAN.get(word, 0) if at_end or word in ("ii", "iii", "iv") else 0


def _bare(words: Sequence[str]) -> list[str]:
    """The words that number no chair."""
    return [word for index, word in enumerate(words) if not _number(word, index, words)]


def _plain(words: Iterable[str], book: _Book, *, guessing: bool = False) -> Iterator[str]:
    """Words without abbreviations and plurals; with a wrong letter put right where that is asked for."""
    for word in words:
        forms = (word, word.removesuffix("s"), word.removesuffix("es"))
        found = next((form for form in forms if form in book.words or form in book.vocabulary), "")
        if not found and guessing and len(word) >= _SHORTEST_MISSPELT:
            near = {w for w in book.vocabulary if abs(len(w) - len(word)) < 2 and _one_letter_off(word, w)}
            found = near.pop() if len(near) == 1 else ""
        yield from book.words.get(found, found or word).split()


def _one_letter_off(a: str, b: str) -> bool:
    """Whether one letter left out, put in, changed, or two that changed places, make one word of another."""
    if len(a) > len(b):
        a, b = b, a
    start = next((i for i, (x, y) in enumerate(zip(a, b, strict=False)) if x != y), len(a))
    if len(a) < len(b):
        return a[start:] == b[start + 1 :]
    crossed = a[start : start + 2] == b[start : start + 2][::-1] and a[start + 2 :] == b[start + 2 :]
    return a[start + 1 :] == b[start + 1 :] or crossed


def _without_chair(text: str) -> str:
    return re.sub(r"^\s*[0-9]+(?:st|nd|rd|th)?\b\s*|\s*\b(?:[0-9]+(?:st|nd|rd|th)?|[IV]+)\s*$", "", text)


def _printed(text: str) -> str:
    return "".join(text.replace("♭", "-flat").casefold().split())


@lru_cache(maxsize=1)
def _book() -> _Book:
    """Every spelling there is."""
    data, instruments = _data(), shared_catalogue().instruments
    words: dict[str, str] = {short: row["word"] for row in data["word"] for short in row["said"]}
    fillers = frozenset(word for row in data["filler"] for word in row["said"])
    names = [(n, row) for row in instruments.rows for n in (row.name, row.short, row.label, *row.aliases)]
    names += [(said, instruments.find(row["instrument"])) for row in data["means"] for said in row["said"]]
    vocabulary = frozenset(w for name, _ in names for w in _words(name) if w not in words)
    book = _Book(words, fillers, {}, {}, {}, frozenset(), vocabulary)
    joined = frozenset(
        k for row in data["means"] for said in row["said"] for k in _keys(said, book) if "/" in said
    )
    book = replace(book, joined=joined)
    for name, row in names:
        for key in _keys(name, book):
            book.known[key] = tuple(dict.fromkeys((*book.known.get(key, ()), row)))
    for row in instruments.rows:
        book.exact.setdefault(_printed(row.short), row)
    for doubt in data["doubtful"]:
        likely = tuple(instruments.find(name).name for name in doubt["likely"])
        book.doubtful.update({key: likely for said in doubt["said"] for key in _keys(said, book)})
    return book


def _keys(name: str, book: _Book) -> tuple[Words, ...]:
    plain = list(_plain(_words(name), book))
    kept = [word for word in plain if word not in book.fillers]
    return tuple(dict.fromkeys(tuple(sorted(key)) for key in (plain, kept) if key))


def _data() -> Any:  # noqa: ANN401
    path = data_folder("shared") / "spellings.toml"
    try:
        return tomllib.loads(path.read_text("utf-8"))
    except OSError as error:
        raise OutputError(f"cannot read {path}: {error.strerror}") from None
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        raise BadFileError(f"{path.name}: {error}") from None
