"""A voice of a chorale on a page: where it lies for one who plays it alone, and what each note is in its chord.

Just intonation, in cents from equal temperament: a major third 14 low, a minor third 16 high, a fifth 2 high (ratios
5:4, 6:5, 3:2).
"""

from collections.abc import Sequence
from dataclasses import replace
from itertools import count

from generator.errors import DoesNotFitError
from generator.exercise.figure import Figure
from generator.exercise.fit import Fitted
from generator.exercise.instrument import Compass
from generator.exercise.laying import Extent, Group
from generator.exercise.records import Exercise, Note
from generator.exercise.request import Request
from generator.exercise.span import FULL_RANGE, Span
from generator.exercise.voicing import Chord, Voice, voiced
from generator.theory.form import Ladder

VOICES: dict[int, tuple[str, ...]] = {
    1: ("melody",),
    2: ("upper voice", "lower voice"),
    3: ("upper voice", "middle voice", "bass"),
    4: ("soprano", "alto", "tenor", "bass"),
    5: ("soprano", "alto", "tenor", "baritone", "bass"),
    6: ("soprano", "second soprano", "alto", "tenor", "baritone", "bass"),
}
"""What the voices are called, from the highest on, by how many there are."""
# Sounding ranges of the four voices (Butterfield, Integrated Musicianship: Theory: C4-G5, G3-D5, C3-A4, F2-C4).
_FOUR = (Voice(60, 79, 70), Voice(55, 74, 64), Voice(48, 69, 58), Voice(41, 60, 50))
_CENTS = {(0, 0): "root", (1, 4): "third, 14 low", (1, 3): "third, 16 high", (2, 7): "fifth, 2 high"}


def chords_of(figure: Figure, size: int) -> tuple[Chord, ...]:
    """Degrees of the chords of a chorale.

    >>> from generator.catalogue.tables import shared_catalogue
    >>> chords_of(shared_catalogue().figures.find("tuning chorale"), 7)[1]
    (3, 5, 7)
    """
    return figure.sized(size)[0]


def member_words(degree: int, chord: Chord, ladder: Ladder) -> str:
    """What a note is in its chord, and by how many cents just intonation puts it lower or higher.

    >>> from generator.catalogue.tables import shared_catalogue
    >>> from generator.theory.pitch import NoteName
    >>> ladder = Ladder(shared_catalogue().forms.find("major"), NoteName.parse("Bb"))
    >>> member_words(9, (0, 2, 4), ladder)  # D above B-flat
    'third, 14 low'
    """
    for member, tone in enumerate(chord):
        if (degree - tone) % ladder.size == 0:
            above = ladder.pitch(tone).height - ladder.pitch(chord[0]).height
            return _CENTS[member, above % 12]
    return ""


def in_chords(exercise: Exercise, line: Sequence[int], chords: Sequence[Chord], ladder: Ladder) -> Exercise:
    """The exercise with what each note is in its chord over it, and a fermata on the last.

    Args:
        exercise: a voice of a chorale, one note a chord.
        line: its degrees.
        chords: the chords.
        ladder: written.

    >>> from generator import exercises, player
    >>> (made,) = exercises("F tuning chorale", player=player("horn"))
    >>> [note.text for bar in made.bars for note in bar.notes], made.bars[-1].notes[-1].marks
    (['root', 'fifth, 2 high', 'third, 14 low', 'root'], ('fermata',))
    """
    words = [member_words(degree, chord, ladder) for degree, chord in zip(line, chords, strict=True)]
    sounding = [note for bar in exercise.bars for note in bar.notes if note.pitch]
    starts = [
        note for before, note in zip([None, *sounding], sounding, strict=False) if not (before and before.tie)
    ]
    told = iter(words) if len(starts) == len(words) else iter(())
    place = count(1)

    def one(note: Note, *, begins: bool) -> Note:
        last = note.pitch is not None and next(place) == len(sounding)
        note = replace(note, marks=tuple(m for m in note.marks if m != "breath"))
        if begins and note.pitch:
            note = replace(note, text=next(told, None))
        return note.marked("fermata") if last else note

    bars, tied = [], False
    for bar in exercise.bars:
        notes = []
        for note in bar.notes:
            notes.append(one(note, begins=not tied))
            tied = note.tie
        bars.append(replace(bar, notes=tuple(notes)))
    return replace(exercise, bars=tuple(bars))


def on_degrees(line: Sequence[int], span: Span = FULL_RANGE) -> Fitted:
    """A line of single degrees as what fitting would have found.

    >>> [group.degrees for group in on_degrees([28, 28, 27, 28]).groups]
    [(28,), (28,), (27,), (28,)]
    """
    groups = tuple(Group((degree,), "up") for degree in line)
    return Fitted(groups, Extent(min(line), max(line)), span)


def check_plain(request: Request) -> None:
    """Refuse what a chorale cannot be.

    Raises:
        DoesNotFitError: it is asked for from another degree, or one way.

    >>> from generator.catalogue.tables import shared_catalogue
    >>> from generator.phrase.read import parse
    >>> check_plain(parse("F chorale, up", shared_catalogue()))
    Traceback (most recent call last):
        ...
    generator.errors.DoesNotFitError: a tuning chorale takes no direction or degree; ask for it alone
    """
    name = request.figure.name if request.figure else "chorale"
    if request.degree or request.direction != "up and down":
        raise DoesNotFitError(f"a {name} takes no direction or degree; ask for it alone")


def own_voice(figure: Figure, ladder: Ladder, sounds: int, compass: Compass) -> tuple[str, Fitted]:
    """The voice that suits a player, as set for soprano, alto, tenor and bass, in the octave nearest their middle.

    Args:
        figure: a chorale.
        ladder: written.
        sounds: half steps from written to sounding pitch.
        compass: written limits.

    Returns:
        Name of the voice, and where it lies.

    Raises:
        DoesNotFitError: no octave of it lies in the compass, or the form has no such chords.

    >>> from generator.catalogue.players import player_named
    >>> from generator.phrase.expand import exercises
    >>> for name in ("flute", "tuba"):
    ...     (made,) = exercises(["B-flat tuning chorale"], player_named(name)).exercises
    ...     print(made.heading, *made.pitches)
    B-flat major tuning chorale, soprano D5 Eb5 C5 D5
    B-flat major tuning chorale, bass Bb1 Eb2 F2 Bb1
    """
    chords = chords_of(figure, ladder.size)
    middle = (compass.low.height + compass.high.height) / 2
    best = min(range(4), key=lambda n: abs(middle + sounds - _FOUR[n].middle))
    written = tuple(Voice(v.low - sounds, v.high - sounds, v.middle - sounds) for v in _FOUR)
    line = voiced(chords, ladder, written)[best]
    heights = [ladder.pitch(degree).height for degree in line]
    octaves = [
        k
        for k in range(-3, 4)
        if compass.low.height <= min(heights) + 12 * k and max(heights) + 12 * k <= compass.high.height
    ]
    if not octaves:
        raise DoesNotFitError(
            f"the {VOICES[4][best]} of a {figure.name} does not fit between {compass.words}; ask for another key"
        )
    own = (min(heights) + max(heights)) / 2
    shift = min(octaves, key=lambda k: abs(own + 12 * k - middle))
    return VOICES[4][best], on_degrees([d + shift * ladder.size for d in line])
