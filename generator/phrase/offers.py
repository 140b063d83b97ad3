"""Phrases that may work in place of one that does not, likeliest first; whoever offers them reads each before."""

from collections.abc import Iterator, Sequence

from generator.catalogue.clauses import Advice
from generator.catalogue.names import words_of
from generator.errors import RequestError
from generator.exercise.request import ORDINALS, RowSet
from generator.exercise.routine import Routine
from generator.phrase.note_names import note_name
from generator.phrase.reader import Reader
from generator.phrase.settle import StartError

_LONG = 300  # characters; of a longer phrase only its beginning is tried again
_WORDS_LEFT_OUT = 8


class Typed(str):
    """A phrase that is offered as it is, in the person's own words."""

    __slots__ = ()


def _head(reader: Reader) -> str:
    """The phrase up to the word, without small words at its end."""
    text = reader.text[: reader.words[reader.at].place - 1]
    small = reader.catalogue.small.between
    words = text.split()
    while words and words[-1].strip(",;:").casefold() in small and words[-1] != "A":
        words.pop()
    return " ".join(words).rstrip(" ,;:-(")


def offers(
    reader: Reader, advice: Advice | None, size: int, names: Sequence[tuple[str, int]]
) -> Iterator[str]:
    """Phrases in place of one in which a word is not understood.

    Args:
        reader: stands at the word.
        advice: what is known of the words there.
        size: how many words the advice is about.
        names: what may have been meant, and how many words each replaces.

    >>> from generator.catalogue.tables import shared_catalogue
    >>> from generator.phrase.ways import USUAL
    >>> reader = Reader("C majr, slurred", shared_catalogue(), USUAL)
    >>> reader.at = 1
    >>> next(offers(reader, None, 0, [("major", 1)]))
    'C major, slurred'
    """
    text, start = reader.text, reader.words[reader.at].place - 1
    head = _head(reader)
    if advice is not None:
        rest = _without(reader, size)
        for offer in advice.offers:
            yield _filled(offer, rest or f"{_key(reader)} major", _key(reader))
        yield from _left_out(reader)
        if head:
            yield head
        names = ()
    for name, used in names:
        after = reader.words[reader.at + used - 1].end
        if len(text) <= _LONG:
            replaced = f"{text[:start]}{name}{text[after:]}".strip()
            yield replaced if name.startswith("from the ") else Typed(replaced)
            yield f"{text[:start].rstrip()}, {name}{text[after:]}".strip(" ,")
            yield f"{head} in {name}{text[after:]}"
        if head:
            yield f"{head}, {name}"
        yield f"{_key(reader)} {name}"
        yield f"{_key(reader)} major, {name}"
        yield name
    yield from _left_out(reader)
    if head:
        yield head
        yield f"{head} major"
    yield f"{_key(reader)} major"


def _left_out(reader: Reader) -> Iterator[str]:
    """The phrase without the words that are not understood, as few of them as make it work."""
    text = reader.text
    if len(text) > _LONG:
        return
    head = _head(reader)
    for size in range(1, _WORDS_LEFT_OUT):
        place = reader.at + size - 1
        if place >= len(reader.words):
            break
        rest = text[reader.words[place].end :].lstrip(" )")
        joint = "" if not rest or rest[0] in ",;:" else ", " if head else ""
        yield f"{head}{joint}{rest}".strip(" ,;:")


def _without(reader: Reader, size: int) -> str:
    """The phrase without some words."""
    rest = reader.text[reader.words[reader.at + size - 1].end :].lstrip(" )")
    head = _head(reader)
    joint = "" if not rest or rest[0] in ",;:" else ", " if head else ""
    return f"{head}{joint}{rest}".strip(" ,;:")


def _filled(offer: str, rest: str, key: str) -> str:
    return offer.replace("{rest}", rest).replace("{key}", key)


def _key(reader: Reader) -> str:
    """The first key of the phrase, or C."""
    named = next((part.keys[0] for part in reader.parts if part.keys), None)
    if named is None:
        words = reader.words
        spots = [k for k in range(len(words)) if words[k].text != "a"][:40]
        named = next((name for k in spots if (name := note_name(tuple(words), k)[0]) is not None), None)
    return named.name if named is not None else "C"


def mended(reader: Reader, error: RequestError) -> Iterator[str]:
    """Phrases like one that lacks something or contradicts itself.

    >>> from generator.catalogue.tables import shared_catalogue
    >>> from generator.phrase.ways import USUAL
    >>> reader = Reader("G, slurred", shared_catalogue(), USUAL)
    >>> parts = reader.read()
    >>> next(mended(reader, RequestError("it names no form")))
    'G major, slurred'
    """
    text = reader.text.strip(" ,;")
    key = _key(reader)
    forms = [part.form for part in reader.parts if part.form is not None]
    routine = next((form for form in forms if isinstance(form, Routine)), None)
    if routine is not None:
        yield routine.name
        yield f"{routine.name}, quarter = 60"
        return
    if isinstance(error, StartError):
        base = (
            text[: text.casefold().rfind(" start")]
            if " start" in text.casefold()
            else _until(text, (" from ", " starting "))
        )
        for degree in error.degrees:
            yield f"{base}, from the {ORDINALS[degree]} degree"
        return
    if len(text) > _LONG:
        yield f"{key} major"
        return
    named = any(part.has_keys for part in reader.parts)
    form = next((form for form in forms if form is not None), None)
    if not named and any("figure" in part.found for part in reader.parts):
        yield f"{text} on C"
    if form is None:
        yield from _with_form(reader, text)
    elif not named:
        yield f"{text} on C"
        yield f"C {text}"
        yield f"all keys, {text}"
        yield from _on_c(reader, form)
    if reader.at < len(reader.words):
        yield from _left_out(reader)
    yield from _without_each_clause(text)
    yield from _numbers_turned(text)
    if isinstance(form, RowSet) or form is None:
        yield f"{key} major"
    else:
        yield f"{form.name} on {key}"


def _until(text: str, marks: Sequence[str]) -> str:
    for mark in marks:
        if mark in text:
            return text[: text.index(mark)].rstrip(" ,")
    return text


def _with_form(reader: Reader, text: str) -> Iterator[str]:
    """A form put in where none was said: after the key, or before the rest."""
    words = reader.words
    for place in range(len(words)):
        name, used = note_name(tuple(words), place)
        if name is not None:
            end = words[place + used - 1].end
            yield f"{text[:end]} major{text[end:]}"
            yield f"{text} major"
            yield f"{text[:end]} harmonic minor{text[end:]}"
            yield f"{text[:end]} major, {text[: words[place].place - 1].strip(' ,')}".removesuffix(
                " in"
            ).removesuffix(" on")
            break
    else:
        yield f"major, {text}"
        yield f"{text}, major"
        yield f"C major, {text}"
        yield f"all keys, major, {text}"


def _on_c(reader: Reader, form: object) -> Iterator[str]:
    """A form on C, with the clauses that were said."""
    name = getattr(form, "name", "major")
    text = reader.text
    comma = text.find(",")
    rest = text[comma:] if comma > 0 else ""
    yield f"{name} on C{rest}"
    yield f"C {name}{rest}"
    yield f"all keys, {name}{rest}"


def _without_each_clause(text: str) -> Iterator[str]:
    """The phrase without one of its clauses, from the last on."""
    clauses = [clause.strip() for clause in text.split(",")]
    for place in range(len(clauses) - 1, 0, -1):
        yield ", ".join(clauses[:place] + clauses[place + 1 :])
    if len(clauses) > 1:
        yield clauses[0]
        yield ", ".join(clauses[1:])
    words = words_of(text)
    for place in range(len(words) - 1, 0, -1):
        yield text[: words[place].place - 1].rstrip(" ,")


def _numbers_turned(text: str) -> Iterator[str]:
    """The two numbers of a row of tempi the other way round."""
    numbers = [word for word in words_of(text) if word.text.isdecimal()]
    if len(numbers) > 1:
        one, other = numbers[-2:]
        yield (
            text[: one.place - 1]
            + other.text
            + text[one.end : other.place - 1]
            + one.text
            + text[other.end :]
        )
