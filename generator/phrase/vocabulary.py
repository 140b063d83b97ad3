"""Every word a phrase may hold, gathered from the data and from the fixed clauses of the phrase itself."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from generator.catalogue.names import Word, words_of
from generator.catalogue.tables import Catalogue, Table
from generator.exercise.request import EVERY, IN_TURN
from generator.theory.duration import Value

ORDINALS = (
    "first",
    "second",
    "third",
    "fourth",
    "fifth",
    "sixth",
    "seventh",
    "eighth",
    "ninth",
    "tenth",
    "eleventh",
    "twelfth",
)
_NUMERALS = ("1st", "2nd", "3rd", "4th", "5th", "6th", "7th", "8th", "9th", "10th", "11th", "12th")
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
_CLAUSES: dict[tuple[str, Any], tuple[str, ...]] = {
    ("key set", "all keys"): (
        "all keys",
        "every key",
        "all twelve keys",
        "all 12 keys",
        "all starting notes",
    ),
    ("key set", "all sharp keys"): ("all sharp keys", "the sharp keys", "sharp keys", "all sharps"),
    ("key set", "all flat keys"): ("all flat keys", "the flat keys", "flat keys", "all flats"),
    ("key set", "all natural keys"): ("all natural keys", "natural keys", "all naturals"),
    ("key set", "all fifteen keys"): ("all fifteen keys", "all 15 keys"),
    ("names", "sharps"): ("sharp names", "with sharps"),
    ("names", "flats"): ("flat names", "with flats"),
    ("names", "both"): ("both names", "both spellings"),
    ("direction", "up and down"): ("up and down", "ascending and descending"),
    ("direction", "up"): ("up", "up only", "ascending", "ascending only", "upwards"),
    ("direction", "down"): ("down", "down only", "descending", "descending only", "downwards"),
    ("direction", "down first"): ("down first", "down and up", "descending first", "downward first"),
    ("register", "lowest octave"): (
        "lowest octave",
        "from the lowest octave",
        "from the lowest tonic",
        "low octave",
    ),
    ("register", "second octave"): (
        "second octave",
        "from the second octave",
        "an octave above the lowest tonic",
        "starting an octave above the lowest tonic",
    ),
    ("register", "middle octave"): (
        "middle octave",
        "from the middle octave",
        "in the middle octave",
        "middle register",
    ),
    ("register", "top octave"): (
        "top octave",
        "from the top octave",
        "highest octave",
        "upper octave",
        "from the upper octave",
    ),
    ("inside", True): ("inside", "inside the span", "staying inside", "no overshoot"),
    ("climb", True): (
        "two up one down",
        "two up, one down",
        "up two, down one",
        "tempi two up one down",
    ),
    ("articulation", EVERY): ("every articulation", "all articulations", "each articulation"),
    ("articulation", IN_TURN): ("articulations in turn", "articulation in turn", "an articulation each"),
    ("rhythm", EVERY): ("every rhythm", "all rhythms", "each rhythm"),
    ("rhythm", IN_TURN): ("rhythms in turn", "rhythm in turn", "a rhythm each"),
    ("degree", EVERY): ("from every degree", "from each degree", "on every degree"),
}


@dataclass(frozen=True, slots=True)
class Term:
    """A name and what it means: its kind, and its value in a request; ``commas`` are the words that follow one."""

    words: tuple[str, ...]
    kind: str
    value: Any
    text: str
    commas: frozenset[int] = frozenset()


class Vocabulary:
    """Finds the longest name that stands at a place of a phrase."""

    def __init__(self, catalogue: Catalogue) -> None:
        self.catalogue = catalogue
        self._by_first: dict[str, list[Term]] = {}
        self.names: dict[str, list[str]] = {}
        for kind, value, name in (*_rows(catalogue), *_clauses()):
            self._add(kind, value, name)
        for entries in self._by_first.values():
            entries.sort(key=lambda e: -len(e.words))

    def _add(self, kind: str, value: object, name: str) -> None:
        words = words_of(name)
        keys = tuple(w.key for w in words)
        commas = frozenset(k for k, w in enumerate(words) if w.after_comma)
        self._by_first.setdefault(keys[0], []).append(Term(keys, kind, value, name, commas))
        self.names.setdefault(kind, []).append(name)

    def distinct(self, names: Sequence[str], most: int = 3) -> tuple[str, ...]:
        """Of some names, the first for each meaning; degrees in words.

        >>> from generator.catalogue.tables import shared_catalogue
        >>> names = shared_catalogue()
        >>> Vocabulary(names).distinct(["eighths", "quavers", "triplets"])
        ('eighths', 'triplets')
        """
        meanings = {
            e.text: (e.kind, getattr(e.value, "name", str(e.value)))
            for entries in self._by_first.values()
            for e in entries
        }
        found: dict[tuple[str, str], str] = {}
        for name in names:
            kind, value = meanings[name]
            found.setdefault((kind, value), name if kind != "degree" else self._degree_words(value))
        return tuple(found.values())[:most]

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
        first = words[at].key if at < len(words) else ""
        found = [e for e in self._by_first.get(first, ()) if self._stands(e, words, at)]
        return sorted(found, key=lambda e: self._over_a_comma(e, words, at))

    @staticmethod
    def _degree_words(value: str) -> str:
        return f"from the {ORDINALS[int(value)]} degree" if value.isdigit() else "from every degree"

    @staticmethod
    def _stands(entry: Term, words: Sequence[Word], at: int) -> bool:
        return tuple(w.key for w in words[at : at + len(entry.words)]) == entry.words

    @staticmethod
    def _over_a_comma(entry: Term, words: Sequence[Word], at: int) -> bool:
        return any(words[at + k].after_comma and k not in entry.commas for k in range(1, len(entry.words)))


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


def _clauses() -> Iterator[tuple[str, Any, str]]:
    """Kind, value and name of the fixed clauses, degrees and metronome marks."""
    for (kind, value), names in _CLAUSES.items():
        for name in names:
            yield kind, value, name
    for degree, pair in enumerate(zip(ORDINALS, _NUMERALS, strict=True)):
        for word in pair:
            for start in ("from", "on", "starting on", "starting from", "beginning on"):
                yield "degree", degree, f"{start} the {word} degree"
    for unit, mark in UNIT_NAMES.items():
        for name in (unit, *_UNIT_ALIASES[unit]):
            yield "tempo", mark, f"{name} ="
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
