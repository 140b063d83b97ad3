"""What holds for the drills of any passage, worked out from the passage anew and not with the program's own rules.

The definitions: overlapping chunks that land on the next beat (feralflute, Flute Talk), bursts whose last note falls on
a beat (steesbassoon 2015), rhythms and articulations that change no pitch, a skeleton of what sounds on the beats, and
keys by named interval (antonjazz 2019): as many letters and half steps for every note.
"""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from fractions import Fraction
from itertools import groupby, pairwise

from generator.catalogue.players import player_named
from generator.exercise.instrument import Compass
from generator.exercise.records import Bar, Exercise
from generator.passage.all_keys import ORDER, label_of
from generator.passage.chunks import beat_at, chunks, segments
from generator.passage.drill import drilled
from generator.passage.kept import KeptPassage, from_text, text_of
from generator.passage.recipe_rows import drill_rows
from generator.passage.records import Passage, PassageNote
from generator.passage.request import DrillRequest
from generator.theory.pitch import Pitch

WIDE = Compass(Pitch.parse("C1"), Pitch.parse("C8"))


def faults_of(passage: Passage, compass: Compass = WIDE) -> list[str]:
    """What is wrong with the drills of a passage: nothing."""
    kept = KeptPassage("random", passage, instrument="flute")
    found = list(_of_chunks(passage))
    if from_text(text_of(kept)) != kept:
        found.append("the kept file reads otherwise")
    player = replace(player_named("flute"), compass=compass)
    names = tuple(one.name for one in drill_rows().recipes)
    # Named one by one, a recipe takes the whole passage through the keys and not one bar of it.
    for recipes in (names,):
        made = drilled(kept, DrillRequest("random", recipes), player)
        for exercise in made.exercises:
            found += _full(exercise)
            check = {
                "passage": _as_read, "chunks": _printed_chunks, "add a note": _bursts, "rhythms": _same_pitches,
                "articulations": _same_pitches, "skeleton": _skeleton,
            }.get(exercise.recipe)  # fmt: skip
            found += [f"{exercise.recipe}: {fault}" for fault in (check(passage, exercise) if check else ())]
            if exercise.recipe == "all keys":
                found += [f"all keys: {fault}" for fault in _keys(passage, exercise, compass)]
    return found


def _full(exercise: Exercise) -> Iterator[str]:
    for number, bar in enumerate(exercise.bars, 1):
        if bar.filled != bar.length or (bar.length > bar.metre.length):
            yield f"{exercise.recipe}: bar {number} is not full"
        opened = 0
        for note in bar.notes:
            opened += note.tuplet_start
            if opened != (note.value.tuplet is not None):
                yield f"{exercise.recipe}: bar {number} has a tuplet without a bracket"
            opened -= note.tuplet_stop
        if opened:
            yield f"{exercise.recipe}: bar {number} has a bracket that does not end"


def _sung(bars: Sequence[Bar]) -> list[Pitch]:
    """Pitches that are begun."""
    found: list[Pitch] = []
    tied = False
    for note in (note for bar in bars for note in bar.notes if not note.grace):
        if note.pitch is not None and not tied:
            found.append(note.pitch)
        tied = note.tie
    return found


def _pitches(notes: Sequence[PassageNote]) -> list[Pitch]:
    return [note.pitch for note in notes if note.pitch is not None]


def _as_read(passage: Passage, exercise: Exercise) -> Iterator[str]:
    if _sung(exercise.bars) != _pitches(passage.notes):
        yield "other notes than were read"
    if sum((bar.filled for bar in exercise.bars), Fraction(0)) != passage.end:
        yield "longer or shorter than was read"


def _of_chunks(passage: Passage) -> Iterator[str]:
    spans = segments(passage)
    if spans[0][0] != passage.attacks[0].onset or spans[-1][1] != passage.end:
        yield "chunks: they do not hold the whole passage"
    if any(one[1] != after[0] for one, after in pairwise(spans)):
        yield "chunks: there is a gap between two"
    found = chunks(passage)
    whole = [note for note in passage.notes if note.onset >= spans[0][0]]
    together: list[PassageNote] = []
    for (begin, end), chunk in zip(spans, found, strict=True):
        own = [note for note in whole if begin <= note.onset < end]
        played = [note for note in own if note.pitch is not None]
        gone = len(played) - len(_pitches(chunk.notes))
        if gone and not _before_a_silence(passage, own, played[gone - 1], played[gone]):
            yield f"chunks: {gone} notes are gone, and no rest of a beat follows them"
        if _pitches(chunk.notes) != _pitches(played[gone:]):
            yield "chunks: other pitches"
        together += own
        middle = [note for note in chunk.notes if note.pitch is not None][1:-1]
        if any(note not in own for note in middle):
            yield "chunks: a note within is changed"
        lands = next((note.pitch for note in passage.attacks if note.onset == end), None)
        if end == passage.end:
            lands = passage.landing
        if (chunk.landing.pitch if chunk.landing else None) != lands:
            yield "chunks: it lands elsewhere"
        if chunk.landing and (chunk.landing.length != beat_at(passage, end) or chunk.landing.slurred):
            yield "chunks: the landing is not one beat, unslurred"
        if len(spans) > 1 and len(played) < 3:
            yield "chunks: fewer than three notes"
    if together != whole:
        yield "chunks: without landings they are not the passage"


def _before_a_silence(
    passage: Passage, own: Sequence[PassageNote], last: PassageNote, following: PassageNote
) -> bool:
    return following.onset - last.end >= beat_at(passage, last.end) and last in own


def _printed_chunks(passage: Passage, exercise: Exercise) -> Iterator[str]:
    labels = [int(one) for bar in exercise.bars for one in bar.label.split(", ")]
    every = chunks(passage)
    if sorted(labels) != list(range(1, len(every) + 1)):
        yield f"the labels are {labels}"
    for bar in exercise.bars:
        for number in bar.label.split(", "):
            chunk = every[int(number) - 1]
            if _sung([bar]) != _pitches((*chunk.notes, *((chunk.landing,) if chunk.landing else ()))):
                yield f"cell {number} has other pitches"


def _bursts(passage: Passage, exercise: Exercise) -> Iterator[str]:
    place = next(begin for begin, _ in passage.beats() if begin >= passage.attacks[0].onset)
    run = [note for note in passage.notes if note.onset >= place]
    while run and run[0].pitch is None:
        del run[0]
    run = next(list(notes) for rest, notes in groupby(run, lambda note: note.pitch is None) if not rest)
    for count, bar in enumerate(exercise.bars, 2):
        if bar.label != str(count) or _sung([bar]) != _pitches(run[:count]):
            yield f"burst {count} has other notes"
        last = [note for note in bar.notes if note.pitch is not None][-1]
        if last.length != beat_at(passage, place) and not last.tie:
            tied = sum((n.length for n in bar.notes), Fraction(0)) - sum(
                (n.length for n in run[: count - 1]), Fraction(0)
            )
            if tied != beat_at(passage, place):
                yield f"burst {count} ends on a note of {last.length}"
    if len(exercise.bars) != min(9, len(run)) - 1:
        yield f"{len(exercise.bars)} bursts of {len(run)} notes"


def _same_pitches(passage: Passage, exercise: Exercise) -> Iterator[str]:
    """Each cell is a stretch of the passage, note for note."""
    whole = [
        str(pitch) for pitch in (*_pitches(passage.notes), *((passage.landing,) if passage.landing else ()))
    ]
    for bar in exercise.bars:
        cell = [str(pitch) for pitch in _sung([bar])]
        if not any(whole[k : k + len(cell)] == cell for k in range(len(whole))):
            yield f"{bar.label} has other pitches"


def _skeleton(passage: Passage, exercise: Exercise) -> Iterator[str]:
    place = Fraction(0)
    for bar in exercise.bars:
        for note in bar.notes:
            sounding = next(one for one in passage.notes if one.onset <= place < one.end)
            beat = next((b for b, e in passage.beats() if b <= place < e), place)
            on_beat = next(one for one in passage.notes if one.onset <= beat < one.end)
            if note.pitch not in (sounding.pitch, on_beat.pitch):
                yield f"at {place} stands {note.pitch}"
            place += note.length
    if place != passage.end:
        yield "longer or shorter than the passage"


def _keys(passage: Passage, exercise: Exercise, compass: Compass) -> Iterator[str]:
    cells: dict[str, list[Bar]] = {}
    signatures: dict[str, int] = {}
    signature, label = exercise.signature, ""
    for bar in exercise.bars:
        signature = signature if bar.signature is None else bar.signature
        label = bar.label or label
        if bar.label:
            signatures[label] = signature
        cells.setdefault(label, []).append(bar)
    home = _pitches(passage.notes) + ([passage.landing] if passage.landing else [])
    # What a passage itself holds beyond the player's notes, they play.
    low = min([compass.low, *home], key=lambda pitch: pitch.height).height
    high = max([compass.high, *home], key=lambda pitch: pitch.height).height
    order = [label_of(offset) for offset in ORDER]
    if [one for one in order if one in cells] != list(cells):
        yield f"the order is {list(cells)}"
    missing = [one for one in order if one not in cells]
    told = " ".join(exercise.notes)
    if any(f"{one} (" not in told for one in missing):
        yield f"missing and not told: {missing}"
    for offset, name in zip(ORDER, order, strict=True):
        if name not in cells:
            if any(all(low <= one.height + offset + 12 * k <= high for one in home) for k in range(-3, 4)):
                yield f"{name} would fit"
            continue
        moved = _sung(cells[name])
        steps = {b.place - a.place for a, b in zip(home, moved, strict=True)}
        halves = {b.height - a.height for a, b in zip(home, moved, strict=True)}
        if len(steps) != 1 or len(halves) != 1 or (min(halves) - offset) % 12:
            yield f"{name} is no named interval"
            continue
        wanted = passage.bars[0].signature + 7 * min(halves) - 12 * min(steps)
        if signatures[name] != wanted or abs(wanted) > 7:
            yield f"{name} has the signature {signatures[name]}, by arithmetic {wanted}"
        others = [wanted + 12 * k for k in (-1, 1) if abs(wanted + 12 * k) <= 7] if offset else []
        if any(abs(one) < abs(wanted) for one in others):
            yield f"{name} has more signs than it needs"
        if not all(low <= pitch.height <= high for pitch in moved):
            yield f"{name} leaves the compass"
        nearer = [min(halves) + 12 * k for k in range(-3, 4)]
        fits = [
            one for one in nearer
            if all(low <= p.height + one <= high for p in home)
        ]  # fmt: skip
        if min(halves) != min(fits, key=lambda one: (abs(one - offset), one)):
            yield f"{name} is not in the nearest octave"
