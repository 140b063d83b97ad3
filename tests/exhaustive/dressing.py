"""Every rhythm x articulation x figure x span on a few players: bars full, slurs whole, syllables and beams right.

    python tests/exhaustive/dressing.py [--sample N] [--seed N] [--instruments "flute, tuba"] [--processes 2]

Without --sample it takes every combination. Prints how many exercises were built, how many were refused and why, and
the time.
"""

import argparse
import itertools
import math
import random
import re
import time
from collections import Counter
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from fractions import Fraction
from functools import lru_cache
from typing import Any

from generator.catalogue.players import player_named
from generator.catalogue.tables import shared_catalogue
from generator.errors import RequestError
from generator.exercise.articulation import Articulation
from generator.exercise.build import Player, build
from generator.exercise.records import Exercise, Note
from generator.exercise.request import Request
from generator.phrase import expand
from generator.theory.pitch import NoteName

PLAYERS = ("flute", "alto saxophone", "tuba")
TONICS = ("C", "F#", "Ab")


FORMS = ("major", "harmonic minor", "whole-tone", "major arpeggio")


@lru_cache(maxsize=1)
def _tables() -> tuple[tuple[Any, ...], ...]:
    """Rhythms, articulations, figures and spans."""
    names = shared_catalogue()
    tables = (names.rhythms, names.articulations, names.figures, names.spans)
    return tuple(table.rows for table in tables)


def request_at(number: int) -> Request:
    """The request for one combination; keys and forms go round."""
    chosen: list[Any] = []
    place = number
    for table in reversed(_tables()):
        place, row = divmod(place, len(table))
        chosen.append(table[row])
    names, (span, figure, articulation, rhythm) = shared_catalogue(), chosen
    return Request(
        names.forms.find(FORMS[number % len(FORMS)]),
        (NoteName.parse(TONICS[number % len(TONICS)]),),
        figure=None if figure == names.straight else figure,
        span=span,
        rhythm=rhythm,
        articulation=articulation,
    )


def every() -> range:
    """Numbers of all requests: one for each combination."""
    return range(math.prod(len(table) for table in _tables()))


def requests() -> Iterator[Request]:
    """All of them."""
    return map(request_at, every())


def faults(exercise: Exercise, request: Request) -> Iterator[str]:
    """What is wrong with a dressed exercise."""
    for bar in exercise.bars:
        if bar.filled != bar.metre.length:
            yield f"a bar of {bar.metre.name} holds {bar.filled}"
    notes = [n for bar in exercise.bars for n in bar.notes]
    yield from _slur_faults(notes)
    yield from _syllable_faults(exercise, request)
    yield from _beam_faults(notes)
    if notes[-1].tie or notes[-1].pitch is None:
        yield "the last note is tied on or silent"


def _slur_faults(notes: list[Note]) -> Iterator[str]:
    """Slurs open and close in turn and cover neither a rest nor two notes of one pitch."""
    inside = False
    for before, note in zip([None, *notes], notes, strict=False):
        if inside and note.pitch is None:
            yield "a slur over a rest"
        again = before and before.pitch and note.pitch and before.pitch.height == note.pitch.height
        if inside and before and again and not before.tie:
            yield "a slur over a repeated note"
        if (note.slur in ("stop", "inside", "stop start")) != inside:
            yield f"a slur {note.slur} {'inside' if inside else 'outside'} a slur"
        inside = note.slur in ("start", "inside", "stop start")
    if inside:
        yield "a slur is left open"


def _syllable_faults(exercise: Exercise, request: Request) -> Iterator[str]:
    row = request.articulation
    if not isinstance(row, Articulation) or not row.syllables:
        return
    tied = False
    for bar in exercise.bars:
        place = Fraction(0)
        for note in bar.notes:
            if note.pitch is not None and not tied and note.syllable is None:
                yield "a note without its syllable"
            if note.syllable == "ku" and place in bar.metre.beat_starts:
                yield "a beat tongued with the back of the tongue"
            place += note.length
            tied = note.tie


def _beam_faults(notes: list[Note]) -> Iterator[str]:
    opened = False
    for note in notes:
        if (note.beam == "[" and opened) or (note.beam == "]" and not opened):
            yield "beams cross"
        opened = note.beam == "[" or (opened and note.beam != "]")
        if opened and (note.pitch is None or note.value.base < 8):
            yield "a beam over a quarter or a rest"
    if opened:
        yield "a beam is left open"


def walk(all_requests: Iterator[Request], players: list[Player]) -> tuple[int, Counter[str], list[str]]:
    """Build everything; returns how many were built, refusals by reason, and faults."""
    built, refused, found = 0, Counter[str](), list[str]()
    for request in all_requests:
        for who in players:
            try:
                (recipe,) = expand.recipes(request, who)
                exercise = build(recipe, who)
            except RequestError as error:
                refused[_reason(str(error))] += 1
                continue
            built += 1
            found += [
                f"{who.instrument.name}: {exercise.phrase}: {fault}" for fault in faults(exercise, request)
            ]
    return built, refused, found


def _reason(text: str) -> str:
    text = text.split(" between ", maxsplit=1)[0].rsplit(": ", maxsplit=1)[-1]
    return re.sub(r"[A-G](-flat|-sharp)? ", "", text)


def sample(number: int, seed: int) -> Iterator[Request]:
    """A seeded part of the requests."""
    return map(request_at, random.Random(seed).sample(every(), number))


def _part(number: int, parts: int, options: argparse.Namespace) -> tuple[int, Counter[str], list[str]]:
    """Every parts-th request, beginning at the number."""
    players = [player_named(name.strip()) for name in options.instruments.split(",")]
    wanted = sample(options.sample, options.seed) if options.sample else requests()
    return walk(itertools.islice(wanted, number, None, parts), players)


def main() -> None:
    """Walk and report."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--sample", type=int, default=0)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--instruments", default=", ".join(PLAYERS))
    parser.add_argument("--processes", type=int, default=1)
    options = parser.parse_args()
    start = time.perf_counter()
    parts = options.processes
    with ProcessPoolExecutor(parts) as pool:
        results = list(pool.map(_part, range(parts), [parts] * parts, [options] * parts))
    built = sum(result[0] for result in results)
    refused = sum((result[1] for result in results), Counter[str]())
    found = [fault for result in results for fault in result[2]]
    seconds = time.perf_counter() - start
    print(f"built {built:,}, refused {sum(refused.values()):,}, faults {len(found):,}, {seconds:.0f} s")
    for reason, number in refused.most_common(25):
        print(f"  {number:>8,}  {reason}")
    for fault in found[:20]:
        print(f"  FAULT {fault}")
    raise SystemExit(1 if found else 0)


if __name__ == "__main__":
    main()
