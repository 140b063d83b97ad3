"""Timpani in a section: the roots of the chords on strong beats, on drums tuned to what the key needs.

Tonic and dominant, and the subdominant where there is a third drum; each note has a drum of its own that reaches it.
Long notes are rolls, the last one comes with everybody (common practice, no source).
"""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from fractions import Fraction

from generator.exercise.beats import beaten
from generator.exercise.harmony import ChordAt
from generator.exercise.instrument import Compass
from generator.exercise.records import Bar, Exercise, Note
from generator.theory.chord import Chord
from generator.theory.pitch import NoteName, Pitch

Tuning = Mapping[NoteName, Pitch]
_MOST = 3


def tuned(wanted: Sequence[NoteName], compass: Compass) -> dict[NoteName, Pitch]:
    """The drums that some notes are put on, those named first before the others.

    Args:
        wanted: notes, the most needed first.
        compass: the drums of a player.

    >>> from generator.catalogue.players import player_named
    >>> pair = player_named("timpani", "first notes").compass
    >>> notes = [NoteName.parse(name) for name in ("Bb", "F", "Eb")]
    >>> {note.name: pitch.name for note, pitch in tuned(notes, pair).items()}
    {'Bb': 'Bb2', 'F': 'F2'}
    >>> print(*tuned(notes, player_named("timpani").compass).values())
    Bb2 F2 Eb3
    """
    most = min(len(wanted), len(compass.drums), _MOST)
    for count in range(most, 0, -1):
        if found := _placed(list(wanted[:count]), list(compass.drums)):
            return dict(zip(wanted, found, strict=False))
    return {}


def roots(exercise: Exercise, chords: Sequence[ChordAt], tuning: Tuning, level: str) -> tuple[Bar, ...]:
    """The bars of the timpani.

    Args:
        exercise: everybody's line, as built for drums.
        chords: at concert pitch.
        tuning: the drums by what they sound.
        level: of the player; a beginner has strokes for rolls.

    >>> from generator import exercises, player
    >>> from generator.catalogue.tables import shared_catalogue
    >>> from generator.exercise.harmony import harmony
    >>> made = exercises("C major, one octave, quarters", player=player("flute"))[0]
    >>> tonic = NoteName.parse("C")
    >>> chords = harmony(made.bars, shared_catalogue().forms.find("major"), tonic, tonic)
    >>> drums = {note: Pitch(note.step, 0, 2) for note in (tonic, NoteName.parse("G"), NoteName.parse("F"))}
    >>> print(*(n.pitch for bar in roots(made, chords, drums, "standard") for n in bar.notes if n.pitch))
    C2 C2 C2 C2 G2 G2 C2 C2
    """
    drums = {(one.bar, one.place): _drum(one.chord, tuning) for one in chords}
    made: list[Bar] = []
    for number, bar in enumerate(beaten(exercise, level)):
        place, held = Fraction(0), None
        notes: list[Note] = []
        for note in bar.notes:
            starts = [at for n, at in drums if n == number and at <= place]
            drum = drums[number, max(starts)] if starts else next(iter(tuning.values()), None)
            held = drum if held is None else held
            # A roll stays on its drum to the stroke it ends on.
            notes.append(_struck(note, held if note.tie or (notes and notes[-1].tie) else drum))
            held = held if note.tie else None
            place += note.length
        made.append(replace(bar, notes=tuple(notes)))
    return tuple(made)


def _struck(note: Note, drum: Pitch | None) -> Note:
    if note.pitch is None:
        return note
    return replace(note, pitch=drum) if drum else Note(None, note.value)


def _drum(chord: Chord, tuning: Tuning) -> Pitch | None:
    """The drum of a chord: its root, else another of its notes."""
    return next((tuning[note] for note in chord.notes if note in tuning), None)


def _placed(notes: list[NoteName], drums: list[tuple[Pitch, Pitch]]) -> list[Pitch] | None:
    """A pitch for each note, each on a drum of its own, as near the middles of the drums as can be had."""
    if not notes:
        return []
    best: tuple[int, list[Pitch]] | None = None
    for number, (low, high) in enumerate(drums):
        offers = [Pitch(notes[0].step, notes[0].alter, octave) for octave in range(1, 5)]
        for pitch in (p for p in offers if low.height <= p.height <= high.height):
            rest = _placed(notes[1:], [*drums[:number], *drums[number + 1 :]])
            if rest is None:
                continue
            row = [pitch, *rest]
            cost = sum(abs(2 * one.height - _MIDDLE) for one in row)
            if best is None or cost < best[0]:
                best = (cost, row)
    return best[1] if best else None


# Twice the height of B-flat 2, the middle of a usual pair.
_MIDDLE = 2 * 46
