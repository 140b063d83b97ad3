"""What somebody may have meant by words that mean nothing in a phrase: by letters, and by meaning.

By meaning: among what people ask for that is not kept here (shared/advice.toml), among the instruments, and in the
sources of the rows.
"""

import difflib
from collections.abc import Sequence
from itertools import pairwise

from generator.catalogue.clauses import Advice
from generator.catalogue.names import Word, fold
from generator.catalogue.tables import Catalogue
from generator.errors import shown
from generator.phrase.reader import Reader

MOST = 3
CLAUSES = ("figure", "span", "rhythm", "articulation", "direction", "register", "degree", "tempo", "dynamic")
LISTED = (*CLAUSES, "clef", "times", "bar times", "inside", "names", "minor")
_WORDS_TRIED = 4
_LIKENESS, _SURELY = 0.68, 0.84
_HOLDS = 2.0  # better than any likeness
_COMPARED = 24  # names that share most pairs of letters are compared as a whole
_SHORTEST = 3  # letters; of shorter words too many look alike


_AdviceTable = dict[str, list[tuple[tuple[str, ...], Advice]]]
_TABLES: dict[int, _AdviceTable] = {}


def _advice_of(catalogue: Catalogue) -> _AdviceTable:
    table = _TABLES.get(id(catalogue))
    if table is None:
        table = _TABLES[id(catalogue)] = {}
        for row in catalogue.advice:
            for name in row.names:
                words = fold(name)
                table.setdefault(words[0], []).append((words, row))
        for entries in table.values():
            entries.sort(key=lambda entry: -len(entry[0]))
    return table


def advised(reader: Reader) -> tuple[Advice | None, int, int]:
    """The advice on the words that stand here: how many words before them belong to it, and how many they are.

    >>> from generator.catalogue.tables import shared_catalogue
    >>> from generator.phrase.ways import USUAL
    >>> advice, back, size = advised(Reader("contrary motion", shared_catalogue(), USUAL))
    >>> advice.why
    "is never printed: an exercise is one line, without a second voice, and a piano's hands play it an octave apart"
    """
    table = _advice_of(reader.catalogue)
    for back in (2, 1, 0):
        at = reader.at - back
        keys = tuple(word.key for word in reader.words[max(at, 0) : at + 6])
        for words, row in table.get(keys[0] if at >= 0 else "", ()):
            if keys[: len(words)] == words and len(words) > back:
                return row, back, len(words)
    instrument, size = _instrument(reader)
    if instrument:
        return (
            Advice(
                (), f"is an instrument; it is named beside the phrase: -i {shown(instrument)}", ("{rest}",)
            ),
            0,
            size,
        )
    return None, 0, 0


def _instrument(reader: Reader) -> tuple[str, int]:
    index = reader.catalogue.instruments.index
    for size in range(_WORDS_TRIED, 0, -1):
        words = reader.words[reader.at : reader.at + size]
        row = index.get(fold(" ".join(word.text for word in words)))
        if row is not None and len(words) == size:
            return row.name, size
    return "", 0


def near_names(reader: Reader, kinds: Sequence[str]) -> list[tuple[str, int]]:
    """The names that look or mean most like the words here, best first, and how many words each replaces.

    >>> from generator.catalogue.tables import shared_catalogue
    >>> from generator.phrase.ways import USUAL
    >>> near_names(Reader("majr", shared_catalogue(), USUAL), ("form",))[0]
    ('major', 1)
    """
    tried = _words_here(reader)
    authors = _by_source(reader, tried[0].key)
    if authors:
        return [(name, 1) for name in authors]
    scored: list[tuple[float, str, int]] = []
    for size in range(len(tried), 0, -1):
        wanted = " ".join(reader.vocabulary.spelled(w.key) for w in tried[:size])[:60]
        # What is a word of some name is hardly a slip of the pen.
        least = _SURELY if size == 1 and reader.vocabulary.stands(wanted) else _LIKENESS
        near = _like(wanted, kinds, reader, least)
        # A name that only holds the first of several words is far from them.
        scored += [(ratio, name, size) for ratio, name in near if ratio <= 1 or len(tried) == 1]
    scored.sort(key=lambda one: -one[0])
    sizes = {name: size for _, name, size in reversed(scored)}
    own = [" ".join(words) for words in reader.ways.figures]
    meant = difflib.get_close_matches(tried[0].key, own, n=1, cutoff=_LIKENESS)
    found = reader.vocabulary.distinct([name for _, name, _ in scored])
    return [*((name, 1) for name in meant), *((name, sizes[name]) for name in found)][:MOST]


def _words_here(reader: Reader) -> list[Word]:
    tried = [reader.words[reader.at]]
    for word in reader.words[reader.at + 1 : reader.at + _WORDS_TRIED]:
        if word.after_comma or word.key in ("in", "with", "at", "over", "and", "then", "on"):
            break
        tried.append(word)
    return tried


_FOLDED: dict[tuple[int, str], list[tuple[str, str, frozenset[str]]]] = {}


def _folded(kind: str, reader: Reader) -> list[tuple[str, str, frozenset[str]]]:
    """The names of a kind, folded, with their pairs of letters."""
    known = _FOLDED.get((id(reader.vocabulary), kind))
    if known is None:
        names = reader.vocabulary.names.get(kind, [])
        folded = [(" ".join(fold(name.removeprefix("from the "))), name) for name in names]
        known = [(words, name, _pairs(words)) for words, name in folded]
        _FOLDED[id(reader.vocabulary), kind] = known
    return known


def _pairs(text: str) -> frozenset[str]:
    return frozenset(map("".join, pairwise(f" {text} ")))


def _like(wanted: str, kinds: Sequence[str], reader: Reader, least: float) -> list[tuple[float, str]]:
    """Names by likeness of letters, those that hold the words whole first."""
    if len(wanted) < _SHORTEST:
        return []
    own = _pairs(wanted)
    scored: list[tuple[float, str]] = []
    likely: list[tuple[float, int, str, str]] = []
    for kind in kinds:
        for folded, name, pairs in _folded(kind, reader):
            if wanted in folded and f" {wanted} " in f" {folded} ":
                scored.append((_HOLDS - len(folded) / 1000, name))
            elif (shared := len(own & pairs)) * 4 >= len(own) + len(pairs) - 4:
                likely.append((-2 * shared / (len(own) + len(pairs)), len(likely), folded, name))
    matcher = difflib.SequenceMatcher(autojunk=False)
    matcher.set_seq2(wanted)
    for _, _, folded, name in sorted(likely)[:_COMPARED]:
        matcher.set_seq1(folded)
        if (ratio := matcher.ratio()) >= least:
            scored.append((ratio, name))
    scored.sort(key=lambda pair: -pair[0])
    return scored[: 4 * MOST]


def _by_source(reader: Reader, word: str) -> tuple[str, ...]:
    """Rows whose source tells of a word that is no name here: an author, a school."""
    if len(word) < 5 or reader.vocabulary.stands(word):
        return ()
    return tuple(name for name, words in reader.catalogue.sources if word in words)[:MOST]


def begun_before(reader: Reader) -> int:
    """How many words before this one belong to the same slip: of "slur two tong two" the first two are a name.

    >>> from generator.catalogue.tables import shared_catalogue
    >>> from generator.phrase.ways import USUAL
    >>> reader = Reader("C major, slur two tong two", shared_catalogue(), USUAL)
    >>> reader.at = 4  # at "tong", which is where reading ends
    >>> begun_before(reader)
    2
    """
    for back in (3, 2, 1):
        words = reader.words[max(reader.at - back, 0) : reader.at + _WORDS_TRIED - 1]
        if len(words) <= back or reader.at < back or any(word.after_comma for word in words[1 : back + 1]):
            continue
        if words[0].key in reader.catalogue.small.between:
            continue
        for size in range(len(words), back, -1):
            wanted = " ".join(reader.vocabulary.spelled(word.key) for word in words[:size])[:60]
            near = [name for _, name in _like(wanted, (*LISTED, "form"), reader, _SURELY)]
            if near and len(fold(near[0])) > back and near[0].split()[0].casefold()[:2] == words[0].key[:2]:
                return back
    return 0
