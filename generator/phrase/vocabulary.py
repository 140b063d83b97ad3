"""Every word a phrase may hold, gathered from the data and from the fixed clauses of the phrase itself."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from generator.catalogue.names import Word, fold, words_of
from generator.catalogue.tables import Catalogue, Table
from generator.exercise.request import ORDINALS
from generator.phrase.words import GLUED
from generator.theory.duration import Value

_NUMERALS = ("1st", "2nd", "3rd", "4th", "5th", "6th", "7th", "8th", "9th", "10th", "11th", "12th")
_DEGREES = ("tonic", "supertonic", "mediant", "subdominant", "dominant", "submediant", "leading", "root")
UNIT_NAMES = {
    "quarter": Value(4),
    "dotted quarter": Value(4, 1),
    "half": Value(2),
    "dotted half": Value(2, 1),
    "eighth": Value(8),
    "dotted eighth": Value(8, 1),
    "sixteenth": Value(16),
    "whole": Value(1),
}
_UNIT_ALIASES = {
    "quarter": ("quarter note", "crotchet", "♩", "q"),
    "dotted quarter": ("dotted quarter note", "dotted crotchet", "♩."),
    "half": ("half note", "minim"),
    "dotted half": ("dotted half note", "dotted minim"),
    "eighth": ("eighth note", "quaver", "♪"),
    "dotted eighth": ("dotted eighth note", "dotted quaver"),
    "sixteenth": ("sixteenth note", "semiquaver"),
    "whole": ("whole note", "semibreve"),
}
NTH = {
    **{word: degree for degree, word in enumerate(ORDINALS)},
    **{word: degree for degree, word in enumerate(_NUMERALS)},
    **{word: degree % 7 for degree, word in enumerate(_DEGREES)},
}
"""Degrees from 0, as people number or name them."""
BARE_ARPEGGIO = (("arpeggio",), ("arpeggios",))


@dataclass(frozen=True, slots=True)
class Term:
    """A name and what it means: its kind, and its value in a request; ``commas`` are the words that follow one."""

    words: tuple[str, ...]
    kind: str
    value: Any
    text: str
    commas: frozenset[int] = frozenset()


class _Index:
    """Terms by their words, looked up by length, so that it does not matter how many begin alike."""

    def __init__(self) -> None:
        self._terms: dict[tuple[str, ...], list[Term]] = {}
        self._lengths: dict[str, list[int]] = {}

    def add(self, term: Term) -> None:
        self._terms.setdefault(term.words, []).append(term)
        lengths = self._lengths.setdefault(term.words[0], [])
        if len(term.words) not in lengths:
            lengths.append(len(term.words))
            lengths.sort(reverse=True)

    def standing(self, words: Sequence[Word], at: int) -> list[Term]:
        """The terms that stand at a place, the longest first."""
        lengths = self._lengths.get(words[at].key, ()) if 0 <= at < len(words) else ()
        if not lengths:
            return []
        keys = tuple(word.key for word in words[at : at + lengths[0]])
        return [
            term for length in lengths for term in self._terms.get(keys[:length], ()) if length <= len(keys)
        ]


class Vocabulary:
    """Finds the longest name that stands at a place of a phrase."""

    def __init__(self, catalogue: Catalogue) -> None:
        self.catalogue = catalogue
        self._terms = _Index()
        self._symbols = _Index()
        self._words: set[str] = set()
        self._pairs: set[tuple[str, str]] = set()
        self._glue: set[str] = {"flat", "sharp", *GLUED}
        self.names: dict[str, list[str]] = {}
        self._meanings: dict[str, tuple[str, str]] = {}
        for kind, value, name in (*_rows(catalogue), *_clauses(catalogue)):
            self._add(kind, value, name)
        for degree, word in enumerate(ORDINALS):
            self._offered("degree", str(degree), f"from the {word} degree")
        for form in catalogue.forms.rows:
            for symbol in form.symbols:
                self._add_symbol("form", form, symbol)

    def _add(self, kind: str, value: object, name: str) -> None:
        term = self._term(kind, value, name)
        self._terms.add(term)
        self._words.update(term.words)
        self._pairs.update(pairwise(term.words))
        if kind in ("form", "minor") and len(term.words[0]) > 2:
            self._glue.add(term.words[0])
        self._offered(kind, getattr(value, "name", str(value)), name)

    def _offered(self, kind: str, value: str, name: str) -> None:
        """Keep a name that may be offered in place of a word that is not understood."""
        self.names.setdefault(kind, []).append(name)
        self._meanings.setdefault(name, (kind, value))

    def distinct(self, names: Sequence[str]) -> list[str]:
        """Of some names, the first for each meaning.

        >>> from generator.catalogue.tables import shared_catalogue
        >>> vocabulary_of(shared_catalogue()).distinct(["eighths", "quavers", "triplets"])
        ['eighths', 'triplets']
        """
        found: dict[tuple[str, str], str] = {}
        for name in names:
            kind, value = self._meanings[name]
            found.setdefault((kind, value), name)
        return list(found.values())

    def _add_symbol(self, kind: str, value: object, symbol: str) -> None:
        term = self._term(kind, value, symbol)
        self._symbols.add(term)
        self._glue.update((term.words[0], symbol.casefold()))

    def _term(self, kind: str, value: object, name: str) -> Term:
        short = self.catalogue.small.short
        keys = tuple(short.get(key, key) for key in fold(name))
        if "," not in name:
            return Term(keys, kind, value, name)
        commas = frozenset(k for k, w in enumerate(words_of(name)) if w.after_comma)
        return Term(keys, kind, value, name, commas)

    def spelled(self, key: str) -> str:
        """What a word in haste stands for, or the word itself.

        >>> from generator.catalogue.tables import shared_catalogue
        >>> vocabulary_of(shared_catalogue()).spelled("arp")
        'arpeggio'
        """
        return self.catalogue.small.short.get(key, key)

    def stands(self, key: str) -> bool:
        """Whether a word begins or goes on a name.

        >>> from generator.catalogue.tables import shared_catalogue
        >>> vocabulary_of(shared_catalogue()).stands("octaves")
        True
        """
        return key in self._words

    def glues(self, key: str) -> bool:
        """Whether a word may stand glued to the name of a note: a mode or a chord symbol.

        >>> from generator.catalogue.tables import shared_catalogue
        >>> [vocabulary_of(shared_catalogue()).glues(word) for word in ("major", "m7", "trumpet")]
        [True, True, False]
        """
        return key in self._glue or self.spelled(key) in self._glue

    def follows(self, before: str, key: str) -> bool:
        """Whether a word follows another one in some name.

        >>> from generator.catalogue.tables import shared_catalogue
        >>> vocabulary_of(shared_catalogue()).follows("lydian", "b7")
        True
        """
        return (before, key) in self._pairs

    def symbol(self, words: Sequence[Word], at: int) -> Term | None:
        """The chord symbol that stands right after a note, the longest one.

        >>> from generator.catalogue.tables import shared_catalogue
        >>> from generator.phrase.words import phrase_words
        >>> names = vocabulary_of(shared_catalogue())
        >>> names.symbol(phrase_words("Bm7b5", names), 1).value.name
        'half-diminished seventh'
        """
        found = self._symbols.standing(words, at)
        return next((e for e in found if not self._over_a_comma(e, words, at)), None)

    def longest(self, words: Sequence[Word], at: int) -> list[Term]:
        """Entries that stand at a place, the longest first; several of one length when kinds share a name.

        A name that would run over a comma it does not have itself comes after all others: "C major, seventh
        chords" is no major seventh, yet "slur two, tongue two" is understood.

        >>> from generator.catalogue.tables import shared_catalogue
        >>> names = shared_catalogue()
        >>> from generator.catalogue.names import words_of
        >>> Vocabulary(names).longest(words_of("two octaves"), 0)[0].value.name
        'two octaves'
        """
        return sorted(self._terms.standing(words, at), key=lambda e: self._over_a_comma(e, words, at))

    def _over_a_comma(self, entry: Term, words: Sequence[Word], at: int) -> bool:
        size = len(entry.words)
        return any(
            words[at + k].after_comma and (k not in entry.commas or self._longer(words, at + k, size - k))
            for k in range(1, size)
        )

    def _longer(self, words: Sequence[Word], at: int, size: int) -> bool:
        """Whether a name of more words stands there: "thirds, alternating sticking" is two clauses."""
        standing = self._terms.standing(words, at)
        return bool(standing) and len(standing[0].words) > size


def _rows(catalogue: Catalogue) -> Iterator[tuple[str, Any, str]]:
    """Kind, value and name of everything the data files name."""
    tables: dict[str, Table[Any]] = {
        "form": catalogue.forms,
        "figure": catalogue.figures,
        "span": catalogue.spans,
        "rhythm": catalogue.rhythms,
        "articulation": catalogue.articulations,
    }
    named = [(kind, row) for kind, table in tables.items() for row in table.rows]
    named += [(group.kind, group) for group in catalogue.sets.rows]
    named += [("form", routine) for routine in catalogue.routines.rows]
    named += [("key list", keys) for keys in catalogue.key_lists.rows]
    for kind, row in named:
        for name in (row.name, *row.aliases):
            yield kind, row, name


def _clauses(catalogue: Catalogue) -> Iterator[tuple[str, Any, str]]:
    """Kind, value and name of the clauses, degrees and metronome marks."""
    for clause in catalogue.clauses:
        for name in clause.names:
            yield clause.kind, clause.value, name
    for unit, mark in UNIT_NAMES.items():
        for name in (unit, *_UNIT_ALIASES[unit]):
            yield "tempo", mark, f"{name} ="
            yield "tempo", mark, f"{name} equals"
            yield "tempo", mark, name


_VOCABULARIES: dict[int, Vocabulary] = {}


def vocabulary_of(catalogue: Catalogue) -> Vocabulary:
    """The vocabulary of a catalogue, made once.

    >>> from generator.catalogue.tables import shared_catalogue
    >>> names = shared_catalogue()
    >>> from generator.catalogue.names import words_of
    >>> [term.kind for term in vocabulary_of(names).longest(words_of("harmonic minor in thirds"), 0)][:1]
    ['form']
    """
    found = _VOCABULARIES.get(id(catalogue))
    if found is None or found.catalogue is not catalogue:
        found = _VOCABULARIES[id(catalogue)] = Vocabulary(catalogue)
    return found
