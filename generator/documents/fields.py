"""Fields of the files that people write: what each is called, and what kind of value it takes.

A kind takes a raw value and the names, and gives what it means, or None where it says nothing, as an empty text
does. What is wrong with a value it raises, without the field's name; several reasons are lines of one error.
"""

import datetime as dt
import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Any, TypeVar

from generator.catalogue.names import fold, nearest_or_all, words_of
from generator.catalogue.players import level_named
from generator.catalogue.spelled import instrument_named
from generator.catalogue.tables import Catalogue, Table
from generator.documents.marked_file import MOST_TOLD
from generator.documents.plan_row import names_in
from generator.documents.required_list import OTHERS
from generator.errors import RequestError, clipped, shown
from generator.exercise.articulation import TONGUED, Articulation
from generator.exercise.figure import Figure
from generator.exercise.request import EVERY, Choice, Request, RowSet
from generator.exercise.rhythm import Rhythm
from generator.passage.named import is_drill
from generator.phrase.own_figure import figure_of_degrees
from generator.phrase.read import FASTEST, SLOWEST, parse_all
from generator.phrase.vocabulary import vocabulary_of
from generator.phrase.ways import Ways
from generator.rotation.theme import Theme
from generator.rotation.words import WEEKDAYS
from generator.theory.pitch import Pitch

T = TypeVar("T")
Kind = Callable[[Any, Catalogue], Any]
FEW = 5  # so many allowed words are all told; among more the nearest helps
_GROUPS = {"winds": TONGUED, "woodwinds": ("flute", "reed"), "brass": ("brass",)}
_SHARE = re.compile(r"[0-9 ./]{1,12}")


@dataclass(frozen=True, slots=True)
class Field:
    """One field of a table.

    Attributes:
        name: as it is written.
        kind: reads its value.
        default: counts where the field is left out, or is wrong.
        needed: what is told where it is left out; "" if it may be.
    """

    name: str
    kind: Kind
    default: Any = None
    needed: str = ""


def text(raw: object, _names: Catalogue) -> str | None:
    """A text on one line."""
    if not isinstance(raw, str):
        raise RequestError(f"{shown(raw)} is no text; put it in quotes")
    return " ".join(raw.split()) or None


def of_text(read: Callable[[str, Catalogue], Any]) -> Kind:
    """What a text stands for."""

    def kind(raw: object, names: Catalogue) -> Any:  # noqa: ANN401
        said = text(raw, names)
        return read(said, names) if said else None

    return kind


words = of_text(lambda said, _names: tuple(said.split()))
level = of_text(lambda said, _names: level_named(said))
pitch = of_text(lambda said, _names: Pitch.parse(said))
pitch_name = of_text(lambda said, _names: Pitch.parse(said).name)
instrument = of_text(lambda said, _names: instrument_named(said))
instrument_name = of_text(lambda said, _names: instrument_named(said).name)
span = of_text(lambda said, names: names.spans.find(said))
phrase = of_text(lambda said, names: (said, parse_all(said, names)))
"""As it is written, and what it asks for, one thing or several."""


def _passage(said: str) -> tuple[Request, ...]:
    from generator.passage.planned import as_request  # noqa: PLC0415  # few plans have a passage

    return (as_request(said),)


def phrase_in(ways: Ways) -> Kind:
    """The same as one player's plan reads it; a passage of their own is a request too."""
    return of_text(
        lambda said, names: (said, _passage(said) if is_drill(said) else parse_all(said, names, ways))
    )


def own_figures(raw: object, names: Catalogue) -> tuple[tuple[tuple[str, ...], Figure], ...]:
    """Figures of a player's own: names, each with its degrees."""
    if not isinstance(raw, dict):
        raise RequestError(
            f'{shown(raw)} is no table; write [figures] and below it rows like cascade = "1 3 5 3 4 2 7, 1"'
        )

    def read(said: tuple[str, object]) -> list[tuple[tuple[str, ...], Figure]]:
        name, degrees = said
        words = fold(name)
        if not words or not words[0][:1].isalpha():
            raise RequestError(f"{shown(name)} cannot name a figure; begin with a letter")
        if not isinstance(degrees, str):
            raise RequestError(f'{shown(name)} needs its degrees as a text, like "1 3 5 3 4 2 7, 1"')
        named = vocabulary_of(names).longest(words_of(name), 0)
        if named and len(named[0].words) == len(words):
            raise RequestError(f"{shown(name)} means something already; choose another name")
        return [(words, figure_of_degrees(degrees, names))]

    return _each(raw.items(), read)


def flag(raw: object, _names: Catalogue) -> bool:
    """True or false."""
    if not isinstance(raw, bool):
        raise RequestError(f"{shown(raw)} is neither true nor false")
    return raw


def weekdays(raw: object, _names: Catalogue) -> tuple[int, ...]:
    """Days of the week, Monday being 0: a list, or a text with commas; three letters are enough."""
    said = raw.replace(" and ", ",").split(",") if isinstance(raw, str) else raw
    if not isinstance(said, list):
        raise RequestError(f'{shown(raw)} is no list of weekdays; write some like ["Tuesday", "Thursday"]')
    found: set[int] = set()
    for word in said:
        name = str(word).strip().casefold()
        days = [n for n, day in enumerate(WEEKDAYS) if name[:3] == day[:3].casefold()]
        if not days or not WEEKDAYS[days[0]].casefold().startswith(name.removesuffix("s").removesuffix(".")):
            raise RequestError(f"{shown(word)} is no weekday; {nearest_or_all(str(word), WEEKDAYS)}")
        found.update(days)
    return tuple(sorted(found))


def whole(least: int, most: int) -> Kind:
    """A whole number between two others."""

    def read(raw: object, _names: Catalogue) -> int:
        if not isinstance(raw, int) or isinstance(raw, bool) or not least <= raw <= most:
            said = f'"{clipped(raw)}" in quotes' if isinstance(raw, str) else shown(raw)
            raise RequestError(f"{said} is no whole number from {least} to {most}")
        return raw

    return read


def number(least: float, most: float) -> Kind:
    """A number between two others, whole or not."""

    def read(raw: object, _names: Catalogue) -> float:
        if isinstance(raw, bool) or not isinstance(raw, int | float) or not least <= raw <= most:
            said = f'"{clipped(raw)}" in quotes' if isinstance(raw, str) else shown(raw)
            raise RequestError(f"{said} is no number from {least:g} to {most:g}")
        return float(raw)

    return read


def among(allowed: Iterable[str]) -> Kind:
    """One of some words."""
    known = tuple(allowed)

    def read(said: str, _names: Catalogue) -> str:
        if said.casefold() not in known:
            few = len(known) <= FEW
            hint = f"it can be {', '.join(known)}" if few else nearest_or_all(said, known)
            raise RequestError(f"unknown {shown(said)}; {hint}")
        return said.casefold()

    return of_text(read)


theme = of_text(lambda said, names: Theme(among(Theme)(said, names)))


def dressing(kind: str, *, single: bool = False) -> Kind:
    """A rhythm or an articulation, a set of them unless there is room for a single one, or "every" one."""

    def read(said: str, names: Catalogue) -> Rhythm | Articulation | RowSet[Any] | Choice:
        found = names_in([said], kind, names)
        if single and (len(found) > 1 or found[0] == EVERY):
            raise RequestError(f"{shown(said)} stands for several; that half takes one {kind}")
        if found[0] == EVERY:
            return EVERY
        table: Table[Any] = names.rhythms if kind == "rhythm" else names.articulations
        return table.find(found[0]) if len(found) == 1 else names.sets.find(said)

    return of_text(read)


def dressings(kind: str, example: str) -> Kind:
    """Names of rhythms or articulations; a set stands for its members."""
    return _names_like(example, lambda word, names: names_in([word], kind, names))


def _family(word: str, names: Catalogue) -> Sequence[str]:
    sounded = _GROUPS.get(word.casefold(), ())
    family = [
        row.name for row in names.instruments.rows if fold(row.family) == fold(word) or row.wind in sounded
    ]
    return family or [names.instruments.find(word).name]


def _names_like(example: str, read: Callable[[str, Catalogue], Sequence[str]]) -> Kind:
    """One name or several, each of which may stand for several."""

    def kind(raw: object, names: Catalogue) -> tuple[str, ...]:
        listed = [raw] if isinstance(raw, str) else raw
        if not isinstance(listed, list) or not all(isinstance(one, str) and one.strip() for one in listed):
            raise RequestError(f"names in quotes are needed, like {example}")
        return tuple(dict.fromkeys(_each(listed, lambda word: read(word, names))))

    return kind


instruments = _names_like('["flute", "oboe"]', _family)
"""By name; the name of a family, like saxophones, stands for all of it, and so do brass, woodwinds and winds."""


def tempos(raw: object, names: Catalogue) -> tuple[tuple[str, int], ...]:
    """Beats a minute for everybody, or by instrument."""
    bpm = whole(SLOWEST, FASTEST)

    def read(said: tuple[str, object]) -> list[tuple[str, int]]:
        beats = bpm(said[1], names)
        return [(name, beats) for name in ([OTHERS] if said[0] == OTHERS else _family(said[0], names))]

    return _each((raw if isinstance(raw, dict) else {OTHERS: raw}).items(), read)


def share(raw: object, _names: Catalogue) -> Fraction:
    """1/2 as text, or a number such as 0.5."""
    said: Any = raw
    if isinstance(raw, bool) or (isinstance(raw, str) and not _SHARE.fullmatch(raw)):
        said = 0  # not 1e9, which as a fraction of whole numbers has a thousand million digits
    try:
        part = Fraction(said)
    except (TypeError, ValueError, OverflowError, ZeroDivisionError):
        part = Fraction(0)
    if not 0 < part <= 1:
        raise RequestError(f'{shown(raw)} is no share; write one like "1/2", over 0 and at most 1')
    return max(part.limit_denominator(100), Fraction(1, 100))


def day(raw: object, _names: Catalogue) -> dt.date:
    """A day of the calendar, with or without quotes."""
    found = raw
    if isinstance(raw, str):
        try:
            found = dt.date.fromisoformat(raw)
        except ValueError:
            found = None
    if not isinstance(found, dt.date) or isinstance(found, dt.datetime):
        said = clipped(raw) if isinstance(raw, str) else shown(raw)
        raise RequestError(f"{said} is no day of the calendar; write one like 2027-02-06")
    return found


def year(raw: object, names: Catalogue) -> str | None:
    """A year as a number, or in words like 2014-15."""
    if isinstance(raw, int) and not isinstance(raw, bool) and 0 < raw <= dt.MAXYEAR:
        return str(raw)
    return text(raw, names) if isinstance(raw, str) else None


def _each(said: Iterable[T], read: Callable[[T], Iterable[Any]]) -> tuple[Any, ...]:
    """What the parts of a field stand for; every wrong one is told."""
    found: list[Any] = []
    reasons: list[str] = []
    for part in said:
        try:
            found += read(part)
        except RequestError as error:
            reasons.append(str(error))
        if len(reasons) > MOST_TOLD:
            break
    if reasons:
        raise RequestError("\n".join(reasons))
    return tuple(found)
