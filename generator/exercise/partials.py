"""Slurs over the partials of brass and overtones of the saxophone, computed from the harmonic series.

Partial n of a tube sounds 12 log2(n) half steps above its fundamental, rounded to the written note; the 7th (and its
octave) is left out, because it is too flat to stand for one. Each fingering or slide position lowers the whole series.
"""

from collections.abc import Sequence
from dataclasses import replace

from generator.errors import DoesNotFitError
from generator.exercise.build import Player
from generator.exercise.clef import clefs_by_bar
from generator.exercise.pour import into_bars, pour
from generator.exercise.records import Exercise, Note, Slur
from generator.exercise.request import Request
from generator.exercise.routine import Routine, Tube
from generator.exercise.tempo import beat_value, row
from generator.theory.interval import Interval
from generator.theory.key import readable
from generator.theory.pitch import Pitch, spelled

# Interval of each usable partial above the fundamental, by its number (harmonic series; common practice in spelling).
PARTIALS = {
    1: "P1",
    2: "P8",
    3: "P12",
    4: "P15",
    5: "M17",
    6: "P19",
    8: "P22",
    9: "M23",
    10: "M24",
    12: "P26",
    16: "P29",
}
FIRST_NOTES = "first notes"
_FIRST_PARTIALS = 3
# Half steps from the open tube to the names players use for its lowered fundamental.
_DOWN = {0: "P1", -1: "-m2", -2: "-M2", -3: "-m3", -4: "-M3", -5: "-P4", -6: "-d5", 1: "m2", 2: "M2"}


def build_partials(routine: Routine, tube: Tube, request: Request, phrase: str, player: Player) -> Exercise:
    """Make the exercise.

    Args:
        routine: the pattern.
        tube: the player's harmonic series.
        request: for the tempo.
        phrase: canonical phrase.
        player: for whom; written pitch.

    Raises:
        DoesNotFitError: no fingering carries the pattern inside the compass.

    >>> from generator.catalogue.players import player_named
    >>> from generator.catalogue.tables import shared_catalogue
    >>> from generator.phrase.read import parse
    >>> names, player = shared_catalogue(), player_named("trombone")
    >>> routine = names.routines.find("neighbouring partials")
    >>> tube = names.tubes["trombone"]
    >>> made = build_partials(routine, tube, parse(routine.name, names), routine.name, player)
    >>> for bar in made.bars[:2]:
    ...     print("position", bar.notes[0].text, *[note.pitch for note in bar.notes])
    position 1 Bb2 F3 Bb2 F3 Bb2
    position 2 A2 E3 A2 E3 A2
    """
    groups, rhythm = _groups(routine, tube, player), routine.rhythm
    if not groups:
        raise DoesNotFitError(f"{routine.name} do not fit between {player.compass.words}")
    pitches = tuple(p for _, group in groups for p in group)
    poured = pour(pitches, rhythm)
    notes: list[Note] = []
    index = 0
    for label, group in groups:
        for place in range(len(group)):
            notes += slurred(poured[index], place, len(group), label)
            index += 1
    bars = into_bars(tuple(notes), rhythm)
    tonic = tube.fundamental.note
    skipped = [label for label, _ in tube.steps if label not in dict(groups)]
    remarks = (f"left out, beyond the compass: {', '.join(skipped)}".capitalize(),) if skipped else ()
    return Exercise(
        phrase=phrase,
        head=routine.name[0].upper() + routine.name[1:],
        details="",
        concert_heading="",
        instrument=player.instrument.name,
        level=player.level,
        key=tonic.name,
        form=routine.name,
        figure="partials",
        span="full range",
        asked_span="full range",
        signature=0,
        clefs=clefs_by_bar([[n.pitch for n in b.notes if n.pitch] for b in bars], player.instrument.clefs),
        bars=bars,
        tempo=request.tempo,
        tempi=tempi_of(request),
        beat=request.tempo.unit if request.tempo else beat_value(rhythm.metre),
        notes=remarks,
    )


def _groups(routine: Routine, tube: Tube, player: Player) -> list[tuple[str, tuple[Pitch, ...]]]:
    """The pattern on each fingering that carries it, from the open tube on.

    The widest pattern that the open tube carries, over three partials at the most at the first level. It begins as
    low as all fingerings but one can play it; a fingering without room there begins on the next partial that it has.
    """
    patterns = [
        pattern
        for pattern in (routine.pattern, *routine.narrower)
        if player.level != FIRST_NOTES or len(set(pattern)) <= _FIRST_PARTIALS or not routine.narrower
    ]
    for pattern in patterns:
        carried = [
            (label, [_on(pattern, tube, steps, start, player) for start in _starts(pattern)])
            for label, steps in tube.steps
        ]
        serves = [sum(bool(groups[k]) for _, groups in carried) for k in range(len(carried[0][1]))]
        opened = [k for k, group in enumerate(carried[0][1]) if group]
        if opened or (pattern == patterns[-1] and any(serves)):
            offers = opened or range(len(serves))
            start = next(k for k in offers if serves[k] >= max(serves[o] for o in offers) - 1)
            order = sorted(range(len(serves)), key=lambda k: (abs(k - start), -k))
            found = [(label, next((groups[k] for k in order if groups[k]), ())) for label, groups in carried]
            return [(label, group) for label, group in found if group]
    return []


def _starts(pattern: Sequence[int]) -> range:
    """Partials on which a pattern may begin, by place in the row; one without the fundamental counts from that."""
    if min(pattern) > 0:
        return range(-1, 0)
    return range(1, len(PARTIALS) - max(pattern))


def _on(pattern: Sequence[int], tube: Tube, steps: int, start: int, player: Player) -> tuple[Pitch, ...]:
    """A pattern on one fingering, or () where the player lacks a note."""
    root = _named(Interval.parse(_DOWN[steps]).above(tube.fundamental))
    rows = list(PARTIALS.values())
    group = tuple(Interval.parse(rows[start + p]).above(root) for p in pattern)
    return group if all(player.compass.holds(pitch) for pitch in group) else ()


def _named(root: Pitch) -> Pitch:
    """A fundamental as players call it: the lowest B of a saxophone is no C-flat."""
    note = readable(root.note, None)
    moved = (note.step - root.step + 3) % 7 - 3
    return spelled(root.place + moved, root.height)


def slurred(pieces: Sequence[Note], place: int, size: int, label: str) -> list[Note]:
    """One note of a slurred group that ends in a breath, its label over the first.

    Args:
        pieces: the note as written.
        place: in its group, from 0.
        size: of the group.
        label: of the group.

    >>> from generator.theory.duration import Value
    >>> (first,) = slurred([Note(Pitch.parse("F3"), Value(2))], 0, 3, "1-2")
    >>> first.slur, first.text
    ('start', '1-2')
    """
    slur: Slur = "start" if place == 0 else "stop" if place == size - 1 else "inside"
    text = label if place == 0 else None
    first = replace(pieces[0], slur=slur, text=text)
    if place == size - 1:
        first = first.marked("breath")
    return [first, *pieces[1:]]


def tempi_of(request: Request) -> tuple[int, ...]:
    """The row of tempi a request asks for.

    >>> from generator.catalogue.tables import shared_catalogue
    >>> from generator.phrase.read import parse
    >>> tempi_of(parse("overtones, quarter = 60 to 72", shared_catalogue()))
    (60, 63, 66, 69, 72)
    """
    if request.tempo is None:
        return ()
    return row(request.tempo.bpm, request.goal, climb=request.climb) if request.goal else (request.tempo.bpm,)
