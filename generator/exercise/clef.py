"""Which clef a line is printed in, where it changes, and what a clef makes of a pitch."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from generator.errors import DoesNotFitError
from generator.exercise.records import Bar, Exercise, Note
from generator.theory.pitch import Pitch

OCTAVE_TREBLE = "treble-8"
"""The treble clef with an 8 below it, which tenors read."""
ONE_LINE, DRUM_SET = "percussion", "drum set"
"""Clefs of percussion: one line, and the five lines of a set of drums, whose places are named as in the treble clef."""
PERCUSSION = frozenset({ONE_LINE, DRUM_SET})
# Staff place (letters from C0) of the middle line; percussion stands on one line of its own.
MIDDLE = {"treble": 34, OCTAVE_TREBLE: 34, "alto": 28, "tenor": 26, "bass": 22, ONE_LINE: 28, DRUM_SET: 34}
# What a note costs to read by its ledger lines: two are free, and no book prints six where another clef has fewer.
_LINES = (0.0, 0.0, 0.0, 1.2, 3.0, 6.0)
_TOO_MANY = 40.0
# What a note costs in another clef than the usual one, where the usual one has it high or low, and where it has not.
_AWAY, _NO_NEED = 0.1, 0.5
_AT_A_BAR, _WITHIN_A_BAR = 2.5, 4.0


@dataclass(frozen=True, slots=True)
class _Stretch:
    """Notes that stand in one clef whatever happens, and what a change of clef before them costs."""

    pitches: tuple[Pitch, ...]
    change: float


def ledger_lines(pitch: Pitch, clef: str) -> int:
    """Ledger lines a pitch needs in a clef.

    >>> ledger_lines(Pitch.parse("C4"), "treble"), ledger_lines(Pitch.parse("E3"), "treble")
    (1, 3)
    """
    return max(0, (abs(pitch.place - MIDDLE[clef]) - 4) // 2)


def clefs_by_bar(bars: Sequence[Sequence[Pitch]], clefs: Sequence[str]) -> tuple[str, ...]:
    """The clef of each bar, where none changes within one: the usual one unless a passage reads better in another.

    Args:
        bars: written pitches by bar.
        clefs: the usual clef first.

    >>> low, high = [Pitch.parse("E2")] * 8, [Pitch.parse("B4")] * 8
    >>> print(*clefs_by_bar([low, high, high, low], ("bass", "tenor")))
    bass tenor tenor bass
    """
    return _easiest([_Stretch(tuple(pitches), _AT_A_BAR) for pitches in bars], clefs)


def in_clefs(bars: Sequence[Bar], clefs: Sequence[str]) -> tuple[tuple[Bar, ...], tuple[str, ...]]:
    """Bars with the clefs that are easiest to read: a high passage in the clef its players know from it.

    A change stands on a beat, best at a barline, and must spare more ledger lines than it costs to read, so that one
    high note stays where it is and a passage stays in its clef until it is over. Trombones, bassoons and cellos go to
    the tenor clef for passages above about F4 or G4 (common practice; the weights are ours).

    Args:
        bars: the music.
        clefs: the usual clef first.

    Returns:
        The bars, a note before which the clef changes within a bar saying so, and the clef each bar begins in.

    >>> from generator.theory.duration import Metre, Value
    >>> rise = [Note(Pitch.parse(name), Value(8)) for name in "C2 F2 C3 F3 G4 A4 B4 C5".split()]
    >>> stay = [Note(Pitch.parse(name), Value(4)) for name in "A4 B4 C5 A4".split()]
    >>> four = Metre.parse("4/4")
    >>> (bar, _), begin = in_clefs([Bar(four, tuple(rise)), Bar(four, tuple(stay))], ("bass", "tenor"))
    >>> begin, [note.clef for note in bar.notes]
    (('bass', 'tenor'), ['', '', '', '', 'tenor', '', '', ''])
    """
    if len(clefs) == 1:
        return tuple(bars), (clefs[0],) * len(bars)
    parted = [list(_at_beats(bar)) for bar in bars]
    stretches = [
        _Stretch(tuple(n.pitch for n in notes if n.pitch), _WITHIN_A_BAR if place else _AT_A_BAR)
        for parts in parted
        for place, notes in enumerate(parts)
    ]
    chosen = iter(_easiest(stretches, clefs))
    marked: list[Bar] = []
    begins: list[str] = []
    for bar, parts in zip(bars, parted, strict=True):
        here = next(chosen)
        begins.append(here)
        notes = list(parts[0])
        for part in parts[1:]:
            clef = next(chosen)
            notes += (replace(part[0], clef=clef), *part[1:]) if clef != here else part
            here = clef
        marked.append(bar if tuple(notes) == bar.notes else replace(bar, notes=tuple(notes)))
    return tuple(marked), tuple(begins)


def clefs_of(asked: str, clefs: Sequence[str], instrument: str) -> tuple[str, ...]:
    """The clefs a line may stand in: the one asked for, or all of an instrument.

    Args:
        asked: a clef, or "".
        clefs: those of the instrument.
        instrument: its name, for the refusal.

    Raises:
        DoesNotFitError: it never reads the clef asked for.

    >>> clefs_of("tenor", ("bass", "tenor"), "cello")
    ('tenor',)
    """
    if not asked:
        return tuple(clefs)
    if asked in clefs:
        return (asked,)
    if asked == "treble" and OCTAVE_TREBLE in clefs:
        return (OCTAVE_TREBLE,)
    read = " and ".join(clef for clef in clefs)
    raise DoesNotFitError(f"no part for the {instrument} is in {asked} clef; it reads {read} clef")


def in_one_clef(exercise: Exercise, clef: str) -> Exercise:
    """The exercise in one clef from beginning to end.

    >>> from generator.phrase.expand import exercises
    >>> from generator.catalogue.players import player_named
    >>> (made,) = exercises(["C major, quarters"], player_named("cello")).exercises
    >>> set(in_one_clef(made, "bass").clefs)
    {'bass'}
    """
    plain = tuple(
        replace(bar, notes=tuple(replace(n, clef="") if n.clef else n for n in bar.notes))
        for bar in exercise.bars
    )
    return replace(exercise, bars=plain, clefs=(clef,) * len(plain))


def ending(begins: str, notes: Sequence[Note]) -> str:
    """The clef that holds at the end of some notes.

    >>> from generator.theory.duration import Value
    >>> ending("bass", [Note(Pitch.parse("C4"), Value(4)), Note(Pitch.parse("A4"), Value(4), clef="tenor")])
    'tenor'
    """
    return next((note.clef for note in reversed(notes) if note.clef), begins)


def places(begins: str, notes: Sequence[Note]) -> Iterator[int]:
    """How far each note stands above the middle line of its staff, in half spaces; rests are left out.

    >>> from generator.theory.duration import Value
    >>> notes = [Note(Pitch.parse("E4"), Value(4)), Note(Pitch.parse("E4"), Value(4), clef="tenor")]
    >>> list(places("bass", notes))
    [8, 4]
    """
    clef = begins
    for note in notes:
        clef = note.clef or clef
        if note.pitch is not None:
            yield note.pitch.place - MIDDLE[clef]


def _at_beats(bar: Bar) -> Iterator[tuple[Note, ...]]:
    """The notes of a bar, parted where a beat begins with a note of its own."""
    beats = set(bar.metre.beat_starts)
    part: list[Note] = []
    place = Fraction(0)
    inside = tied = False
    for note in bar.notes:
        if part and place in beats and not inside and not tied and note.pitch is not None:
            yield tuple(part)
            part = []
        part.append(note)
        inside = (inside or note.tuplet_start) and not note.tuplet_stop
        tied = note.tie
        place += note.length
    yield tuple(part)


def _easiest(stretches: Sequence[_Stretch], clefs: Sequence[str]) -> tuple[str, ...]:
    """The clef of each stretch: the row of clefs that costs least to read."""
    if len(clefs) == 1 or not stretches:
        return (clefs[0],) * len(stretches)
    best: dict[str, tuple[float, tuple[str, ...]]] = dict.fromkeys(clefs, (0.0, ()))
    for number, stretch in enumerate(stretches):
        row: dict[str, tuple[float, tuple[str, ...]]] = {}
        for clef in clefs:
            cost = sum(_reading(p, clef, clefs[0]) for p in stretch.pitches)
            # The first clef is chosen freely, though the usual one is what a player expects to begin in.
            first = _AT_A_BAR / 2 if clef != clefs[0] and not number else 0.0
            before, path = min(
                (
                    (c + (stretch.change if path and path[-1] != clef else first), path)
                    for c, path in best.values()
                ),
                key=lambda offer: offer[0],
            )
            row[clef] = (before + cost, (*path, clef))
        best = row
    return min(best.values(), key=lambda offer: offer[0])[1]


def _reading(pitch: Pitch, clef: str, usual: str) -> float:
    lines = ledger_lines(pitch, clef)
    away = 0.0 if clef == usual else _AWAY if ledger_lines(pitch, usual) > 1 else _NO_NEED
    return away + (_LINES[lines] if lines < len(_LINES) else _TOO_MANY * lines)


def wants_ottava(pitches: Sequence[Pitch], clef: str) -> bool:
    """Whether a whole line lies so high that an 8va line reads better: more than four ledger lines on average.

    Only for instruments whose players are used to it; wind players else read the real shape (common practice).

    >>> [wants_ottava([Pitch.parse(name)] * 8, "treble") for name in ("C6", "C7", "D7")]
    [False, True, True]
    """
    if clef != "treble":
        return False
    lines = [ledger_lines(p, clef) for p in pitches if p.place > MIDDLE[clef]]
    return len(lines) == len(pitches) and min(lines) >= 2 and sum(lines) > 4 * len(lines)
