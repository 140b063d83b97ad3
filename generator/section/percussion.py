"""The pages of a section's percussion, made of what everybody plays: drums and beats, and timpani."""

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

from generator.exercise.articulation import UNSAID
from generator.exercise.build import Player
from generator.exercise.harmony import ChordAt
from generator.exercise.instrument import Instrument
from generator.exercise.one_line import DRUM_SET, on_one_line, words_of
from generator.exercise.records import Bar, Exercise, Note
from generator.exercise.timpani import roots, tuned
from generator.section.turns import Turn
from generator.theory.chord import Chord
from generator.theory.pitch import NoteName

TIMPANI = "timpani"
_CANNOT = "The drums cannot be tuned to each bar; count and listen"


def follows(instrument: Instrument) -> bool:
    """Whether an instrument has a part of its own under the line in place of the line: percussion but for mallets."""
    return instrument.unpitched or instrument.family == TIMPANI


def percussion_page(turn: Turn, player: Player) -> Exercise:
    """What one of the percussion reads of a turn.

    Args:
        turn: what everybody plays.
        player: who reads it.
    """
    if turn.rhythm is not None and player.instrument.family == TIMPANI and not turn.drill:
        return _at_the_end(turn, turn.rhythm, player)
    if turn.rhythm is not None:
        line = on_one_line(turn.rhythm, player, "", rhythm=True)
        return replace(line, head=turn.rhythm.head, notes=turn.rhythm.notes)
    model = turn.drums or turn.read[0]
    if player.instrument.family == TIMPANI:
        return _timpani(turn, model, player)
    heading = dict(turn.drum_headings).get(words_of(player.instrument), turn.heading)
    line = on_one_line(model, player, f"{heading[:1].lower()}{heading[1:]}")
    line = replace(line, phrase=turn.read[0].phrase, reason=_told(turn, player) or line.reason)
    return _named(line, heading, player) if turn.warm_up or not model.pitches else line


def _at_the_end(turn: Turn, model: Exercise, player: Player) -> Exercise:
    """Timpani under chords that others tune by: they rest, and join the last one where it is the tonic's."""
    exercise = replace(_timpani(replace(turn, chords=()), model, player), head=model.head)
    if not turn.tonic:
        return replace(silent(exercise), reason=_CANNOT)
    *before, last = exercise.bars
    resting = silent(replace(exercise, bars=tuple(before))).bars
    return replace(exercise, bars=(*resting, last))


def _told(turn: Turn, player: Player) -> str:
    """The line under a heading, in the words of a beginner, of an instrument, or of all."""
    own = dict(turn.drum_reasons)
    return own.get(player.instrument.name) or own.get(player.level) or turn.drum_reason


def _named(line: Exercise, heading: str, player: Player) -> Exercise:
    """A step of a warm-up under its own name."""
    name, _, key = heading.partition(": ")
    style = (
        f": {line.head[:1].lower()}{line.head[1:]}"
        if player.instrument.name == DRUM_SET and line.pitches
        else ""
    )
    return replace(line, head=f"{_name_for(name, player)}{style}", concert_heading=key)


def _at_pitch(heading: str) -> str:
    """A heading for who reads what is heard, and needs not be told so."""
    return heading.removeprefix("Concert ").replace(": concert ", ": ")


def _name_for(name: str, player: Player) -> str:
    """What a step is called for those who do not roll: a set of drums, and beginners."""
    rolls = player.instrument.name != DRUM_SET and player.level != "first notes"
    return name if rolls else name.replace("Rolls and time", "Time")


def _timpani(turn: Turn, model: Exercise, player: Player) -> Exercise:
    """Roots of the chords; a pedal on the tonic where there are none."""
    heard = turn.heard[0]
    tonic = turn.tonic or (NoteName.parse(heard.key) if heard.key else None)
    chords = turn.chords or (_pedal(model.bars, tonic) if tonic else ())
    drums = tuned(_wanted(chords), player.compass)
    ordered = sorted(drums.values(), key=lambda drum: drum.height)
    told = (
        f"Drums tuned to {_listed([drum.note.words for drum in ordered])}, from the lowest" if ordered else ""
    )
    return replace(
        model,
        phrase=turn.read[0].phrase,
        head=_name_for(_at_pitch(dict(turn.drum_headings).get(UNSAID, turn.heading)), player),
        details="",
        concert_heading="",
        instrument=player.instrument.name,
        level=player.level,
        key=tonic.name if tonic else "",
        signature=turn.signature if turn.tonic else heard.signature,
        clefs=("bass",) * len(model.bars),
        bars=roots(model, chords, drums, player.level) if drums else silent(model).bars,
        notes=(),
        reason=". ".join(one for one in (told, _told(turn, player)) if one),
        ottava=False,
        drone="",
        digits="",
        left=None,
    )


def _wanted(chords: Sequence[ChordAt]) -> list[NoteName]:
    """Roots by how long they last, the first of all being where everything begins."""
    lasts: dict[NoteName, Fraction] = {}
    for one in chords:
        lasts[one.chord.root] = lasts.get(one.chord.root, Fraction(0)) + one.length
    notes = list(lasts)
    return [*notes[:1], *sorted(notes[1:], key=lambda note: -lasts[note])]


def _pedal(bars: Sequence[Bar], tonic: NoteName) -> tuple[ChordAt, ...]:
    chord = Chord(tonic, "major")
    return tuple(ChordAt(n, Fraction(0), bar.length, chord, changes=n == 0) for n, bar in enumerate(bars))


def silent(exercise: Exercise) -> Exercise:
    """The same bars without a note; a fermata holds a rest as well."""
    bars = tuple(replace(bar, notes=tuple(_rest(note) for note in bar.notes)) for bar in exercise.bars)
    return replace(exercise, bars=bars)


def _rest(note: Note) -> Note:
    marks = tuple(mark for mark in note.marks if mark == "fermata")
    return Note(None, note.value, marks=marks, tuplet_start=note.tuplet_start, tuplet_stop=note.tuplet_stop)


def _listed(words: Sequence[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"
