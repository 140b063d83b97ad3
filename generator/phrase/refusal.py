"""Refusals that teach: what is wrong, what could stand there, and whole phrases that work.

Everything is data (the span, the kinds expected, the phrases), and one line for the person. Every phrase that is
offered was read before.
"""

from collections.abc import Callable, Iterator, Sequence

from generator.errors import PhraseError, RequestError, UnknownWordError, shown
from generator.phrase.near_names import CLAUSES, LISTED, MOST, advised, begun_before, near_names
from generator.phrase.offers import Typed, mended, offers
from generator.phrase.reader import Reader

Works = Callable[[str], str]
"""The canonical phrase of what a phrase asks for, the phrase itself where that is several things, "" where it fails."""
_TRIED = 24
_LONGEST = 380  # characters of the line for the person
_FIRST = ("form", "key set", "key list")
_MUST_COME_FIRST = "a key and a form, like G major or all keys, harmonic minor"


def unknown(reader: Reader, works: Works | None) -> UnknownWordError:
    """The refusal of a word that means nothing where it stands.

    Args:
        reader: stands at the word.
        works: whether a phrase can be read; None where nothing is to be offered.

    >>> from generator.catalogue.tables import shared_catalogue
    >>> from generator.phrase.ways import USUAL
    >>> error = unknown(Reader("majr", shared_catalogue(), USUAL), str)
    >>> error.span, error.nearest[0], error.expected
    ((1, 4), 'major', ('form', 'key set', 'key list'))
    """
    complete = any(part.form is not None for part in reader.parts)
    kinds = CLAUSES if complete else _FIRST
    advice, back, size = advised(reader)
    reader.at -= back if advice is not None else begun_before(reader)
    word = reader.words[reader.at]
    end = reader.words[min(reader.at + max(size, 1), len(reader.words)) - 1].end
    phrases: tuple[str, ...] = ()
    near: tuple[str, ...] = ()
    if works is not None:
        names = near_names(reader, (*LISTED, "form") if complete else (*_FIRST, *LISTED))
        phrases = _chosen(offers(reader, advice, size, names), works)
        near = tuple(name for name, _ in names)[:MOST]
    if advice is not None:
        reason = f"{shown(reader.text[word.place - 1 : end], 40)} {_where(reader)} {advice.why}"
    else:
        reason = (
            f"{shown(word.text, 40)} {_where(reader)} is not understood; {_hint(near, complete=complete)}"
        )
    return UnknownWordError(
        _sentence(reason, phrases),
        text=reader.text,
        span=(word.place, end),
        expected=kinds,
        suggestions=phrases,
        nearest=near,
    )


def _where(reader: Reader) -> str:
    return f"(character {reader.words[reader.at].place} of {reader.said})"


def _hint(near: Sequence[str], *, complete: bool) -> str:
    if near:
        return f"nearest: {', '.join(near)}"
    return (
        f"expected a {', '.join(CLAUSES[:-1])} or {CLAUSES[-1]}"
        if complete
        else f"expected {_MUST_COME_FIRST}"
    )


def refused(reader: Reader, error: RequestError, works: Works | None) -> PhraseError:
    """The refusal of a phrase that contradicts itself or lacks something, with phrases that work.

    >>> from generator.catalogue.tables import shared_catalogue
    >>> from generator.phrase.ways import USUAL
    >>> reader = Reader("G", shared_catalogue(), USUAL)
    >>> refused(reader, RequestError("it names no form"), lambda phrase: phrase).suggestions[0]
    'G major'
    """
    phrases = _chosen(mended(reader, error), works) if works is not None else ()
    last = min(reader.at, len(reader.words) - 1)
    span = (1, max(1, len(reader.text)))
    if reader.at < len(reader.words):
        span = (reader.words[last].place, reader.words[last].end)
    return PhraseError(_sentence(str(error), phrases), text=reader.text, span=span, suggestions=phrases)


def _sentence(reason: str, phrases: Sequence[str]) -> str:
    """The line for the person: the reason, and as many of the phrases as keep it short."""
    told = ""
    for phrase in phrases:
        more = f"{told} / {phrase}" if told else f"; try: {phrase}"
        if len(reason) + len(more) > _LONGEST:
            break
        told = more
    return reason + told


def _chosen(candidates: Iterator[str], works: Works) -> tuple[str, ...]:
    """The first few phrases that work, each once."""
    found: dict[str, str] = {}
    for tried, phrase in enumerate(candidates):
        if asked := works(phrase):
            typed = " ".join(phrase.split())
            found.setdefault(asked, typed if isinstance(phrase, Typed) and typed.isprintable() else asked)
        if len(found) == MOST or tried > _TRIED:
            break
    return tuple(found.values())
