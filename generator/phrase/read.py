"""The phrase: one sentence for a request, as musicians say it.

    [concert] KEYS FORM [in FIGURE] [, clause]...        G major in thirds, two octaves, quarter = 84
    FORM on KEYS ...                                     whole-tone on C and D-flat, every articulation

Reading is longest-match over names that come from the data files, so a new row is understood without a
change here. ``write.canonical`` writes a request so that reading it gives the request back. A phrase may ask for
several things, "G major and E minor, two octaves", see ``settle``.
"""

from generator.catalogue.tables import Catalogue
from generator.errors import PhraseError, RequestError, shown
from generator.exercise.request import Request
from generator.phrase.cursor import contradiction
from generator.phrase.reader import Reader
from generator.phrase.refusal import refused, unknown
from generator.phrase.said_tempo import FASTEST, SLOWEST
from generator.phrase.settle import requests_of
from generator.phrase.ways import USUAL, Ways
from generator.phrase.write import canonical

LONGEST_PHRASE = 2000  # characters; every key by name and a clause of each kind take a quarter of that
MUST_COME_FIRST = "a key and a form, like G major or all keys, harmonic minor"


def parse(text: str, catalogue: Catalogue, ways: Ways = USUAL) -> Request:
    """Read a phrase that asks for one thing.

    Args:
        text: the phrase.
        catalogue: the names.
        ways: what the player's plan settles about phrases.

    Raises:
        UnknownWordError: a word that means nothing there, with its place and phrases that work.
        PhraseError: the phrase lacks a key or form, says something twice, or asks for several things.

    >>> from generator.catalogue.tables import shared_catalogue
    >>> names = shared_catalogue()
    >>> asked = parse("E-flat major in thirds, two octaves, quarter = 84", names)
    >>> asked.keys[0].words, asked.form.name, asked.figure.name, asked.span.name, asked.tempo.bpm
    ('E-flat', 'major', 'thirds', 'two octaves', 84)
    """
    found = parse_all(text, catalogue, ways)
    if len(found) > 1:
        raise PhraseError(
            f"{shown(text, 80)} asks for {len(found)} things; one is needed here",
            text=text,
            span=(1, max(1, len(text))),
        )
    return found[0]


def parse_all(text: str, catalogue: Catalogue, ways: Ways = USUAL) -> tuple[Request, ...]:
    """Read a phrase, which may ask for several things: one request for each, in order.

    Args:
        text: the phrase.
        catalogue: the names.
        ways: what the player's plan settles about phrases.

    Raises:
        UnknownWordError: a word that means nothing there, with its place and phrases that work.
        PhraseError: the phrase lacks a key or form, or says something twice.

    >>> from generator.catalogue.tables import shared_catalogue
    >>> from generator.phrase.write import canonical
    >>> names = shared_catalogue()
    >>> [canonical(one) for one in parse_all("G major in thirds and E minor, slurred", names)]
    ['G major in thirds, all slurred', 'E harmonic minor, all slurred']
    """
    return _read(text, catalogue, ways, help_out=True)


def _read(text: str, catalogue: Catalogue, ways: Ways, *, help_out: bool) -> tuple[Request, ...]:
    said = shown(text, 80)
    if len(text) > LONGEST_PHRASE:
        reason = f"a phrase has at most {LONGEST_PHRASE} characters, not {len(text)}: {said}"
        raise PhraseError(reason, text=text[:LONGEST_PHRASE], suggestions=("G major",))
    reader = Reader(text, catalogue, ways)

    def works(phrase: str) -> str:
        try:
            found = _read(phrase, catalogue, ways, help_out=False)
        except RequestError:
            return ""
        plain = " ".join(phrase.split())
        if len(found) > 1:
            return plain if plain.isprintable() else ""
        return canonical(found[0])

    if not reader.words:
        raise PhraseError(
            f"the phrase is empty; write {MUST_COME_FIRST}",
            text=text,
            expected=("key", "form"),
            suggestions=("G major", "all keys, harmonic minor"),
        )
    try:
        parts = reader.read()
        if any(part.open_lists for part in parts):
            raise _left_open(reader)
        return requests_of(said, parts, catalogue, ways)
    except LookupError:
        raise unknown(reader, works if help_out else None) from None
    except PhraseError:
        raise
    except RequestError as error:
        raise refused(reader, error, works if help_out else None) from None


def _left_open(reader: Reader) -> RequestError:
    part = next(part for part in reader.parts if part.open_lists)
    kind = min(part.open_lists)
    return contradiction(reader.said, kind, part.lists[kind][0], part.lists[kind][1])


__all__ = ["FASTEST", "LONGEST_PHRASE", "SLOWEST", "parse", "parse_all"]
