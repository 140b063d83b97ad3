"""How a phrase that is being typed may go on."""

from collections.abc import Sequence

from generator.catalogue.names import fold, words_of
from generator.catalogue.tables import Catalogue
from generator.errors import RequestError
from generator.phrase.read import parse_all
from generator.phrase.reader import Reader
from generator.phrase.vocabulary import vocabulary_of
from generator.phrase.ways import USUAL, Ways

MOST = 40
_LONGEST_TAIL = 5  # words of a name that is being typed
_FIRST = ("form", "minor", "key set", "key list", "figure")
_AFTER_KEYS = ("form", "minor", "figure")
_LATER = (
    "figure",
    "span",
    "rhythm",
    "articulation",
    "direction",
    "register",
    "degree",
    "clef",
    "dynamic",
    "times",
    "bar times",
)
_JOINTS = ("in", "on", "of", "and", "with", "at", "then", "a", "the", "over", "for")
_BEGINNINGS = (
    "C major",
    "A minor",
    "all keys, major",
    "chromatic on C",
    "usual band keys, major",
    "long tones on G",
)


def completions(text: str, catalogue: Catalogue, ways: Ways = USUAL) -> tuple[str, ...]:
    """Whole phrases, or beginnings of phrases, that begin with what was typed.

    Args:
        text: typed so far.
        catalogue: the names.
        ways: what the player's plan settles about phrases.

    >>> from generator.catalogue.tables import shared_catalogue
    >>> completions("G major in thi", shared_catalogue())[:3]
    ('G major in thirds', 'G major in thirty-seconds', 'G major in third of four long')
    >>> completions("G har", shared_catalogue())[:2]
    ('G harmonic minor', 'G harmonic major')
    """
    words = words_of(text)
    if not words:
        return _BEGINNINGS
    heads: list[tuple[str, tuple[str, ...]]] = [(text, ())] if text[-1:].isspace() else []
    for size in range(1, min(_LONGEST_TAIL, len(words)) + 1):
        cut = words[len(words) - size].place - 1
        heads.append((text[:cut], fold(text[cut:])))
    names = [(head, tail, *_names_after(head, catalogue, ways)) for head, tail in heads]
    rows = [f"{head}{name}" for head, tail, own, _ in names for name in own if _goes_on(name, tail)]
    # Other names for the same are offered where nothing is called so in the first place.
    others = [f"{head}{name}" for head, tail, _, more in names for name in more if _goes_on(name, tail)]
    return tuple(_typed(text, rows, catalogue, ways) or _typed(text, others, catalogue, ways))[:MOST]


def _typed(text: str, phrases: Sequence[str], catalogue: Catalogue, ways: Ways) -> list[str]:
    """Those phrases that begin letter by letter with what was typed, and that mean something or may yet."""
    found: list[str] = []
    for phrase in dict.fromkeys(phrases):
        if phrase.casefold().startswith(text.casefold()):
            try:
                parse_all(phrase, catalogue, ways)
            except RequestError as error:
                if " names no " not in str(error):
                    continue  # what only lacks something may still get it
            found.append(text + phrase[len(text) :])
    return found


def _goes_on(name: str, tail: Sequence[str]) -> bool:
    """Whether a name begins with the words typed, the last of which may be cut short."""
    if not tail:
        return True
    words = fold(name)
    whole, last = tuple(tail[:-1]), tail[-1]
    return words[: len(whole)] == whole and len(words) > len(whole) and words[len(whole)].startswith(last)


def _names_after(head: str, catalogue: Catalogue, ways: Ways) -> tuple[list[str], list[str]]:
    """Names that may stand after the beginning of a phrase: those of rows and clauses, and other names for the same."""
    reader = Reader(head, catalogue, ways)
    while reader.words and reader.words[-1].key in _JOINTS:
        reader.words = reader.words[:-1]
    kinds: tuple[str, ...] = _FIRST
    if reader.words:
        try:
            part = reader.read()[-1]
        except (LookupError, RequestError):
            return [], []
        kinds = _LATER if part.form is not None else _AFTER_KEYS if part.has_keys else _FIRST
    vocabulary = vocabulary_of(catalogue)
    names = [name for kind in kinds for name in vocabulary.names.get(kind, [])]
    rows = vocabulary.distinct(names)
    own = [" ".join(words) for words in ways.figures] if kinds is not _FIRST else []
    return [*rows, *own], [name for name in names if name not in set(rows)]
